"""The former as a closed body: its face as a grid of triangles, flat ends, and what is engraved in it."""

from __future__ import annotations

from collections.abc import Sequence

import manifold3d
import numpy as np
from manifold3d import Manifold, Mesh64, OpType
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components

from flatten.former.face import Face, radii
from flatten.former.model import Body, FormerError
from flatten.mesh.surface import Floats, Ints

ROW, FINEST_ROW = 4.0, 0.5
"""mm between rows of the face along the limb, at most and at least."""

ROW_OFF = 0.015
"""mm by which the face may bend off straight lines from row to row: 0.1 mm of girth."""

COLUMN = 2.0
"""mm between places round the face at its widest: chords leave a bend of 30 mm radius by 0.02 mm, and a girth of 400 mm
comes out 0.02 mm short."""

_AROUND = 72
"""Places round the limb at which rows are looked at: twice as many as the skin's spline can bend between."""

GROOVE_WIDTH, GROOVE_DEPTH = 0.8, 0.5
"""mm. A groove of two nozzle widths is printed as a groove and seen as a line; wet leather 2 mm thick and more bridges
it, where a ridge would be pressed into its flesh side and show on the grain side."""

GROOVE_STEP = 1.5
"""mm between places of a groove: on a bend of 30 mm radius its chords leave the face by 0.01 mm."""

SIMPLER = (0.0, 0.001, 0.002, 0.005, 0.01, 0.02)
"""mm by which a body may be made simpler so that it closes in an STL file's digits; at most a tenth of a printed
layer."""

APART = 0.001
"""mm between parts of a body's surface that touch along an edge or in a corner: well above an STL file's last digit at
a metre, and a hundredth of a printed layer."""

TINY = 1e-300
"""mm². Below any area: a corner whose faces have none is not moved."""


def body_of(face: Face, *, wall: float) -> Manifold:
    """The former's body between flat ends, solid, or with a `wall` (mm) along its normals, open at both ends.

    Raises FormerError where the wall leaves no inside, or where the surface is no closed body.
    """
    rows = _rows(face)
    widest = float(face.surface.radius(rows[:, None], np.linspace(0.0, 2.0 * np.pi, 60)).max())
    count = max(48, int(np.ceil(2.0 * np.pi * widest / COLUMN)))
    bearings = np.arange(count) * (2.0 * np.pi / count)
    heights, turns = np.meshgrid(rows, bearings, indexing="ij")
    outside = face.surface.points(heights, turns).reshape(-1, 3)
    n, m = heights.shape
    sheet = _sheet(n, m)
    first, last = np.arange(m), (n - 1) * m + np.arange(m)
    if wall == 0.0:
        ends = np.column_stack([face.surface.centre_line(rows[[0, -1]]), rows[[0, -1]]])
        below, above = n * m, n * m + 1
        return closed(
            np.vstack([outside, ends]),
            np.vstack([sheet, _fan(first[::-1], below), _fan(last, above)]),
        )
    inside_radii = radii(face.surface, heights.ravel(), turns.ravel(), inset=wall)
    centres = face.surface.centre_line(heights.ravel())
    inside = np.column_stack(
        [
            centres[:, 0] + inside_radii * np.cos(turns.ravel()),
            centres[:, 1] + inside_radii * np.sin(turns.ravel()),
            heights.ravel(),
        ]
    )
    inner = n * m
    return closed(
        np.vstack([outside, inside]),
        np.vstack([sheet, sheet[:, ::-1] + inner, _ring(first[::-1], first[::-1] + inner), _ring(last, last + inner)]),
    )


def closed(vertices: Floats, faces: Ints) -> Manifold:
    """The closed body of a triangle mesh: vertices (V,3) mm, faces (F,3) counter-clockwise seen from outside.

    Raises FormerError where the triangles do not close, or close inside out.
    """
    body = Manifold(Mesh64(np.ascontiguousarray(vertices, np.float64), np.ascontiguousarray(faces, np.uint64)))
    if body.status() != manifold3d.Error.NoError or not body.volume() > 0.0:
        raise FormerError("the former's surface is no closed body; use a longer piece, or edges that are less steep")
    return body


def mesh_of(body: Manifold) -> Body:
    """The triangles of a body, their corners rounded to the single precision that an STL file holds.

    The ends of an edge that fall together there are one; other corners that do, where two parts of the surface touch,
    are moved APART, so that a reader that joins equal corners finds the body closed. Where the triangles do not close
    all the same, the body is first made simpler by as little as will do.

    Raises FormerError where that is more than SIMPLER allows.
    """
    for tolerance in SIMPLER:
        mesh = (body.simplify(tolerance) if tolerance else body).to_mesh64()
        vertices, faces = _edges_joined(
            _single(np.asarray(mesh.vert_properties)[:, :3]), np.asarray(mesh.tri_verts).astype(np.int64)
        )
        vertices = _apart(vertices, faces)
        if len(np.unique(vertices, axis=0)) == len(vertices) and _closes(faces):
            return Body(vertices, faces)
    raise FormerError("a part of the former is no closed body once its corners are rounded; name another bed")


def _single(points: Floats) -> Floats:
    """Points (n,3) in an STL file's digits; no negative zero."""
    return points.astype(np.float32).astype(np.float64) + 0.0


def _edges_joined(vertices: Floats, faces: Ints) -> tuple[Floats, Ints]:
    """A mesh whose edges without length have become one corner each, and whose faces on them are gone."""
    one, other = faces.ravel(), np.roll(faces, -1, axis=1).ravel()
    short = (vertices[one] == vertices[other]).all(axis=1)
    link = coo_array((np.ones(short.sum()), (one[short], other[short])), shape=(len(vertices),) * 2)
    count, which = connected_components(link, directed=False)
    joined = np.empty((count, 3))
    joined[which] = vertices
    faces = which.astype(np.int64)[faces]
    faces = faces[(faces != np.roll(faces, 1, axis=1)).all(axis=1)]
    used, again = np.unique(faces, return_inverse=True)
    return joined[used], again.astype(np.int64).reshape(-1, 3)


def _apart(vertices: Floats, faces: Ints) -> Floats:
    """The vertices (V,3) with those that lie on another one moved APART from it into their own side of the surface."""
    _, which, counts = np.unique(vertices, axis=0, return_inverse=True, return_counts=True)
    touching = np.flatnonzero(counts[which.reshape(-1)] > 1)
    if not len(touching):
        return vertices
    a, b, c = (vertices[faces[:, k]] for k in range(3))
    normals = np.zeros_like(vertices)
    np.add.at(normals, faces, np.cross(b - a, c - a)[:, None])
    inwards = -normals[touching] / np.maximum(np.linalg.norm(normals[touching], axis=1, keepdims=True), TINY)
    moved = vertices.copy()
    moved[touching] = _single(vertices[touching] + APART * inwards)
    return moved


def _closes(faces: Ints) -> bool:
    """Whether each edge of the faces (F,3) is gone along once each way."""
    edges = np.stack([faces, np.roll(faces, -1, axis=1)], axis=-1).reshape(-1, 2)
    code = edges[:, 0] * (edges.max() + 1) + edges[:, 1]
    back = edges[:, 1] * (edges.max() + 1) + edges[:, 0]
    return len(np.unique(code)) == len(code) and bool(np.array_equal(np.sort(code), np.sort(back)))


def grooves(lines: Sequence[Floats], face: Face) -> Manifold:
    """What is cut out along lines (n,2) of chart places: V-shaped grooves; what runs past the face's ends is left out.

    The wires reach as far outwards as inwards, so that no film of the face is left over a groove.
    """
    wires = [_wire(*_placed(line, face)) for line in lines if len(line) > 1]
    return Manifold.batch_boolean(wires, OpType.Add)


def _placed(line: Floats, face: Face) -> tuple[Floats, Floats]:
    """Points and normals (n,3) of the face along a line of chart places, GROOVE_STEP apart or less."""
    points = face.surface.points(line[:, 0], line[:, 1])
    ways = np.append(0.0, np.cumsum(np.linalg.norm(np.diff(points, axis=0), axis=1)))
    steps = np.linspace(0.0, ways[-1], max(2, int(np.ceil(ways[-1] / GROOVE_STEP)) + 1))
    heights, bearings = (np.interp(steps, ways, column) for column in line.T)
    return face.surface.points(heights, bearings), face.surface.normals(heights, bearings)


def _wire(points: Floats, normals: Floats) -> Manifold:
    """A wire of square section, on edge, along points (n,3): its sides meet the face GROOVE_WIDTH apart."""
    tangents = np.gradient(points, axis=0)
    aside = np.cross(normals, tangents)
    aside *= 0.5 * GROOVE_WIDTH / np.linalg.norm(aside, axis=1, keepdims=True)
    deep = GROOVE_DEPTH * normals
    # Seen along the line these corners run counter-clockwise: left, out, right, in.
    corners = np.stack([points + aside, points + deep, points - aside, points - deep], axis=1)
    n = len(points)
    k, j = (x.ravel() for x in np.meshgrid(np.arange(n - 1), np.arange(4), indexing="ij"))
    a, b = 4 * k + j, 4 * k + (j + 1) % 4
    sides = np.vstack([np.column_stack([a, b, a + 4]), np.column_stack([b, b + 4, a + 4])])
    start, end = np.array([[0, 2, 1], [0, 3, 2]]), 4 * (n - 1) + np.array([[0, 1, 2], [0, 2, 3]])
    return closed(corners.reshape(-1, 3), np.vstack([sides, start, end]))


def _rows(face: Face) -> Floats:
    """Heights (n,) of rows from end to end, as far apart as ROW and ROW_OFF let them be: the last that still does, from
    each row on."""
    steps = np.linspace(face.low, face.high, max(2, int(np.ceil((face.high - face.low) / FINEST_ROW))) + 1)
    around = np.linspace(0.0, 2.0 * np.pi, _AROUND, endpoint=False)
    radii_there, _ = face.surface.sections(steps, around)
    shape = np.hstack([radii_there, face.surface.centre_line(steps)])
    most = max(1, int(ROW / (steps[1] - steps[0])))
    found = [0]
    while found[-1] < len(steps) - 1:
        first = found[-1]
        reach = range(min(first + most, len(steps) - 1), first, -1)
        found.append(next(last for last in reach if last == first + 1 or _straight(shape[first : last + 1]) <= ROW_OFF))
    return np.asarray(steps[found])


def _straight(shape: Floats) -> float:
    """How far, mm, rows (n,k) lie off the straight lines from the first to the last."""
    share = np.linspace(0.0, 1.0, len(shape))[:, None]
    return float(np.abs(shape - (1.0 - share) * shape[0] - share * shape[-1]).max())


def _sheet(n: int, m: int) -> Ints:
    """Triangles of n rows of m places round the limb, seen from outside counter-clockwise."""
    i, j = (x.ravel() for x in np.meshgrid(np.arange(n - 1), np.arange(m), indexing="ij"))
    a, b = i * m + j, i * m + (j + 1) % m
    return np.vstack([np.column_stack([a, b, b + m]), np.column_stack([a, b + m, a + m])])


def _fan(ring: Ints, middle: int) -> Ints:
    """Triangles between a closed ring, counter-clockwise, and its middle."""
    return np.column_stack([ring, np.roll(ring, -1), np.full_like(ring, middle)])


def _ring(outer: Ints, inner: Ints) -> Ints:
    """Triangles between two closed rings, the outer one counter-clockwise."""
    after, within = np.roll(outer, -1), np.roll(inner, -1)
    return np.vstack([np.column_stack([outer, after, within]), np.column_stack([outer, within, inner])])
