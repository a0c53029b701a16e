"""Cubic B-spline bases of the limb surface, and its penalised normal equations in banded form.

Coefficients are numbered row by row: height coefficient times the number of bearings, plus the bearing column.
Two coefficients then meet only within four rows, so the normal equations are banded and a banded Cholesky
factorisation solves them (bandwidth 4 nb of nh·nb unknowns).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from scipy.interpolate import BSpline
from scipy.linalg import cho_solve_banded, cholesky_banded
from scipy.linalg.blas import dsbmv

from flatten.limb.surface.model import DEGREE, bearing_columns, bearing_knots
from flatten.mesh.surface import Floats, Ints

ORDER = DEGREE + 1


def clamped_knots(low: float, high: float, spacing: float) -> Floats:
    """Uniform cubic knots over [low, high], clamped at both ends, spans as near to `spacing` as they divide."""
    spans = max(2, round((high - low) / spacing))
    inner = np.linspace(low, high, spans + 1)
    return np.concatenate([[low] * DEGREE, inner, [high] * DEGREE])


def local_basis(at: Floats, knots: Floats) -> tuple[Floats, Ints]:
    """The four basis functions that are not zero at each place (N,4), and the span (N,) that it lies in."""
    matrix = BSpline.design_matrix(at, knots, DEGREE)
    return matrix.data.reshape(-1, ORDER), matrix.indices.reshape(-1, ORDER)[:, 0].astype(np.int64)


@dataclass(frozen=True, eq=False)
class Basis:
    """The tensor-product basis at N places: values (16,N), and the cell (N,) that they belong to.

    `columns` (cells, 16) are the coefficient numbers of a cell; `shape` is (nh, nb).
    """

    values: Floats
    cells: Ints
    columns: Ints
    shape: tuple[int, int]

    @cached_property
    def band_places(self) -> Ints:
        """Place in a lower band, row by row, of each product of two basis functions of each cell: (136·cells,)."""
        first, second = np.tril_indices(ORDER * ORDER)
        one, other = self.columns[:, first].T, self.columns[:, second].T
        return (np.abs(one - other) * (self.shape[0] * self.shape[1]) + np.minimum(one, other)).ravel()

    def at_points(self, coefficients: Floats) -> Floats:
        """The spline's value (N,) at each place."""
        local = np.ascontiguousarray(coefficients.ravel()[self.columns].T)
        return np.einsum("ij,ij->j", self.values, local[:, self.cells])


def tensor_basis(heights: Floats, bearings: Floats, *, knots: Floats, count: int) -> Basis:
    """The basis at places (heights, bearings) (N,), over height `knots` and `count` periodic bearings."""
    by_height, rows = local_basis(heights, knots)
    wrapped = np.mod(bearings + np.pi, 2 * np.pi) - np.pi
    by_bearing, spans = local_basis(wrapped, bearing_knots(count))
    values = (by_height.T[:, None, :] * by_bearing.T[None, :, :]).reshape(ORDER * ORDER, -1)
    row_count = len(knots) - ORDER
    row_of = np.arange(row_count - DEGREE)[:, None] + np.arange(ORDER)
    column_of = bearing_columns(count)[np.arange(count)[:, None] + np.arange(ORDER)]
    columns = row_of[:, None, :, None] * count + column_of[None, :, None, :]
    return Basis(values, rows * count + spans, columns.reshape(-1, ORDER * ORDER), (row_count, count))


def normal_matrix(basis: Basis, weights: Floats) -> Floats:
    """AᵀWA (4nb, n), banded in lower form."""
    size = ORDER * ORDER
    cells = len(basis.columns)
    pairs = np.empty((size * (size + 1) // 2, cells))
    row = 0
    for p in range(size):
        weighted = weights * basis.values[p]
        for q in range(p + 1):
            pairs[row] = _sums(basis.cells, weighted * basis.values[q], cells)
            row += 1
    height, n = ORDER * basis.shape[1], basis.shape[0] * basis.shape[1]
    return _sums(basis.band_places, pairs.ravel(), height * n).reshape(height, n)


def banded_product(band: Floats, vector: Floats) -> Floats:
    """The symmetric matrix in lower banded form, times a vector (n,)."""
    return np.asarray(dsbmv(len(band) - 1, 1.0, band, vector, lower=1), dtype=np.float64)


def normal_right(basis: Basis, weighted: Floats) -> Floats:
    """Aᵀ·weighted (n,), of values that are weighted already."""
    cells = len(basis.columns)
    right = np.stack([_sums(basis.cells, weighted * values, cells) for values in basis.values], axis=1)
    return _sums(basis.columns.ravel(), right.ravel(), basis.shape[0] * basis.shape[1])


def bending_energy(knots: Floats, count: int, radius: Floats) -> Floats:
    """Banded matrix (4nb, n) of ∫ (r_hh² + 2 r_hs² + r_ss²) dA with s = R·bearing and dA = R dh dbearing.

    `radius` (m,) is R at equal steps from the first knot to the last; it makes the energy that of a plate
    wrapped round the limb, whose bending in both directions is measured in mm. Exact for the splines: Gauss
    points in every span.
    """
    heights, steps = _gauss_points(np.unique(knots).astype(np.float64))
    ring = np.interp(heights, np.linspace(knots[0], knots[-1], len(radius)), radius)
    turn, turn_steps = _gauss_points(bearing_knots(count)[DEGREE : count + ORDER])
    columns = bearing_columns(count)
    along = [_derivative_matrix(heights, knots, order) for order in range(3)]
    around = []
    for order in range(3):
        full = _derivative_matrix(turn, bearing_knots(count), order)
        folded = np.zeros((len(turn), count))
        np.add.at(folded.T, columns, full.T)
        around.append(folded)
    rows = len(knots) - ORDER
    total = np.zeros((ORDER * count, rows * count))
    for order, factor, power in ((2, 1.0, 1), (1, 2.0, -1), (0, 1.0, -3)):
        a = along[order].T @ (along[order] * (steps * ring**power)[:, None])
        b = around[2 - order].T @ (around[2 - order] * turn_steps[:, None])
        i, j = np.nonzero(a)
        k, m = np.nonzero(b)
        entry_rows = (i[:, None] * count + k).ravel()
        entry_columns = (j[:, None] * count + m).ravel()
        entries = factor * (a[i, j][:, None] * b[k, m]).ravel()
        total += _lower_band(entry_rows, entry_columns, entries, (rows, count))
    return total


def factorised(band: Floats) -> Floats:
    """Cholesky factor of a banded symmetric positive definite matrix in lower form."""
    return np.asarray(cholesky_banded(band, lower=True))


def solve(factor: Floats, right: Floats) -> Floats:
    """Solution (n,) of the system whose factor `factorised` gave."""
    return np.asarray(cho_solve_banded((factor, True), right))


def _lower_band(rows: Ints, columns: Ints, entries: Floats, shape: tuple[int, int]) -> Floats:
    n, height = shape[0] * shape[1], ORDER * shape[1]
    lower = rows >= columns
    place = (rows[lower] - columns[lower]) * n + columns[lower]
    return _sums(place, entries[lower], height * n).reshape(height, n)


def _sums(cells: Ints, values: Floats, count: int) -> Floats:
    return np.asarray(np.bincount(cells, values, count), dtype=np.float64)


def _gauss_points(breaks: Floats) -> tuple[Floats, Floats]:
    nodes, weights = np.polynomial.legendre.leggauss(ORDER)
    half = np.diff(breaks) / 2
    middle = (breaks[1:] + breaks[:-1]) / 2
    return (middle[:, None] + half[:, None] * nodes).ravel(), (half[:, None] * weights).ravel()


def _derivative_matrix(at: Floats, knots: Floats, order: int) -> Floats:
    count = len(knots) - ORDER
    return BSpline(knots, np.eye(count), DEGREE)(at, nu=order)
