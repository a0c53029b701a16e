"""Free places for rectangles inside a piece."""

from __future__ import annotations

import numpy as np
import shapely

from flatten.mesh.surface import Floats

_GRID = 4.0
"""mm. Step of the grid of places that are tried: below what an eye calls off-centre on a piece."""

_STEPS = 25
"""Steps that a small piece is long at least, each then shorter than _GRID."""


def rectangle(x: float, y: float, width: float, height: float, angle: float) -> Floats:
    """Corners (4,2) of a rectangle centred on (x, y), its width turned by `angle` radians, counter-clockwise."""
    half = 0.5 * np.array([[-width, -height], [width, -height], [width, height], [-width, height]])
    cos, sin = np.cos(angle), np.sin(angle)
    return half @ np.array([[cos, sin], [-sin, cos]]) + np.array([x, y])


def free_place(
    free: shapely.Geometry,
    width: float,
    height: float,
    *,
    angle: float,
    near: tuple[float, float],
    grid: float = _GRID,
) -> tuple[float, float] | None:
    """Centre, nearest to `near`, of a turned rectangle that lies inside `free`; None where there is none."""
    if shapely.is_empty(free):
        return None
    x0, y0, x1, y1 = shapely.bounds(free).tolist()
    step = min(grid, max(x1 - x0, y1 - y0) / _STEPS)
    columns, rows = int((x1 - x0) / step) + 1, int((y1 - y0) / step) + 1
    x, y = np.meshgrid(x0 + step * np.arange(columns), y0 + step * np.arange(rows))
    centres = np.stack([x.ravel(), y.ravel()], axis=1)
    corners = rectangle(0.0, 0.0, width, height, angle)
    boxes = shapely.polygons(centres[:, None] + corners[None])
    shapely.prepare(free)
    inside = np.flatnonzero(shapely.contains(free, boxes))
    if not len(inside):
        return None
    distance = np.hypot(*(centres[inside] - np.array(near)).T)
    found = centres[inside[int(np.argmin(distance))]]
    return float(found[0]), float(found[1])
