"""What a finished piece is to measure: report.json's rings, and what is told of the maker's own correction."""

from __future__ import annotations

import hashlib
import json
import re
import tomllib
from dataclasses import dataclass
from typing import Any

from flatten.findings import Message, message
from flatten.leather.trial_line import TrialLine
from flatten.report.model import JobReport, LimbReport

UPRIGHT, LEVEL = 0.94, 0.34
"""Shares of a line's length that lead up the limb: above the first it runs within 20° up it, below the second round."""


def digest(job_text: bytes) -> str:
    """What tells the making of one job file from that of another: the first 16 digits of its settings' SHA-256.

    The files of one making bear the same; a report that was left over from an earlier one is so told from it. Paths
    count by their last names, for they change where the files are moved. Raises ValueError where `job_text` is no TOML.
    """
    table = _unplaced(tomllib.loads(job_text.decode("utf8")))
    return hashlib.sha256(json.dumps(table, sort_keys=True).encode()).hexdigest()[:16]


def _unplaced(value: Any) -> Any:
    """A table of settings with each text's last part alone, where slashes part it."""
    if isinstance(value, dict):
        return {key: _unplaced(each) for key, each in value.items()}
    if isinstance(value, list):
        return [_unplaced(each) for each in value]
    return re.split(r"[/\\]", value)[-1] if isinstance(value, str) else value


def finished_numbers(limb: LimbReport, *, correction: float) -> dict[str, Any]:
    """report.json's `finished` of one limb's pieces: girths (mm) of the base closed as it is worn, gaps included.

    `sides` are those that pieces are cut for. Each ring has the girth of the inside that the pattern is drawn for, that
    which the finished piece is to have, and the latter by a tape over the outside; they differ by the maker's own
    `correction`, a share.
    """
    return {
        "sides": sides_of(limb),
        "correction": correction,
        "gaps": limb.gaps,
        "rings": [
            {
                "name": ring.name,
                "height": ring.height,
                "drawn": ring.drawn,
                "foretold": ring.foretold,
                "foretold_outside": ring.outside - ring.corrected,
            }
            for ring in limb.rings
        ],
        "line": None if limb.trial is None else _line(*limb.trial),
    }


def _line(piece: str, line: TrialLine) -> dict[str, Any]:
    return {
        "piece": piece,
        "length": line.length,
        "stretch": line.growth,
        "foretold": line.flesh,
        "height": line.height,
        "bearing": line.bearing,
        "up": line.up,
    }


def way_of(up: float) -> str:
    """Which way a line runs that leads up the limb by the share `up` of its length: "up", "round" or "slanting"."""
    return "up" if up > UPRIGHT else "round" if up < LEVEL else "slanting"


def sides_of(limb: LimbReport) -> list[str]:
    """The sides that the pieces of a limb are cut for: its own, and the other where they are mirrored."""
    own = limb.limb.side
    return [own, "right" if own == "left" else "left"] if limb.mirrored else [own]


@dataclass(frozen=True)
class RingRow:
    """One line of the table: a ring's name, height and girth to come, mm, as text."""

    name: Message
    height: str
    foretold: str


@dataclass(frozen=True)
class FinishedShown:
    """What the page tells of the finished piece: the figure beside its heading, sentences, how to measure, rings."""

    figure: Message
    told: tuple[Message, ...]
    how: Message
    rows: tuple[RingRow, ...]


def finished_shown(report: JobReport) -> FinishedShown:
    """What the page tells of the first limb's finished pieces, the rings from the top down."""
    first = report.limbs[0]
    rows = tuple(
        RingRow(
            message("finished.ring", ring=ring.name),
            f"{ring.height:.0f}".replace("-", "\N{MINUS SIGN}"),
            f"{ring.foretold:.0f}",
        )
        for ring in reversed(first.rings)
        if ring.name
    )
    how = message("finished.how", taped="inside", gaps=first.gaps)
    figure = message("finished.fold", rings=len(rows))
    return FinishedShown(figure, tuple(finished_messages(report)), how, rows)


def finished_messages(report: JobReport) -> list[Message]:
    """What the maker's own correction does to the girths, and which line to draw on the leather before it is formed."""
    first, told = report.limbs[0], []
    rings = first.rings
    if first.trial is not None:
        piece, line = first.trial
        told.append(
            message(
                "finished.line",
                piece=piece,
                length=line.length,
                where=first.limb.kind.at(line.height, line.bearing),
                way=way_of(line.up),
                stretch=line.growth - 1.0,
                foretold=line.flesh,
            )
        )
    if not report.finished or not rings:
        return told
    widest = next((ring for ring in rings if ring.name == "widest"), max(rings, key=lambda ring: ring.drawn))
    own = message("finished.in force", share=report.finished, girth=widest.corrected, foretold=widest.foretold)
    return [own, *told]
