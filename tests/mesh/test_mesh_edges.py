"""Half edges and edges."""

import numpy as np

from flatten.mesh.edges import edge_lengths, half_edges, halves_by_edge, mesh_edges
from flatten.mesh.surface import Mesh

SQUARE = Mesh(np.array([[0, 0, 0], [3, 0, 0], [3, 4, 0], [0, 4, 0.0]]), np.array([[0, 1, 2], [0, 2, 3]]))


def test_the_edges_of_two_faces_are_five_and_their_half_edges_six():
    edges = mesh_edges(SQUARE)
    np.testing.assert_array_equal(edges.ends, [[0, 1], [0, 2], [0, 3], [1, 2], [2, 3]])
    np.testing.assert_array_equal(np.sort(half_edges(SQUARE.faces), axis=1), edges.ends[edges.of_half])
    np.testing.assert_allclose(edge_lengths(SQUARE, edges), [3, 5, 4, 4, 3], rtol=1e-15)


def test_an_edge_is_found_from_either_end():
    edges = mesh_edges(SQUARE)
    a, b = edges.ends.T
    np.testing.assert_array_equal(edges.index(a, b), np.arange(5))
    np.testing.assert_array_equal(edges.index(b, a), np.arange(5))


def test_half_edges_of_one_edge_stand_together():
    order, starts, keys = halves_by_edge(SQUARE.faces, 4)
    parts = np.split(order, starts[1:])
    assert [len(part) for part in parts] == [1, 2, 1, 1, 1]
    ends = half_edges(SQUARE.faces)
    assert [sorted({4 * min(e) + max(e) for e in ends[part]}) for part in parts] == [[key] for key in keys]


def test_no_face_has_no_edge():
    edges = mesh_edges(Mesh(np.zeros((0, 3)), np.zeros((0, 3), int)))
    assert edges.ends.shape == (0, 2)
    assert edges.of_half.shape == (0,)
