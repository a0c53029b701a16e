"""Connected components."""

import numpy as np
import pytest

from flatten.mesh.graph import components


@pytest.mark.parametrize("way", [1, -1])
def test_components_are_numbered_in_order_of_their_least_nodes(way):
    edges = np.array([[5, 3], [1, 4], [4, 6], [3, 5]])[:, ::way]
    assert components(edges, 7).tolist() == [0, 1, 2, 3, 1, 3, 1]


def test_nodes_without_edges_are_components_of_their_own():
    none = np.empty((0, 2), dtype=np.int64)
    assert components(none, 3).tolist() == [0, 1, 2]
    assert components(none, 0).tolist() == []


def test_one_more_edge_joins_two_parts_of_a_ring():
    # A ring of n nodes without two of its edges is in two parts; without one it is in one.
    ring = np.stack([np.arange(9), np.roll(np.arange(9), -1)], axis=1)
    assert components(np.delete(ring, [2, 6], axis=0), 9).tolist() == [0, 0, 0, 1, 1, 1, 1, 0, 0]
    assert components(np.delete(ring, 2, axis=0), 9).max() == 0
