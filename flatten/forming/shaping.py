"""A flat shape chosen so that the leather comes to rest within its limits when it is let go on the limb.

The worst of what is asked anywhere, in patches, along lines and along rims, is made the least by linear programs over
smooth changes of the flat shape, each within a trust region, from the exact sensitivities of the place of rest.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from scipy.optimize import linprog

from flatten.forming.asked import Asker, Lines, lines_beyond
from flatten.forming.errors import FormingError
from flatten.forming.sensitivity import moves_by, tensors_by
from flatten.forming.settling import Settled, settled
from flatten.forming.sheet import Sheet
from flatten.mesh.surface import Flags, Floats, Ints

ROUNDS = 8
"""Linear programs at most; most panels are within their limits after 1 to 4."""

TRUST = 1.0
"""mm. The most that one of the changes may be in one round."""

LEAST_TRUST = 0.1
"""mm. Where no better shape is found within it, none is sought further."""

GAIN = 3e-4
"""Log-excess. A round that gains less, within the limits, is the last."""

NEAR = 0.06
"""Log-excess. What is asked less than the worst by more than this cannot become the worst in one round."""

FIRST_ROWS, MORE_ROWS = 300, 200
"""Rows of what is asked that a linear program begins with, and that are added at once."""

MISSED = 1e-5
"""Log-excess by which a row that is left out of the linear program may be beyond its worst."""

CHANGED = 3e-5
"""Log-excess that a mm of each change is worth: of shapes that do alike, that nearest to the first is taken."""

PASSED = 0.01
"""Log-excess that a mm is worth by which an edge, or a joined side's length, is further off than it may."""

RIM_OFF = 1.6
"""mm. How far along the limb an edge of the piece may come to rest from where the limb's edge was set: half of what
its thickness hides."""

LENGTH_OFF = 0.15
"""mm. How far the length along a side that is joined to another may change: well within what stitches take up."""

DIFFERENCE = 1e-3
"""mm. Of flat changes by which rims' and sides' sensitivities are told as differences."""


@dataclass(frozen=True, eq=False)
class Member:
    """A panel whose flat shape is changed: its sheet, the vertices (V,) that are held, its flat `places` (V,2) and
    their possible changes, the `fields` (K,V,2), in the grain's frame, mm; `rims` (n,) are the vertices on the limb's
    edges, and `joined` those along each side whose length must stay."""

    sheet: Sheet
    held: Flags
    places: Floats
    fields: Floats
    rims: Ints
    joined: tuple[Ints, ...]
    asker: Asker

    def changed(self, amounts: Floats) -> Floats:
        """The flat places (V,2) with the changes by their amounts (K,), mm."""
        return self.places + np.tensordot(amounts, self.fields, 1)

    def lengths(self, places: Floats) -> Floats:
        """Lengths (n,), mm, along all joined sides, from each side's beginning to each of its vertices."""
        runs = [np.cumsum(np.hypot(*np.diff(places[side], axis=0).T)) for side in self.joined]
        return np.concatenate([np.zeros(0), *runs])


@dataclass(frozen=True, eq=False)
class Shape:
    """Panels with their flat shape changed by `amounts` (K,), mm, at rest, and the worst that they are asked."""

    amounts: Floats
    sheets: tuple[Sheet, ...]
    askers: tuple[Asker, ...]
    rests: tuple[Settled, ...]
    excess: float
    rounds: int = 0


@dataclass(eq=False)
class _Memory:
    """Lines sighted in all rounds: without the earlier ones each round would undo what the last has gained."""

    lines: list[Lines | None] = field(default_factory=list)


def shaped(members: Sequence[Member], *, enough: float, first: Sequence[Floats] = (), rounds: int = ROUNDS) -> Shape:
    """The panels' common changes that make the worst they are asked at rest the least, or `enough` (log-excess).

    Amounts (K,) that are to be tried `first` are begun from where they are better than none, and kept where they do.
    `rounds` are the linear programs at most.

    Raises FormingError where a panel does not come to rest as it is.
    """
    memory = _Memory([None] * len(members))
    best = _at(members, np.zeros(len(members[0].fields)), [one.sheet.start for one in members], memory)
    for amounts in first:
        if best.excess <= enough:
            return best
        there = _tried(members, best, amounts - best.amounts, memory)
        best = there if there is not None and there.excess < best.excess else best
    trust, tried = TRUST, 0
    while tried < rounds and best.excess > enough and trust >= LEAST_TRUST:
        tried += 1
        foretold, step = _step(members, best, memory, trust)
        if best.excess - foretold < GAIN:
            break
        there = _tried(members, best, step, memory)
        best = replace(best, excess=_excess(members, best, memory))
        gain = -np.inf if there is None else best.excess - there.excess
        share = gain / (best.excess - foretold)
        if there is not None and gain > 0.0:
            best = replace(there, rounds=tried)
        trust *= 0.4 if share < 0.25 else 2.0 if share > 0.75 else 1.0
    return best


def _tried(members: Sequence[Member], best: Shape, step: Floats, memory: _Memory) -> Shape | None:
    """The panels with their shape changed further; None where they do not come to rest so."""
    try:
        return _at(members, best.amounts + step, [rest.places for rest in best.rests], memory)
    except FormingError:
        return None


def _at(members: Sequence[Member], amounts: Floats, starts: Sequence[Floats], memory: _Memory) -> Shape:
    """The panels at rest with changes of the amounts (K,), from worn places (V,2); their lines are remembered."""
    sheets = tuple(one.sheet.reshaped(one.changed(amounts)) for one in members)
    askers = tuple(one.asker.reshaped(one.changed(amounts)) for one in members)
    rests = tuple(
        settled(sheet, start, held=one.held) for one, sheet, start in zip(members, sheets, starts, strict=True)
    )
    for n, (one, sheet, rest) in enumerate(zip(members, sheets, rests, strict=True)):
        new = askers[n].sighted(one.changed(amounts), sheet.elements.faces, sheet.tensors(rest.places))
        old = memory.lines[n]
        memory.lines[n] = new if old is None else old.and_those(new)
    found = Shape(amounts, sheets, askers, rests, np.inf)
    return replace(found, excess=_excess(members, found, memory))


def _excess(members: Sequence[Member], shape: Shape, memory: _Memory) -> float:
    return max(float(_asked(one, shape, n, memory).max()) for n, one in enumerate(members))


def _asked(member: Member, shape: Shape, number: int, memory: _Memory) -> Floats:
    """All that a panel is asked (R,): patches, lines, rims."""
    sheet, asker, rest = shape.sheets[number], shape.askers[number], shape.rests[number]
    lines = memory.lines[number]
    assert lines is not None
    tensors = sheet.tensors(rest.places)
    patches, _, _ = asker.patches(sheet.elements, tensors)
    rims = asker.rims(member.changed(shape.amounts), sheet.points(rest.places))
    return np.concatenate([patches, lines_beyond(lines, tensors)[0], rims])


def _step(members: Sequence[Member], shape: Shape, memory: _Memory, trust: float) -> tuple[float, Floats]:
    """The worst that is foretold with the best change of the amounts, and that change (K,)."""
    asked, slopes, kept, most = (
        np.concatenate(each) for each in zip(*(_linear(*one, memory) for one in _of_each(members, shape)), strict=True)
    )
    # Of all that is asked only some binds: rows are added until none that is left out would be beyond the worst.
    taken = np.argsort(-asked, kind="stable")[:FIRST_ROWS]
    while True:
        worst, step = _least_worst(asked[taken], slopes[taken], kept, most, shape.amounts, trust)
        beyond = asked + slopes @ step - worst
        beyond[taken] = -np.inf
        more = np.argsort(-beyond, kind="stable")[:MORE_ROWS]
        more = more[beyond[more] > MISSED]
        if not len(more):
            return worst, step
        taken = np.concatenate([taken, more])


def _least_worst(
    asked: Floats, slopes: Floats, kept: Floats, most: Floats, amounts: Floats, trust: float
) -> tuple[float, Floats]:
    """The least z, and the step x (K,) within the trust, with asked + slopes·x <= z and kept·x <= most.

    What has passed its most already comes back as far as it can.
    """
    many = slopes.shape[1]
    # The unknowns: the step, the worst, how much is passed by, and the size of each amount after the step.
    none, one = np.zeros((len(asked), many)), np.eye(many)
    rows = np.vstack(
        [
            np.column_stack([slopes, -np.ones(len(asked)), np.zeros(len(asked)), none]),
            np.column_stack([kept, np.zeros(len(kept)), -np.ones(len(kept)), np.zeros((len(kept), many))]),
            np.column_stack([one, np.zeros((many, 2)), -one]),
            np.column_stack([-one, np.zeros((many, 2)), -one]),
        ]
    )
    aim = np.concatenate([np.zeros(many), [1.0, PASSED], np.full(many, CHANGED)])
    bounds = [(-trust, trust)] * many + [(None, None), (0.0, None)] + [(0.0, None)] * many
    most = np.concatenate([-asked, most, -amounts, amounts])
    found = linprog(aim, A_ub=rows, b_ub=most, bounds=bounds, method="highs")
    if found.x is None or found.status != 0:
        raise FormingError(f"no better flat shape is found: {found.message}")
    return float(found.x[many]), np.asarray(found.x)[:many]


def _of_each(members: Sequence[Member], shape: Shape) -> list[tuple[Member, Shape, int]]:
    return [(one, shape, number) for number, one in enumerate(members)]


def _linear(member: Member, shape: Shape, number: int, memory: _Memory) -> tuple[Floats, Floats, Floats, Floats]:
    """What a panel is asked (R,) that is near the worst, its slopes (R,K); and rows (M,K) of what must stay, with the
    most (M,) that they may come to."""
    sheet, asker, rest = shape.sheets[number], shape.askers[number], shape.rests[number]
    lines = memory.lines[number]
    assert lines is not None
    places, points = member.changed(shape.amounts), sheet.points(rest.places)
    tensors = sheet.tensors(rest.places)
    moves = moves_by(sheet, rest, member.fields, held=member.held)
    changes, grown = tensors_by(sheet, rest.places, member.fields, moves)
    patches, means, weights = asker.patches(sheet.elements, tensors)
    along, line_weights = lines_beyond(lines, tensors)
    rims = asker.rims(places, points)
    near = shape.excess - NEAR
    taken = np.flatnonzero(patches > near)
    swelling = asker.patch_slopes(sheet.elements, tensors, means, changes, grown)
    patch_slopes = np.einsum("rk,nrk->rn", weights[taken], swelling[:, taken % len(means)])
    chosen = np.flatnonzero(along > near)
    line_slopes = np.einsum("rsk,nrsk->rn", line_weights[chosen], changes[:, lines.faces[chosen]])
    rim_slopes, length_slopes = [], []
    for way, move in zip(member.fields, moves, strict=True):
        ends = []
        for h in (DIFFERENCE, -DIFFERENCE):
            flat = places + h * way
            ends.append((asker.rims(flat, sheet.points(rest.places + h * move)), member.lengths(flat)))
        rim_slopes.append((ends[0][0] - ends[1][0]) / (2 * DIFFERENCE))
        length_slopes.append((ends[0][1] - ends[1][1]) / (2 * DIFFERENCE))
    close = np.flatnonzero(rims > near)
    off = rest.places[member.rims, 0] - member.sheet.start[member.rims, 0]
    up = moves[:, member.rims, 0].T
    longer, lengths = member.lengths(places) - member.lengths(member.places), np.array(length_slopes).T
    return (
        np.concatenate([patches[taken], along[chosen], rims[close]]),
        np.vstack([patch_slopes, line_slopes, np.array(rim_slopes).T[close]]),
        np.vstack([up, -up, lengths, -lengths]),
        np.concatenate([RIM_OFF - off, RIM_OFF + off, LENGTH_OFF - longer, LENGTH_OFF + longer]),
    )
