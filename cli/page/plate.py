"""Plates on the bench: the lines that they are drawn by on the limb."""

from __future__ import annotations

from typing import Any

import numpy as np

from flatten.job.bearings import bearing_of
from flatten.job.plates import PlateSettings
from flatten.limb.surface.model import LimbSurface
from flatten.mesh.surface import Floats
from flatten.worn.curves import Edge
from flatten.worn.plates import Plate, smooth_sides, straight_sides

STEPS = 40
"""Places along each side of a region: 3 mm apart on a plate as wide as half a calf."""


def plate_lines(surface: LimbSurface, settings: PlateSettings, *, top: Edge, bottom: Edge) -> list[dict[str, Any]]:
    """The lines of a plate on a surface, limb coordinates in mm: its outline, or two rings where it goes all round.

    Where it reaches as far up and down as the leather does, it keeps its inset from these edges; from others, and from
    the holes of seams, the finished plate alone does.
    """
    loops = [_outline(surface, settings)] if settings.curve else _region(settings, top=top, bottom=bottom)
    lines = [surface.points(np.clip(loop[:, 0], *surface.trusted), loop[:, 1]) for loop in loops]
    return [{"name": settings.name, "points": np.round(line, 2).tolist()} for line in lines]


def _outline(surface: LimbSurface, settings: PlateSettings) -> Floats:
    degrees, heights = np.array(settings.curve).T
    points = np.column_stack([heights, np.unwrap(np.radians(degrees))])
    if settings.corners == "sharp":
        return Plate(settings.name, 0.0, straight_sides(points)).chart
    radius = float(surface.radius(np.clip(points[:, 0], *surface.trusted), points[:, 1]).mean())
    return Plate(settings.name, 0.0, smooth_sides(points, radius=radius)).chart


def _region(settings: PlateSettings, *, top: Edge, bottom: Edge) -> list[Floats]:
    start, end = (0.0, 2 * np.pi) if settings.around is None else (np.radians(bearing_of(b)) for b in settings.around)
    if settings.around is not None:
        end = start + float(np.mod(end - start, 2 * np.pi))
    bearings = np.linspace(start, end, STEPS + 1)
    if settings.heights is None:
        low, high = bottom.height(bearings) + settings.inset, top.height(bearings) - settings.inset
    else:
        low, high = (np.full_like(bearings, height) for height in settings.heights)
    below, above = np.column_stack([low, bearings]), np.column_stack([high, bearings])
    return [below, above] if settings.around is None else [np.vstack([below, above[::-1], below[:1]])]
