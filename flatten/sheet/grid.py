"""Where the joints of sheets fall on a piece: as few sheets as can be, and nothing that is read across a joint."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from flatten.mesh.surface import Floats
from flatten.pattern.model import Inscription

OVERLAP = 10.0
"""mm. Neighbouring sheets share a strip this wide: room for glue or tape. Common practice."""

PAD = 3.0
"""mm. The cut line stays this far inside the outermost windows, so that no frame runs along it."""

TURNS = np.radians(
    [0.0, *(sign * angle for angle in (5.0, 10.0, 15.0, 20.0, 25.0, 30.0, 37.5, 45.0) for sign in (1, -1))]
)
"""rad. How a piece may lie on upright sheets, and on sheets on their side; the first that takes fewest is taken."""

CLEAR = 1.0
"""mm. What is read stays this far from a joint: scissors wander."""

_COARSE, _FINE_UP, _FINE_ALONG = 5, 4.0, 3.0
"""Places of the rows that are tried when sheets are counted; and mm between those of rows, and of the sheets in a row,
when it is looked at what joints would cut: below the height of a capital."""

_STEP = 4.0
"""mm between points of the outline by which sheets are counted; what lies between two is within PAD of the windows."""

_MOST_TURNS = 6
"""Turns that are looked at for what joints would cut, of those that take as few sheets."""

_MUST = 1000
"""What cutting a name, an arrow or a check line weighs against cutting another text: more than a piece has texts."""


@dataclass(frozen=True)
class Grid:
    """Sheets laid on a piece that is turned by `angle` rad, on their side where `lying`.

    Rows from the top, each by the lower edge of its windows and their left edges, mm. `cuts` weighs what joints cut.
    """

    angle: float
    lying: bool
    bottoms: tuple[float, ...]
    lefts: tuple[tuple[float, ...], ...]
    cuts: int

    def joints(self, window: tuple[float, float]) -> shapely.Geometry:
        """The lines along which its sheets, with a window (width, height) mm, are joined, on the piece as it was before
        it was turned."""
        lines = []
        far = 2.0 * max(window) * (1.0 + max(map(len, self.lefts)))
        for row, (bottom, lefts) in enumerate(zip(self.bottoms, self.lefts, strict=True)):
            top = bottom + window[1] - (OVERLAP if row else 0.0)
            lines += [[(left + window[0], bottom), (left + window[0], top)] for left in lefts[:-1]]
            if row < len(self.bottoms) - 1:
                lines.append([(lefts[0] - far, bottom), (lefts[-1] + far, bottom)])
        back = _turning(-self.angle)
        return shapely.MultiLineString([np.array(line) @ back for line in lines])


def grid_on(
    outline: Floats, inscriptions: Sequence[Inscription], window: tuple[float, float], lying: tuple[float, float]
) -> Grid:
    """Sheets on a piece by its outline (n,2), closed; `window` is that of an upright sheet, `lying` of one on its side,
    mm.

    As few sheets as can be: the piece is turned only where that saves one, or where a joint would cut a name, an arrow
    or a check line otherwise; one sheet more is taken where nothing else helps.
    """
    points = shapely.get_coordinates(shapely.segmentize(shapely.LinearRing(outline), _STEP))
    boxes = np.array([each.box for each in inscriptions]).reshape(-1, 4, 2)
    weights = np.array([1 if each.kind == "text" else _MUST for each in inscriptions], int)
    ways = [
        _Way(points @ _turning(angle), boxes @ _turning(angle), weights, size, float(angle), on_side)
        for angle in TURNS
        for on_side, size in ((False, window), (True, lying))
    ]
    counted = [way.fewest() for way in ways]
    fewest = min(counted)
    found: Grid | None = None
    for more in (0, 1):
        for k, way in enumerate(way for way, count in zip(ways, counted, strict=True) if count == fewest):
            if k == _MOST_TURNS or (found is not None and not found.cuts):
                break
            if found is not None and found.cuts < _MUST and way.angle:
                break
            tried = way.grid(fewest + more)
            if tried is not None and (found is None or tried.cuts < found.cuts):
                found = tried
        if found is not None and found.cuts < _MUST:
            break
    assert found is not None
    return found


def _turning(angle: float) -> Floats:
    """The matrix (2,2) that turns rows of points by an angle, rad."""
    cos, sin = np.cos(angle), np.sin(angle)
    return np.array([[cos, sin], [-sin, cos]])


def cells(low: float, high: float, window: float) -> tuple[int, float]:
    """How many windows cover low to high with PAD on either side, and what they cover more, mm."""
    wanted = high - low + 2.0 * PAD
    count = max(int(np.ceil((wanted - OVERLAP) / (window - OVERLAP) - 1e-9)), 1)
    return count, count * (window - OVERLAP) + OVERLAP - wanted


@dataclass(frozen=True, eq=False)
class _Way:
    """A piece turned by `angle` before windows of one size: its outline's points (n,2), and the boxes (m,4,2) of what
    is read on it with their `weights` (m,)."""

    points: Floats
    boxes: Floats
    weights: Floats
    window: tuple[float, float]
    angle: float
    lying: bool

    def fewest(self) -> int:
        """How few sheets the piece takes so."""
        low, high = self.points[:, 1].min(), self.points[:, 1].max()
        rows, slack = cells(low, high, self.window[1])
        return min(
            sum(cells(*span, self.window[0])[0] for span in self._spans(self._bottoms(shift, rows)))
            for shift in np.linspace(0.0, slack, _COARSE)
        )

    def grid(self, most: int) -> Grid | None:
        """The rows and sheets, `most` at most, whose joints cut least; None where it takes more sheets."""
        low, high = self.points[:, 1].min(), self.points[:, 1].max()
        least, _ = cells(low, high, self.window[1])
        found: Grid | None = None
        for rows in (least, least + 1):
            slack = rows * (self.window[1] - OVERLAP) + OVERLAP - (high - low + 2.0 * PAD)
            # The coarse places first, so that what was counted is found again; from the middle outwards.
            shifts = np.concatenate([np.linspace(0.0, slack, _COARSE), np.arange(0.0, slack, _FINE_UP)])
            for shift in shifts[np.argsort(np.abs(shifts - 0.5 * slack), kind="stable")]:
                tried = self._at(self._bottoms(shift, rows), most)
                if tried is not None and (found is None or tried.cuts < found.cuts):
                    found = tried
                if found is not None and not found.cuts:
                    return found
            if rows >= most:
                break
        return found

    def _bottoms(self, shift: float, rows: int) -> Floats:
        """Lower edges of the rows' windows from the top, the lowest `shift` mm lower than it need be."""
        low, high = self.points[:, 1].min(), self.points[:, 1].max()
        found = low - PAD - shift + (self.window[1] - OVERLAP) * np.arange(rows - 1, -1, -1.0)
        # With more rows than it takes, the lowest or the highest may have nothing of the piece.
        return found[(found < high) & (found + self.window[1] - OVERLAP > low)]

    def _spans(self, bottoms: Floats) -> list[tuple[float, float]]:
        """Least and greatest x of what of the piece is seen in each row."""
        found = []
        for row, bottom in enumerate(bottoms):
            top = bottom + self.window[1] - (OVERLAP if row else 0.0)
            y = self.points[:, 1]
            own = self.points[(y >= bottom - _STEP) & (y <= top + _STEP), 0]
            found.append((float(own.min()), float(own.max())))
        return found

    def _at(self, bottoms: Floats, most: int) -> Grid | None:
        """Rows at these places, each with its sheets where their joints cut least; None where it takes more sheets."""
        spans = self._spans(bottoms)
        counts = [cells(*span, self.window[0])[0] for span in spans]
        left = most - sum(counts)
        if left < 0:
            return None
        low, high = self.boxes.min(axis=1), self.boxes.max(axis=1)
        joints = bottoms[:-1, None]
        level = ((low[:, 1] - CLEAR < joints) & (joints < high[:, 1] + CLEAR)).any(axis=0)
        rows = []
        for row, (span, count) in enumerate(zip(spans, counts, strict=True)):
            top = bottoms[row] + self.window[1] - (OVERLAP if row else 0.0)
            here = ~level & (low[:, 1] < top) & (high[:, 1] > bottoms[row])
            rows.append([self._row(span, more, here) for more in range(count, count + 1 + (left > 0))])
        # Where a sheet may be had beyond what it takes, the row has it that it serves most.
        gains = [options[0][0] - options[-1][0] for options in rows]
        served = int(np.argmax(gains)) if max(gains) else -1
        chosen = [options[-1 if row == served else 0] for row, options in enumerate(rows)]
        cuts = int(self.weights[level].sum()) + sum(weight for weight, _ in chosen)
        return Grid(self.angle, self.lying, tuple(map(float, bottoms)), tuple(lefts for _, lefts in chosen), cuts)

    def _row(self, span: tuple[float, float], count: int, here: Floats) -> tuple[int, tuple[float, ...]]:
        """Left edges of a row's windows over a span of x where their joints cut least of what is `here` (m,), and what
        that weighs."""
        step = self.window[0] - OVERLAP
        slack = count * step + OVERLAP - (span[1] - span[0] + 2.0 * PAD)
        places = np.linspace(0.0, slack, int(slack / _FINE_ALONG) + 2)
        places = places[np.argsort(np.abs(places - 0.5 * slack), kind="stable")]
        upright = span[0] - PAD - places[:, None, None] + self.window[0] + step * np.arange(count - 1)
        low, high = self.boxes[here, :, 0].min(axis=1) - CLEAR, self.boxes[here, :, 0].max(axis=1) + CLEAR
        cut = ((low[:, None] < upright) & (upright < high[:, None])).any(axis=2)
        weighed = cut @ self.weights[here]
        best = int(np.argmin(weighed))
        first = span[0] - PAD - places[best]
        return int(weighed[best]), tuple(float(first + step * k) for k in range(count))
