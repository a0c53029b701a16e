"""Plane meshing: a region given by its bounding curves becomes well-shaped triangles that follow them."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from scipy.spatial import Delaunay

from flatten.mesh.edges import half_edges
from flatten.mesh.surface import Flags, Floats, Ints, MeshError, frozen, frozen_ints

Curve = Callable[[Floats], Floats]
"""Plane points (n,2) of parameters (n,) in [0, 1]."""

SMOOTHING_PASSES = 4
"""Times that interior points move to the mean of their neighbours: more no longer widens the least angle."""

CLEARANCE = 0.62
"""Share of the edge length that interior points keep from the boundary: more than 1/2 keeps every boundary
segment's diametral circle empty, and less than √3/2 leaves no wide strip along it."""

SPLIT_PASSES = 12
"""Times that boundary segments missing from the triangulation are halved before the region is refused."""

HAIR = 1e-7
"""Share of the region's width. A face nearer than this to the boundary lies along a straight side, where rounding
alone decides whether its three points make a triangle."""

_SAMPLES = 400


@dataclass(frozen=True, eq=False)
class InnerLine:
    """A curve inside the region that the mesh must follow: a seam's line, or a slit that is opened afterwards.

    `start` and `end` are numbers of the sides at whose start the curve's ends lie; None is a free end, a tip.
    """

    curve: Curve
    start: int | None
    end: int | None


@dataclass(frozen=True, eq=False)
class SideVertices:
    """One curve's mesh `vertices` (n,), ends included, and their `parameters` (n,) on the curve."""

    vertices: Ints
    parameters: Floats

    def __post_init__(self) -> None:
        """Freeze the arrays."""
        object.__setattr__(self, "vertices", frozen_ints(self.vertices))
        object.__setattr__(self, "parameters", frozen(self.parameters))


@dataclass(frozen=True, eq=False)
class RegionMesh:
    """A plane mesh: `points` (N,2), the boundary's first; `faces` (F,3) counter-clockwise; its `sides` and `lines`."""

    points: Floats
    faces: Ints
    sides: tuple[SideVertices, ...]
    lines: tuple[SideVertices, ...]


@dataclass(frozen=True, eq=False)
class _Skeleton:
    """The points (m,2) that stay where they are: the first `around` are the boundary, the others lie on inner lines.

    `segments` (k,2) are their wanted edges, curve by curve; `sides` and `lines` each curve's points.
    """

    points: Floats
    around: int
    segments: Ints
    polygon: shapely.Polygon
    sides: tuple[SideVertices, ...]
    lines: tuple[SideVertices, ...]


def mesh_region(sides: Sequence[Curve], *, size: float, lines: Sequence[InnerLine] = ()) -> RegionMesh:
    """Mesh of the region that `sides` enclose counter-clockwise, each ending where the next begins.

    Points of sides and of inner `lines` lie on the curves, at most `size` apart; interior points start on a
    hexagonal grid of that edge length and are evened out; Delaunay triangles, among them every segment of a side or
    line (one that is missing is halved: Ruppert 1995, "A Delaunay refinement algorithm", section 2).

    Raises MeshError where the boundary is clockwise, crosses itself, or cannot be kept, or a line leaves the region.
    """
    curves = [*sides, *(line.curve for line in lines)]
    parameters = [_even_parameters(curve, size) for curve in curves]
    for _ in range(SPLIT_PASSES):
        skeleton = _skeleton(sides, lines, parameters)
        interior = _hexagonal_grid(skeleton, size)
        points, faces = _triangulate(interior, skeleton)
        missing = _missing_segments(faces, skeleton)
        if not missing.any():
            points, faces = _even_out(points, faces, skeleton)
            return RegionMesh(frozen(points), frozen_ints(faces), skeleton.sides, skeleton.lines)
        parameters = _halved(parameters, missing)
    raise MeshError(f"the boundary cannot be kept by triangles of {size:g} mm: two of its sides nearly touch")


def opened(faces: Ints, slit: Ints, count: int) -> tuple[Ints, Ints]:
    """The faces (F,3) cut open along `slit` (n,), which runs from the boundary to its tip, and the new vertices (n,).

    Faces to the right of the slit take copies of its vertices, numbered from `count` on; the tip is shared.

    Raises MeshError where the slit runs along no edges of the faces.
    """
    copies = np.append(count + np.arange(len(slit) - 1), slit[-1])
    copy_of = dict(zip(slit.tolist(), copies.tolist(), strict=True))
    parted = np.array(faces)
    touching = np.flatnonzero(np.isin(faces, slit).any(axis=1))
    owner = {}
    for face, corners in zip(touching.tolist(), faces[touching].tolist(), strict=True):
        for k in range(3):
            owner[corners[k], corners[(k + 1) % 3]] = face
    for k, vertex in enumerate(slit[:-1].tolist()):
        # Faces round the vertex, turning clockwise from the slit's next vertex to its last one, or to the boundary.
        stop, ahead = (None if k == 0 else int(slit[k - 1])), int(slit[k + 1])
        if (ahead, vertex) not in owner:
            raise MeshError("the slit does not run along edges of the mesh")
        while ahead != stop and (ahead, vertex) in owner:
            face = owner[ahead, vertex]
            corners = faces[face].tolist()
            parted[face, corners.index(vertex)] = copy_of[vertex]
            ahead = corners[(corners.index(vertex) + 1) % 3]
    return frozen_ints(parted), frozen_ints(copies)


def _skeleton(sides: Sequence[Curve], lines: Sequence[InnerLine], parameters: list[Floats]) -> _Skeleton:
    boundary = np.vstack([side(u[:-1]) for side, u in zip(sides, parameters, strict=False)])
    polygon = _checked_polygon(boundary)
    along = _side_vertices(parameters[: len(sides)], len(boundary))
    points, chains, count = [boundary], [], len(boundary)
    for line, u in zip(lines, parameters[len(sides) :], strict=True):
        own = slice(line.start is not None, len(u) - (line.end is not None))
        points.append(line.curve(u[own]))
        added = count + np.arange(len(points[-1]))
        count += len(added)
        ends = [[] if at is None else [along[at].vertices[0]] for at in (line.start, line.end)]
        chains.append(SideVertices(np.concatenate([ends[0], added, ends[1]]).astype(np.int64), u))
    fixed = np.vstack(points)
    if len(fixed) > len(boundary) and not shapely.covers(polygon, shapely.points(fixed[len(boundary) :])).all():
        raise MeshError("a line runs outside the region that it is to part")
    segments = [np.column_stack([c.vertices[:-1], c.vertices[1:]]) for c in (*along, *chains)]
    return _Skeleton(fixed, len(boundary), np.vstack(segments), polygon, along, tuple(chains))


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


def _checked_polygon(boundary: Floats) -> shapely.Polygon:
    polygon = shapely.Polygon(boundary)
    if not polygon.is_valid:
        raise MeshError(f"the boundary crosses itself: {shapely.is_valid_reason(polygon)}")
    if not shapely.is_ccw(polygon.exterior):
        raise MeshError("the boundary runs clockwise; sides must enclose the region counter-clockwise")
    return polygon


def _hexagonal_grid(skeleton: _Skeleton, size: float) -> Floats:
    """Grid points (n,2) inside the region, clear of its boundary and of its inner lines."""
    x0, y0, x1, y1 = skeleton.polygon.bounds
    rows = np.arange(y0, y1 + size, size * np.sqrt(0.75))
    columns = np.arange(x0 - size, x1 + size, size)
    x, y = np.meshgrid(columns, rows)
    x[1::2] += 0.5 * size
    grid = np.column_stack([x.ravel(), y.ravel()])
    drawn = [shapely.LineString(skeleton.points[line.vertices]).buffer(CLEARANCE * size) for line in skeleton.lines]
    inner = shapely.difference(skeleton.polygon.buffer(-CLEARANCE * size), shapely.union_all(drawn))
    shapely.prepare(inner)
    return grid[shapely.contains_xy(inner, grid[:, 0], grid[:, 1])]


def _triangulate(interior: Floats, skeleton: _Skeleton) -> tuple[Floats, Ints]:
    points = np.vstack([skeleton.points, interior])
    faces = Delaunay(points).simplices.astype(np.int64)
    a, b, c = (points[faces[:, i]] for i in range(3))
    turned = (b[:, 0] - a[:, 0]) * (c[:, 1] - a[:, 1]) - (b[:, 1] - a[:, 1]) * (c[:, 0] - a[:, 0]) < 0.0
    faces[turned] = faces[turned][:, [0, 2, 1]]
    # Only a face with all three corners on the boundary can lie outside, or be a hair on a straight side.
    inside = np.ones(len(faces), dtype=bool)
    doubtful = np.flatnonzero((faces < skeleton.around).all(axis=1))
    middle = points[faces[doubtful]].mean(axis=1)
    inner = skeleton.polygon.buffer(-HAIR * np.sqrt(skeleton.polygon.area))
    shapely.prepare(inner)
    inside[doubtful] = shapely.contains_xy(inner, middle[:, 0], middle[:, 1])
    return points, faces[inside]


def _missing_segments(faces: Ints, skeleton: _Skeleton) -> Flags:
    """Which wanted segments (k,) are no edge of a face on their left."""
    count = len(skeleton.points)
    edges = half_edges(faces)
    fixed = edges[(edges < count).all(axis=1)]
    wanted = skeleton.segments[:, 0] * count + skeleton.segments[:, 1]
    return ~np.isin(wanted, fixed[:, 0] * count + fixed[:, 1])


def _halved(parameters: list[Floats], missing: Flags) -> list[Floats]:
    halved, first = [], 0
    for u in parameters:
        gaps = np.flatnonzero(missing[first : first + len(u) - 1])
        halved.append(np.insert(u, gaps + 1, 0.5 * (u[gaps] + u[gaps + 1])))
        first += len(u) - 1
    return halved


def _even_out(points: Floats, faces: Ints, skeleton: _Skeleton) -> tuple[Floats, Ints]:
    """Interior points moved to the mean of their neighbours, the triangulation renewed each time.

    A pass that would lose a segment is not taken: the mesh before it is already right.
    """
    fixed = len(skeleton.points)
    for _ in range(SMOOTHING_PASSES):
        if len(points) == fixed:
            break
        edges = half_edges(faces)
        both = np.vstack([edges, edges[:, ::-1]])
        total = np.column_stack([np.bincount(both[:, 0], points[both[:, 1], k], len(points)) for k in (0, 1)])
        count = np.bincount(both[:, 0], minlength=len(points))
        moved, renewed = _triangulate(total[fixed:] / count[fixed:, None], skeleton)
        if _missing_segments(renewed, skeleton).any():
            break
        points, faces = moved, renewed
    return points, faces


def _side_vertices(parameters: list[Floats], boundary_count: int) -> tuple[SideVertices, ...]:
    sides, first = [], 0
    for u in parameters:
        sides.append(SideVertices((first + np.arange(len(u))) % boundary_count, u))
        first += len(u) - 1
    return tuple(sides)
