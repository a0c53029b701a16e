"""Lines of places for holes along the mates of a seam or a dart: clear of what is near, and the same on each."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
import shapely

from flatten.mesh.surface import Floats
from flatten.pattern.outline import FINE, Side
from flatten.pattern.path import along, beside, length, polyline

_SEARCH = 0.5
"""mm. Step along a row in the search for the first place that is far enough from everything."""

_HALVINGS = 30
"""Halvings of that step: the end of a run is then known to a millionth of a millimetre."""


@dataclass(frozen=True, eq=False)
class Row:
    """A line of places `away` mm inside a side (on the seam's own line where the side has one), going up.

    Places are told by one number that means the same on every mate: the chart height, so that holes through two
    layers meet on the limb, or with `by_share` the fraction of arc length, so that holes face each other evenly.
    `around` is what they keep clear of; on piece number `piece`.
    """

    piece: int
    side: Side
    away: float
    by_share: bool
    around: shapely.Geometry

    @cached_property
    def _ends(self) -> tuple[float, float]:
        return (0.0, 1.0) if self.by_share else (float(self.side.heights[0]), float(self.side.heights[-1]))

    @property
    def low(self) -> float:
        """The number of the row's lowest place."""
        return self._ends[0]

    @property
    def high(self) -> float:
        """The number of the row's highest place."""
        return self._ends[1]

    @cached_property
    def size(self) -> float:
        """Arc length of the line that the row follows, mm."""
        return length(self.side.row)

    def arcs(self, places: Floats) -> Floats:
        """Arc lengths (k,) from the row's lower end along the line that it follows, mm."""
        if self.by_share:
            return places * self.size
        return np.interp(places, self.side.heights, self.side.arcs)

    def points(self, places: Floats, *, further: float = 0.0) -> Floats:
        """Points (k,2) of places (k,), `further` mm more inside."""
        inside = (0.0 if self.side.on_seam else self.away) + further
        inward = 1.0 if self.side.upward else -1.0
        return beside(self.side.row, self.arcs(places), inward * inside)

    def angles(self, places: Floats) -> Floats:
        """Directions (k,) of the row at places (k,), radians."""
        _, tangents = along(self.side.row, self.arcs(places))
        return np.arctan2(tangents[:, 1], tangents[:, 0])

    def clear(self, places: Floats, distance: float) -> Floats:
        """By how much (k,) places are further than `distance` mm from what is around."""
        return np.asarray(shapely.distance(self.around, shapely.points(self.points(places)))) - distance

    def run_length(self, first: float, last: float) -> float:
        """Length of the row itself between two places, mm."""
        count = max(int(np.ceil((last - first) / (self.high - self.low) * self.size / _SEARCH)), 1)
        return float(np.hypot(*np.diff(self.points(np.linspace(first, last, count + 1)), axis=0).T).sum())


def row_of(
    sides: tuple[Side, ...], side: Side, *, piece: int, away: float, by_share: bool, stops: shapely.Geometry
) -> Row:
    """The row of a side of a piece with all its `sides`; places keep clear of those and of the holes `stops`."""
    others = [shapely.LineString(polyline(other.path, FINE)) for other in sides if other is not side]
    return Row(piece, side, away, by_share, shapely.union(shapely.MultiLineString(others), stops))


def common_run(rows: list[Row], distance: float) -> tuple[float, float]:
    """The lowest and the highest place that is at least `distance` mm from everything on all rows of a seam.

    The first is the higher one where there is none.
    """
    low, high = max(row.low for row in rows), min(row.high for row in rows)
    longest = max(row.size for row in rows)
    steps = np.linspace(low, high, max(int(np.ceil(longest / _SEARCH)), 2) + 1)

    def clear(places: Floats) -> Floats:
        return np.min([row.clear(places, distance) for row in rows], axis=0)

    good = np.flatnonzero(clear(steps) >= 0.0)
    if not len(good):
        return high, low
    ends = []
    for inner, outer in ((good[0], max(good[0] - 1, 0)), (good[-1], min(good[-1] + 1, len(steps) - 1))):
        inside, outside = steps[inner], steps[outer]
        for _ in range(_HALVINGS):
            middle = 0.5 * (inside + outside)
            inside, outside = (middle, outside) if clear(np.array([middle]))[0] >= 0.0 else (inside, middle)
        ends.append(float(inside))
    return ends[0], ends[1]


def mean_length(rows: list[Row], first: float, last: float) -> float:
    """Mean arc length between two places over a seam's rows, mm; negative where they are the wrong way round."""
    ends = np.array([first, last])
    return float(np.mean([np.diff(row.arcs(ends))[0] for row in rows]))


def evenly(rows: list[Row], first: float, last: float, count: int) -> Floats:
    """Places (count,) from the first to the last, even in the mean of the arc lengths on all rows of a seam."""
    longest = max(row.size for row in rows)
    steps = np.linspace(first, last, max(int(np.ceil(longest / _SEARCH)), 2) + 1)
    mean = np.mean([row.arcs(steps) for row in rows], axis=0)
    return np.interp(np.linspace(mean[0], mean[-1], count), mean, steps)
