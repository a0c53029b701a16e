"""Half edges and edges of triangles: which run between which vertices, and which half edges lie on which edge."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from flatten.mesh.surface import Floats, Ints, Mesh, frozen_ints


def half_edges(faces: Ints) -> Ints:
    """The directed edges (3F,2) of faces (F,3): first all from corner 0 to 1, then 1 to 2, then 2 to 0."""
    return np.concatenate([faces[:, [0, 1]], faces[:, [1, 2]], faces[:, [2, 0]]])


def halves_by_edge(faces: Ints, count: int) -> tuple[Ints, Ints, Ints]:
    """The half edges (3F,) of faces (F,3) sorted by edge, where each edge's begin (E,), and the edges' keys (E,).

    Half edges are numbered as `half_edges` lists them; those of one edge come in no certain order. An edge's key is
    its lower vertex times `count`, the number of vertices, plus its higher one; keys rise.
    """
    ends = half_edges(faces)
    keys = ends.min(axis=1) * count + ends.max(axis=1)
    order = np.argsort(keys)
    keys = keys[order]
    first = np.ones(len(keys), dtype=bool)
    first[1:] = keys[1:] != keys[:-1]
    return order, np.flatnonzero(first), keys[first]


@dataclass(frozen=True, eq=False)
class Edges:
    """The undirected edges of a mesh of `count` vertices, ordered by their `keys` (E,) as in `halves_by_edge`.

    `ends` (E,2) are their vertices, the lower one first; `of_half` (3F,) is the edge that each half edge lies on.
    """

    ends: Ints
    of_half: Ints
    keys: Ints
    count: int

    def __post_init__(self) -> None:
        """Freeze the arrays."""
        for name in ("ends", "of_half", "keys"):
            object.__setattr__(self, name, frozen_ints(getattr(self, name)))

    def index(self, a: Ints, b: Ints) -> Ints:
        """Index (n,) of the edges between vertices a (n,) and b (n,), which must exist."""
        return np.searchsorted(self.keys, np.minimum(a, b) * self.count + np.maximum(a, b))


def mesh_edges(mesh: Mesh) -> Edges:
    """The edges of a mesh."""
    count = len(mesh.vertices)
    order, starts, keys = halves_by_edge(mesh.faces, count)
    of_half = np.empty(len(order), dtype=np.int64)
    of_half[order] = np.repeat(np.arange(len(keys)), np.diff(starts, append=len(order)))
    return Edges(np.stack(np.divmod(keys, count), axis=1), of_half, keys, count)


def edge_lengths(mesh: Mesh, edges: Edges) -> Floats:
    """Length (E,) of each edge, mm."""
    return np.linalg.norm(mesh.vertices[edges.ends[:, 0]] - mesh.vertices[edges.ends[:, 1]], axis=1)
