"""The rims of holes: what a knife or a punch goes round, and the cross of one that is only marked."""

from __future__ import annotations

import numpy as np
import shapely

from flatten.pattern.model import Hole, Path


def spine(hole: Hole) -> shapely.Geometry:
    """The line between the centres of a slot's round ends; the centre of a round hole, as a point."""
    if not hole.run:
        return shapely.Point(hole.x, hole.y)
    half = 0.5 * hole.run * np.array([np.cos(hole.angle), np.sin(hole.angle)])
    centre = np.array([hole.x, hole.y])
    return shapely.LineString([centre - half, centre + half])


def slot_rim(hole: Hole) -> Path:
    """The closed, counter-clockwise rim of a slot: two straight sides and two half circles.

    Precondition: the hole's `run` is more than 0.
    """
    along = np.array([np.cos(hole.angle), np.sin(hole.angle)])
    across = 0.5 * hole.diameter * np.array([-along[1], along[0]])
    centre, half = np.array([hole.x, hole.y]), 0.5 * hole.run * along
    corners = [centre - half - across, centre + half - across, centre + half + across, centre - half + across]
    return Path(np.array(corners), np.array([0.0, 1.0, 0.0, 1.0]), closed=True)


def cross(hole: Hole) -> tuple[Path, Path]:
    """Two lines from rim to rim through a hole's centre: it is marked through and punched after forming."""
    radius, centre = 0.5 * hole.diameter, np.array([hole.x, hole.y])
    arms = (np.array([np.cos(angle), np.sin(angle)]) for angle in (hole.angle, hole.angle + np.pi / 2))
    level, upright = (
        Path(np.array([centre - reach * arm, centre + reach * arm]), np.zeros(2), closed=False)
        for arm, reach in zip(arms, (0.5 * hole.run + radius, radius), strict=True)
    )
    return level, upright
