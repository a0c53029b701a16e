"""A neighbour graph of points over a scan's surface, distances over the skin by it, and where it forks."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.sparse import coo_array, csr_array
from scipy.sparse.csgraph import dijkstra
from scipy.spatial import cKDTree

from flatten.limb.surface.coverage import Mask
from flatten.limb.surface.sample import even_places, even_points
from flatten.mesh.graph import components
from flatten.mesh.surface import Floats, Ints
from flatten.scan.model import Scan

NEIGHBOURS = 8
"""Neighbours that a point has an edge to: with six a random plane point set already hangs together."""

GAP = 3.0
"""Points farther apart than this many median spacings have no edge: across a hole, but not across a room."""

FACING = 0.0
"""Points whose outward directions have a smaller product face each other over a gap, such as two thighs."""

LEAST_EDGE = 1e-6
"""mm. The least length of an edge, of points at one place: a sparse graph takes a length of 0 for no edge."""

OPPOSITE = 40.0
"""mm that opposite outward directions count as, twice: the skin of two thighs is told apart where they touch."""


@dataclass(frozen=True, eq=False)
class NeighbourGraph:
    """Places (N,3) mm over a scan's largest surface, outward unit vectors (0 for a cloud), edges (N,N) mm, and mm²."""

    places: Floats
    outward: Floats
    edges: csr_array
    area: float

    @property
    def step(self) -> float:
        """mm from a place to its neighbours, the median."""
        return float(np.median(self.edges.data))

    def holding(self, nodes: Ints, *, points: Floats, outward: Floats) -> Mask:
        """Whether each point (M,3) lies beside one of these places on the surface, and not over a gap from it."""
        inside = np.zeros(len(self.places), bool)
        inside[nodes] = True
        tree = cKDTree(np.hstack([self.places, OPPOSITE * self.outward]))
        away, nearest = (np.asarray(part) for part in tree.query(np.hstack([points, OPPOSITE * outward])))
        return np.asarray(inside[nearest] & (away < OPPOSITE))


def neighbour_graph_of(scan: Scan, *, count: int, pick: Floats | None = None) -> NeighbourGraph:
    """The graph of about `count` places over a scan's largest connected surface, or that nearest to a place (3,)."""
    places, outward = _samples(scan, count)
    steps, others = (np.asarray(part) for part in cKDTree(places).query(places, k=NEIGHBOURS + 1))
    rows = np.repeat(np.arange(len(places)), NEIGHBOURS)
    columns, lengths = others[:, 1:].ravel(), steps[:, 1:].ravel()
    joined = lengths <= GAP * float(np.median(steps[:, 1]))
    joined &= np.einsum("ij,ij->i", outward[rows], outward[columns]) >= FACING
    rows, columns, lengths = rows[joined], columns[joined], np.maximum(lengths[joined], LEAST_EDGE)
    edges = coo_array((lengths, (rows, columns)), shape=(len(places),) * 2).tocsr()
    edges = edges.maximum(edges.T)
    label = components(np.stack([rows, columns], axis=1), len(places))
    chosen = np.argmax(np.bincount(label)) if pick is None else label[cKDTree(places).query(pick)[1]]
    main = np.flatnonzero(label == chosen)
    # Of evenly spread points the eighth neighbour lies where a circle holds eight of them.
    area = len(main) * float(np.median(steps[:, -1])) ** 2 * np.pi / NEIGHBOURS
    return NeighbourGraph(places[main], outward[main], edges[main][:, main].tocsr(), area)


def _samples(scan: Scan, count: int) -> tuple[Floats, Floats]:
    """Places (N,3) over the surface and their outward unit vectors, 0 for a cloud."""
    if len(scan.faces):
        return even_places(scan, count=count)
    places = even_points(scan, count=count)
    return places, np.zeros_like(places)


def distances(edges: csr_array, starts: Ints, *, limit: float = np.inf) -> Floats:
    """The way (N,) over edges (N,N) from the nearest of some starts; infinite beyond `limit` and without a way."""
    return np.asarray(dijkstra(edges, directed=False, indices=starts, min_only=True, limit=limit), dtype=np.float64)


def forks_of(edges: csr_array, away: Floats, *, least: float) -> list[tuple[Ints, int, float]]:
    """Nodes, tip and length of what is long where the sets farther than a distance, which shrinks, grow together."""
    order = np.argsort(-away, kind="stable")
    rank = np.empty_like(order)
    rank[order] = np.arange(len(order))
    group = np.full(len(order), -1)
    tips: dict[int, int] = {}
    members: dict[int, list[int]] = {}
    closed: set[int] = set()
    found = []
    for node in order:
        around = edges.indices[edges.indptr[node] : edges.indptr[node + 1]]
        met = {int(group[other]) for other in around if rank[other] < rank[node]}
        names = sorted(met, key=lambda name: -away[tips[name]])
        lengths = {name: float(away[tips[name]] - away[node]) for name in names}
        long = [name for name in names if lengths[name] >= least]
        if len(long) > 1:
            found += [(np.array(members[n]), tips[n], lengths[n]) for n in long if n not in closed]
            closed.update(long)
        own = names[0] if names else int(node)
        if not names:
            tips[own], members[own] = int(node), []
        for other in names[1:]:
            members[own] += members.pop(other)
            if other in closed:
                closed.add(own)
        members[own].append(int(node))
        if names[1:]:
            group[members[own]] = own
        group[node] = own
    return found
