"""What it took to make pieces symmetrical, in messages and numbers."""

from __future__ import annotations

from typing import Any

from flatten.findings import Message, message
from flatten.limb.kind import LimbKind, quarter_at
from flatten.pattern.symmetry import Evened
from flatten.report.model import LimbReport

SEEN = 0.5
"""mm. Less than a knife's wander is told as nothing."""


def symmetry_messages(report: LimbReport) -> list[Message]:
    """How far the halves of each symmetrical piece moved, and how far its centre line sits off the limb's own line."""
    names = [panel.flat.panel.name for panel in report.panels if panel.part == "base"]
    return [_evened(entry, names, kind=report.limb.kind) for entry in report.even]


def _evened(entry: Evened, names: list[str], *, kind: LimbKind) -> Message:
    moved = message("report.moved", most=entry.moved, mean=entry.mean)
    if entry.moved < SEEN:
        moved = message("report.hardly moved", most=entry.moved)
    if entry.panel != entry.mate:
        return message("report.mirror images", piece=names[entry.panel], mate=names[entry.mate], moved=moved)
    piece = None if len(names) == 1 else names[entry.panel]
    line = line_message(entry, kind=kind)
    where = message("report.centred", line=line)
    if entry.off >= SEEN:
        where = message("report.off centre", line=line, off=entry.off, where=kind.at_height(entry.height))
    return message("report.equal halves", piece=piece, moved=moved, line=where)


def line_message(entry: Evened, *, kind: LimbKind) -> Message:
    """The limb's line that a centre line is told against: "the line of the shin"."""
    if kind.front_line is not None and quarter_at(entry.line) == 0:
        return message("report.line", line=kind.front_line)
    return message("report.middle", side=kind.side_at(entry.line))


def symmetry_numbers(report: LimbReport) -> list[dict[str, Any]]:
    """report.json's `symmetry`: which panels are mirror images, and what that took, mm; empty where none was made."""
    names = [panel.flat.panel.name for panel in report.panels if panel.part == "base"]
    return [
        {
            "panel": names[entry.panel],
            "mirror_image": names[entry.mate],
            "moved_max": entry.moved,
            "moved_mean": entry.mean,
            "centre_off": None if entry.panel != entry.mate else entry.off,
            "centre_off_height": None if entry.panel != entry.mate else entry.height,
        }
        for entry in report.even
    ]
