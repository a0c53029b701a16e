"""The elimination order: a permutation, with little fill."""

import numpy as np
import pytest
from scipy.sparse import csc_array, eye_array
from scipy.sparse.linalg import splu
from unwrap_shapes import calf, square

from flatten.mesh.edges import mesh_edges
from flatten.unwrap.order import elimination_order


def fill(mesh, order) -> int:
    """Entries of the factor of the vertex graph's Laplacian in an order."""
    place = np.argsort(order)
    a, b = place[mesh_edges(mesh).ends].T
    count = len(order)
    graph = csc_array((-np.ones(2 * len(a)), (np.r_[a, b], np.r_[b, a])), shape=(count, count))
    options = {"SymmetricMode": True}
    return splu(
        (graph + 20 * eye_array(count)).tocsc(), permc_spec="NATURAL", diag_pivot_thresh=0.0, options=options
    ).nnz


@pytest.mark.parametrize("columns", [1, 2, 30])
def test_every_vertex_is_eliminated_once(columns):
    mesh = square(columns, columns)
    order = elimination_order(mesh.vertices, mesh_edges(mesh).ends)
    np.testing.assert_array_equal(np.sort(order), np.arange(len(mesh.vertices)))


def test_one_vertex_and_none_have_an_order():
    none = np.zeros((0, 2), dtype=np.int64)
    np.testing.assert_array_equal(elimination_order(np.zeros((1, 3)), none), [0])


def test_the_factor_grows_like_n_log_n():
    """Nested dissection of a plane mesh fills O(n log n) entries (George 1973); a grid's own order fills n^1.5."""
    fills, counts = [], []
    for edge in (8.0, 4.0, 2.0):
        mesh = calf(edge).mesh
        counts.append(len(mesh.vertices))
        fills.append(fill(mesh, elimination_order(mesh.vertices, mesh_edges(mesh).ends)))
    growth = np.diff(np.log(fills)) / np.diff(np.log(counts))
    expected = np.diff(np.log(np.array(counts) * np.log(counts))) / np.diff(np.log(counts))
    assert growth.max() < expected.max() + 0.1
    assert fills[1] < 0.6 * fill(calf(4.0).mesh, np.arange(counts[1]))
