"""What a finished piece is to measure: report.json's rings, and what is told of the maker's own correction."""

from __future__ import annotations

import hashlib
from typing import Any

from flatten.findings import Message, message
from flatten.report.model import JobReport, LimbReport


def digest(job_text: bytes) -> str:
    """What tells the making of one job file from that of another: the first 16 digits of job.toml's SHA-256.

    The files of one making bear the same; a report that was left over from an earlier one is so told from it.
    """
    return hashlib.sha256(job_text).hexdigest()[:16]


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
    }


def sides_of(limb: LimbReport) -> list[str]:
    """The sides that the pieces of a limb are cut for: its own, and the other where they are mirrored."""
    own = limb.limb.side
    return [own, "right" if own == "left" else "left"] if limb.mirrored else [own]


def finished_messages(report: JobReport) -> list[Message]:
    """What the maker's own correction does to the girths, in sentences; none where there is none."""
    rings = report.limbs[0].rings
    if not report.finished or not rings:
        return []
    widest = next((ring for ring in rings if ring.name == "widest"), max(rings, key=lambda ring: ring.drawn))
    return [message("finished.in force", share=report.finished, girth=widest.corrected, foretold=widest.foretold)]
