"""What to buy for the pieces, in messages, findings and numbers: by what it is for, and in all."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

from flatten.findings import Finding, Message, Place, finding, message
from flatten.pattern.hardware import Hardware
from flatten.pattern.sizes import LINE, SOLD_BY_HOLE, buckle_fits, buckles_beside, is_sold, sold_for
from flatten.pattern.strap_lengths import PIN_SLOT, STRAP_HOLE, STRAP_THICKNESS, StrapCut


def use_message(one: Hardware, *, called: Callable[[str], str] = str) -> Message:
    """What one use takes: the size to ask for, and how a lace's or a strap's length comes about; `called` gives the key
    of what a seam is called."""
    return message(
        "hardware.use",
        item=one.name,
        joined=one.what,
        seam=called(one.seam),
        count=one.count,
        length=one.length,
        sold=one.sold,
        hole=one.hole,
        width=one.width,
        cut=None if one.cut is None else _cut_message(one.cut),
        lace=_lace_message(one) if one.parts else None,
    )


def _lace_message(one: Hardware) -> Message:
    crossings, crossing, apart, tail = one.parts
    return message("hardware.lace", crossings=round(crossings), crossing=crossing, apart=apart, tail=tail)


def _cut_message(cut: StrapCut) -> Message:
    return message(
        "hardware.strap",
        parts=tuple(message("hardware.strap part", strap_part=part, length=length) for part, length in cut.parts),
        rivets=tuple(f"{at:.0f}" for at in cut.rivets),
        holes=tuple(f"{at:.0f}" for at in cut.holes),
        hole=STRAP_HOLE,
        planned=cut.planned,
        pin=cut.pin,
        pin_slot=PIN_SLOT,
    )


def total_message(one: Hardware) -> Message:
    """One line of the shopping list: everything of one size, whatever it is for."""
    return message(
        "hardware.total",
        total=one.name,
        count=one.count,
        length=one.length,
        sold=one.sold,
        hole=one.hole,
        inner=one.inner,
        flange=one.flange,
        width=one.width,
        lines=round(one.flange / LINE),
        thickness=STRAP_THICKNESS,
    )


def hardware_findings(found: Sequence[Hardware], *, called: Callable[[str], str] = str) -> list[Finding]:
    """Holes and straps that nothing sold goes with, each size once, with what is nearest; `called` is as above."""
    told: dict[tuple[str, float], Finding] = {}
    for one in found:
        place = Place(part=one.seam)
        if one.name in SOLD_BY_HOLE and not is_sold(one.name, one.hole):
            near = sold_for(one.name, one.hole)
            told.setdefault(
                (one.name, one.hole),
                finding(
                    "hardware.hole",
                    "look",
                    place=place,
                    item=one.name,
                    seam=called(one.seam),
                    hole=one.hole,
                    nearest=near.hole,
                    inner=near.inner,
                    flange=near.flange,
                ),
            )
        if one.name == "strap" and not buckle_fits(one.width):
            below, above = buckles_beside(one.width)
            told.setdefault(
                (one.name, one.width),
                finding(
                    "hardware.buckle",
                    "look",
                    place=place,
                    seam=called(one.seam),
                    width=one.width,
                    below=below,
                    above=above,
                ),
            )
    return list(told.values())


def use_numbers(found: Sequence[Hardware]) -> list[dict[str, Any]]:
    """report.json's `hardware`: what to buy, by what it is for."""
    return [
        {
            "name": one.name,
            "for": one.what,
            "seam": one.seam,
            "count": one.count,
            "size": one.size,
            **_sizes(one),
            "cut": None if one.cut is None else _cut_numbers(one.cut),
        }
        for one in found
    ]


def total_numbers(found: Sequence[Hardware]) -> list[dict[str, Any]]:
    """report.json's `hardware_total`: equal things of one size counted once."""
    return [{"name": one.name, "count": one.count, **_sizes(one)} for one in found]


def _sizes(one: Hardware) -> dict[str, Any]:
    sizes = ("length", "sold", "hole", "inner", "flange", "width")
    return {size: getattr(one, size) or None for size in sizes}


def _cut_numbers(cut: StrapCut) -> dict[str, Any]:
    return {
        "parts": [{"for": part, "length": length} for part, length in cut.parts],
        "rivets": list(cut.rivets),
        "holes": list(cut.holes),
        "planned": cut.planned,
        "pin": cut.pin,
    }
