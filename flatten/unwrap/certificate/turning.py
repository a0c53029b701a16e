"""How far each pair of points can turn in a flat map of given spread, against a guiding map.

Suppose that a flat map f has spread ≤ s; every flat distance then lies between its strut and E times its distance
(`struts`), and every angle of a flat triangle between bounds γ ≤ angle ≤ Γ (`angles`).

Orientation. Three sample points make a *triple*; what is to be shown is that f lays all triples the same way round
that the guiding map does, or all the other way round; in the second case f is mirrored, which changes no length. Take a
hub p and points i, j, k, where the guiding map lays (p,i,j) and (p,j,k) counter-clockwise. If
    γ_p(i,k) > Γ_p(j,k) − γ_p(i,j)   and   γ_p(i,k) > Γ_p(i,j) − γ_p(j,k),
then f lays (p,i,j) and (p,j,k) the same way round, and the first three and last three of these points on no line: else
i and k, seen from p, lie on one side of the ray to j or on its line, and the angle from i to k is the difference of the
other two, which the test excludes. Each test that is passed ties two triples together; a triple is used only if a chain
of such ties leads to it from one common triple. The guiding map only says which tests to try.

Turning. Let θ be the direction of a pair in f less its direction in the guiding map, and turn f so that θ = 0 for one
pair, the gauge. In a triple (p,i,j) that f lays counter-clockwise the direction of pj less that of pi is the angle at
p, modulo full turns; so, with α the angle in the guiding map, θ(pj) − θ(pi) lies in [γ − α, Γ − α] modulo full turns.
From the gauge such intervals add up along chains of triples. An interval is kept only while it lies within half a turn
of 0, so that each pair's θ has just one value there, and intervals from different chains may be intersected. If they do
not meet, no map has spread ≤ s.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from flatten.mesh.graph import components
from flatten.mesh.surface import Flags, Floats, Ints
from flatten.unwrap.certificate.angles import ANGLE_ROUNDING, greatest_angle, least_angle
from flatten.unwrap.certificate.struts import pair_table

FIRM = 0.6
"""Share of its distance that a pair's strut must be for its triples to be looked at: looser ones hardly bound an
angle."""

THINNEST = np.radians(15.0)
"""Radians. Triples with a smaller angle in the guiding map are left out: their order is hard to prove."""

OPEN_STEP = np.radians(60.0)
"""Radians. Order is tested against a neighbouring triple whose angle is nearest to this one."""

ROUNDS = 60
"""Most links in a chain from the gauge; chains of 12 to 25 are met."""


@dataclass(frozen=True, eq=False)
class Figure:
    """Points (N,2) in a guiding map, and pairs (P) of them: `first`, `second`, `table` (N,N) their index or −1;
    `direction` (P,) from first to second in the guiding map, radians."""

    guide: Floats
    first: Ints
    second: Ints
    table: Ints
    direction: Floats


def figure_of(guide: Floats, first: Ints, second: Ints) -> Figure:
    """The pairs laid out by the guiding map."""
    table = pair_table(first, second, len(guide))
    along = guide[second] - guide[first]
    return Figure(guide, first, second, table, np.arctan2(along[:, 1], along[:, 0]))


@dataclass(frozen=True, eq=False)
class Corners:
    """The corners (3T) of triples: points `hub`, `start`, `end`, counter-clockwise in the guiding map, the pairs from
    the hub to them, the triple's index, and the bounds of the angle from start to end in any map of the spread."""

    hub: Ints
    start: Ints
    end: Ints
    to_start: Ints
    to_end: Ints
    triple: Ints
    guide: Floats
    least: Floats
    greatest: Floats


def triples_of(figure: Figure, firm: Flags) -> Ints:
    """Triples (T,3) of points whose three pairs are all `firm` (P,), counter-clockwise in the guiding map."""
    joined = np.zeros(figure.table.shape, dtype=bool)
    joined[figure.first[firm], figure.second[firm]] = True
    joined |= joined.T
    found = []
    for point in range(len(joined)):
        later = np.flatnonzero(joined[point])
        later = later[later > point]
        a, b = np.nonzero(np.triu(joined[np.ix_(later, later)], 1))
        found.append(np.stack([np.full(len(a), point), later[a], later[b]], axis=1))
    triples = np.concatenate(found) if found else np.empty((0, 3), np.int64)
    place = figure.guide[triples]
    near, far = place[:, 1] - place[:, 0], place[:, 2] - place[:, 0]
    turned = near[:, 0] * far[:, 1] - near[:, 1] * far[:, 0] < 0.0
    triples[turned] = triples[turned][:, [0, 2, 1]]
    return triples


def corners_of(figure: Figure, triples: Ints, *, struts: Floats, cables: Floats) -> Corners:
    """The corners of the triples that are not thin; `struts` and `cables` (P,) bound each pair's flat distance."""
    hub, start, end = (np.concatenate([np.roll(triples, -k, axis=1)[:, i] for k in range(3)]) for i in range(3))
    to_start = figure.guide[start] - figure.guide[hub]
    to_end = figure.guide[end] - figure.guide[hub]
    cross = to_start[:, 0] * to_end[:, 1] - to_start[:, 1] * to_end[:, 0]
    guide = np.arctan2(cross, np.sum(to_start * to_end, axis=1))
    thick = np.tile(guide.reshape(3, -1).min(axis=0) > THINNEST, 3)
    triple = np.tile(np.arange(len(triples)), 3)
    hub, start, end, guide, triple = hub[thick], start[thick], end[thick], guide[thick], triple[thick]
    one, two, across = figure.table[hub, start], figure.table[hub, end], figure.table[start, end]
    first, second = (struts[one], cables[one]), (struts[two], cables[two])
    return Corners(
        hub, start, end, one, two, triple, guide,
        least_angle(first, second, struts[across]) - ANGLE_ROUNDING,
        greatest_angle(first, second, cables[across]) + ANGLE_ROUNDING,
    )  # fmt: skip


def in_proven_order(figure: Figure, corners: Corners, *, struts: Floats, cables: Floats) -> Corners:
    """The corners of those triples that are tied together by order tests: the largest such set."""
    count = len(figure.guide)
    # For each hub and start of a triple, the corner whose angle is nearest to the open step.
    key = corners.hub * count + corners.start
    order = np.lexsort((np.abs(corners.guide - OPEN_STEP), key))
    best = order[np.flatnonzero(np.diff(key[order], prepend=-1))]
    following = np.full(count * count, -1)
    following[key[best]] = best
    onward = following[corners.hub * count + corners.end]
    place = np.flatnonzero(onward >= 0)
    onward = onward[place]
    chord = figure.table[corners.start[place], corners.end[onward]]
    place, onward, chord = place[chord >= 0], onward[chord >= 0], chord[chord >= 0]
    one, two = corners.to_start[place], corners.to_end[onward]
    both = least_angle((struts[one], cables[one]), (struts[two], cables[two]), struts[chord]) - ANGLE_ROUNDING
    passed = (both > corners.greatest[onward] - corners.least[place]) & (
        both > corners.greatest[place] - corners.least[onward]
    )
    ties = np.stack([corners.triple[place[passed]], corners.triple[onward[passed]]], axis=1)
    group = components(ties, int(corners.triple.max(initial=-1)) + 1)
    kept = group[corners.triple] == np.argmax(np.bincount(group[corners.triple], minlength=1))
    return Corners(*(getattr(corners, name)[kept] for name in Corners.__dataclass_fields__))


def turning_bounds(corners: Corners, *, gauge: int, count: int) -> tuple[Floats, Floats] | None:
    """Bounds (count,) of each pair's turning θ, infinite where nothing is known; None where none can be had at all.

    None says that no map of the spread exists. The gauge is a pair of some corner.
    """
    up, down = corners.greatest - corners.guide, corners.least - corners.guide
    source = np.concatenate([corners.to_start, corners.to_end])
    target = np.concatenate([corners.to_end, corners.to_start])
    order = np.argsort(target, kind="stable")
    source, target = source[order], target[order]
    rise, fall = np.concatenate([up, -down])[order], np.concatenate([down, -up])[order]
    starts = np.flatnonzero(np.diff(target, prepend=-1))
    reached = target[starts]
    low, high = np.full(count, -np.inf), np.full(count, np.inf)
    low[gauge] = high[gauge] = 0.0
    for _ in range(ROUNDS):
        lows, highs = low[source] + fall, high[source] + rise
        within = (lows > -np.pi) & (highs < np.pi)
        new_low, new_high = low.copy(), high.copy()
        new_low[reached] = np.maximum(low[reached], np.maximum.reduceat(np.where(within, lows, -np.inf), starts))
        new_high[reached] = np.minimum(high[reached], np.minimum.reduceat(np.where(within, highs, np.inf), starts))
        if (new_low > new_high).any():
            return None
        if np.array_equal(new_low, low) and np.array_equal(new_high, high):
            break
        low, high = new_low, new_high
    return low, high
