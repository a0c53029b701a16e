"""What is measured on a panel before any argument begins: sample points, and their distances."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.sparse import csr_array

from flatten.mesh.angles import angle_sums
from flatten.mesh.disk import check_disk
from flatten.mesh.edges import edge_lengths, mesh_edges
from flatten.mesh.surface import Floats, Ints, Mesh, face_areas
from flatten.unwrap.certificate.distances import (
    boundary_distances,
    edge_distances,
    edge_graph,
    halved,
    nearby_distances,
)
from flatten.unwrap.certificate.paths import Field, Neighbours, trace_paths
from flatten.unwrap.certificate.struts import Pairs

POINTS = 150
"""Squares of the sample spacing that the panel's area holds: with the rows along the boundary about 250 points."""

REACH = 7.0
"""Spacings within which the sample points' distances are taken: farther pairs add hardly anything and cost most."""

REACH_BY_BOUNDARY = 3.5
"""The same for points less than a spacing from the boundary: their struts along it are short in any case, and across it
the other point has the distance."""

ALONG_BOUNDARY = 0.55
"""Share of the spacing that points along the boundary are apart, and the depth of the first row inside it."""


@dataclass(frozen=True, eq=False)
class Survey:
    """A panel measured: sample `points` (N,), mesh vertices; `distances` (N,V) from them, infinite where unknown, and
    `to_boundary` (V,), mm; `defects` (V,) angle defects, 0 on the boundary; `pairs` of points; `longest` edge
    and `spacing` of the sample, mm."""

    mesh: Mesh
    points: Ints
    distances: Floats
    to_boundary: Floats
    defects: Floats
    pairs: Pairs
    longest: float
    spacing: float


def survey(mesh: Mesh) -> Survey:
    """The measures of a disk mesh. Raises DiskError where it is no disk."""
    boundary = check_disk(mesh)
    edges = mesh_edges(mesh)
    graph, longest = edge_graph(mesh, edges), float(edge_lengths(mesh, edges).max())
    to_boundary = boundary_distances(halved(mesh, edges))
    at_vertices, at_middles = to_boundary[: edges.count], to_boundary[edges.count :]
    spacing = max(float(np.sqrt(face_areas(mesh).sum() / POINTS)), longest)
    points = sample_points(mesh, graph, boundary, at_vertices, spacing=spacing)
    along_edges = edge_distances(graph, points)
    reach = np.where(at_vertices[points] < spacing, REACH_BY_BOUNDARY, REACH) * spacing
    distances = np.array(
        [
            nearby_distances(mesh, int(point), row, reach=float(far), longest=longest)
            for point, row, far in zip(points, along_edges, reach, strict=True)
        ]
    )
    first, second = np.triu_indices(len(points), 1)
    # Of a pair's two directions either may be known; the traced path needs the field of its source.
    flip = np.isinf(distances[first, points[second]])
    first, second = np.where(flip, second, first), np.where(flip, first, second)
    apart = distances[first, points[second]]
    known = np.isfinite(apart)
    first, second, apart = first[known], second[known], apart[known]
    field = Field(mesh, Neighbours(mesh), distances, points, at_vertices, at_middles, edges)
    paths = trace_paths(field, first, points[second])
    defects = 2 * np.pi - angle_sums(mesh.vertices, mesh.faces)
    defects[boundary] = 0.0
    pairs = Pairs(points, at_vertices[points], first, second, apart, paths)
    return Survey(mesh, points, distances, at_vertices, defects, pairs, longest, spacing)


def sample_points(mesh: Mesh, graph: csr_array, boundary: Ints, to_boundary: Floats, *, spacing: float) -> Ints:
    """Vertices (N,) about `spacing` mm apart along the edge `graph`, closer along the boundary; first the most inward.

    Then come points round the boundary, two rows inside it, and the rest, each farthest from those before it. A row
    holds for each boundary point the vertex at about the row's depth that lies most nearly across the boundary from it:
    there the strut between the two is nearly as long as their distance.
    """
    along = ALONG_BOUNDARY * spacing
    vertices = mesh.vertices
    length = np.linalg.norm(vertices[np.roll(boundary, -1)] - vertices[boundary], axis=1)
    run = np.concatenate([[0.0], np.cumsum(length)])
    count = max(3, int(np.ceil(run[-1] / along)))
    wanted = run[-1] * np.arange(count) / count
    round_boundary = boundary[np.argmin(np.abs(run[None, :-1] - wanted[:, None]), axis=1)]
    proposed = [(int(np.argmax(to_boundary)), 0.0), *((int(vertex), 0.5 * along) for vertex in round_boundary)]
    for depth in (along, 2 * along):
        for vertex in round_boundary:
            apart = np.linalg.norm(vertices - vertices[vertex], axis=1)
            near = np.flatnonzero((apart > 0.75 * depth) & (apart < 1.4 * depth))
            if len(near):
                proposed.append((int(near[np.argmax(to_boundary[near] / apart[near])]), 0.5 * depth))
    taken: list[int] = []
    nearest = np.full(len(vertices), np.inf)
    for vertex, gap in proposed:
        if nearest[vertex] >= gap:
            taken.append(vertex)
            nearest = np.minimum(nearest, edge_distances(graph, np.array([vertex]))[0])
    while nearest.max() > 1.15 * spacing:
        taken.append(int(np.argmax(nearest)))
        nearest = np.minimum(nearest, edge_distances(graph, np.array(taken[-1:]))[0])
    return np.array(taken, dtype=np.int64)
