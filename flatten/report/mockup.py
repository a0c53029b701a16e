"""What is told of a mock-up: what it is for, and where its sheet cannot close."""

from __future__ import annotations

from typing import Any

from flatten.findings import Message, message
from flatten.leather.unclosed import Unclosed
from flatten.report.model import LimbReport, MockupReport

MOST_TOLD = 12
"""Regions in which a sheet cannot close that are told in the report, the worst first: all of one piece."""

MOST_ON_SHEET = 3
"""Those that are told on the mock-up's own sheets: there is room for no more."""


def mockup_messages(limb: LimbReport) -> list[Message]:
    """What a limb's mock-up is for and where its sheet cannot close; none without a mock-up."""
    mockup = limb.mockup
    if mockup is None:
        return []
    return [message("mock-up.lies", sheet=mockup.sheet, thickness=mockup.thickness), *unclosed_messages(mockup)]


def unclosed_messages(mockup: MockupReport, *, most: int = MOST_TOLD) -> list[Message]:
    """Where a mock-up's sheet cannot close and why, the worst places first, so many at `most`."""
    several = len(mockup.pieces) > 1
    found = [
        (piece.name if several else None, each)
        for piece, own in zip(mockup.pieces, mockup.unclosed, strict=True)
        for each in own
    ]
    if not found:
        return [message("mock-up.closes", sheet=mockup.sheet)]
    found.sort(key=lambda one: -abs(one[1].short))
    why = message("mock-up.why", sheet=mockup.sheet, gives=mockup.gives)
    return [why, *(_misfit(each, piece) for piece, each in found[:most])]


def _misfit(each: Unclosed, piece: str | None) -> Message:
    if each.short > 0.0:
        return message("mock-up.short", piece=piece, side=each.side, level=each.level, run=each.way, by=each.short)
    by = -each.short
    return message("mock-up.long", piece=piece, side=each.side, level=each.level, run=each.way, by=by, off=each.off)


def mockup_numbers(mockup: MockupReport) -> dict[str, Any]:
    """report.json's `mockup` of one limb; mm. `short` below 0: too long, standing `off`."""
    return {
        "material": mockup.sheet,
        "thickness": mockup.thickness,
        "gives": mockup.gives,
        "pieces": [piece.name for piece in mockup.pieces],
        "unclosed": [
            {
                "piece": piece.name,
                "region": f"{each.side}, {each.level}",
                "way": each.way,
                "short": each.short,
                "off": each.off,
            }
            for piece, own in zip(mockup.pieces, mockup.unclosed, strict=True)
            for each in own
        ],
    }
