"""The noise of scan points about a limb's surface, and how much of it a smoothing lets through."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from flatten.limb.surface.cells import Cells
from flatten.limb.surface.model import LimbSurface
from flatten.mesh.surface import Floats

CELL = 5.0
"""mm. Noise is told on a grid of this size or coarser."""

CELLS_APART = 2
"""Cells between those that are compared: 10 mm, at which corners of a scan's triangles share nothing. Neighbouring
cells share some, and told half of the noise or less; ripples of a limb, 40 mm and longer, hardly show."""

HELD = 3.0
"""Points in each cell of that grid at the least, on average."""


@dataclass(frozen=True, eq=False)
class Modes:
    """The waves that a spline of `shape` (nh, nb) can hold on a limb of `length` and `radius` mm."""

    length: float
    radius: float
    shape: tuple[int, int]

    def kept(self, smoothing: float) -> Floats:
        """Share (nh·nb,) of each wave that the twice smoothed fit keeps, on points evenly dense."""
        along = np.arange(self.shape[0]) * (np.pi / self.length)
        around = (np.arange(self.shape[1]) - self.shape[1] // 2) / self.radius
        pull = (np.add.outer(along**2, around**2).ravel() * smoothing**2) ** 2
        return (1 + 2 * pull) / (1 + pull) ** 2

    def freedom(self, smoothing: float) -> float:
        """Degrees of freedom of the fit: the trace of what takes points to the surface."""
        return float(np.sum(self.kept(smoothing)))

    def power(self, smoothing: float) -> float:
        """Variance that white noise of unit density leaves in the surface, 1/mm²."""
        return float(np.sum(self.kept(smoothing) ** 2)) / (2 * np.pi * self.radius * self.length)


def noise_density(cells: Cells, rough: LimbSurface, *, fit: Floats, radius: float) -> float:
    """Noise of points about a `rough` surface, mm⁴: the variance of a grid cell's mean times its area.

    `fit` (M,) is the surface's radius at the cells, `radius` its mean. A grid cell's mean is freed of its slope by the
    surface, whose own value at the middle is put back; what a fourth mixed difference leaves of these is noise
    (Immerkær, Computer Vision and Image Understanding 64(2), 1996), told by the median, so that rims and folds do not
    count. So it does not matter whether points are independent or samples of triangles whose corners are noisy. 0
    where no nine grid cells are filled.
    """
    low = float(rough.height_knots[0])
    length = float(rough.height_knots[-1]) - low
    area = 2 * np.pi * radius * length
    size = max(CELL, float(np.sqrt(HELD * area / cells.counts.sum())))
    rows, columns = (max(2 * CELLS_APART + 1, round(side / size)) for side in (length, 2 * np.pi * radius))
    row = np.clip(((cells.heights - low) / length * rows).astype(np.int64), 0, rows - 1)
    column = np.floor((cells.bearings / (2 * np.pi) + 0.5) * columns).astype(np.int64) % columns
    place = row * columns + column
    held = np.bincount(place, cells.counts, rows * columns)
    total = np.bincount(place, cells.counts * (cells.radii - fit), rows * columns)
    means = np.divide(total, held, out=np.full(rows * columns, np.nan), where=held > 0).reshape(rows, columns)
    middles = low + (np.arange(rows)[:, None] + 0.5) * length / rows
    turn = (np.arange(columns, dtype=np.float64) + 0.5) * (2 * np.pi / columns) - np.pi
    means += rough.radius(np.asarray(middles, float), turn)
    around = means[:, : -2 * CELLS_APART] - 2 * means[:, CELLS_APART:-CELLS_APART] + means[:, 2 * CELLS_APART :]
    mixed = around[: -2 * CELLS_APART] - 2 * around[CELLS_APART:-CELLS_APART] + around[2 * CELLS_APART :]
    mixed = mixed[np.isfinite(mixed)]
    if not mixed.size:
        return 0.0
    # Second differences sum 1 + 4 + 1 variances, once along and once around.
    deviation = 1.4826 * float(np.median(np.abs(mixed))) / 6.0
    return deviation**2 * area / (rows * columns)
