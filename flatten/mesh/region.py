"""Plane meshing: a region given by its bordering curves becomes well-shaped triangles that follow them."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from scipy.spatial import Delaunay

from flatten.mesh.surface import Flags, Floats, Ints, MeshError, frozen, frozen_ints

Curve = Callable[[Floats], Floats]
"""Plane points (n,2) of parameters (n,) in [0, 1]."""

SMOOTHING_PASSES = 4
"""Times that interior points move to the mean of their neighbours: more no longer widens the least angle."""

CLEARANCE = 0.62
"""Share of the edge length that interior points keep from the border: more than 1/2 keeps every border
segment's diametral circle empty, and less than √3/2 leaves no wide strip along it."""

SPLIT_PASSES = 12
"""Times that border segments missing from the triangulation are halved before the region is refused."""

HAIR = 1e-7
"""Share of the region's width. A face nearer than this to the border lies along a straight side, where rounding
alone decides whether its three points make a triangle."""

_SAMPLES = 400


@dataclass(frozen=True, eq=False)
class SideVertices:
    """One bordering curve's mesh `vertices` (n,), ends included, and their `parameters` (n,) on the curve."""

    vertices: Ints
    parameters: Floats

    def __post_init__(self) -> None:
        """Freeze the arrays."""
        object.__setattr__(self, "vertices", frozen_ints(self.vertices))
        object.__setattr__(self, "parameters", frozen(self.parameters))


@dataclass(frozen=True, eq=False)
class Region:
    """A plane mesh: `points` (N,2), border vertices first; `faces` (F,3) counter-clockwise; its `sides`."""

    points: Floats
    faces: Ints
    sides: tuple[SideVertices, ...]


def mesh_region(sides: Sequence[Curve], *, size: float) -> Region:
    """Mesh of the region that `sides` enclose counter-clockwise, each ending where the next begins.

    Border points lie on the curves, at most `size` apart; interior points start on a hexagonal grid of
    that edge length and are evened out; Delaunay triangles, among them every border segment (a segment
    that is missing is halved: Ruppert 1995, "A Delaunay refinement algorithm", section 2).

    Raises MeshError where the border is clockwise, crosses itself, or cannot be kept.
    """
    parameters = [_even_parameters(side, size) for side in sides]
    for _ in range(SPLIT_PASSES):
        border = np.vstack([side(u[:-1]) for side, u in zip(sides, parameters, strict=True)])
        polygon = _checked_polygon(border)
        interior = _hexagonal_grid(polygon, size)
        points, faces = _triangulate(border, interior, polygon)
        missing = _missing_segments(faces, len(border))
        if not missing.any():
            points, faces = _even_out(points, faces, len(border), polygon)
            return Region(frozen(points), frozen_ints(faces), _side_vertices(parameters, len(border)))
        parameters = _halved(parameters, missing)
    raise MeshError(f"the border cannot be kept by triangles of {size:g} mm: two of its sides nearly touch")


def _even_parameters(side: Curve, size: float) -> Floats:
    """Parameters (n,) at equal arc lengths of at most `size`."""
    dense = np.linspace(0.0, 1.0, _SAMPLES + 1)
    points = side(dense)
    lengths = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(points, axis=0), axis=1))])
    if not lengths[-1] > 0.0:
        raise MeshError("a side of the region has no length")
    count = max(1, int(np.ceil(lengths[-1] / size)))
    parameters = np.interp(np.linspace(0.0, lengths[-1], count + 1), lengths, dense)
    parameters[0], parameters[-1] = 0.0, 1.0
    return parameters


def _checked_polygon(border: Floats) -> shapely.Polygon:
    polygon = shapely.Polygon(border)
    if not polygon.is_valid:
        raise MeshError(f"the border crosses itself: {shapely.is_valid_reason(polygon)}")
    if not shapely.is_ccw(polygon.exterior):
        raise MeshError("the border runs clockwise; sides must enclose the region counter-clockwise")
    return polygon


def _hexagonal_grid(polygon: shapely.Polygon, size: float) -> Floats:
    """Grid points (n,2) inside the polygon, clear of its border."""
    x0, y0, x1, y1 = polygon.bounds
    rows = np.arange(y0, y1 + size, size * np.sqrt(0.75))
    columns = np.arange(x0 - size, x1 + size, size)
    x, y = np.meshgrid(columns, rows)
    x[1::2] += 0.5 * size
    grid = np.column_stack([x.ravel(), y.ravel()])
    inner = polygon.buffer(-CLEARANCE * size)
    shapely.prepare(inner)
    return grid[shapely.contains_xy(inner, grid[:, 0], grid[:, 1])]


def _triangulate(border: Floats, interior: Floats, polygon: shapely.Polygon) -> tuple[Floats, Ints]:
    points = np.vstack([border, interior])
    faces = Delaunay(points).simplices.astype(np.int64)
    a, b, c = (points[faces[:, i]] for i in range(3))
    turned = (b[:, 0] - a[:, 0]) * (c[:, 1] - a[:, 1]) - (b[:, 1] - a[:, 1]) * (c[:, 0] - a[:, 0]) < 0.0
    faces[turned] = faces[turned][:, [0, 2, 1]]
    # Only a face with all three corners on the border can lie outside, or be a hair on a straight side.
    inside = np.ones(len(faces), dtype=bool)
    doubtful = np.flatnonzero((faces < len(border)).all(axis=1))
    middle = points[faces[doubtful]].mean(axis=1)
    inner = polygon.buffer(-HAIR * np.sqrt(polygon.area))
    shapely.prepare(inner)
    inside[doubtful] = shapely.contains_xy(inner, middle[:, 0], middle[:, 1])
    return points, faces[inside]


def _missing_segments(faces: Ints, border_count: int) -> Flags:
    """Which border segments (n,), from point i to the next, are no edge of a face on their left."""
    edges = np.vstack([faces[:, [0, 1]], faces[:, [1, 2]], faces[:, [2, 0]]])
    start = np.arange(border_count)
    wanted = start * border_count + (start + 1) % border_count
    on_border = (edges < border_count).all(axis=1)
    found = edges[on_border, 0] * border_count + edges[on_border, 1]
    return ~np.isin(wanted, found)


def _halved(parameters: list[Floats], missing: Flags) -> list[Floats]:
    halved, first = [], 0
    for u in parameters:
        gaps = np.flatnonzero(missing[first : first + len(u) - 1])
        halved.append(np.insert(u, gaps + 1, 0.5 * (u[gaps] + u[gaps + 1])))
        first += len(u) - 1
    return halved


def _even_out(points: Floats, faces: Ints, border_count: int, polygon: shapely.Polygon) -> tuple[Floats, Ints]:
    """Interior points moved to the mean of their neighbours, the triangulation renewed each time.

    A pass that would lose a border segment is not taken: the mesh before it is already right.
    """
    for _ in range(SMOOTHING_PASSES):
        if len(points) == border_count:
            break
        edges = np.vstack([faces[:, [0, 1]], faces[:, [1, 2]], faces[:, [2, 0]]])
        both = np.vstack([edges, edges[:, ::-1]])
        total = np.column_stack([np.bincount(both[:, 0], points[both[:, 1], k], len(points)) for k in (0, 1)])
        count = np.bincount(both[:, 0], minlength=len(points))
        moved = points.copy()
        moved[border_count:] = total[border_count:] / count[border_count:, None]
        moved, renewed = _triangulate(points[:border_count], moved[border_count:], polygon)
        if _missing_segments(renewed, border_count).any():
            break
        points, faces = moved, renewed
    return points, faces


def _side_vertices(parameters: list[Floats], border_count: int) -> tuple[SideVertices, ...]:
    sides, first = [], 0
    for u in parameters:
        sides.append(SideVertices((first + np.arange(len(u))) % border_count, u))
        first += len(u) - 1
    return tuple(sides)
