"""The search for advice: every change tried on a coarse mesh, the best of them confirmed on a finer one."""

from __future__ import annotations

import heapq
import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field

from flatten.advice.changes import cased, combined, ladders_of
from flatten.advice.edges import Move, edge_change, grown, moves_of, shifts_of
from flatten.advice.lines import changed_lines
from flatten.advice.model import LEAST_GAIN, Advice, Asked, Change, Gain, Ladder
from flatten.advice.trial import Trial, all_asked, can_be_drawn, least_opening, promised, tried
from flatten.advice.wearer import COARSE, CONFIRMED, Wearer
from flatten.findings import Message, message
from flatten.job.design import Design
from flatten.job.pieces import dressed
from flatten.job.resolve import resolve
from flatten.job.settings import Job
from flatten.leather.limits import PRESETS
from flatten.leather.model import LeatherLimits
from flatten.measuring import Found
from flatten.mesh.surface import MeshError
from flatten.steps import Announce
from flatten.unwrap.model import UnwrapError
from flatten.worn.panel import CutError

LOOKING, TRYING, CONFIRMING = "step.see", "step.try", "step.confirm"
STEPS = (LOOKING, TRYING, CONFIRMING)
"""What `advice` announces, in order; the last two only where advice is needed."""

ASIDE_WORK = 6.0
"""Points for each thing about wearing that a change makes worse: more than for a dart, as a strap with its buckle is
more work than a dart, and is felt. An opinion."""

LOST = 0.005
"""Share of the limb that a change leaves bare, from which on it is told: less would be written as 0 %."""

MOST_ADVICE = 3
"""Pieces of advice: each is confirmed, which takes a second, and nobody reads more."""


def advice(
    job: Job,
    founds: Sequence[Found],
    *,
    limits: LeatherLimits,
    laid: Sequence[Trial] = (),
    now: Asked | None = None,
    announce: Announce = lambda step: None,
) -> tuple[Advice, ...]:
    """What to change where leather cannot follow or only just follows, the best for its cost first; else nothing.

    `founds` are the limbs that the job makes pieces for, one or two, and `laid` the job laid flat for each on a mesh of
    CONFIRMED mm, where that is done already; `now` is what the pieces ask as they are made. Changes are tried on all
    limbs, and what they ask together is told.

    Changes after which the leather follows come before those that only help, and then goes what gains most room for its
    cost; before all of them the limb's own shape, where only equal halves keep the pieces beyond their limits. Each was
    confirmed by cutting the changed job and laying it flat on meshes of 8 mm, and what is told of it is what the pieces
    then ask; no dart in it overlaps when flat. One of them is a combination where no single change was enough.

    Raises CutError or MeshError where the job as it is makes no panels, UnwrapError or StretchError where one cannot be
    laid flat, PatternError where a seam's holes cannot be, LimbError where the limb has no widest place.
    """
    announce(LOOKING)
    if not laid:
        designs = [resolve(job, found.limb, skin=found.skin) for found in founds]
        laid = [tried(design, dressed(design), limits=limits, edge_length=CONFIRMED) for design in designs]
    before = all_asked(laid)
    if before.clear:
        return ()
    announce(TRYING)
    limbs = [Wearer(found, own) for found, own in zip(founds, laid, strict=True)]
    limbs.sort(key=lambda limb: -limb.laid.asked.excess)
    search = _Search(job, limits, tuple(limbs))
    candidates = search.candidates(ladders_of(job, limbs[0].laid), before)
    announce(CONFIRMING)
    given = []
    if limits.in_force is PRESETS["dry"].in_force:
        # Casing changes nothing about how a piece is worn.
        given += _confirmed(search, [(cased(job), [])], before, most=1, now=now or before)
    left = MOST_ADVICE - len(given)
    given += _confirmed(search, search.by_wearing(candidates), before, most=left, now=now or before)
    return tuple(sorted(given, key=_rank))


_Weighed = tuple[Change, Gain, float]


@dataclass(frozen=True, eq=False)
class _Search:
    """A job, its limits, and the limbs that it is made for, the one that asks most first.

    `known` keeps what changes came to on the coarse mesh, `designs` what they ask for on each limb, both by what is
    told of them; None where that cannot be.
    """

    job: Job
    limits: LeatherLimits
    limbs: tuple[Wearer, ...]
    known: dict[tuple[Message, ...], Asked | None] = field(default_factory=dict)
    designs: dict[tuple[Message, ...], tuple[Design, ...] | None] = field(default_factory=dict)

    def resolved(self, change: Change) -> tuple[Design, ...] | None:
        """What the changed job asks for on each limb; None where an edge or a seam of it cannot be."""
        if change.messages not in self.designs:
            job = change.apply(self.job)
            try:
                self.designs[change.messages] = tuple(limb.resolved(job) for limb in self.limbs)
            except CutError:
                self.designs[change.messages] = None
        return self.designs[change.messages]

    def trial(self, change: Change, *, edge_length: float) -> tuple[Trial, ...] | None:
        """The changed job laid flat on each limb; None where it makes no panels, or one of its new darts overlaps when
        flat."""
        designs = self.resolved(change)
        if designs is None:
            return None
        try:
            laid = tuple(
                limb.tried(design, limits=self.limits_after(change), edge_length=edge_length)
                for limb, design in zip(self.limbs, designs, strict=True)
            )
        except (CutError, MeshError, UnwrapError):
            return None
        flats = [flat for one in laid for flat in one.flats]
        openings = [least_opening(flat, name) for flat in flats for name in change.darts]
        if not all(flat.converged for flat in flats) or any(o is not None and o < 0.0 for o in openings):
            return None
        return laid

    def limits_after(self, change: Change) -> LeatherLimits:
        """The limits in force once a change is made."""
        return PRESETS["cased"] if change.family == "limits" else self.limits

    def promised(self, change: Change, laid: Sequence[Trial]) -> tuple[Trial, ...] | None:
        """A confirmed change laid flat nearly as finely as files are made; None where that cannot be."""
        try:
            return tuple(promised(own, limits=self.limits_after(change)) for own in laid)
        except (CutError, MeshError, UnwrapError):
            return None

    def _rungs(self, ladder: Ladder, before: Asked) -> list[_Weighed]:
        """The changes of a ladder that bring enough, up to the first after which the leather follows."""
        rungs: list[_Weighed] = []
        for change in ladder:
            rung = self._weighed(change, before)
            if rung is None:
                # More of what brings next to nothing is not tried.
                break
            rungs.append(rung)
            if rung[1].after.clear:
                break
        return rungs

    def _weighed(self, change: Change, before: Asked) -> _Weighed | None:
        """A change with what it brings on the coarse mesh and its cost; None where that is not worth while."""
        gain = self._coarse(change, before)
        return (change, gain, _cost(change, gain)) if gain is not None and gain.worthwhile else None

    def candidates(self, ladders: Sequence[Ladder], before: Asked) -> list[_Weighed]:
        """Changes that bring enough on the coarse mesh, the best first: one a ladder, and combinations at need."""
        rungs = [self._rungs(ladder, before) for ladder in ladders]
        # What edges bring is known already, set by set.
        rungs.append([rung for change in self.edges(before) if (rung := self._weighed(change, before))])
        weighed = [min(ladder, key=lambda rung: _order(*rung)) for ladder in rungs if ladder]
        weighed.sort(key=lambda one: _order(*one))
        if not any(gain.after.clear for _, gain, _ in weighed):
            for change in _combinations(weighed):
                gain = self._coarse(change, before)
                # It must bring more than the best of its parts, which is one of those weighed.
                alone = max(part_gain.drop for _, part_gain, _ in weighed)
                if gain is not None and gain.worthwhile and gain.drop >= alone + LEAST_GAIN:
                    weighed.append((change, gain, _cost(change, gain)))
        return sorted(weighed, key=lambda one: _order(*one))

    def by_wearing(self, weighed: Sequence[_Weighed]) -> Iterator[tuple[Change, list[Message]]]:
        """Changes and what is worse about wearing each, that being part of the cost by which they come.

        How one is worn is looked at only when its turn comes, and then it waits for those that now come before it.
        """
        queue = [(_order(*one), number) for number, one in enumerate(weighed)]
        worse: dict[int, list[Message]] = {}
        while queue:
            _, number = heapq.heappop(queue)
            change, gain, cost = weighed[number]
            if number in worse:
                yield change, worse[number]
            elif (messages := self._worse(change)) is not None:
                worse[number] = messages
                heapq.heappush(queue, (_order(change, gain, cost + ASIDE_WORK * len(messages)), number))

    def _worse(self, change: Change) -> list[Message] | None:
        """What is worse about wearing the changed job; None where it cannot be worn at all."""
        designs = self.resolved(change)
        if designs is None:
            return None
        messages: list[Message] = []
        for limb, design in zip(self.limbs, designs, strict=True):
            worse = limb.worse(design)
            if worse is None:
                return None
            messages += worse if len(self.limbs) == 1 else [_on(limb.found.limb.side, one) for one in worse]
        return messages

    def edges(self, before: Asked) -> Ladder:
        """Edges moved where that brings most: at a quarter, at one more, and so on."""
        design = self.limbs[0].laid.design
        half, most = shifts_of(design)
        as_it_is = all_asked(
            limb.tried(limb.laid.design, limits=self.limits, edge_length=COARSE) for limb in self.limbs
        )

        def change(moves: Sequence[Move], by: float) -> Change:
            return edge_change(design, moves, by)

        def drop(moves: Sequence[Move]) -> float | None:
            gain = self._coarse(change(moves, most), as_it_is)
            return None if gain is None else gain.drop

        def enough(moves: Sequence[Move]) -> bool:
            gain = self._coarse(change(moves, most), before)
            return gain is not None and gain.after.clear

        sets = grown(moves_of(design), drop=drop, enough=enough)
        # Where the last of them is more than enough, half of it may be.
        return (*(change(moves, half) for moves in sets[-1:]), *(change(moves, most) for moves in sets))

    def _coarse(self, change: Change, before: Asked) -> Gain | None:
        if change.messages not in self.known:
            made = self.trial(change, edge_length=COARSE)
            self.known[change.messages] = None if made is None else all_asked(made)
        after = self.known[change.messages]
        return None if after is None else Gain(before, after)


def _combinations(weighed: Sequence[_Weighed]) -> list[Change]:
    """The two best changes that do not touch the same thing, the two strongest, and the strongest of every family."""
    best = _one_a_family([change for change, _, _ in weighed])
    strong = _one_a_family([c for c, _, _ in sorted(weighed, key=lambda one: -one[1].drop)])
    sets = [best[:2], strong[:2], strong[:3]]
    different = {frozenset(change.messages for change in changes): changes for changes in sets if len(changes) > 1}
    return [combined(changes) for changes in different.values()]


def _one_a_family(changes: Sequence[Change]) -> list[Change]:
    firsts: dict[str, Change] = {}
    for change in changes:
        # Whatever moves an edge may move the other one too.
        firsts.setdefault("edge" if change.family.endswith("edge") else change.family, change)
    return list(firsts.values())


def _confirmed(
    search: _Search, changes: Iterable[tuple[Change, list[Message]]], before: Asked, *, most: int, now: Asked
) -> list[Advice]:
    """Advice from the first changes that hold on the fine mesh; with each comes what it makes worse.

    What each brings is told as what its pieces will ask, against what they ask `now`.
    """
    given: list[Advice] = []
    for change, worse in changes:
        laid = search.trial(change, edge_length=CONFIRMED)
        if laid is None:
            continue
        if not Gain(before, all_asked(laid)).worthwhile or not all(can_be_drawn(own) for own in laid):
            continue
        made = search.promised(change, laid)
        if made is None:
            continue
        gain = Gain(before, all_asked(made))
        job = change.apply(search.job)
        told = _gain_message(Gain(now, gain.after), limbs=len(search.limbs))
        messages = (change.sentence, *_for_both(search, job), told, *worse)
        cost = _cost(change, gain) + ASIDE_WORK * len(worse)
        first = _undoes_what_costs_the_limits(change, gain)
        flats = tuple(flat for own in made for flat in own.flats)
        given.append(Advice(messages, changed_lines(search.job, job), job, gain, flats, cost, first))
        if len(given) == most:
            break
    return given


def _on(side: str, worse: Message) -> Message:
    return message("advice.worse on", limb=side, said=worse)


def _for_both(search: _Search, job: Job) -> list[Message]:
    """Whose heights the moved edges have where a job is made for two limbs: each had the trade's own for it before."""
    moved = any(getattr(job.edges, edge) != getattr(search.job.edges, edge) for edge in ("bottom", "top"))
    if len(search.limbs) == 1 or not moved:
        return []
    side, too = (limb.found.limb.side for limb in search.limbs)
    return [message("advice.heights", side=side, too=too)]


def _cost(change: Change, gain: Gain) -> float:
    lost = 100.0 * max(0.0, 1.0 - gain.after.area / gain.before.area)
    return change.work + lost


_Order = tuple[bool, bool, bool, float]


def _order(change: Change, gain: Gain, cost: float) -> _Order:
    return _placed(gain, cost, first=_undoes_what_costs_the_limits(change, gain))


def _placed(gain: Gain, cost: float, *, first: bool) -> _Order:
    """First what brings the piece inside its limits, then by the room that it gains for its cost."""
    return not first, not gain.after.clear, not gain.after.fits, -gain.drop / cost


def _undoes_what_costs_the_limits(change: Change, gain: Gain) -> bool:
    """Whether the pieces lie beyond their limits for their equal halves alone, and the change gives these up."""
    return change.family == "symmetry" and gain.brings_inside


def _rank(given: Advice) -> _Order:
    return _placed(given.gain, given.cost, first=given.first)


def _gain_message(gain: Gain, *, limbs: int) -> Message:
    """What a change brings to one or two limbs: what their pieces ask before it and after it."""
    before, after = gain.before, gain.after
    lost = 1.0 - after.area / before.area
    return message(
        "advice.gain",
        stretch=after.stretch,
        stretched=before.stretch,
        squeeze=after.squeeze,
        squeezed=before.squeeze,
        lost=lost if lost >= LOST else None,
        limbs=limbs,
        judged=_judged(after),
    )


def _judged(after: Asked) -> Message:
    """Whether the leather follows after a change, and by how much it does or does not."""
    aside = abs(math.expm1(after.beyond))
    if after.overlaps:
        return message("advice.still overlaps")
    if after.clear:
        return message("advice.spare", by=aside)
    if after.fits:
        return message("advice.only just")
    return message("advice.still beyond", by=aside)
