"""Whether a scan shows a limb of another kind than was named, told by the foot or the hand at its far end."""

from __future__ import annotations

from flatten.limb.anatomy.axis import Course, course_of
from flatten.limb.anatomy.front import shows_foot, shows_hand
from flatten.limb.kind import KINDS, FarEnd, LimbKind, ProximalLimb, limb_beside
from flatten.limb.model import LimbError
from flatten.mesh.surface import Floats

_SHOWS = {"foot": shows_foot, "hand": shows_hand}

_SEEN: dict[FarEnd, str] = {
    "foot": "what reaches further aside than down below its narrowest place, as a foot does and a stretched hand does "
    "not",
    "hand": "a hand, with its row of fingers beside a thumb",
}


def misnamed(points: Floats, course: Course | None, *, kind: LimbKind) -> str | None:
    """What the scan shows instead of a limb of this kind, and how to name it; None where nothing speaks against it.

    `points` (N,3) are evenly dense, their longest extent about the first coordinate; `course` is theirs as a limb of
    this kind, None where they have none. A limb's own foot or hand is looked for first: where it is shown, only its
    place right below a proximal limb's narrowest is wrong, which is then an ankle or a wrist.
    """
    proximal = isinstance(kind, ProximalLimb)
    if _shown(kind.far_end, points, None if proximal else course):
        wrong = proximal and course is not None and _SHOWS[kind.far_end](points, course)
        return _too_low(kind) if wrong else None
    other: FarEnd = "hand" if kind.far_end == "foot" else "foot"
    return _other(other) if _shown(other, points, None) else None


def _shown(end: FarEnd, points: Floats, course: Course | None) -> bool:
    """Whether a foot or a hand is shown below the waist of the limb beside it with this `course`, or with its own."""
    try:
        return _SHOWS[end](points, course or course_of(points, kind=limb_beside(end)))
    except LimbError:
        return False


def _other(end: FarEnd) -> str:
    *names, last = (f"'{kind}'" for kind in KINDS.values() if kind.far_end == end)
    named = f"{', '.join(names)} or {last}" if names else last
    return f"the scan shows {_SEEN[end]}; name the limb {named} where it is one"


def _too_low(kind: LimbKind) -> str:
    beside = limb_beside(kind.far_end)
    return (
        f"the scan shows a {kind.far_end} right below the limb's narrowest place, which is its {beside.zero} and not "
        f"the {kind.joint}; name the limb '{beside}', or scan more of the {kind}"
    )
