"""How the pieces are closed, in words and numbers: seams, their ease, and the hardware to buy."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from flatten.limb.kind import LimbKind
from flatten.pattern.hardware import STRAP_HOLE_PITCH, STRAP_HOLES, Hardware
from flatten.pattern.model import Join
from flatten.report.words import mm

EASED = 0.03
"""Share of its length by which one side of a seam may be longer and still be eased in unseen: common practice, the
figure from memory."""

_TAKEN_UP = {
    "laced": "the lace takes that up",
    "strapped": "the straps take that up",
    "riveted": "ease it in evenly from rivet to rivet",
    "stitched": "ease it in evenly from stitch to stitch",
}
_TOO_MUCH = (
    "that is more than can be eased in unseen, and the edges will not meet there; close it in paper first, "
    "and move the seam or the edge’s heights beside it until both sides are nearly equal"
)


def join_sentences(join: Join, *, kind: LimbKind, pieces: Sequence[str] = ()) -> str:
    """How one seam or dart of a limb of this kind is closed, and the ease where its sides are not equally long.

    `pieces` are the names of the limb's pieces; those that it joins are named where they are two.
    """
    held = "drawn through slots and riveted back on themselves" if join.slotted else "each end held by two rivets"
    made = {
        "laced": f"laced through {join.count} pairs of eyelets",
        "strapped": f"closed by {join.count} straps {join.strap:g} mm wide, {held}",
        "riveted": f"riveted in {join.count} places",
        "stitched": f"stitched through {join.count} holes on each side",
    }[join.kind]
    if join.strip:
        made += " to a strip beneath it" if join.kind == "stitched" else " on each side to a strip beneath it"
    pitch = f"{join.pitch:.1f} mm" if join.kind == "stitched" else mm(join.pitch)
    told = f"“{join.name}” is "
    if len({*join.panels}) > 1 and pieces:
        one, other = (pieces[panel] for panel in join.panels)
        told = f"“{join.name}” joins “{one}” to “{other}”: "
    told += f"{made}, {pitch} apart."
    if join.buckle:
        told += " The buckles belong on the side that says so."
    if not join.ease:
        return f"{told} Its two sides are equally long."
    before, after = join.lengths
    front, outside, *_ = kind.sides
    longer = "before" if before > after else "after"
    much = join.ease > EASED * min(before, after)
    return (
        f"{told} Going round from the {front} over the {outside}, the leather {longer} it is {join.ease:.1f} mm longer "
        f"over {mm(min(before, after))}: {_TOO_MUCH if much else _TAKEN_UP[join.kind]}."
    )


def hardware_sentence(hardware: Hardware) -> str:
    """One line of the shopping list."""
    count, size = hardware.count, hardware.size
    several = "" if count == 1 else "s"
    text = {
        "eyelet": f"{count} eyelet{several} for holes of {size:g} mm",
        "rivet": f"{count} rivet{several} with a post of about {size:.0f} mm; try one on scraps of the same thickness",
        "lace": f"{count} lace{several} of about {_metres(size)}, criss-crossed, with ends to tie",
        "thread": f"about {_metres(size * count)} of waxed thread, four times the length stitched, for two needles",
        "strap": (
            f"{count} strap{several} {mm(size)} long with {STRAP_HOLES} holes, {STRAP_HOLE_PITCH:.0f} mm apart; the "
            "middle hole closes it as planned"
        ),
        "buckle strap": (f"{count} buckle{several}, each on a strap of {mm(size)} folded round its bar"),
        "strip": f"{count} strip{several} of the same leather beneath it, {mm(size)} long{_wide(hardware.width)}",
    }[hardware.name]
    return f"“{hardware.seam}”: {text}."


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
        "length_before": join.lengths[0],
        "length_after": join.lengths[1],
        "ease": join.ease,
    }


def hardware_numbers(found: Sequence[Hardware]) -> list[dict[str, Any]]:
    """report.json's `hardware`: what to buy, by seam."""
    return [
        {"name": one.name, "seam": one.seam, "count": one.count, "size": one.size, "width": one.width or None}
        for one in found
    ]


def _wide(width: float) -> str:
    return f" and {mm(width)} wide at the edge" if width else ""


def _metres(size: float) -> str:
    return f"{size / 1000.0:.1f} m"
