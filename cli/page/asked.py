"""What the questions of the work order have come to: answered, taken from the scan, as is usual, or open."""

from __future__ import annotations

import math
from typing import Literal

import numpy as np

from cli.page.kept import AgreedFront
from cli.page.known import SessionState
from cli.page.updates import LimbFound
from flatten.job.closings import SeamSettings
from flatten.job.fittings import MockupSettings
from flatten.job.formers import FormerSettings
from flatten.job.ornaments import OrnamentSettings
from flatten.job.settings import AUTO, EdgeHeights, EdgeSettings, Job, LeatherSettings, PieceSettings, WearSettings
from flatten.limb.model import Limb

Mark = Literal["answered", "look", "usual", "open"]
"""By the maker; from the scan, to be looked at; as is usual where nobody says; by nobody."""

GUESSED = "guessed"
"""How the unit of a scan was known that is told by the size of limbs alone."""


SAME_FRONT = math.radians(5.0)
"""rad. A front that is found within this of the one that was agreed to is the same: it is found to 3 or 4°, and whoever
looks sees no smaller turn [judgement]."""


def front_found(job: Job, limb: Limb) -> AgreedFront:
    """The front of a limb as the maker may agree to it."""
    x, y, z = limb.frame.axes[0].tolist()
    pick = job.scan.pick if isinstance(job.scan.pick, tuple) else None
    return AgreedFront(limb.kind.name, limb.side, (x, y, z), pick)


def front_agreed(current: SessionState) -> bool:
    """Whether the maker agreed to the front that is found now; another limb, side or direction is asked for anew."""
    agreed = current.front
    if current.job is None or current.limb is None or agreed is None:
        return False
    now = front_found(current.job, current.limb.limb)
    if (now.kind, now.side, now.pick) != (agreed.kind, agreed.side, agreed.pick):
        return False
    return float(np.dot(now.direction, agreed.direction)) >= math.cos(SAME_FRONT)


def marks(current: SessionState) -> dict[str, Mark]:
    """The mark of each question that has one whatever the work has come to, by the question's name."""
    if current.job is None:
        return {}
    job, limb = current.job, current.limb
    return {
        "limb": _limb(job, limb),
        "size": "answered" if job.scan.tape else "open" if limb is None else "look",
        "front": _front(current, job),
        **{question: "usual" if usual else "answered" for question, usual in _as_usual(job).items()},
    }


def to_look_at(current: SessionState) -> list[str]:
    """The questions whose answers come from the scan alone and must be looked at before anything is cut: a wrong limb,
    side, front or unit makes all of it wrong."""
    if current.job is None or current.limb is None:
        return []
    found = marks(current)
    guessed = current.job.scan.unit == "auto" and current.limb.scan.unit_from == GUESSED
    return [name for name in ("limb", "size", "front") if found[name] == "look" and (name != "size" or guessed)]


def _limb(job: Job, limb: LimbFound | None) -> Mark:
    if AUTO not in (job.scan.limb, job.scan.side):
        doubted = limb is not None and (
            limb.limb.asked is not None or any(each.code == "limb.side against" for each in limb.findings)
        )
        return "open" if doubted else "answered"
    return "open" if limb is None else "look"


def _front(current: SessionState, job: Job) -> Mark:
    if current.limb is None:
        return "open"
    return "answered" if job.scan.front != AUTO or front_agreed(current) else "look"


def _as_usual(job: Job) -> dict[str, bool]:
    """Whether all that a question asks is as it is where nobody says."""
    usual, piece = EdgeSettings(), PieceSettings()
    finish = {"corners": job.piece.corners, "tooling": job.piece.tooling}
    return {
        "under": job.wear == WearSettings() and job.lining is None,
        "leather": job.leather == LeatherSettings(),
        "edges": job.edges.top == job.edges.bottom == EdgeHeights(),
        "opening": job.seam == (SeamSettings(),),
        "darts": job.dart == (),
        "finish": job.edges.model_copy(update={"top": usual.top, "bottom": usual.bottom}) == usual
        and piece.model_copy(update=finish) == piece,
        "plates": not (job.plate or job.lames),
        "ornament": not job.motif and job.ornament == OrnamentSettings(),
        "tried": not job.fitting and job.mockup == MockupSettings(),
        "hides": not job.hide and job.bed is None,
        "former": job.former == FormerSettings(),
        "pieces": job.piece.model_copy(update={"corners": piece.corners, "tooling": piece.tooling}) == piece,
    }
