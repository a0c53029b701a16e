"""Boundaries of a triangle mesh, and the check that it is one disk."""

from __future__ import annotations

import numpy as np

from flatten.mesh.edges import Edges, half_edges, mesh_edges
from flatten.mesh.graph import components
from flatten.mesh.surface import Ints, Mesh, MeshError, face_areas, frozen_ints

FLAT_FACE = 1e-10
"""Share of the longest edge squared. A face with less area has no direction that rounding leaves standing."""


class DiskError(MeshError):
    """A mesh is not one disk: it has several pieces, holes, pinched places or faces without area."""


def twins_of(mesh: Mesh, edges: Edges) -> Ints:
    """The half edge (3F,) that runs the other way along each half edge's edge, −1 on a boundary.

    Raises DiskError where two faces run along one edge in the same direction: more than two faces meet there, or
    neighbours are wound against each other.
    """
    halves = half_edges(mesh.faces)
    upward = halves[:, 0] < halves[:, 1]
    by_way = np.full((2, len(edges.ends)), -1, dtype=np.int64)
    number = np.arange(len(halves))
    for row, way in zip(by_way, (upward, ~upward), strict=True):
        row[edges.of_half[way]] = number[way]
    crowded = np.flatnonzero(np.bincount(edges.of_half, minlength=len(edges.ends)) != (by_way >= 0).sum(axis=0))
    if crowded.size:
        a, b = edges.ends[crowded[0]]
        raise DiskError(
            f"{crowded.size} edges have two faces on one side, the first between vertices {a} and {b}; "
            "repair the mesh so that at most two faces meet at an edge, wound alike"
        )
    return by_way[upward.astype(np.int64), edges.of_half]


def boundary_loops(mesh: Mesh, twins: Ints) -> tuple[Ints, ...]:
    """The boundaries, each as vertices (n,) once round with the mesh on the left; ordered by their least vertex.

    `twins` (3F,) are those of its half edges. Raises DiskError where two boundaries touch in a vertex.
    """
    ends = half_edges(mesh.faces)[twins < 0]
    onward = dict(zip(ends[:, 0].tolist(), ends[:, 1].tolist(), strict=True))
    if len(onward) < len(ends):
        starts = np.sort(ends[:, 0])
        vertex = int(starts[1:][starts[1:] == starts[:-1]][0])
        raise DiskError(f"two boundaries touch in vertex {vertex}; part them there")
    loops = []
    for start in sorted(onward):
        if start not in onward:
            continue
        loop = [start]
        while (following := onward.pop(loop[-1])) != start:
            loop.append(following)
        loops.append(frozen_ints(loop))
    return tuple(loops)


def euler_characteristic(mesh: Mesh, edges: Edges) -> int:
    """Vertices minus edges plus faces; 1 for a disk, 2 for a closed ball, 0 for an open tube."""
    return len(mesh.vertices) - len(edges.ends) + len(mesh.faces)


def _fans(faces: int, twins: Ints) -> int:
    """Number of runs of neighbouring face corners about vertices; one for each vertex of a manifold."""
    start = np.arange(3 * faces)
    end = np.roll(start.reshape(3, faces), -1, axis=0).ravel()
    # Each inner edge joins the corners of its two faces at both ends; half edge k starts at corner k.
    near = np.flatnonzero(twins > start)
    far = twins[near]
    rows, columns = np.concatenate([near, end[near]]), np.concatenate([end[far], far])
    return int(components(np.stack([rows, columns], axis=1), 3 * faces).max()) + 1


def check_disk(mesh: Mesh) -> Ints:
    """The boundary (n,) of a mesh that is one disk, once round with the mesh on the left.

    Raises DiskError, naming the fault, where the mesh has no face, a vertex that is not finite or in no face, a
    face without area, an edge or vertex that is not manifold, several pieces, no boundary, several boundaries, or a
    handle.
    """
    count = len(mesh.vertices)
    if not len(mesh.faces):
        raise DiskError("the mesh has no face; nothing can be flattened")
    if not np.isfinite(mesh.vertices).all():
        bad = int(np.flatnonzero(~np.isfinite(mesh.vertices).all(axis=1))[0])
        raise DiskError(f"vertex {bad} has a coordinate that is not a finite number")
    unused = np.flatnonzero(np.bincount(mesh.faces.ravel(), minlength=count) == 0)
    if unused.size:
        raise DiskError(f"{unused.size} vertices belong to no face, the first is vertex {unused[0]}; remove them")
    ends = mesh.vertices[half_edges(mesh.faces)]
    longest = (np.sum((ends[:, 0] - ends[:, 1]) ** 2, axis=1)).reshape(3, -1).max(axis=0)
    flat = np.flatnonzero(face_areas(mesh) <= FLAT_FACE * longest)
    if flat.size:
        raise DiskError(f"{flat.size} faces have no area, the first is face {flat[0]}; merge their vertices")
    edges = mesh_edges(mesh)
    twins = twins_of(mesh, edges)
    loops = boundary_loops(mesh, twins)
    pieces = int(components(edges.ends, count).max()) + 1
    if pieces > 1:
        raise DiskError(f"the mesh is in {pieces} pieces; flatten each by itself")
    if not loops:
        raise DiskError("the mesh is closed; cut a seam into it so that it can be laid flat")
    if len(loops) > 1:
        raise DiskError(
            f"the mesh has {len(loops)} boundaries where a disk has one; cut it open from boundary to boundary"
        )
    if _fans(len(mesh.faces), twins) != count:
        raise DiskError("parts of the mesh touch in a single vertex; part them there")
    euler = euler_characteristic(mesh, edges)
    if euler != 1:
        raise DiskError(f"the mesh has Euler characteristic {euler} where a disk has 1; it holds a handle")
    return loops[0]
