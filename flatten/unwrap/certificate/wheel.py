"""The wheel: the angles about a hub do not close to a full turn.

Take a hub p and rim points x_1 … x_n, n ≥ 3, indices cyclic. Suppose that a flat map f has spread ≤ s. By `struts`,
every flat distance lies between the pair's strut and E times its distance, E = e^s. So every angle at f(p) between
f(x_i) and f(x_j), in [0, π], lies between bounds: γ(i,j) and Γ(i,j). (These are facts about points in the plane; no
path of the panel need be followed.)

Order. If
    γ(i,i+2) > Γ(i+1,i+2) − γ(i,i+1)   and   γ(i,i+2) > Γ(i,i+1) − γ(i+1,i+2)
then the turns from f(x_i) to f(x_{i+1}) and on to f(x_{i+2}) go the same way round f(p): if they went opposite ways,
the angle from i to i+2 would be the difference of the two angles, which is less than γ(i,i+2). All angles being
positive, when this holds for every i all n turns go one way and add up to a whole number of full turns. Σ Γ(i,i+1) < 4π
leaves one.

So, if the rim passes the order test at s: Σ γ(i,i+1) > 2π (a saddle, or Σ Γ(i,i+1) < 2π, a dome) contradicts a spread
of at most s. Whatever guess chose the rim, the conclusion depends on these sums alone.

The best rim for a hub is found by dynamic programming over points sorted by their turn about the hub in some flat
map of the panel.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from flatten.mesh.surface import Flags, Floats, Ints
from flatten.unwrap.certificate.angles import ANGLE_ROUNDING, greatest_angle, least_angle
from flatten.unwrap.certificate.struts import Pairs, pair_table, strut_lengths


class RimSearch(NamedTuple):
    """How a rim is looked for: within this share of a hub's farthest known point, and with at least this turn (rad) in
    the guiding map between neighbours."""

    share: float
    turn: float


RIMS = (RimSearch(1.0, np.radians(8.0)), RimSearch(1.0, np.radians(24.0)), RimSearch(0.6, np.radians(24.0)))
"""The rims that are looked for about each hub, in order. A wide rim of many points binds most; but the distance between
second neighbours is known only where the rim is not too wide, and their order is proved only where they are not too
near."""

GREATEST_TURN = np.radians(85.0)
"""Radians between neighbours on a rim, in the guiding map: two of them together stay clear of a straight angle."""

HALVINGS = 10
"""Bisections of the interval in which the bound lies: a thousandth of it is left."""

RIM_SPACING = 0.8
"""Share of the sample's spacing that rim points keep in the guiding map: a denser rim binds no more and costs most."""


@dataclass(frozen=True, eq=False)
class Wheel:
    """The bound of the best wheel, its `hub` and `rim` (n,) once round, as sample points; −1 where none binds."""

    bound: float
    hub: int
    rim: Ints


@dataclass(frozen=True, eq=False)
class _Hub:
    """A hub with its candidates for a rim (k,), by rising `turn`; pairs (k,) to them and (k,k) between them, −1 for
    none."""

    point: int
    candidates: Ints
    spokes: Ints
    chords: Ints
    turn: Floats


def best_wheel(
    pairs: Pairs, *, guide: Floats, least_radius: float, spacing: float, floor: float, ceiling: float
) -> Wheel:
    """The wheel of greatest bound among the sample points, between `floor` and `ceiling`; 0 where none is above.

    `guide` (N,2) are the points in some flat map, which only proposes the order; radii are from `least_radius` mm,
    points of a rim about `spacing` mm apart.
    """
    table = pair_table(pairs.first, pairs.second, len(pairs.points))
    rims = _thinned(guide, RIM_SPACING * spacing)
    inner = np.flatnonzero(pairs.to_boundary >= least_radius)
    hubs = [hub for point in inner if (hub := _hub(pairs, table, guide, int(point), rims, least_radius))]
    best, low, high, spread = Wheel(0.0, -1, np.empty(0, np.int64)), floor, ceiling, floor
    for _ in range(HALVINGS):
        struts = strut_lengths(pairs, spread)
        broken = [(hub, rim) for hub in hubs if len(rim := _impossible_rim(hub, pairs.cables, struts, spread))]
        if broken:
            # A hub that allows this spread allows a greater one too: its bounds only widen.
            hubs = [hub for hub, _ in broken]
            (hub, rim), *_ = broken
            best, low = Wheel(spread, hub.point, hub.candidates[rim]), spread
        elif spread == floor:
            break
        else:
            high = spread
        spread = 0.5 * (low + high)
    return best


def _thinned(guide: Floats, gap: float) -> Ints:
    """Points (n,) of the guiding map in their order, without those nearer than `gap` to one before."""
    taken: list[int] = []
    for point in range(len(guide)):
        if not taken or np.hypot(*(guide[taken] - guide[point]).T).min() >= gap:
            taken.append(point)
    return np.array(taken, dtype=np.int64)


def _hub(pairs: Pairs, table: Ints, guide: Floats, point: int, rims: Ints, least_radius: float) -> _Hub | None:
    known = rims[table[point, rims] >= 0]
    known = known[pairs.distances[table[point, known]] >= least_radius]
    offset = guide[known] - guide[point]
    turn = np.arctan2(offset[:, 1], offset[:, 0])
    order = np.argsort(turn, kind="stable")
    if len(order) < 3 or np.diff(turn[order], append=turn[order[0]] + 2 * np.pi).max() > GREATEST_TURN:
        return None
    candidates = known[order]
    return _Hub(point, candidates, table[point, candidates], table[np.ix_(candidates, candidates)], turn[order])


def _impossible_rim(hub: _Hub, cables: Floats, struts: Floats, spread: float) -> Ints:
    """Places among the hub's candidates (n,) of a rim that no map of this spread has; none where none is found."""
    stretch = float(np.exp(spread))
    shortest, longest = struts[hub.spokes], stretch * cables[hub.spokes]
    first, second = (shortest[:, None], longest[:, None]), (shortest[None], longest[None])
    known = hub.chords >= 0
    least = np.where(known, least_angle(first, second, struts[hub.chords]) - ANGLE_ROUNDING, 0.0)
    greatest = np.where(known, greatest_angle(first, second, stretch * cables[hub.chords]) + ANGLE_ROUNDING, np.pi)
    step = np.mod(hub.turn[None] - hub.turn[:, None], 2 * np.pi)
    allowed = known & (step <= GREATEST_TURN) & (shortest > 0.0)[:, None] & (shortest > 0.0)
    radius = cables[hub.spokes]
    for search in RIMS:
        inner = radius <= search.share * radius.max()
        among = allowed & inner[:, None] & inner & (step >= search.turn)
        for rim in (
            _longest_round(np.where(among, least, -np.inf)),
            _longest_round(np.where(among, -greatest, -np.inf)),
        ):
            if len(rim) < 3:
                continue
            onward = np.roll(rim, -1)
            low, high = float(least[rim, onward].sum()), float(greatest[rim, onward].sum())
            broken = (low > 2 * np.pi or high < 2 * np.pi) and high < 4 * np.pi
            if broken and _ordered(rim, least, greatest):
                return rim
    return np.empty(0, np.int64)


def _longest_round(gain: Floats) -> Ints:
    """The closed chain (n,) of greatest summed gain that goes once round the cyclically ordered candidates.

    gain[i, j] is that of a step from i to the later j, −∞ where there is none. One pass for all starts at once: a
    chain from start i runs through the doubled list up to i's second appearance.
    """
    count = len(gain)
    doubled = np.tile(gain, (2, 2))
    place = np.arange(2 * count)
    doubled[place[:, None] >= place[None]] = -np.inf
    starts = np.arange(count)
    value = np.full((count, 2 * count), -np.inf)
    value[starts, starts] = 0.0
    before = np.full((count, 2 * count), -1)
    for node in range(1, 2 * count):
        low = max(0, node - count)
        reached = value[:, low:node] + doubled[low:node, node]
        best = np.argmax(reached, axis=1)
        found = reached[starts, best]
        better = found > value[:, node]
        value[better, node], before[better, node] = found[better], low + best[better]
    closed = value[starts, starts + count]
    start = int(np.argmax(closed))
    if not np.isfinite(closed[start]):
        return np.empty(0, np.int64)
    chain, node = [], int(before[start, start + count])
    while node > start:
        chain.append(node % count)
        node = int(before[start, node])
    return np.array([start, *chain[::-1]], dtype=np.int64)


def _ordered(rim: Ints, least: Floats, greatest: Floats) -> bool:
    """Whether the rim passes the order test at each of its points."""
    second, third = np.roll(rim, -1), np.roll(rim, -2)
    two = least[rim, third]
    passed: Flags = (two > greatest[second, third] - least[rim, second]) & (
        two > greatest[rim, second] - least[second, third]
    )
    return bool(passed.all())
