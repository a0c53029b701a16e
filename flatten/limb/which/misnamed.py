"""Whether a scan shows a limb of another kind than was named, told by the foot or the hand at its far end."""

from __future__ import annotations

from typing import get_args

from flatten.findings import Message, message
from flatten.limb.anatomy.front import shown
from flatten.limb.anatomy.midline import Midline
from flatten.limb.anatomy.waist import waist_of
from flatten.limb.kind import KINDS, FarEnd, LimbKind
from flatten.limb.model import LimbError
from flatten.mesh.surface import Floats


def misnamed(points: Floats, line: Midline, *, kind: LimbKind) -> Message | None:
    """What the scan shows instead of a limb of this kind, and how to name it; None where nothing speaks against it.

    `points` (N,3) are evenly dense, `line` is theirs. A limb's own foot or hand is looked for first.
    """
    other: FarEnd = "hand" if kind.far_end == "foot" else "foot"
    if _shows(kind.far_end, points, line) or not _shows(other, points, line):
        return None
    kinds = tuple(each.name for each in KINDS.values() if each.far_end == other)
    return message("limb.shows other", end=other, kinds=kinds)


def shown_end(points: Floats, line: Midline) -> FarEnd | None:
    """The foot or hand that points (N,3) show as in `misnamed`, whatever was named; None where they show neither."""
    return next((end for end in get_args(FarEnd) if _shows(end, points, line)), None)


def _shows(end: FarEnd, points: Floats, line: Midline) -> bool:
    """Whether a foot or a hand is shown below the narrowest place that is looked for above it."""
    try:
        return shown(end, points, line, waist_of(line, end))
    except LimbError:
        return False
