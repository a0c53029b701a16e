"""Paths inside a mesh that are shortest or nearly so, traced back through a distance field, many at once."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from flatten.mesh.edges import Edges, half_edges
from flatten.mesh.surface import Flags, Floats, Ints, Mesh

SNAP = 1e-6
"""Share of an edge. A path that passes an edge nearer than this to its end passes through the vertex."""

DETOUR = 1.05
"""Times its distance that a path may be long before it is given up: it would be of no use."""

LONGEST_TRACE = 400
"""Steps after which a path is given up; a path across a panel of 8 mm edges takes below 120."""


class Neighbours:
    """For each directed edge the corner opposite, and for each vertex the faces about it."""

    def __init__(self, mesh: Mesh) -> None:
        """Index the faces of a mesh."""
        edges, self._count = half_edges(mesh.faces), len(mesh.vertices)
        keys = edges[:, 0] * self._count + edges[:, 1]
        order = np.argsort(keys)
        self._keys = keys[order]
        self._third = np.roll(mesh.faces.T, -2, axis=0).ravel()[order]
        corners = mesh.faces.ravel()
        self._fans = np.argsort(corners, kind="stable")
        self._starts = np.searchsorted(corners[self._fans], np.arange(self._count + 1))
        self._faces = mesh.faces

    def third(self, a: Ints, b: Ints) -> Ints:
        """The third corner (n,) of the face on the left of each edge from a to b, −1 where there is none."""
        keys = a * self._count + b
        place = np.minimum(np.searchsorted(self._keys, keys), len(self._keys) - 1)
        return np.where(self._keys[place] == keys, self._third[place], -1)

    def opposite(self, vertices: Ints) -> tuple[Ints, Ints, Ints]:
        """For each face about each vertex (n,): the index into `vertices`, and the opposite edge from a to b."""
        counts = self._starts[vertices + 1] - self._starts[vertices]
        owner = np.repeat(np.arange(len(vertices)), counts)
        offset = np.arange(counts.sum()) - np.repeat(np.cumsum(counts) - counts, counts)
        face, corner = np.divmod(self._fans[self._starts[vertices[owner]] + offset], 3)
        return owner, self._faces[face, (corner + 1) % 3], self._faces[face, (corner + 2) % 3]


@dataclass(frozen=True, eq=False)
class Paths:
    """Traced paths (P): at each step (K,P) the length so far, and a lower estimate of the distance ρ to the boundary.

    A path that ended early repeats its last step. `arrived` (P,) are those that reached their source.
    """

    lengths: Floats
    to_boundary: Floats
    arrived: Flags


@dataclass(frozen=True, eq=False)
class Field:
    """What paths are traced in: `distances` (S,V) from each source, infinite where unknown; lower estimates of ρ
    `at_vertices` (V,) and `at_middles` (E,) of edges."""

    mesh: Mesh
    neighbours: Neighbours
    distances: Floats
    sources: Ints
    at_vertices: Floats
    at_middles: Floats
    edges: Edges


def trace_paths(field: Field, source: Ints, start: Ints) -> Paths:
    """Paths (P) from the vertices `start` (P,) back to the sources, given by their index (P,).

    A path is a chain of segments, each inside one face, so its length is that of a true path inside the mesh whatever
    the choices below. At each point it takes, of the edges across the next face, the one through which the distance
    is least: an edge's two end distances place a virtual source in the plane of the face, beyond the edge, and the
    path aims at it. Where one straight strip leads to the source the path is shortest; elsewhere nearly so, and
    whoever uses it must reckon with what it is longer than the distance.
    """
    mesh = field.mesh
    position = mesh.vertices[start].copy()
    at, other = start.copy(), np.full(len(start), -1)
    length = np.zeros(len(start))
    to_boundary = field.at_vertices[start].copy()
    lengths, boundary_distances = [length.copy()], [to_boundary.copy()]
    longest = DETOUR * field.distances[source, start]
    arrived = start == field.sources[source]
    active = np.flatnonzero(~arrived)
    for _ in range(LONGEST_TRACE):
        if not len(active):
            break
        move = _best_moves(field, source, active, position, at, other)
        ends = mesh.vertices[move.a], mesh.vertices[move.b]
        goal = ends[0] + (move.along / move.size)[:, None] * (ends[1] - ends[0])
        length[move.path] += np.linalg.norm(goal - position[move.path], axis=1)
        position[move.path] = goal
        to_boundary[move.path] = _to_boundary(field, move)
        on_a, on_b = move.along == 0.0, move.along == move.size
        at[move.path] = np.where(on_a, move.a, move.b)
        other[move.path] = np.where(on_a | on_b, -1, move.a)
        arrived[move.path] = (other[move.path] < 0) & (at[move.path] == field.sources[source[move.path]])
        active = move.path[~arrived[move.path] & (length[move.path] <= longest[move.path])]
        lengths.append(length.copy())
        boundary_distances.append(to_boundary.copy())
    return Paths(np.array(lengths), np.array(boundary_distances), arrived)


@dataclass(frozen=True, eq=False)
class _Moves:
    """One move of each path (m): to the point `along` mm from a on the edge from a to b of length `size`."""

    path: Ints
    a: Ints
    b: Ints
    along: Floats
    size: Floats


def _best_moves(field: Field, source: Ints, active: Ints, position: Floats, at: Ints, other: Ints) -> _Moves:
    """The best move of each active path from its vertex `at`, or from its point on the edge between `at` and `other`,
    the next face being on the left of the edge seen from `at`."""
    on_vertex = other[active] < 0
    standing, crossing = active[on_vertex], active[~on_vertex]
    owner, first, second = field.neighbours.opposite(at[standing])
    third = field.neighbours.third(at[crossing], other[crossing])
    path = np.concatenate([standing[owner], crossing, crossing])
    a = np.concatenate([first, other[crossing], third])
    b = np.concatenate([second, third, at[crossing]])
    vertices, distances = field.mesh.vertices, field.distances
    edge = vertices[b] - vertices[a]
    size = np.linalg.norm(edge, axis=1)
    offset = position[path] - vertices[a]
    foot = np.sum(offset * edge, axis=1) / size
    height = np.linalg.norm(offset - (foot / size)[:, None] * edge, axis=1)
    from_a, from_b = distances[source[path], a], distances[source[path], b]
    known = np.isfinite(from_a) & np.isfinite(from_b)
    path, a, b, size, foot, height, from_a, from_b = (
        values[known] for values in (path, a, b, size, foot, height, from_a, from_b)
    )
    virtual = (size**2 + from_a**2 - from_b**2) / (2 * size)
    depth = np.sqrt(np.maximum(from_a**2 - virtual**2, 0.0))
    across = height + depth
    along = np.where(across > 0.0, foot + (virtual - foot) * height / np.where(across > 0.0, across, 1.0), virtual)
    # Nothing lies beyond a boundary edge: such an edge can only be left through one of its ends.
    nearer = np.where(np.hypot(foot, height) + from_a <= np.hypot(size - foot, height) + from_b, 0.0, size)
    along = np.where(field.neighbours.third(b, a) < 0, nearer, np.clip(along, 0.0, size))
    along = np.where(along < SNAP * size, 0.0, np.where(along > (1 - SNAP) * size, size, along))
    stride = np.hypot(along - foot, height)
    total = np.where(stride > SNAP * size, stride + np.hypot(along - virtual, depth), np.inf)
    order = np.lexsort((total, path))
    best = order[np.flatnonzero(np.diff(path[order], prepend=-1))]
    return _Moves(path[best], a[best], b[best], along[best], size[best])


def _to_boundary(field: Field, move: _Moves) -> Floats:
    """A lower estimate of ρ at the point that each move ends in: no point's ρ differs from another's by more than
    their distance, and ρ is known at both ends of the edge and at its middle."""
    middle = field.at_middles[field.edges.index(move.a, move.b)] - np.abs(move.along - 0.5 * move.size)
    ends = np.maximum(field.at_vertices[move.a] - move.along, field.at_vertices[move.b] - (move.size - move.along))
    return np.maximum(np.maximum(middle, ends), 0.0)
