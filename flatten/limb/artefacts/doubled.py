"""Where a scan lies in two layers, as two passes that do not meet leave them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from flatten.findings import Finding, finding
from flatten.limb.kind import LimbKind
from flatten.limb.surface.model import LimbSurface
from flatten.mesh.surface import Floats, Ints

CELL = 12.0
"""mm. DoubleLayer are told on a grid of this size or coarser: a limb bends evenly over it."""

HELD = 24.0
"""Points in each cell of that grid at the least, on average: twelve for each of two layers."""

FEWEST = 12
"""Points in a cell without which nothing is told of it."""

SOME = 30_000
"""Points that are looked at, of those there are: some 30 in each cell of that size on a leg."""

NEAR = 12.0
"""mm from the surface up to which a point may belong to a layer of the limb."""

LAYERS_APART = 1.0
"""mm between layers that are told: nearer ones change a girth by no more than the fit may be off at a phone's noise."""

CLEFT = 4.0
"""Distance of two layers in standard deviations about each. Points spread evenly fall into halves 2√3 of these apart,
normal noise into halves 2.6 apart."""

SHARE = 0.2
"""Share of a cell's points that the lesser layer holds at the least: a rim, a spike and a fold hold less."""

LEAST_AREA = 2000.0
"""mm². Less of a limb in two layers is not told: two cells at most were seen where there was one layer."""

MOST = 0.95
"""Share of the cells in two layers that lie below the upper and above the lower height that is told of them: a few lone
ones do not stretch it."""

WIDEST = 0.9
"""Share of these cells whose layers are no farther apart than is told: two passes part most where the limb faces the
way it moved, and a robust fit hides part of it."""

CLEAN = 1e-6
"""mm. The least deviation about a layer: points without any noise have none to divide by."""


@dataclass(frozen=True)
class DoubleLayer:
    """Heights between which most of the two layers lie, the bearing (rad) of their middle, and mm between them."""

    low: float
    high: float
    bearing: float
    apart: float

    @property
    def girth_error(self) -> float:
        """How far, mm, a girth there may be off: half an outline that is pushed aside by d changes it by 2 d."""
        return 2 * self.apart

    def finding(self, kind: LimbKind) -> Finding:
        """What to know of them on a limb of this kind."""
        return finding(
            "limb.double layer",
            "look",
            place=kind.place(height=0.5 * (self.low + self.high), bearing=self.bearing),
            low=kind.at_height(self.low),
            high=kind.at_height(self.high),
            side=kind.side_at(self.bearing),
            apart=self.apart,
            girth=self.girth_error,
        )


def double_layer_findings(points: Floats, surface: LimbSurface, *, kind: LimbKind) -> tuple[Finding, ...]:
    """What to know of the two layers that points (N,3) form about a limb of this kind; nothing where they form one."""
    found = double_layer_in(points, surface)
    return () if found is None else (found.finding(kind),)


def double_layer_in(points: Floats, surface: LimbSurface) -> DoubleLayer | None:
    """The two layers that points (N,3), limb coordinates mm, form about a surface; None where they form one."""
    low, high = surface.trusted
    points = points[:: 1 + (len(points) - 1) // SOME]
    points = points[(points[:, 2] > low) & (points[:, 2] < high)]
    bearings, away = surface.apart(points)
    near = np.abs(away) < NEAR
    if not near.any():
        return None
    heights, bearings, away = points[near, 2], bearings[near], away[near]
    around = 2 * np.pi * float(np.mean(surface.radius(heights, bearings)))
    size = max(CELL, float(np.sqrt(HELD * around * (high - low) / len(away))))
    rows, columns = max(1, round((high - low) / size)), max(4, round(around / size))
    row = np.minimum(((heights - low) / (high - low) * rows).astype(np.int64), rows - 1)
    column = ((bearings / (2 * np.pi) + 0.5) * columns).astype(np.int64) % columns
    apart, cleft, share = _split(row * columns + column, away, count=rows * columns)
    two = np.flatnonzero((apart > LAYERS_APART) & (cleft > CLEFT) & (share > SHARE))
    if len(two) * (around / columns) * (high - low) / rows < LEAST_AREA:
        return None
    step, turn = (high - low) / rows, (two % columns + 0.5) * (2 * np.pi / columns) - np.pi
    first, last = np.quantile(two // columns, (1 - MOST, MOST))
    return DoubleLayer(
        low + step * float(first),
        low + step * (float(last) + 1),
        float(np.angle(np.mean(np.exp(1j * turn)))),
        float(np.quantile(apart[two], WIDEST)),
    )


def _split(cell: Ints, values: Floats, *, count: int) -> tuple[Floats, Floats, Floats]:
    """Of the values in each of `count` cells, parted in two so that each part spreads least about its mean: how far
    apart (count,) these means are, that in standard deviations within, and the lesser part's share of the values.

    All 0 in cells of fewer than FEWEST values. (Otsu, IEEE Trans. Syst. Man Cybern. 9(1), 1979.)
    """
    order = np.lexsort((values, cell))
    cell, values = cell[order], values[order]
    held = np.bincount(cell, minlength=count)
    start = np.cumsum(held) - held
    total, square = (np.bincount(cell, each, count) for each in (values, values**2))
    many = held[cell]
    lower = np.arange(len(cell)) - start[cell] + 1
    running = np.concatenate([[0.0], np.cumsum(values)])
    below = running[1:] - running[start[cell]]
    upper = np.maximum(many - lower, 1)
    gap = (total[cell] - below) / upper - below / lower
    between = np.where(lower < many, lower * (many - lower) / many * gap**2, 0.0)
    best = np.lexsort((between, cell))[np.cumsum(held)[held >= FEWEST] - 1]
    at = cell[best]
    within = np.sqrt(np.maximum((square[at] - total[at] ** 2 / held[at] - between[best]) / held[at], CLEAN**2))
    apart, cleft, share = np.zeros((3, count))
    apart[at] = gap[best]
    cleft[at] = gap[best] / within
    share[at] = np.minimum(lower[best], many[best] - lower[best]) / held[at]
    return apart, cleft, share
