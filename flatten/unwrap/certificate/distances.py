"""Distances inside a polyhedral disk: to its boundary's edges, and exact geodesics about a vertex.

All distances are lengths of shortest paths inside the mesh, whose faces are flat triangles. libigl's solver (Mitchell,
Mount, Papadimitriou 1987, "The discrete geodesic problem") is exact up to rounding; `ROUNDING` stands for that.
"""

from __future__ import annotations

import igl
import numpy as np
from scipy.sparse import coo_array, csr_array
from scipy.sparse.csgraph import dijkstra

from flatten.mesh.disk import check_disk
from flatten.mesh.edges import Edges, edge_lengths
from flatten.mesh.surface import Floats, Ints, Mesh

ROUNDING = 1e-5
"""Share of a length by which a computed geodesic may be wrong: ten times the share of an edge below which the solver
drops an interval."""

FAR = 125.0
"""Longest boundary edges. Distance of the far sources that stand for whole boundary edges: they are right to 0.001 of
an edge, and rounding in their own length stays below that."""


def boundary_distances(mesh: Mesh) -> Floats:
    """A lower estimate of each vertex's distance (V,) to the nearest point of the boundary's edges, mm.

    On every boundary edge of length l stands a flat isosceles triangle of height H, its apex a source. A path from the
    apex to a vertex x first runs to the edge, at least H and at most h = √(H² + l²/4), and then is a path inside the
    mesh; so the distance from the nearest apex lies between ρ(x) + H and ρ(x) + h. Less the greatest h it is a lower
    estimate of ρ(x), at most l²/8H too small. Distances to boundary *vertices* would be too large.

    Raises DiskError where the mesh is no disk.
    """
    boundary = check_disk(mesh)
    onward = np.roll(boundary, -1)
    vertices, count = mesh.vertices, len(mesh.vertices)
    along = vertices[onward] - vertices[boundary]
    length = np.linalg.norm(along, axis=1)
    height = FAR * float(length.max())
    across = np.cross(along, np.eye(3)[np.argmin(np.abs(along), axis=1)])
    across /= np.linalg.norm(across, axis=1)[:, None]
    apex = 0.5 * (vertices[boundary] + vertices[onward]) + height * across
    apices = count + np.arange(len(boundary))
    faces = np.vstack([mesh.faces, np.stack([onward, boundary, apices], axis=1)])
    found = igl.exact_geodesic(np.vstack([vertices, apex]), faces, VS=apices, VT=np.arange(count))
    slant = float(np.hypot(height, 0.5 * length.max()))
    return np.maximum(np.asarray(found, float) - slant - ROUNDING * float(length.max()), 0.0)


def halved(mesh: Mesh, edges: Edges) -> Mesh:
    """The mesh with each face cut in four at its edges' middles; these follow the vertices, in the edges' order."""
    corner = mesh.faces
    a, b, c = corner.T
    middle = edges.count + np.stack([edges.index(a, b), edges.index(b, c), edges.index(c, a)])
    faces = [
        np.stack([a, middle[0], middle[2]], axis=1),
        np.stack([b, middle[1], middle[0]], axis=1),
        np.stack([c, middle[2], middle[1]], axis=1),
        middle.T,
    ]
    between = 0.5 * (mesh.vertices[edges.ends[:, 0]] + mesh.vertices[edges.ends[:, 1]])
    return Mesh(np.vstack([mesh.vertices, between]), np.vstack(faces))


def edge_graph(mesh: Mesh, edges: Edges) -> csr_array:
    """The matrix (V,V) that holds each edge's length at its lower and its higher vertex."""
    return csr_array(coo_array((edge_lengths(mesh, edges), edges.ends.T), shape=(edges.count, edges.count)))


def edge_distances(graph: csr_array, sources: Ints) -> Floats:
    """Lengths (S,V) of shortest paths along the edges of a mesh: never below the distance inside it."""
    return dijkstra(graph, directed=False, indices=sources)


def nearby_distances(mesh: Mesh, source: int, along_edges: Floats, *, reach: float, longest: float) -> Floats:
    """Exact distances (V,) from the vertex `source`, infinite where they are not known; about `reach` mm are.

    They are taken in the part of the mesh whose vertices have `along_edges` (V,) within the reach and a fifth, or all
    of it. A path that leaves the part passes one of the edges where it was cut off, at most half an edge from one of
    their ends; so a distance found in the part is the true one where it is less than at every such end less half an
    edge (`longest`, mm).
    """
    kept = along_edges <= 1.2 * reach + longest
    inside = kept[mesh.faces].all(axis=1)
    part = mesh.faces[inside]
    used = np.unique(part)
    place = np.full(len(kept), -1)
    place[used] = np.arange(len(used))
    found = igl.exact_geodesic(mesh.vertices[used], place[part], VS=np.array([place[source]]), VT=np.arange(len(used)))
    distances = np.full(len(kept), np.inf)
    # The solver returns 0 where it does not get to: corners of faces that no edge joins to the source's own.
    distances[used] = np.where((found > 0.0) | (used == source), found, np.inf)
    cut_off = np.unique(mesh.faces[~inside])
    ends = distances[cut_off]
    if len(ends) and np.isfinite(ends).any():
        known = float(ends.min()) - 0.5 * longest
        distances[distances > known] = np.inf
    return distances
