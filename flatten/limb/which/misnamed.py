"""Whether a scan shows a limb of another kind than was named, told by the foot or the hand at its far end."""

from __future__ import annotations

from typing import get_args

from flatten.findings import Message, message
from flatten.limb.anatomy.axis import AxisEstimate, estimate_distal_axis
from flatten.limb.anatomy.front import shows_foot, shows_hand
from flatten.limb.kind import KINDS, FarEnd, LimbKind, ProximalLimb, limb_beside
from flatten.limb.model import LimbError
from flatten.mesh.surface import Floats

_SHOWS = {"foot": shows_foot, "hand": shows_hand}


def misnamed(points: Floats, estimate: AxisEstimate | None, *, kind: LimbKind) -> Message | None:
    """What the scan shows instead of a limb of this kind, and how to name it; None where nothing speaks against it.

    `points` (N,3) are evenly dense, their longest extent about the first coordinate; `estimate` is theirs as a limb of
    this kind, None where they have none. A limb's own foot or hand is looked for first: where it is shown, only its
    place right below a proximal limb's narrowest is wrong, which is then an ankle or a wrist.
    """
    proximal = isinstance(kind, ProximalLimb)
    if _shown(kind.far_end, points, None if proximal else estimate):
        wrong = proximal and estimate is not None and _SHOWS[kind.far_end](points, estimate)
        return _too_low(kind) if wrong else None
    other: FarEnd = "hand" if kind.far_end == "foot" else "foot"
    return _other(other) if _shown(other, points, None) else None


def shown_end(points: Floats) -> FarEnd | None:
    """The foot or hand that points (N,3) show as in `misnamed`, whatever was named; None where they show neither."""
    return next((end for end in get_args(FarEnd) if _shown(end, points, None)), None)


def _shown(end: FarEnd, points: Floats, estimate: AxisEstimate | None) -> bool:
    """Whether a foot or a hand is shown below the waist of the limb beside it with this `estimate`, or with its own."""
    try:
        return _SHOWS[end](points, estimate or estimate_distal_axis(points, kind=limb_beside(end)))
    except LimbError:
        return False


def _other(end: FarEnd) -> Message:
    return message(
        "limb.shows other", end=end, kinds=tuple(kind.name for kind in KINDS.values() if kind.far_end == end)
    )


def _too_low(kind: LimbKind) -> Message:
    beside = limb_beside(kind.far_end)
    end, seen = kind.far_end, beside.zero
    return message("limb.shows too low", end=end, seen=seen, joint=kind.joint, beside=beside.name, kind=kind.name)
