"""Sparse symmetric systems over a mesh's vertices: one pattern and one elimination order for all Newton steps."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
from scipy.sparse import coo_array, csc_array
from scipy.sparse.linalg import SuperLU, splu

from flatten.mesh.edges import mesh_edges
from flatten.mesh.gradient import Complexes, FaceGradients
from flatten.mesh.surface import Flags, Floats, Ints, Mesh
from flatten.unwrap.order import elimination_order
from flatten.unwrap.place import farthest_pair

Places = npt.NDArray[np.int32]
"""Indices kept for long: half the memory of int64, and a matrix of more than 2³¹ entries is out of reach."""

Mode = tuple[Floats, Complexes, Complexes]
"""A term weight · m mᵀ of the faces' matrices: the weight (F,), and the vector m (F,) at corner 0 and at corner 1."""

GAUGE = 1e-6
"""Share by which one entry is stiffened so that a rigid turn, which costs nothing, has a definite answer."""

BLOCK = np.array([[0, 1], [2, 3]])
"""Place of an entry in a vertex pair's 2×2 block: (xx, xy, yx, yy)."""

PANEL = 4
"""Columns that SuperLU eliminates at once. Its workspace grows with them: with 20, its own number, it takes a sixth of
the memory at 200 thousand faces, and gains nothing below, where a factor stays in the cache."""


def factorised(matrix: csc_array) -> SuperLU:
    """The factors of a positive definite matrix whose rows stand in the order in which they are to be eliminated."""
    # Symmetric mode with no pivoting off the diagonal: right for positive definite matrices, and it keeps the
    # pattern of the order that was found for it.
    options = {"SymmetricMode": True}
    return splu(matrix, permc_spec="NATURAL", diag_pivot_thresh=0.0, panel_size=PANEL, options=options)


class Factor:
    """A factorised system; kept because it is costly and several right-hand sides use it."""

    def __init__(self, matrix: csc_array, order: Ints) -> None:
        """Factorise `matrix`, whose vertex k is the mesh's vertex order[k]."""
        self._lu = factorised(matrix)
        self._order = order

    def solve(self, right: Complexes) -> Complexes:
        """Solution (V,) or (V,k) for a right-hand side over the mesh's vertices, x real and y imaginary."""
        columns = right.reshape(len(right), -1)[self._order]
        rows = np.stack([columns.real, columns.imag], axis=1).reshape(2 * len(right), -1)
        solved = self._solved(rows).reshape(len(right), 2, -1)
        out = np.empty_like(columns)
        out[self._order] = solved[:, 0] + 1j * solved[:, 1]
        return out.reshape(right.shape)

    def least_pivot(self) -> float:
        """The least pivot: above 0 exactly where the matrix is positive definite."""
        return float(self._lu.U.diagonal().min())

    def _solved(self, rows: Floats) -> Floats:
        """Solutions (2V,k), x and y in turn, the vertices in the order of elimination."""
        return np.asarray(self._lu.solve(rows))


class Laplacian:
    """The factorised Laplacian of a mesh; let go of as soon as it has served, for its size."""

    def __init__(self, matrix: csc_array, order: Ints, place: Places) -> None:
        """Factorise `matrix`, whose vertex k is the mesh's vertex order[k]; the mesh's vertex v stands at place[v]."""
        self._lu = factorised(matrix)
        self._order, self._place = order, place

    def solve(self, right: Complexes) -> Complexes:
        """The function (V,) whose Laplacian is `right` (V,), of sum 0, up to a constant."""
        solved = self._lu.solve(np.stack([right.real, right.imag], axis=1)[self._order])[self._place]
        return solved[:, 0] + 1j * solved[:, 1]


class MeshSystem:
    """The sparsity of 2×2 blocks between neighbouring vertices, and the order in which they are eliminated.

    SuperLU offers no symbolic factorisation to keep; what can be kept is the fill-reducing order. It is found
    once, on the vertices, and holds both unknowns of a vertex together.
    """

    def __init__(self, mesh: Mesh, gradients: FaceGradients, points: Floats) -> None:
        """Prepare the pattern for a mesh of one piece; `points` (V,d) say which vertices lie near one another."""
        faces, count = gradients.faces, gradients.count
        self.count = count
        edges = mesh_edges(mesh)
        a, b = edges.ends.T
        # Half edges run 0–1, 1–2, 2–0; the blocks are kept as 01, 02, 12.
        edge = edges.of_half.reshape(3, -1)[[0, 2, 1]]
        self._swapped = np.stack([faces[:, i] > faces[:, j] for i, j in ((0, 1), (0, 2), (1, 2))])
        self._edges = len(a)
        self._index = self._element_index(faces, edge)
        self.order = elimination_order(points, edges.ends)
        self._place = np.empty(count, dtype=np.int32)
        self._place[self.order] = np.arange(count)
        self._ends = self._place[a], self._place[b]
        self._edge = edge.astype(np.int32)
        self._pattern(a, b)

    def laplacian(self, gradients: FaceGradients) -> Laplacian:
        """The factorised Laplacian of the mesh: a quarter of the matrix."""
        return Laplacian(_laplacian(gradients, *self._ends, self._edge), self.order, self._place)

    def _element_index(self, faces: Ints, edge: Ints) -> Places:
        """Where each of the 21 entries (21,F) of the faces' matrices is summed: 3 a vertex, then 4 an edge."""
        corners = [3 * faces[:, i] + k for i in range(3) for k in range(3)]
        first = 3 * self.count
        blocks = []
        for pair in range(3):
            start = first + 4 * edge[pair]
            turned = self._swapped[pair]
            blocks += [start, start + np.where(turned, 2, 1), start + np.where(turned, 1, 2), start + 3]
        return np.stack(corners + blocks, dtype=np.int32)

    def _pattern(self, a: Ints, b: Ints) -> None:
        """Lay out the permuted matrix by columns; `_take` says which sum each of its entries holds."""
        count, place = self.count, self._place
        vertex, edge = np.arange(count, dtype=np.int32), 3 * count + 4 * np.arange(self._edges, dtype=np.int32)
        size = count + 2 * self._edges
        row, column, sums = np.empty((3, 4 * size), dtype=np.int32)
        for k, (i, j) in enumerate(((0, 0), (0, 1), (1, 0), (1, 1))):
            at = slice(k * size, (k + 1) * size)
            row[at] = np.concatenate([2 * place + i, 2 * place[a] + i, 2 * place[b] + i])
            column[at] = np.concatenate([2 * place + j, 2 * place[b] + j, 2 * place[a] + j])
            sums[at] = np.concatenate([3 * vertex + i + j, edge + BLOCK[i, j], edge + BLOCK[j, i]])
        # The conversion sorts by counting; the places ride along as the values.
        layout = coo_array((sums, (row, column)), shape=(2 * count, 2 * count)).tocsc()
        layout.sort_indices()
        self._take, self._rows, self._starts = layout.data, layout.indices, layout.indptr

    def sums(self, entries: Floats) -> Floats:
        """Vertex and edge sums of the faces' matrix entries (21,F), as `element_entries` orders them."""
        length = 3 * self.count + 4 * self._edges
        return np.asarray(np.bincount(self._index.ravel(), weights=entries.ravel(), minlength=length), float)

    def diagonal(self, sums: Floats, vertex: int) -> Floats:
        """A view of (xx, xy, yy) of one vertex in `sums`, to be changed in place."""
        return sums[3 * vertex : 3 * vertex + 3]

    def fix_gauge(self, sums: Floats, flat: Complexes) -> None:
        """Stiffen two vertices of `sums` in place so that shifts and turns of the whole map have a definite answer."""
        first, second = farthest_pair(np.stack([flat.real, flat.imag], axis=1))
        self.diagonal(sums, first)[[0, 2]] *= 2.0
        along = flat[second] - flat[first]
        across = 1j * along / abs(along)
        block = self.diagonal(sums, second)
        xx, _, yy = block
        block += GAUGE * (xx + yy) * np.array([across.real**2, across.real * across.imag, across.imag**2])

    def hold(self, sums: Floats, held: Flags) -> None:
        """Take the vertices that are `held` (V,) out of `sums` in place: 0 on their right-hand side stays 0."""
        sums[: 3 * self.count].reshape(-1, 3)[held] = (1.0, 0.0, 1.0)
        placed = held[self.order]
        touched = placed[self._ends[0]] | placed[self._ends[1]]
        sums[3 * self.count :].reshape(-1, 4)[touched] = 0.0

    def matrix(self, sums: Floats) -> csc_array:
        """The matrix whose vertex and edge sums are given, its vertices in the order of elimination."""
        size = 2 * self.count
        return csc_array((sums[self._take], self._rows, self._starts), shape=(size, size))

    def factor(self, sums: Floats) -> Factor:
        """The factorised system whose vertex and edge sums are given; it must be positive definite."""
        return Factor(self.matrix(sums), self.order)


def _laplacian(gradients: FaceGradients, a: Places, b: Places, edge: Places) -> csc_array:
    """The matrix of Σ share · |gradient|² over vertices in order, one made stiffer so that it is positive definite.

    `a` and `b` (E,) are the ends of the edges as places in the order.
    """
    hats, count = gradients.hats, gradients.count
    entries = np.stack([gradients.share * (hats[i].conj() * hats[j]).real for i, j in ((0, 1), (0, 2), (1, 2))])
    weights = np.asarray(np.bincount(edge.ravel(), weights=entries.ravel(), minlength=len(a)), float)
    diagonal = -np.asarray(np.bincount(np.concatenate([a, b]), weights=np.tile(weights, 2), minlength=count), float)
    diagonal[0] *= 2.0
    vertex = np.arange(count)
    rows, columns = np.concatenate([vertex, a, b]), np.concatenate([vertex, b, a])
    return csc_array((np.concatenate([diagonal, weights, weights]), (rows, columns)), shape=(count, count))


def element_entries(modes: list[Mode]) -> Floats:
    """The 21 entries (21,F) of the faces' 6×6 matrices Σ weight · m mᵀ.

    A mode has no part in a translation, so that its vector at corner 2 is minus the sum of the others. Order: corner
    blocks (xx, xy, yy) for 0, 1, 2, then pair blocks (xx, xy, yx, yy) for 01, 02, 12.
    """
    out = np.zeros((21, len(modes[0][0])))
    a, c, b = out[:3], out[3:6], out[9:13]
    for weight, first, second in modes:
        x, y, u, v = first.real, first.imag, second.real, second.imag
        wx, wy = weight * x, weight * y
        a += (wx * x, wx * y, wy * y)
        b += (wx * u, wx * v, wy * u, wy * v)
        wu, wv = weight * u, weight * v
        c += (wu * u, wu * v, wv * v)
    turned = b[[0, 2, 1, 3]]
    full = [0, 1, 1, 2]
    out[6:9] = a + c + b[[0, 1, 3]] + turned[[0, 1, 3]]
    out[13:17] = -(a[full] + b)
    out[17:] = -(turned + c[full])
    return out
