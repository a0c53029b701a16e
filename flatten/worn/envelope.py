"""The outside of layers of a thickness on a skin: where they cannot follow a hollow, they fill it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from scipy.spatial import cKDTree

from flatten.limb.surface.model import LimbSurface
from flatten.mesh.surface import Floats

SAMPLES = 1.5
"""mm between the samples of a skin. From a place over it the nearest sample is hardly farther than the skin itself: by
half the square of their half diagonal over the distance, 0.1 mm at 6 mm."""

WITHIN = 0.15
"""mm. A place that is nearer to the skin than the layers are thick by this much lies in them, and not outside them. It
is more than samples hide, and less than a scan is good for."""

FINE = 9
"""Finer places along and across about the sample that reaches farthest: a quarter of a millimetre apart or less."""


Thickness = Callable[[Floats, Floats], Floats]
"""mm (…) at heights (…) and bearings (…)."""


@dataclass(frozen=True, eq=False)
class Layers:
    """Layers of thickness `offset(height, bearing)`, mm, on a skin, and samples of it: chart places (N,2) and points
    (N,3)."""

    skin: LimbSurface
    offset: Thickness
    places: Floats
    points: Floats
    tree: cKDTree

    def depth(self, points: Floats) -> Floats:
        """How deep (N,) in the layers points (N,3) lie beneath their outside, mm; below 0 where they lie outside."""
        away, nearest = self.tree.query(points)
        return np.asarray(self.offset(self.places[nearest, 0], self.places[nearest, 1]) - away)


def layers_on(skin: LimbSurface, offset: Thickness, *, heights: tuple[float, float]) -> Layers:
    """The layers on a skin over a range of its heights, and beyond it as far as they are thick."""
    up, round_ = np.meshgrid(np.linspace(*heights, 100), np.linspace(0.0, 2.0 * np.pi, 360), indexing="ij")
    reach = max(0.0, float(offset(up, round_).max()))
    low, high = max(heights[0] - reach, skin.trusted[0]), min(heights[1] + reach, skin.trusted[1])
    rows = np.linspace(low, high, int(np.ceil((high - low) / SAMPLES)) + 1)
    widest = float(skin.radii.max())
    bearings = np.linspace(0.0, 2.0 * np.pi, int(np.ceil(2.0 * np.pi * widest / SAMPLES)), endpoint=False)
    radii, _ = skin.sections(rows, bearings)
    centres = skin.centre_line(rows)
    points = np.stack(
        [
            centres[:, :1] + radii * np.cos(bearings),
            centres[:, 1:] + radii * np.sin(bearings),
            np.broadcast_to(rows[:, None], radii.shape),
        ],
        axis=-1,
    ).reshape(-1, 3)
    places = np.stack([axis.ravel() for axis in np.meshgrid(rows, bearings, indexing="ij")], axis=1)
    return Layers(skin, offset, places, points, cKDTree(points))


def deepest(layers: Layers) -> tuple[float, float]:
    """How much deeper (mm) than the layers are thick they must be at the worst place of the skin, and its height.

    Off a smooth place the outside lies the layers' thickness away along the normal. In a hollow sharper than that the
    point there lies within what lies on the hollow's sides: as deep as they fill it.
    """
    heights, bearings = layers.places.T
    normals = layers.skin.normals(heights, bearings)
    depth = layers.depth(layers.points + normals * layers.offset(heights, bearings)[:, None])
    worst = int(depth.argmax())
    return float(depth[worst]), float(heights[worst])


def outer_radii(layers: Layers, heights: Floats, bearings: Floats, *, near: Floats) -> Floats:
    """Radius (N,) of the layers' outside at chart places of heights (N,) and bearings (N,), near the radii `near` (N,).

    A ray from the centre line leaves the ball of a skin point s at u·s + √(d² − |s − (u·s)u|²), and the layers where it
    leaves the last ball. The balls of the samples are tried, then those of places about the farthest.
    """
    ways = np.stack([np.cos(bearings), np.sin(bearings), 0.0 * bearings], axis=1)
    centres = layers.skin.centre_line(heights)
    starts = np.column_stack([centres, heights])
    thick = layers.offset(heights, bearings)
    farthest = np.empty((len(heights), 2))
    for row, about in enumerate(layers.tree.query_ball_point(starts + near[:, None] * ways, 1.5 * thick + 3.0)):
        reach = _reach(layers.points[about] - starts[row], ways[row], layers.offset(*layers.places[about].T))
        farthest[row] = layers.places[about[int(reach.argmax())]]
    aside = np.linspace(-1.0, 1.0, FINE) * SAMPLES
    low, high = layers.skin.trusted
    up = np.clip(farthest[:, 0, None, None] + aside[:, None], low, high)
    round_ = farthest[:, 1, None, None] + aside / near[:, None, None]
    up, round_ = np.broadcast_arrays(up, round_)
    points = layers.skin.points(up, round_).reshape(len(heights), -1, 3)
    thick = layers.offset(up.reshape(len(heights), -1), round_.reshape(len(heights), -1))
    reach = _reach(points - starts[:, None], ways[:, None], thick)
    return np.asarray(reach.max(axis=1))


def _reach(points: Floats, way: Floats, thick: Floats) -> Floats:
    """Where a ray along `way` (…,3) leaves the ball of radius `thick` (…) about each point (…,3); −∞ past it."""
    along = (points * way).sum(axis=-1)
    room = thick**2 - ((points**2).sum(axis=-1) - along**2)
    return np.where(room >= 0.0, along + np.sqrt(np.maximum(room, 0.0)), -np.inf)
