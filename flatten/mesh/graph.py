"""Connected components of undirected graphs, such as the neighbourhoods of a mesh's vertices or faces."""

from __future__ import annotations

import numpy as np
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components

from flatten.mesh.surface import Ints


def components(edges: Ints, count: int) -> Ints:
    """The component (count,) of each node of an undirected graph, numbered from 0 in order of their least nodes.

    `edges` (E,2) name the nodes that they join, from 0 to `count` − 1; one may stand several times and either way
    round. A node without an edge is a component of its own.
    """
    first, second = edges[:, 0], edges[:, 1]
    graph = coo_array((np.ones(len(edges), np.int8), (first, second)), shape=(count, count))
    return connected_components(graph, directed=False)[1].astype(np.int64)
