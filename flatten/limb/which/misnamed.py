"""Whether a scan shows a limb of another kind than was named, told by the foot or the hand at its far end."""

from __future__ import annotations

from flatten.limb.anatomy.axis import Course, course_of
from flatten.limb.anatomy.front import shows_foot, shows_hand
from flatten.limb.model import LimbError
from flatten.mesh.surface import Floats

LEGS = ("lower leg", "thigh")


def misnamed(points: Floats, course: Course | None, *, kind: str) -> str | None:
    """What the scan shows instead of a limb of this kind, and how to name it; None where nothing speaks against it.

    `points` (N,3) are evenly dense, their longest extent about the first coordinate; `course` is theirs as a limb of
    this kind, None where they have none. A limb's own foot or hand is looked for first: where it is shown, only its
    place right below a thigh's or an upper arm's narrowest is wrong, which is then an ankle or a wrist.
    """
    if kind in LEGS:
        if _foot(points, course if kind == "lower leg" else None):
            ankle = kind == "thigh" and course is not None and shows_foot(points, course)
            return _too_low("foot", "ankle", "knee", kind, "lower leg") if ankle else None
        what = "a hand, with its row of fingers beside a thumb"
        return _other(what, "forearm", "upper arm") if _hand(points, None) else None
    if _hand(points, course if kind == "forearm" else None):
        wrist = kind == "upper arm" and course is not None and shows_hand(points, course)
        return _too_low("hand", "wrist", "elbow", kind, "forearm") if wrist else None
    what = (
        "what reaches further aside than down below its narrowest place, as a foot does and a stretched hand does not"
    )
    return _other(what, "lower leg", "thigh") if _foot(points, None) else None


def _foot(points: Floats, course: Course | None) -> bool:
    """Whether a foot is shown below the ankle of a lower leg with this `course`, or with the one that points have."""
    try:
        return shows_foot(points, course or course_of(points, kind="lower leg"))
    except LimbError:
        return False


def _hand(points: Floats, course: Course | None) -> bool:
    """Whether a hand is shown below the wrist of a forearm with this `course`, or with the one that points have."""
    try:
        return shows_hand(points, course or course_of(points, kind="forearm"))
    except LimbError:
        return False


def _other(what: str, one: str, other: str) -> str:
    return f"the scan shows {what}; name the limb '{one}' or '{other}' where it is one"


def _too_low(what: str, seen: str, joint: str, kind: str, lower: str) -> str:
    return (
        f"the scan shows a {what} right below the limb's narrowest place, which is its {seen} and not the {joint}; "
        f"name the limb '{lower}', or scan more of the {kind}"
    )
