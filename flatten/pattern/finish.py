"""Edges that are turned over to the flesh side, or bound: the strip beyond the edge, its fold and its cuts."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from flatten.mesh.surface import Floats
from flatten.pattern.corners import Rounded
from flatten.pattern.model import Finished, Mark, Path, PatternError
from flatten.pattern.offsets import offset
from flatten.pattern.outline import Side
from flatten.pattern.path import HALVINGS, along, beside, circle_of, length, part, segment, span_lengths, spans

RELIEF = np.radians(10.0)
"""rad. The end of a turned strip leans back by this, so that it does not show past the side when it is folded over.
Common practice."""

FITS = 0.05
"""Share by which a turned strip may stretch or be squeezed along its cut edge and still be laid down whole: what cased
leather takes with ease. From memory."""

TAB_RISE = 0.5
"""mm. Between two slits a strip is straight and leaves a bent fold by this much: a thumb levels it. Common practice."""

_TABS = 6.0, 25.0
"""mm. Slits stand no closer and no further apart than this: a tab must hold, and lie flat. Common practice."""

FOLD_LEFT = 2.0
"""mm. Slits and notches end this far from the fold, or it would tear from them. Common practice."""

_FROM_EDGE = 0.5
"""mm. Slits and notches are drawn from this far inside the cut line."""

BINDING_ENDS = 20.0
"""mm by which a binding strip is longer than its edge, to be trimmed. Common practice."""


@dataclass(frozen=True)
class Finish:
    """How the `top` and the `bottom` edge are finished: "raw", "turned" or "bound".

    A turned strip lies `turn` mm wide on the flesh side, skived to `skived` mm, its neutral line at the share `neutral`
    of that. A binding of `binding` mm covers the edge by `cover` mm on both faces.
    """

    top: str = "raw"
    bottom: str = "raw"
    turn: float = 10.0
    skived: float = 1.0
    binding: float = 1.0
    cover: float = 8.0
    neutral: float = 0.5

    def of(self, side: Side) -> str:
        """How a side is finished; seams' and darts' sides are raw."""
        if side.kind != "edge":
            return "raw"
        return {"top edge": self.top, "bottom edge": self.bottom}.get(side.name, "raw")

    @property
    def allowance(self) -> float:
        """mm of leather beyond the finished edge of a turned one.

        Folded flat, leather s thick turns about its inner face: its neutral line goes half round at n·s, π·n·s long.
        The bend begins s before the finished edge, its outermost place, and the strip ends `turn` from that: beyond the
        edge lie π·n·s + turn − 2·s.
        """
        return np.pi * self.neutral * self.skived + self.turn - 2.0 * self.skived

    @property
    def fold(self) -> float:
        """mm from the finished edge inwards to the middle of the bend, where the fold is drawn: s − π·n·s/2."""
        return self.skived * (1.0 - 0.5 * np.pi * self.neutral)

    def strip_width(self, thickness: float) -> float:
        """Width of a binding strip for leather of a thickness t whose edge is rounded, mm.

        Of binding b it goes half round the edge at t/2 + b/2 from its middle, and covers both faces from where the
        round begins to `cover` from the outermost place: 2·(cover − b − t/2) + π·(t + b)/2.
        """
        return 2.0 * (self.cover - self.binding - 0.5 * thickness) + 0.5 * np.pi * (thickness + self.binding)


RAW = Finish()
"""Edges as they are cut."""


def turned_names(sides: Sequence[Side], finish: Finish) -> frozenset[str]:
    """The names of the edges of a piece that are turned; their corners stay points, where the strips end."""
    return frozenset(side.name for side in sides if finish.of(side) == "turned")


def with_strips(
    sides: Sequence[Side], cut: Rounded, finish: Finish, *, name: str
) -> tuple[tuple[Path, ...], tuple[Mark, ...]]:
    """The parts in turn of the outline of the piece `name` with strips to turn, and its folds and their cuts as marks.

    Raises PatternError where an edge bends too sharply for its strip, or is too short for it.
    """
    paths: list[Path] = []
    marks: list[Mark] = []
    for k, (side, path, arc) in enumerate(zip(sides, cut.sides, cut.arcs, strict=True)):
        if finish.of(side) == "turned":
            around = sides[k - 1], sides[(k + 1) % len(sides)]
            strip, first, last = _strip(path, around, finish, side=side, name=name)
            ends = (
                segment(tuple(path.points[0]), tuple(strip.points[0])),
                segment(tuple(strip.points[-1]), tuple(path.points[-1])),
            )
            paths += [ends[0], strip, ends[1]]
            fold = offset(path, finish.fold)
            marks += [Mark("fold", fold)] if fold is not None else []
            marks += _cuts(path, finish, first, last)
        else:
            paths.append(path)
        paths += [] if arc is None else [arc]
    return tuple(paths), tuple(marks)


def finished(sides: Sequence[Side], cut: Rounded, finish: Finish, *, thickness: float) -> tuple[Finished, ...]:
    """What is told of the edges of a piece that are turned or bound; an edge in parts is told as one."""
    found = []
    for edge in dict.fromkeys(side.name for side in sides if finish.of(side) != "raw"):
        runs = [
            (side, path)
            for side, path in zip(sides, cut.sides, strict=True)
            if side.name == edge and side.kind == "edge"
        ]
        kind, size = finish.of(runs[0][0]), sum(length(path) for _, path in runs)
        if kind == "turned":
            found.append(Finished(edge, kind, size, finish.allowance, finish.skived))
        else:
            found.append(Finished(edge, kind, size + BINDING_ENDS, finish.strip_width(thickness), finish.binding))
    return tuple(found)


def _strip(
    path: Path, around: tuple[Side, Side], finish: Finish, *, side: Side, name: str
) -> tuple[Path, float, float]:
    """The cut edge of the strip along an edge between two sides, and the arc lengths of the edge that it faces.

    Each end leaves the corner at the angle that the side makes with the edge, 90° at most, less RELIEF: folded over, it
    comes to lie inside the side.
    """
    outer = offset(path, -finish.allowance)
    whole = length(path)
    ends = []
    if outer is not None:
        back = Path(outer.points[::-1], np.append(-outer.bulges[-2::-1], 0.0), closed=False)
        before, after = around[0].path, around[1].path
        heading = along(path, np.array([0.0, whole]))[1]
        arriving, leaving = along(before, np.array([length(before)]))[1][0], along(after, np.zeros(1))[1][0]
        for line, corner, way, other in (
            (outer, path.points[0], heading[0], -arriving),
            (back, path.points[-1], -heading[1], leaving),
        ):
            inner = float(np.arccos(np.clip(way @ other, -1.0, 1.0)))
            ends.append(_leaves(line, corner, way, min(inner, 0.5 * np.pi) - RELIEF))
    if outer is None or len(ends) < 2 or not 0.0 < ends[0] < length(outer) - ends[1]:
        raise PatternError(
            f"the {side.name} of piece '{name}' bends too sharply or is too short for a strip of "
            f"{finish.allowance:.1f} mm beyond it; turn it by less ([edges] finish, turn), or leave it raw or bind it"
        )
    return part(outer, ends[0], length(outer) - ends[1]), ends[0], ends[1]


def _leaves(line: Path, corner: Floats, way: Floats, angle: float) -> float:
    """Arc length along a strip's cut edge at which it is seen from the corner at an angle (rad) from the edge's way."""
    low, high = 0.0, length(line)
    for _ in range(HALVINGS):
        middle = 0.5 * (low + high)
        to = along(line, np.array([middle]))[0][0] - corner
        seen = float(np.arctan2(abs(way[0] * to[1] - way[1] * to[0]), way @ to))
        low, high = (middle, high) if seen > angle else (low, middle)
    return 0.5 * (low + high)


def _cuts(path: Path, finish: Finish, first: float, last: float) -> list[Mark]:
    """Slits where a strip would have to stretch to be turned, wedges to be cut out where it would be squeezed.

    On an edge that bends inwards with radius R the cut edge, at R − allowance, comes to lie at R + turn; on one that
    bends outwards it is the other way round.
    """
    start, end, bulge = spans(path)
    sizes = span_lengths(path)
    ends = np.cumsum(sizes)
    radii = [circle_of(a, b, float(t))[1] if t else np.inf for a, b, t in zip(start, end, bulge, strict=True)]
    hollow = bulge < 0.0
    ways = [(finish.turn, finish.allowance) if each else (finish.allowance, finish.turn) for each in hollow]
    grown = np.array([_growth(radius, *way) for radius, way in zip(radii, ways, strict=True)])
    steps = np.clip(np.sqrt(8.0 * TAB_RISE * np.array(radii)), *_TABS)
    kinds = np.where(grown - 1.0 > FITS, np.where(hollow, -1, 1), 0)
    marks: list[Mark] = []
    for own in np.split(np.arange(len(kinds)), 1 + np.flatnonzero(np.diff(kinds))):
        if not kinds[own[0]]:
            continue
        # Each span counts by its length in tabs of its own width; the cuts stand evenly by that.
        tabs = np.concatenate([[0.0], np.cumsum(sizes[own] / steps[own])])
        count = max(round(float(tabs[-1])), 1)
        at = np.interp((np.arange(count) + 0.5) * tabs[-1] / count, tabs, [ends[own[0]] - sizes[own[0]], *ends[own]])
        for place in at[(at > first + _TABS[0]) & (at < ends[-1] - last - _TABS[0])]:
            k = min(int(np.searchsorted(ends, place)), len(ends) - 1)
            width = float(steps[k] * tabs[-1] / count)
            lost = 0.0 if kinds[own[0]] < 0 else width * min(1.0 - 1.0 / float(grown[k]), 0.8)
            marks.append(_cut(path, float(place), finish, lost))
    return marks


def _growth(radius: float, out: float, back: float) -> float:
    """How many times longer a line `out` mm outside a bend is than one `back` mm inside it; 1 where nothing bends."""
    if not np.isfinite(radius):
        return 1.0
    return (radius + out) / (radius - back) if radius > back else float(np.inf)


def _cut(path: Path, at: float, finish: Finish, lost: float) -> Mark:
    """A slit across a strip, or a wedge `lost` mm wide at its cut edge, that ends FOLD_LEFT from the fold."""
    outer, inner = -(finish.allowance - _FROM_EDGE), finish.fold - FOLD_LEFT
    tip = beside(path, np.array([at]), inner)[0]
    if not lost:
        return Mark("slit", segment(tuple(beside(path, np.array([at]), outer)[0]), tuple(tip)))
    sides = (beside(path, np.array([at + shift]), outer)[0] for shift in (-0.5 * lost, 0.5 * lost))
    one, other = (tuple(point) for point in sides)
    return Mark("slit", segment(one, tuple(tip), other))
