"""Flat maps whose boundaries are mirror images: vertices tied to one another, and Newton systems of those left free.

Ties are linear, u = T·p with p the free coordinates, so that steps T·(TᵀHT)⁻¹·Tᵀ are Newton's within the symmetrical
maps, and nothing else about the solver changes. What is tied is the boundary alone: inside, each half of the leather
goes as its own half of the limb asks.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.sparse import csc_array, csr_array, diags_array, eye_array, triu

from flatten.mesh.gradient import Complexes, FaceGradients
from flatten.mesh.surface import Flags, Floats, Ints, Mesh, frozen_ints
from flatten.unwrap.order import elimination_order
from flatten.unwrap.system import Factor, MeshSystem, factorised
from flatten.worn.panel import Panel

NODES = 4
"""Tied vertices between which one on the other half is interpolated, where both halves' meshes differ: by a cubic,
which leaves the fourth power of an edge's turn."""


BESIDE_MIDDLE = 0.25
"""Share of an edge within which no vertex of a side that is its own image stands free beside the middle of it: its
image would be so near that both together, and not what they stand for, would say how the side runs there."""


@dataclass(frozen=True, eq=False)
class Ties:
    """The symmetrical maps of one or two panels of V vertices together.

    Coordinates of all vertices, x and y in turn, are `matrix` (2V,m) times the free ones, which are those of the
    vertices `owners` (m,). `axis` is the direction (a
    unit) of the line through 0 about which they are mirrored; `tied` (n,) are vertices that lie where the images of
    the weighted sums `sources` (n,V) of others do.
    """

    matrix: csr_array
    owners: Ints
    axis: complex
    tied: Ints
    sources: csr_array

    def images(self, flat: Complexes) -> Complexes:
        """Where the tied vertices (n,) of a map (V,) would have to lie."""
        return np.asarray(self.axis**2 * (self.sources @ flat.conj()))

    def nearest(self, flat: Complexes) -> Complexes:
        """The symmetrical map (V,) that is nearest to a map, by least squares over its vertices."""
        both = np.stack([flat.real, flat.imag], axis=1).ravel()
        matrix = self.matrix
        free = factorised(csc_array(matrix.T @ matrix)).solve(matrix.T @ both)
        found = matrix @ free
        return np.asarray(found[0::2] + 1j * found[1::2])


@dataclass(frozen=True, eq=False)
class _Border:
    """A boundary as vertices (n,) of all panels, and their shares (n,) of its worn length, 0 and 1 at the corners."""

    vertices: Ints
    shares: Floats


def ties_of(panels: Sequence[Panel], boundaries: Sequence[tuple[int, int]], *, axis: complex) -> Ties:
    """The ties of a panel to itself, or of two panels to each other.

    `boundaries` are the numbers of a boundary and of its mirror image, which runs the other way: for each boundary of
    the first panel that of the last one. Places correspond by their share of the worn length from corner to corner.

    Raises UnwrapError where a boundary is too short to have an inner vertex.
    """
    shift = len(panels[0].mesh.vertices) if len(panels) == 2 else 0
    count = shift + len(panels[-1].mesh.vertices)
    borders = [
        (_border(panels[0], one, 0), _reversed(_border(panels[-1], other, shift)), len(panels) == 1 and one == other)
        for one, other in boundaries
    ]
    # A panel's own boundaries come in both orders.
    done: set[frozenset[int]] = set()
    pairs = []
    for numbers, border in zip(boundaries, borders, strict=True):
        if len(panels) == 2 or frozenset(numbers) not in done:
            done.add(frozenset(numbers))
            pairs.append(border)
    maker = _Maker(count, axis)
    for one, other, _ in pairs:
        for end in (0, -1):
            maker.mirror_corner(int(one.vertices[end]), int(other.vertices[end]))
    for one, other, itself in pairs:
        if itself:
            maker.mirror_onto_itself(one)
        elif len(one.vertices) <= len(other.vertices):
            maker.mirror(one, other)
        else:
            maker.mirror(other, one)
    return maker.ties()


def _border(panel: Panel, number: int, shift: int) -> _Border:
    vertices = panel.boundaries[number].vertices
    run = np.linalg.norm(np.diff(panel.mesh.vertices[vertices], axis=0), axis=1).cumsum()
    return _Border(shift + vertices, np.append(0.0, run) / run[-1])


def _reversed(border: _Border) -> _Border:
    return _Border(border.vertices[::-1], 1.0 - border.shares[::-1])


@dataclass(frozen=True, eq=False)
class _Hangs:
    """A vertex as a weighted sum of `nodes` (k,) and of the mirror images of some of them (`mirrored`, k)."""

    nodes: Ints
    weights: Floats
    mirrored: Flags


class _Maker:
    """Ties as they are gathered: corners by one matrix, what lies between them by another that builds on it."""

    def __init__(self, count: int, axis: complex) -> None:
        self.count, self.axis = count, axis
        self.corners: dict[int, _Hangs] = {}
        self.centre: set[int] = set()
        self.between: dict[int, _Hangs] = {}

    def mirror_corner(self, one: int, other: int) -> None:
        """The one that comes later becomes the image of the other, or itself lies on the axis."""
        if one == other:
            self.centre.add(one)
        else:
            self.corners[max(one, other)] = _Hangs(np.array([min(one, other)]), np.ones(1), np.ones(1, dtype=bool))

    def mirror(self, border: _Border, image: _Border) -> None:
        """Inner vertices of `image` become images of places of `border`, which runs alongside."""
        mirrored = np.ones(len(border.vertices), dtype=bool)
        for vertex, share in zip(image.vertices[1:-1].tolist(), image.shares[1:-1].tolist(), strict=True):
            self.between[vertex] = _cubic(border.vertices, border.shares, mirrored, share)

    def mirror_onto_itself(self, border: _Border) -> None:
        """Inner vertices of the second half become images of places of the first one; those next to the middle lie
        between both."""
        shares = border.shares
        apart = float(np.diff(shares).max())
        own = np.flatnonzero(shares <= 0.5 - BESIDE_MIDDLE * apart)
        nodes = np.concatenate([border.vertices[own], border.vertices[own][::-1]])
        at = np.concatenate([shares[own], 1.0 - shares[own][::-1]])
        mirrored = np.arange(len(nodes)) >= len(own)
        for k in range(len(own), len(shares) - 1):
            self.between[int(border.vertices[k])] = _cubic(nodes, at, mirrored, float(shares[k]))

    def ties(self) -> Ties:
        """All that was gathered."""
        pure = {v: hangs for v, hangs in (self.corners | self.between).items() if hangs.mirrored.all()}
        tied = np.array(list(pure), dtype=np.int64)
        rows, nodes, weights, _ = _entries(dict(enumerate(pure.values())))
        sources = csr_array((weights, (rows, nodes)), shape=(len(tied), self.count))
        free, owners = self._free()
        matrix = csr_array(self._hung(self.between) @ self._hung(self.corners) @ free)
        return Ties(matrix, owners, self.axis, frozen_ints(tied), sources)

    def _free(self) -> tuple[csr_array, Ints]:
        tied = np.zeros(self.count, dtype=bool)
        tied[[*self.between, *self.corners]] = True
        centred = np.zeros(self.count, dtype=bool)
        centred[list(self.centre)] = True
        return _free(tied, centred, np.array([self.axis.real, self.axis.imag]))

    def _hung(self, hung: dict[int, _Hangs]) -> csr_array:
        """Coordinates (2V,2V) of all vertices by those of the others: those that are not hung up stay."""
        keep, size = np.ones(self.count), 2 * self.count
        keep[list(hung)] = 0.0
        rows, nodes, weights, mirrored = _entries(hung)
        # Reflection about a line of direction a: z becomes a²·z̄.
        square = self.axis * self.axis
        image = np.array([[square.real, square.imag], [square.imag, -square.real]])
        values = weights[:, None, None] * np.where(mirrored[:, None, None], image, np.eye(2))
        side = np.arange(2)
        shape = np.zeros_like(values, dtype=np.int64)
        at = [(2 * rows[:, None, None] + side[:, None] + shape), (2 * nodes[:, None, None] + side + shape)]
        block = csr_array((values.ravel(), (at[0].ravel(), at[1].ravel())), shape=(size, size))
        return csr_array(diags_array(np.repeat(keep, 2)) + block)


def _entries(hung: dict[int, _Hangs]) -> tuple[Ints, Ints, Floats, Flags]:
    """Each entry's vertex, node, weight and whether it is mirrored."""
    if not hung:
        none = np.zeros(0, dtype=np.int64)
        return none, none, np.zeros(0), np.zeros(0, dtype=bool)
    each = list(hung.values())
    rows = np.repeat(np.array(list(hung), dtype=np.int64), [len(one.nodes) for one in each])
    nodes, weights, mirrored = (
        np.concatenate([getattr(one, name) for one in each]) for name in ("nodes", "weights", "mirrored")
    )
    return rows, nodes, weights, mirrored


def _free(tied: Flags, centred: Flags, along: Floats) -> tuple[csr_array, Ints]:
    """The coordinates (2V,) of all vertices by those that are free, and whose these are: none of a tied vertex's, of a
    centred one's the one along the axis."""
    size = 2 * len(tied)
    whole = np.flatnonzero(~tied & ~centred)
    middle = np.flatnonzero(centred & ~tied)
    rows = np.concatenate([2 * whole, 2 * whole + 1, 2 * middle, 2 * middle + 1])
    # In the order of the vertices, so that the columns of one vertex stand together.
    width = np.where(tied, 0, np.where(centred, 1, 2))
    first = np.cumsum(width) - width
    columns = np.concatenate([first[whole], first[whole] + 1, first[middle], first[middle]])
    ones = np.ones(len(whole))
    values = np.concatenate([ones, ones, np.full(len(middle), along[0]), np.full(len(middle), along[1])])
    matrix = csr_array((values, (rows, columns)), shape=(size, int(width.sum())))
    return matrix, frozen_ints(np.repeat(np.arange(len(tied)), width))


def _cubic(nodes: Ints, shares: Floats, mirrored: Flags, share: float) -> _Hangs:
    """What lies at a share of a line's length, in the cubic through the nodes nearest to it."""
    first = int(np.clip(np.searchsorted(shares, share) - NODES // 2, 0, max(len(shares) - NODES, 0)))
    near = slice(first, first + NODES)
    at = shares[near]
    factors = (share - at)[None, :] / (at[:, None] - at[None, :] + np.eye(len(at)))
    np.fill_diagonal(factors, 1.0)
    return _Hangs(nodes[near], factors.prod(axis=1), mirrored[near])


class _TiedFactor(Factor):
    """A factorised system of free coordinates; what it is asked for and what it answers is over all vertices."""

    def __init__(self, matrix: csc_array, order: Ints, ties: csc_array) -> None:
        """Factorise tiesᵀ · matrix · ties."""
        super().__init__(csc_array(ties.T @ matrix @ ties), order)
        self._ties = ties

    def _solved(self, rows: Floats) -> Floats:
        return np.asarray(self._ties @ super()._solved(self._ties.T @ rows))


class TiedSystem(MeshSystem):
    """The systems of a mesh of one or two panels whose boundaries are tied; solutions are symmetrical maps."""

    def __init__(self, mesh: Mesh, gradients: FaceGradients, points: Floats, ties: Ties, *, first: int) -> None:
        """Prepare the pattern; `points` (V,2) say which vertices lie near one another once folded about the axis.

        `first` is how many vertices the first of two panels has, 0 where one panel is tied to itself.
        """
        super().__init__(mesh, gradients, points)
        self._first, self._axis = first, ties.axis
        rows = np.stack([2 * self.order, 2 * self.order + 1], axis=1).ravel()
        self._ties = csc_array(ties.matrix[rows][:, _columns_in_order(ties, gradients, points)])

    def fix_gauge(self, sums: Floats, flat: Complexes) -> None:
        """Stiffen what has no definite answer: two panels move and turn together, one only moves along the axis."""
        if self._first:
            super().fix_gauge(sums, flat[: self._first])
            return
        block, axis = self.diagonal(sums, int(np.argmax(np.abs(flat - flat.mean())))), self._axis
        xx, _, yy = block
        block += 0.5 * (xx + yy) * np.array([axis.real**2, axis.real * axis.imag, axis.imag**2])

    def factor(self, sums: Floats) -> Factor:
        """The factorised system of the free coordinates."""
        return _TiedFactor(self.matrix(sums), self.order, self._ties)


def _columns_in_order(ties: Ties, gradients: FaceGradients, points: Floats) -> Ints:
    """The columns of the ties' matrix in an order of elimination: free vertices are neighbours where any two vertices
    that hang on them are."""
    matrix = csc_array(ties.matrix)
    free, of_column = np.unique(ties.owners, return_inverse=True)
    count = gradients.count
    reaches = csr_array(
        (np.ones(matrix.nnz), (matrix.indices // 2, np.repeat(of_column, np.diff(matrix.indptr)))),
        shape=(count, len(free)),
    )
    faces = gradients.faces
    ends = np.concatenate([faces[:, [0, 1]], faces[:, [1, 2]], faces[:, [2, 0]]])
    touching = csr_array((np.ones(len(ends)), (ends[:, 0], ends[:, 1])), shape=(count, count)) + eye_array(count)
    linked = triu(csr_array(reaches.T @ (touching + touching.T) @ reaches), k=1).tocoo()
    order = elimination_order(points[free], np.stack([linked.row, linked.col], axis=1).astype(np.int64))
    place = np.empty(len(order), dtype=np.int64)
    place[order] = np.arange(len(order))
    return np.argsort(place[of_column], kind="stable").astype(np.int64)
