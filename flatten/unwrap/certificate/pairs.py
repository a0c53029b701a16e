"""Pairs: distances that no flat figure can have all at once, domes and saddles together.

Suppose that a flat map f has spread ≤ s, E = e^s, and is turned so that the gauge does not turn. For each pair of
sample points i, j put v = f(j) − f(i). It is known (`struts`, `turning`) that
    n · v ≤ E' d for every unit vector n,   E' the map's own ratio of greatest to least flat / worn, E' ≤ E (cable),
    |v| ≥ m, and the direction of v lies between φ − w and φ + w,
so, for w < π/2,
    n(φ) · v ≥ m cos w (strut),   n(φ − w + π/2) · v ≥ 0,   n(φ + w − π/2) · v ≥ 0 (sides).
All these are linear in the positions f(i) and E'. The least E' that they allow is found by a linear programme, with
cable directions added where a solution breaks one. Its value is not trusted: its multipliers y ≥ 0, one for each row
    a · v ≤ c E' + b,
are taken as a stress and weighed again. Adding the rows up, with F_i = Σ ± y a the force left over at point i,
    Σ F_i · f(i) ≤ E' Σ y c + Σ y b.
Put f of the first point at 0; then |f(i)| ≤ E' D_i, D_i the length of any chain of pairs that leads there, and
    E' ≥ −Σ y b / (Σ y c + Σ |F_i| D_i).
That holds for any y ≥ 0 whatever: the forces need not balance exactly, and what is left of them is charged. So either
the spread exceeds s, or it is at least the logarithm of that ratio: in all cases
    spread ≥ min(s, log ratio(s)).
The greater s, the looser struts and turning; so the best s is where both are equal, and a few are tried.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, NamedTuple

import numpy as np
from scipy.optimize import linprog
from scipy.sparse import coo_array, csr_array
from scipy.sparse.csgraph import dijkstra

from flatten.mesh.surface import Floats, Ints
from flatten.unwrap.certificate.model import CertificateError
from flatten.unwrap.certificate.struts import Pairs, strut_lengths
from flatten.unwrap.certificate.turning import (
    FIRM,
    Corners,
    Figure,
    corners_of,
    figure_of,
    in_proven_order,
    triples_of,
    turning_bounds,
)

TRIALS = 3
"""Spreads that are assumed in turn; the second already lies within 2 % of where assumption and result meet."""

SLOPE = -0.4
"""How much the result falls for a rise of the assumption by 1, until two results give it: met on limbs."""

CUTS = 5
"""Rounds in which broken cables are added to the programme; later rounds add below 1 % of the bound."""

BROKEN = 1e-5
"""Share of a length by which a cable or strut is broken before its row is added."""

ROAM = 0.1
"""Share of the figure's size by which the programme may move a point from its place in the guiding map. It keeps loose
points from running away while their rows are still missing; the multipliers are weighed without it."""

SETTLED = 1e-3
"""Rise of the programme's logarithm, as a share of itself, below which no more rows are added."""

GAUGES = 3
"""Pairs tried as gauge: each costs a tenth of a second, more bring below 1 %."""

NEAR = 0.35
"""Share of the farthest known distance within which pairs are in the programme from the start."""

INFEASIBLE = 2
"""scipy's status of a linear programme whose rows contradict one another."""

SUMS = 1e-9
"""Share by which the weighed ratio is lowered: a hundred times what rounding does to sums of ten thousand terms."""


@dataclass(frozen=True, eq=False)
class PairBound:
    """The bound, and each pair's (P,) part in it: below 0 where the pair is held apart, above 0 where together.

    All 0 where no stress gave the bound: no map of that spread can turn as all pairs together ask.
    """

    bound: float
    load: Floats


@dataclass(frozen=True, eq=False)
class _Rows:
    """Rows (r) a · v ≤ c E' + b on `pair`: a = (x, y), c `cable`, b `right`."""

    pair: Ints
    x: Floats
    y: Floats
    cable: Floats
    right: Floats

    def join(self, other: _Rows) -> _Rows:
        return _Rows(
            *(np.concatenate([getattr(self, name), getattr(other, name)]) for name in _Rows.__dataclass_fields__)
        )

    def take(self, index: Ints) -> _Rows:
        return _Rows(*(getattr(self, name)[index] for name in _Rows.__dataclass_fields__))


@dataclass(frozen=True, eq=False)
class _Known:
    """What is known of each pair (P) at an assumed spread: cable, strut, direction φ and half-width w."""

    cable: Floats
    strut: Floats
    direction: Floats
    half: Floats


def _normal_rows(known: _Known, pair: Ints, angle: Floats) -> _Rows:
    zero = np.zeros(len(pair))
    return _Rows(pair, np.cos(angle), np.sin(angle), known.cable[pair], zero)


def _fixed_rows(known: _Known) -> _Rows:
    """Strut and side rows of every pair whose direction is known, and its cable along that direction."""
    pair = np.flatnonzero(known.half < 0.5 * np.pi)
    angle, half, zero = known.direction[pair], known.half[pair], np.zeros(len(pair))
    rows = _normal_rows(known, pair, angle)
    firm = known.strut[pair] > 0.0
    struts = _Rows(pair, -np.cos(angle), -np.sin(angle), zero, -known.strut[pair] * np.cos(half)).take(
        np.flatnonzero(firm)
    )
    right = _Rows(pair, np.sin(angle - half), -np.cos(angle - half), zero, zero)
    left = _Rows(pair, -np.sin(angle + half), np.cos(angle + half), zero, zero)
    return rows.join(struts).join(right).join(left)


def _offsets(first: Ints, second: Ints, place: Floats, pair: Ints) -> Floats:
    return place[second[pair]] - place[first[pair]]


def _slack(rows: _Rows, figure: Figure, place: Floats, ratio: float) -> Floats:
    """How far (r,) each row is from being broken; below 0 where it is."""
    v = _offsets(figure.first, figure.second, place, rows.pair)
    return rows.cable * ratio + rows.right - rows.x * v[:, 0] - rows.y * v[:, 1]


def _least_ratio(rows: _Rows, figure: Figure, roam: float) -> tuple[Floats, float, Floats] | None:
    """Positions (N,2), the least E' that the rows allow, and their multipliers (r,); None where the guiding map is so
    far from any other that no positions near it keep to the rows."""
    points, count = len(figure.guide), len(rows.pair)
    row = np.tile(np.arange(count), 5)
    first, second = 2 * figure.first[rows.pair], 2 * figure.second[rows.pair]
    column = np.concatenate([second, second + 1, first, first + 1, np.full(count, 2 * points)])
    value = np.concatenate([rows.x, rows.y, -rows.x, -rows.y, -rows.cable])
    # scipy's stubs know neither a sparse matrix nor an array of bounds in a linear programme.
    matrix: Any = coo_array((value, (row, column)), shape=(count, 2 * points + 1)).tocsr()
    cost = np.zeros(2 * points + 1)
    cost[-1] = 1.0
    middle = (figure.guide - figure.guide[0]).ravel()
    bounds: Any = np.stack([np.append(middle - roam, 0.0), np.append(middle + roam, np.inf)], axis=1)
    bounds[:2] = 0.0
    found: Any = linprog(cost, A_ub=matrix, b_ub=rows.right, bounds=bounds, method="highs-ipm")
    if found.status == INFEASIBLE:
        return None
    if found.status != 0:
        raise CertificateError(f"the linear programme of {count} rows was not solved: {found.message}")
    return found.x[:-1].reshape(-1, 2), float(found.x[-1]), np.maximum(-found.ineqlin.marginals, 0.0)


def weighed_ratio(rows: _Rows, weight: Floats, *, figure: Figure, far: Floats) -> float:
    """The bound on E' that multipliers (r,) ≥ 0 prove, whatever they are; `far` (N,) are the D_i. 0 where none."""
    force = np.zeros((len(figure.guide), 2))
    for axis, part in enumerate((rows.x, rows.y)):
        force[:, axis] = np.bincount(figure.second[rows.pair], weight * part, len(force))
        force[:, axis] -= np.bincount(figure.first[rows.pair], weight * part, len(force))
    above = -float(weight @ rows.right)
    below = float(weight @ rows.cable) + float(np.hypot(*force.T) @ far)
    return above / below * (1 - SUMS) if below > 0.0 else 0.0


def _programme(figure: Figure, known: _Known, far: Floats) -> tuple[float, Floats]:
    """The best ratio that multipliers prove, and the load (P,) of each pair in it."""
    fixed, cuts = _fixed_rows(known), _normal_rows(known, np.empty(0, np.int64), np.empty(0))
    scale, every = known.cable[fixed.pair], np.arange(len(known.cable))
    active = np.flatnonzero(scale <= NEAR * known.cable.max())
    before = -np.inf
    for _ in range(CUTS):
        rows = fixed.take(active).join(cuts)
        solved = _least_ratio(rows, figure, ROAM * float(far.max()))
        if solved is None:
            return 0.0, np.zeros(len(every))
        place, ratio, weight = solved
        value = float(np.log(ratio)) if ratio > 0.0 else -np.inf
        broken = np.flatnonzero(_slack(fixed, figure, place, ratio) < -BROKEN * scale)
        v = _offsets(figure.first, figure.second, place, every)
        long = np.flatnonzero(np.hypot(*v.T) > known.cable * ratio * (1 + BROKEN))
        if value <= before + SETTLED * abs(before) or not (len(broken) or len(long)):
            break
        before = value
        active = np.union1d(active, broken)
        cuts = cuts.join(_normal_rows(known, long, np.arctan2(v[long, 1], v[long, 0])))
    pull = weight * np.where(rows.right < 0.0, rows.right, rows.cable)
    load = np.asarray(np.bincount(rows.pair, pull, len(known.cable)), np.float64)
    return weighed_ratio(rows, weight, figure=figure, far=far), load


def _known_at(pairs: Pairs, figure: Figure, spread: float, *, load: Floats, unit: float) -> _Known | None:
    """What a map of this spread must keep to; None where there is none. The gauge is chosen by `load` (P,).

    Lengths are in `unit`s, so that the linear programme's tolerances mean the same on every panel.
    """
    struts, cables = strut_lengths(pairs, spread) / unit, pairs.cables / unit
    stretched = cables * np.exp(spread)
    triples = triples_of(figure, struts > FIRM * cables)
    corners = corners_of(figure, triples, struts=struts, cables=stretched)
    corners = in_proven_order(figure, corners, struts=struts, cables=stretched)
    low, high = np.full(len(cables), -np.inf), np.full(len(cables), np.inf)
    if len(corners.hub):
        bounds = _best_turning(corners, len(cables), load)
        if bounds is None:
            return None
        low, high = bounds
    known = np.isfinite(low)
    middle = np.where(known, 0.5 * (np.where(known, low, 0.0) + np.where(known, high, 0.0)), 0.0)
    half = np.where(known, 0.5 * (np.where(known, high, np.pi) - np.where(known, low, -np.pi)), np.pi)
    return _Known(cables, struts, figure.direction + middle, half)


def _best_turning(corners: Corners, count: int, load: Floats) -> tuple[Floats, Floats] | None:
    """The turning bounds from the gauge, among the most loaded pairs, that leaves loaded pairs least free to turn."""
    usable = np.unique(corners.to_start)
    weight = np.maximum(-load, 0.0)
    gauges = usable[np.argsort(-weight[usable], kind="stable")[:GAUGES]]
    best, least = None, np.inf
    for gauge in gauges:
        bounds = turning_bounds(corners, gauge=int(gauge), count=count)
        if bounds is None:
            return None
        low, high = bounds
        half = np.minimum(0.5 * (high - low), 0.5 * np.pi)
        loss = float(weight @ (1 - np.cos(half)))
        if loss < least:
            best, least = bounds, loss
    return best


class _Trial(NamedTuple):
    """A spread that was assumed, and the bound that follows from it."""

    assumed: float
    result: float


def best_pairs(pairs: Pairs, *, guide: Floats, floor: float, ceiling: float) -> PairBound:
    """The best bound that the pairs give, tried at spreads between `floor` and `ceiling`.

    `guide` (N,2) are the points in some flat map; a map of spread `ceiling` exists or is supposed to. The bound is 0
    where there is one point or where no chain of pairs joins them all.

    Raises CertificateError where a linear programme is not solved.
    """
    graph = coo_array((pairs.cables, (pairs.first, pairs.second)), shape=(len(guide), len(guide)))
    far = dijkstra(csr_array(graph), directed=False, indices=np.zeros(1, np.int64))[0]
    unit, best = float(far.max()), PairBound(0.0, np.zeros(len(pairs.first)))
    if not 0.0 < unit < np.inf:
        return best
    figure, far = figure_of(guide / unit, pairs.first, pairs.second), far / unit
    # Before any load is known, the most inward and then longest pairs are the likeliest gauges.
    load = -np.minimum(pairs.to_boundary[pairs.first], pairs.to_boundary[pairs.second]) * pairs.distances
    assumed = max(floor, 0.8 * ceiling)
    last: _Trial | None = None
    carried = best.load
    for _ in range(TRIALS):
        known = _known_at(pairs, figure, assumed, load=load, unit=unit)
        if known is None:
            return PairBound(assumed, carried)
        ratio, load = _programme(figure, known, far)
        carried = load
        result = float(np.log(ratio)) if ratio > 0.0 else 0.0
        if min(assumed, result) > best.bound:
            best = PairBound(min(assumed, result), load)
        slope = SLOPE
        if last is not None and assumed != last.assumed:
            slope = min(max((result - last.result) / (assumed - last.assumed), -2.0), 0.0)
        last = _Trial(assumed, result)
        assumed = (result - slope * assumed) / (1 - slope)
        if assumed <= 0.0:
            break
    return best
