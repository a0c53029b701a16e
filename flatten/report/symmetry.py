"""What it took to make pieces symmetrical, in words and numbers."""

from __future__ import annotations

from typing import Any

from flatten.limb.kind import LimbKind, quarter_at
from flatten.limb.words import height_words
from flatten.pattern.symmetry import Evened
from flatten.report.model import LimbReport
from flatten.words.say import name

SEEN = 0.5
"""mm. Less than a knife's wander is told as nothing."""


def symmetry_sentences(report: LimbReport) -> list[str]:
    """How far the halves of each symmetrical piece moved, and how far its centre line sits off the limb's own line."""
    names = [panel.flat.panel.name for panel in report.panels]
    return [_sentence(entry, names, kind=report.limb.kind) for entry in report.even]


def _sentence(entry: Evened, names: list[str], *, kind: LimbKind) -> str:
    pair = entry.panel != entry.mate
    alone = "The piece" if len(names) == 1 else f"The piece “{names[entry.panel]}”"
    what = f"{alone} and the piece “{names[entry.mate]}” were made mirror images" if pair else f"{alone} has two equal"
    halves = "of one another" if pair else "halves"
    if entry.moved < SEEN:
        told = f"{what} {halves}, as the limb nearly has them: no border moved by more than {entry.moved:.1f} mm."
    else:
        told = (
            f"{what} {halves}: to meet half-way, the border of each moved by {entry.moved:.1f} mm at most and "
            f"{entry.mean:.1f} mm on average."
        )
    if pair:
        return told
    line = line_name(entry, kind=kind)
    if entry.off < SEEN:
        return f"{told} Worn, its centre line lies on {line}."
    return f"{told} Worn, its centre line sits up to {entry.off:.1f} mm off {line}, {height_words(kind, entry.height)}."


def line_name(entry: Evened, *, kind: LimbKind) -> str:
    """The limb's line that a centre line is told against: "the line of the shin"."""
    if kind.front_line is not None and quarter_at(entry.line) == 0:
        return name(kind.front_line)
    return f"the middle of the {kind.side_at(entry.line)}"


def symmetry_numbers(report: LimbReport) -> list[dict[str, Any]]:
    """report.json's `symmetry`: which panels are mirror images, and what that took, mm; empty where none was made."""
    names = [panel.flat.panel.name for panel in report.panels]
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
