"""Where a flat piece lies: its front line upright on x = 0, its lower end at the origin."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from flatten.mesh.gradient import Complexes
from flatten.mesh.surface import Floats, Ints, Mesh
from flatten.unwrap.model import UnwrapError
from flatten.worn.panel import Panel


def farthest_pair(points: Floats) -> tuple[int, int]:
    """Two points (of (N,d)) nearly farthest apart: the farthest from the middle, and the farthest from that."""
    first = int(np.argmax(np.sum((points - points.mean(axis=0)) ** 2, axis=1)))
    return first, int(np.argmax(np.sum((points - points[first]) ** 2, axis=1)))


@dataclass(frozen=True)
class BoundaryPoint:
    """The point `share` of the way from vertex `start` to vertex `end`."""

    start: int
    end: int
    share: float

    def on(self, flat: Complexes) -> complex:
        """Where the point lies in a flat map (V,)."""
        return complex((1 - self.share) * flat[self.start] + self.share * flat[self.end])


@dataclass(frozen=True)
class FrontLine:
    """The straight line in the flat piece that is to stand upright, from `lower` to `upper`."""

    lower: BoundaryPoint
    upper: BoundaryPoint

    def direction(self, flat: Complexes) -> complex:
        """From the lower to the upper point in a flat map (V,)."""
        return self.upper.on(flat) - self.lower.on(flat)

    def weights(self, count: int) -> Floats:
        """The weights (V,) of the flat vertices of which `direction` is the sum."""
        weights = np.zeros(count)
        for point, sign in ((self.upper, 1.0), (self.lower, -1.0)):
            weights[point.start] += sign * (1 - point.share)
            weights[point.end] += sign * point.share
        return weights


def longest_line(mesh: Mesh, boundary: Ints) -> FrontLine:
    """The line between two boundary vertices about as far apart as any, for a mesh that has no front."""
    first, second = (int(boundary[i]) for i in farthest_pair(mesh.vertices[boundary]))
    return FrontLine(BoundaryPoint(first, first, 0.0), BoundaryPoint(second, second, 0.0))


def front_line(panel: Panel) -> FrontLine:
    """The line between the lowest and the highest boundary point at the panel's front.

    That is bearing 0 (or a whole turn from it) where it lies inside the panel, else the panel's middle bearing.

    Raises UnwrapError where the boundary meets that bearing in fewer than two places.
    """
    low, high = float(panel.bearings.min()), float(panel.bearings.max())
    middle = (low + high) / 2
    front = 2 * np.pi * round(middle / (2 * np.pi))
    bearing = front if low < front < high else middle
    start = np.concatenate([boundary.vertices[:-1] for boundary in panel.boundaries])
    end = np.concatenate([boundary.vertices[1:] for boundary in panel.boundaries])
    before, after = panel.bearings[start] - bearing, panel.bearings[end] - bearing
    meets = np.flatnonzero((np.minimum(before, after) <= 0) & (np.maximum(before, after) >= 0) & (before != after))
    if meets.size:
        share = before[meets] / (before[meets] - after[meets])
        height = (1 - share) * panel.heights[start[meets]] + share * panel.heights[end[meets]]
        bottom, top = int(np.argmin(height)), int(np.argmax(height))
        if height[top] > height[bottom]:
            points = [BoundaryPoint(int(start[meets[i]]), int(end[meets[i]]), float(share[i])) for i in (bottom, top)]
            return FrontLine(*points)
    raise UnwrapError(
        f"panel '{panel.name}' has no height at bearing {np.degrees(bearing):.1f}°, so nothing says what is upright"
    )


def upright(flat: Complexes, line: FrontLine) -> Complexes:
    """The map (V,) turned and shifted so that `line` rises from the origin along +y."""
    direction = line.direction(flat)
    return (flat - line.lower.on(flat)) * (1j * abs(direction) / direction)
