"""Shapes as cells of a square lattice, and where one shape's cells lie clear of others': by correlation."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from scipy import fft

from flatten.mesh.surface import Flags, Floats, Ints


@dataclass(frozen=True, eq=False)
class Lattice:
    """Square cells of side `cell` mm from (x, y) on: `rows` upwards and `columns` to the right."""

    x: float
    y: float
    cell: float
    rows: int
    columns: int

    @property
    def padded(self) -> tuple[int, int]:
        """Rows and columns that transform fast, no fewer than it has."""
        return fft.next_fast_len(self.rows, real=True), fft.next_fast_len(self.columns, real=True)


def touched(shape: shapely.Geometry, lattice: Lattice) -> Flags:
    """The cells (rows, columns) of the lattice that a shape has a part in; what lies beyond the lattice counts not."""
    middles, edge = _inside_and_edge(shape, lattice)
    return middles | edge


def within(shape: shapely.Geometry, lattice: Lattice) -> Flags:
    """The cells (rows, columns) of the lattice that lie wholly inside a shape."""
    middles, edge = _inside_and_edge(shape, lattice)
    return middles & ~edge


def _inside_and_edge(shape: shapely.Geometry, lattice: Lattice) -> tuple[Flags, Flags]:
    """Cells with their middle inside the shape, by the parity of crossings to its left, and those that its outline
    runs through."""
    flips = np.zeros((lattice.rows, lattice.columns + 1), dtype=np.int64)
    edge = np.zeros((lattice.rows, lattice.columns), dtype=bool)
    origin = np.array([lattice.x, lattice.y])
    for ring in _rings(shape):
        points = (ring - origin) / lattice.cell
        start, end = points[:-1], points[1:]
        _flip(flips, start, end)
        at = _crossed(start, end)
        on = (at >= 0).all(axis=1) & (at[:, 0] < lattice.columns) & (at[:, 1] < lattice.rows)
        edge[at[on, 1], at[on, 0]] = True
    return np.cumsum(flips[:, :-1], axis=1) % 2 == 1, edge


def _crossed(start: Floats, end: Floats) -> Ints:
    """Every cell (n,2), column and row, that a span (m,2) to (m,2) has a part in: the middles of its parts between the
    lattice's lines tell them."""
    spans, shares = [np.arange(len(start))] * 2, [np.zeros(len(start)), np.ones(len(start))]
    for axis in (0, 1):
        low = np.ceil(np.minimum(start[:, axis], end[:, axis])).astype(np.int64)
        high = np.floor(np.maximum(start[:, axis], end[:, axis])).astype(np.int64)
        count = np.where(start[:, axis] == end[:, axis], 0, np.maximum(high - low + 1, 0))
        span = np.repeat(np.arange(len(start)), count)
        lines = low[span] + np.arange(len(span)) - np.repeat(np.cumsum(count) - count, count)
        spans.append(span)
        shares.append((lines - start[span, axis]) / (end - start)[span, axis])
    span, share = np.concatenate(spans), np.clip(np.concatenate(shares), 0.0, 1.0)
    order = np.lexsort((share, span))
    span, share = span[order], share[order]
    part = np.flatnonzero(span[1:] == span[:-1])
    middle = 0.5 * (share[part] + share[part + 1])
    return np.floor(start[span[part]] + middle[:, None] * (end - start)[span[part]]).astype(np.int64)


def _flip(flips: Ints, start: Floats, end: Floats) -> None:
    """Count, for the middles of each row, where spans cross it: in the column of the first middle to the right."""
    low = np.ceil(np.minimum(start[:, 1], end[:, 1]) - 0.5).astype(np.int64)
    high = np.ceil(np.maximum(start[:, 1], end[:, 1]) - 0.5).astype(np.int64)
    low, high = np.clip(low, 0, flips.shape[0]), np.clip(high, 0, flips.shape[0])
    count = high - low
    span = np.repeat(np.arange(len(start)), count)
    row = low[span] + np.arange(len(span)) - np.repeat(np.cumsum(count) - count, count)
    rise = (end - start)[span]
    across = start[span, 0] + (row + 0.5 - start[span, 1]) * rise[:, 0] / rise[:, 1]
    column = np.clip(np.ceil(across - 0.5), 0, flips.shape[1] - 1).astype(np.int64)
    np.add.at(flips, (row, column), 1)


def _rings(shape: shapely.Geometry) -> list[Floats]:
    return [shapely.get_coordinates(ring) for ring in shapely.get_rings(shape)]


def spectrum(cells: Flags, lattice: Lattice) -> Floats:
    """The transform of cells, for `clear`."""
    return np.asarray(fft.rfft2(cells.astype(float), lattice.padded, workers=1))


def clear(cells: Flags, own: Floats, taken: Floats, lattice: Lattice) -> Flags:
    """Whether a shape's cells lie on none that is taken, for each row and column that their lowest left one may have.

    `own` and `taken` are the transforms of the shape's cells and of those that are taken. The sums are counts of cells:
    rounding, of some 1e-9, leaves them on their side of a half.
    """
    counts = fft.irfft2(np.conj(own) * taken, lattice.padded, workers=1)
    rows, columns = lattice.rows - cells.shape[0] + 1, lattice.columns - cells.shape[1] + 1
    return np.asarray(counts[: max(rows, 0), : max(columns, 0)] < 0.5)
