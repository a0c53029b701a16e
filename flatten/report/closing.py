"""How the pieces are closed, in messages and numbers: seams and their ease."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from flatten.findings import Finding, Message, Place, finding, message
from flatten.limb.kind import LimbKind
from flatten.pattern.limb_words import BESIDE_SEAM
from flatten.pattern.model import Join
from flatten.pattern.seam_names import seam_bearing
from flatten.pattern.strap_places import STRAPS_APART
from flatten.report.model import LimbReport

EASED = 0.03
"""Share of its length by which one side of a seam may be longer and still be eased in unseen: common practice, the
figure from memory."""


TOLD_EASE = 1.0
"""mm. A side of a seam that is longer by less is not told of: an eyelet, a rivet or a stitch has as much play."""


def join_messages(limb: LimbReport) -> list[Message]:
    """How each seam and dart of a limb is closed."""
    return [
        join_message(
            join,
            kind=limb.limb.kind,
            pieces=limb.names,
            called=limb.called(join.name),
            bearing=seam_bearing(join.name, limb.flat_panels),
        )
        for join in limb.joins
    ]


def join_message(
    join: Join, *, kind: LimbKind, pieces: Sequence[str] = (), called: str = "", bearing: float | None = None
) -> Message:
    """How one seam or dart of a limb of this kind is closed, and the ease where its sides are not equally long.

    `pieces` are the names of the limb's pieces; those that it joins are named where they are two. `called` is the key
    of what it is called where that is not its name; where its `bearing` (rad) is known its longer side is told by the
    limb's side that lies there.
    """
    before, after = join.panels
    return message(
        "seam.closed",
        seam=called or join.name,
        pieces=(pieces[before], pieces[after]) if before != after and pieces else None,
        closing=join.kind,
        count=join.count,
        strap=join.strap,
        slotted=join.slotted,
        strip=join.strip > 0.0,
        pitch=join.pitch,
        buckles=join.buckle != "",
        buckled=pieces[before if join.buckle == "before" else after] if before != after and pieces else None,
        heights=tuple(f"{height:.0f}" for height in join.heights),
        usual=STRAPS_APART if join.placed == "rule" else None,
        skive=None if join.skive is None else message("seam.skive", left=join.skive.left, width=join.skive.width),
        ease=_ease(join, kind, bearing) if join.ease >= TOLD_EASE or _too_much(join) else None,
    )


def _ease(join: Join, kind: LimbKind, bearing: float | None) -> Message:
    before, after = join.lengths
    front, outside, *_ = kind.sides
    aside = -BESIDE_SEAM if before > after else BESIDE_SEAM
    return message(
        "seam.ease",
        front=front,
        outside=outside,
        longer="before" if before > after else "after",
        towards=None if bearing is None else kind.side_at(bearing + aside),
        ease=join.ease,
        length=min(before, after),
        closing=join.kind,
        too_much=_too_much(join),
    )


def seam_findings(limb: LimbReport) -> list[Finding]:
    """The seams and darts that cannot meet: one side is longer than can be eased in."""
    return [
        finding(
            "seam.unequal",
            "stop",
            place=Place(part=join.name),
            seam=limb.called(join.name),
            ease=join.ease,
            length=min(join.lengths),
        )
        for join in limb.joins
        if _too_much(join)
    ]


def _too_much(join: Join) -> bool:
    """Whether one side is longer than can be eased in unseen."""
    return join.ease > EASED * min(join.lengths)


def seam_numbers(join: Join) -> dict[str, Any]:
    """One entry of report.json's `seams`."""
    return {
        "name": join.name,
        "kind": join.kind,
        "pairs": join.count,
        "diameter": join.diameter,
        "pitch": join.pitch,
        "strap": join.strap or None,
        "slotted": join.slotted,
        "buckles": join.buckle or None,
        "heights": list(join.heights),
        "length_before": join.lengths[0],
        "length_after": join.lengths[1],
        "ease": join.ease,
        "skive": None if join.skive is None else {"left": join.skive.left, "width": join.skive.width},
        "stack": join.stack,
    }
