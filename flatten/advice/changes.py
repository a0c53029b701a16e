"""What a maker can change, in ladders of growing size: edges, lips, lacing gap, seams, darts and slashes, thickness."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import count
from typing import Any

import numpy as np

from flatten.advice.edges import whole_edges
from flatten.advice.hollows import Hollow, hollows_of
from flatten.advice.model import Change, Ladder
from flatten.advice.trial import Trial
from flatten.findings import Message, message
from flatten.job.closings import DartSettings, SeamSettings
from flatten.job.settings import Job
from flatten.limb.kind import QUARTERS, LimbKind, Quarter
from flatten.units import length
from flatten.worn.curves import GAP_KINDS

GAP_WORK = 2.0
"""Points for a wider lacing gap: more of what is worn beneath shows. An opinion, as are the others here."""

FLARE_WORK = 1.0
"""Points for a lip that turns out less: less work at the former, but an edge that rubs sooner."""

SEAM_WORK = 12.0
"""Points for a further seam: two more edges to bevel, punch and stitch, and a line across the ornament."""

DART_WORK = 5.0
"""Points for a dart or a slash: a stop hole, and a row of stitches or two edges to finish."""

SHAPE_WORK = 1.0
"""Points for halves that differ: nothing more to make, but the guard is no more its own mirror image."""

THICKNESS_WORK = 3.0
"""Points for another thickness: another hide."""

CASED_WORK = 2.0
"""Points for casing: an hour of soaking and a day of drying."""

GAPS = (40.0, 60.0)
"""mm of lacing gap: what laces are usually let out to, and the widest that still reads as one. From memory."""

DEPTHS = (50.0, 80.0)
"""mm of depth of a dart or slash."""

PULL = 1.0
"""Depths of a cut that it lies from a laced or strapped side at least. What pulls there spreads in the leather by about
45°: so it passes beneath the cut's tip, and nearer by it would pull across the cut and open it. A rule of thumb."""

LEAST_TURNING = np.radians(2.0)
"""A place that turns by less is not worth a cut: 80 mm deep, its dart would open by less than 3 mm."""

OZ = length("2 oz", ounces=True)
"""mm. The trade sells leather in steps of an ounce or two."""

THINNEST, THICKEST = length("4 oz", ounces=True), length("12 oz", ounces=True)
"""mm. Between these, leather is formed into armour. Common practice."""


def ladders_of(job: Job, laid: Trial) -> tuple[Ladder, ...]:
    """All that can be changed about a job that was laid flat as `laid`, a ladder a family.

    A change raises CutError where it is applied to a job whose edges cannot be.
    """
    darts = [hollow for flat in laid.flats for hollow in hollows_of(flat, clear=PULL * DEPTHS[0])]
    ladders = (
        *whole_edges(laid.design),
        _gaps(job),
        *_flares(job),
        *_seams(job, laid),
        *_darts(job, darts, kind=laid.design.limb.kind),
        _own_shape(job),
        *_thicknesses(job),
    )
    return tuple(ladder for ladder in ladders if ladder)


def cased(job: Job) -> Change:
    """The change from dry to cased leather."""
    return Change(
        "limits",
        (message("advice.case"),),
        lambda job: _with(job, "leather", limits="cased"),
        CASED_WORK,
    )


def combined(changes: Sequence[Change]) -> Change:
    """Several changes as one, made in their order."""

    def apply(job: Job) -> Job:
        for change in changes:
            job = change.apply(job)
        return job

    return Change(
        " and ".join(change.family for change in changes),
        tuple(each for change in changes for each in change.messages),
        apply,
        sum(change.work for change in changes),
        tuple(name for change in changes for name in change.darts),
    )


def _gaps(job: Job) -> Ladder:
    """Wider gaps of all seams that are laced, strapped or open with a gap."""
    widened = [seam for seam in job.seam if seam.kind in GAP_KINDS and seam.gap > 0.0]
    if not widened:
        return ()
    opens = widened[0].kind if len(widened) == 1 else "several"

    def to(gap: float) -> Change:
        def apply(job: Job) -> Job:
            seams = (
                seam.model_copy(update={"gap": gap}) if seam.kind in GAP_KINDS and 0.0 < seam.gap < gap else seam
                for seam in job.seam
            )
            return job.model_copy(update={"seam": tuple(seams)})

        return Change("gap", (message("advice.gap", opens=opens, to=gap),), apply, GAP_WORK)

    return tuple(to(gap) for gap in GAPS if gap > min(seam.gap for seam in widened))


def _flares(job: Job) -> tuple[Ladder, ...]:
    """Less of a flared lip, then none of it, for each edge that has one."""

    def to(edge: str, asked: float, flare: float) -> Change:
        less = message("advice.flare", edge=edge, to=flare, before=asked)
        sentence = less if flare else message("advice.no flare", edge=edge, before=asked)

        def apply(job: Job) -> Job:
            return _with(job, "edges", flare=job.edges.flare.model_copy(update={edge: flare}))

        return Change(f"{edge} lip", (sentence,), apply, FLARE_WORK)

    asked = (("bottom", job.edges.flare.bottom), ("top", job.edges.flare.top))
    return tuple(tuple(to(edge, own, flare) for flare in (round(0.5 * own), 0)) for edge, own in asked if own)


def _seams(job: Job, laid: Trial) -> tuple[Ladder, ...]:
    """A further seam up the middle of the widest panel, or two that part it in three."""
    panel = max((flat.panel for flat in laid.flats), key=lambda panel: float(np.ptp(panel.bearings)))
    low, high = np.degrees(panel.bearings.min()), np.degrees(panel.bearings.max())
    middle = round(0.5 * (low + high))
    kind = laid.design.limb.kind
    one = _stitched(kind, [middle])
    # Two, at right angles to the middle, where the panel goes nearly all round.
    two = _stitched(kind, [middle + 90, middle - 90]) if high - low > 270.0 else ()
    return one, two


def _stitched(kind: LimbKind, bearings: Sequence[int]) -> Ladder:
    places = tuple(_place(kind, bearing) for bearing in bearings)

    def apply(job: Job) -> Job:
        for bearing in bearings:
            name = _free_name(job, _quarter(bearing) or f"seam at {bearing % 360}")
            seam = SeamSettings(name=name, along=_along(bearing), kind="stitched")
            job = job.model_copy(update={"seam": (*job.seam, seam)})
        return job

    return (Change("seam", (message("advice.seams", places=places),), apply, SEAM_WORK * len(places)),)


def _darts(job: Job, hollows: Sequence[Hollow], *, kind: LimbKind) -> tuple[Ladder, ...]:
    """A dart where an edge bulges most, a slash where it is most of a saddle; pairs where that is beside the middle."""
    ladders = []
    for sign in (1.0, -1.0):
        worst = max(hollows, key=lambda hollow: sign * hollow.turning, default=None)
        if worst is not None and sign * worst.turning > LEAST_TURNING:
            depths = [depth for depth in DEPTHS if worst.lace >= PULL * depth]
            ladders.append(tuple(_cut(job, worst, depth, kind=kind) for depth in depths))
    return tuple(ladders)


def _cut(job: Job, hollow: Hollow, depth: float, *, kind: LimbKind) -> Change:
    bearing = hollow.bearing_deg % 360
    aside = min(bearing % 180, 180 - bearing % 180) > 20
    bearings = [bearing, (360 - bearing) % 360] if aside else [bearing]
    slash = hollow.turning < 0.0
    # Worn as wide as its sides would overlap when flat, and 5 mm for the blade and the finish, in steps of 5 mm.
    opening = 5.0 * np.ceil(-hollow.turning * depth / 5.0) + 5.0 if slash else 0.0
    what = "slash" if slash else "dart"
    names: list[str] = []
    for _ in bearings:
        names.append(_free_name(job, what, taken=names))

    def apply(job: Job) -> Job:
        new = tuple(
            DartSettings(name=name, kind=what, edge=hollow.edge, along=_along(at), depth=depth, opening=opening)
            for name, at in zip(names, bearings, strict=True)
        )
        return job.model_copy(update={"dart": (*job.dart, *new)})

    apart = min(bearing, 360 - bearing)
    sentence = message(
        "advice.cut",
        cut=what,
        pair=aside,
        depth=depth,
        edge=hollow.edge,
        where=message("advice.aside", angle=apart, front=kind.sides[0]) if aside else _place(kind, bearing),
        opening=float(opening) if slash else None,
    )
    return Change(what, (sentence,), apply, DART_WORK * len(bearings), tuple(names))


def _own_shape(job: Job) -> Ladder:
    """The limb's own shape, where a piece was made symmetrical: its halves then need not meet half-way."""
    if job.piece.symmetry == "own shape":
        return ()
    messages = (message("advice.own shape"),)
    return (Change("symmetry", messages, lambda job: _with(job, "piece", symmetry="own shape"), SHAPE_WORK),)


def _thicknesses(job: Job) -> tuple[Ladder, ...]:
    ladders = []
    for step in (-OZ, OZ):
        thickness = round(job.leather.thickness + step, 1)
        if THINNEST <= thickness <= THICKEST:
            ladders.append((_of_thickness(thickness, thinner=step < 0.0),))
    return tuple(ladders)


def _of_thickness(thickness: float, *, thinner: bool) -> Change:
    return Change(
        "thickness",
        (message("advice.thickness", thinner=thinner, to=thickness),),
        lambda job: _with(job, "leather", thickness=thickness),
        THICKNESS_WORK,
    )


def _with(job: Job, table: str, **settings: Any) -> Job:
    """The job with settings of one of its tables changed."""
    return job.model_copy(update={table: getattr(job, table).model_copy(update=settings)})


def _along(bearing: int) -> Any:
    return _quarter(bearing) or float(bearing % 360)


def _quarter(bearing: int) -> Quarter | None:
    """The quarter whose middle lies at a bearing (degrees); None beside them."""
    return QUARTERS[bearing // 90 % 4] if bearing % 90 == 0 else None


def _place(kind: LimbKind, bearing: int) -> Message:
    quarter = _quarter(bearing)
    if quarter is None:
        return message("advice.at angle", angle=bearing % 360, front=kind.sides[0])
    return message("advice.at middle", side=kind.sides[QUARTERS.index(quarter)])


def _free_name(job: Job, name: str, *, taken: Sequence[str] = ()) -> str:
    used = {seam.name for seam in job.seam} | {dart.name for dart in job.dart} | set(taken)
    return next(free for n in count(1) if (free := name if n == 1 else f"{name} {n}") not in used)
