"""The formers as report and report.json tell them: how large, in which files, and what is to be heeded."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from flatten.findings import Finding, Message, Place, finding, message
from flatten.former.model import Former, Part
from flatten.former.names import part_names, rib_names
from flatten.pattern.path import length

MM3_PER_LITRE = 1.0e6
"""mm³ in a litre."""


TOLD = 1.0
"""mm. A former that ends so much sooner than it was asked to is as good as asked."""


def former_messages(formers: Sequence[Former]) -> list[Message]:
    """What is told of formers, in order: what they are, each one's files, and how they are used."""
    if not formers:
        return []
    first = formers[0]
    plan = first.plan
    told = [message("former.what", past=plan.past, low=first.low, high=first.high)]
    for former in formers:
        if former.parts:
            told.append(_parts(former, formers))
        if former.ribs is not None:
            told.append(_ribs(former, formers))
    if plan.printed:
        told.append(message("former.engraved"))
        if len(first.parts) > 1:
            told.append(message("former.pegs", clearance=plan.clearance))
        told.append(message("former.hollow", wall=plan.wall) if plan.wall else message("former.solid"))
    if plan.ribbed:
        told.append(message("former.bevel", cover=plan.cover))
    if plan.springback:
        told.append(message("former.sprung", springback=plan.springback, girths=tuple(_less(first))))
    else:
        told.append(message("former.not sprung"))
    return told


def former_findings(formers: Sequence[Former]) -> list[Finding]:
    """What is to be looked at: formers that end too soon, seams that do not stay open on them; and the caution."""
    if not formers:
        return []
    first = formers[0]
    asked = first.plan.past
    short = [
        finding("former.short", "look", place=Place(part=edge), edge=edge, past=asked - miss, asked=asked)
        for edge, miss in zip(("bottom edge", "top edge"), first.short, strict=True)
        if miss > TOLD
    ]
    closed = [
        finding(
            "former.closed",
            "look",
            place=Place(part=seam.seam),
            seam=seam.seam,
            gap=seam.gap,
            less=seam.less,
            most=seam.most,
        )
        for seam in first.closed
    ]
    return [*short, *closed, finding("former.caution", "note")]


def former_numbers(formers: Sequence[Former]) -> list[dict[str, Any]]:
    """report.json's `former`: one entry for each side that a former is made for; lengths mm, volumes mm³."""
    return [_numbers(former, formers) for former in formers]


def _numbers(former: Former, formers: Sequence[Former]) -> dict[str, Any]:
    ribs = former.ribs
    return {
        "side": former.side,
        "low": former.low,
        "high": former.high,
        "past": former.plan.past,
        "short": {"bottom": former.short[0], "top": former.short[1]},
        "springback": former.plan.springback,
        "girths": [
            {"name": name, "height": height, "inner": inner, "former": own}
            for name, height, inner, own in former.girths
        ],
        "wall": former.plan.wall or None,
        "parts": [_part(part, name) for part, name in zip(former.parts, part_names(former, formers), strict=True)],
        "volume": sum(part.volume for part in former.parts) if former.parts else None,
        "ribs": None
        if ribs is None
        else {
            "files": list(rib_names(former, formers)),
            "board": former.plan.board,
            "heights": list(ribs.heights),
            "spines": len(ribs.spines),
            "cut_length": sum(length(piece.outline) for piece in (*ribs.ribs, *ribs.spines)),
        },
    }


def _part(part: Part, name: str) -> dict[str, Any]:
    return {
        "file": name,
        "size": list(part.size),
        "volume": part.volume,
        "pegs": part.pegs,
        "holes": part.holes,
        "turned": part.turned,
        "moved": list(part.moved),
    }


def _parts(former: Former, formers: Sequence[Former]) -> Message:
    names = part_names(former, formers)
    wide, deep, tall = (max(part.size[k] for part in former.parts) for k in range(3))
    return message(
        "former.printed",
        side=former.side,
        count=len(names),
        first=names[0],
        last=names[-1],
        wide=wide,
        deep=deep,
        tall=tall,
        litres=sum(part.volume for part in former.parts) / MM3_PER_LITRE,
    )


def _ribs(former: Former, formers: Sequence[Former]) -> Message:
    assert former.ribs is not None
    drawing, sheets = rib_names(former, formers)
    ribs = former.ribs
    return message(
        "former.ribbed",
        side=former.side,
        ribs=len(ribs.ribs),
        spines=len(ribs.spines),
        apart=(ribs.heights[-1] - ribs.heights[0]) / max(len(ribs.heights) - 1, 1),
        board=former.plan.board,
        play=former.plan.play,
        drawing=drawing,
        sheets=sheets,
    )


def _less(former: Former) -> list[Message]:
    return [
        message("former.girth", landmark=name, girth=own, less=inner - own) for name, _, inner, own in former.girths
    ]
