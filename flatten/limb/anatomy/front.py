"""Where a limb's front is: from the foot, from the hand, or as given."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from flatten.findings import Finding, finding
from flatten.limb.anatomy.axis import AxisEstimate
from flatten.limb.kind import FarEnd
from flatten.limb.model import FrontError
from flatten.mesh.surface import Floats

FEWEST_POINTS = 10
"""Points that foot, fingers and thumb must have each, or they are not in the scan."""

FOOT_DEPTH = 1.5
"""Waist radii below the ankle's narrowest place at which the foot is what is seen, and no more the shin."""

FOOT_REACH = 3.0
"""Waist radii from the axis that a foot reaches at least (6 on the bodies at hand; a stump or a cut heel, 2)."""

HAND_LENGTH = 4.0
"""Waist radii that a hand reaches below the wrist at least (8.5 on the bodies at hand, a fist 4.5)."""

FINGERS = (0.72, 0.95)
"""Share of the hand's length from the wrist in which only the four fingers are; their row lies along the knuckles.
(A spread thumb ends at 0.5, one laid beside the hand at 0.7.)"""

THUMB = (0.3, 0.7)
"""Share of the hand's length from the wrist in which the thumb stands off the hand."""

FLATNESS = 1.6
"""Width to thickness of the row of fingers, as standard deviations, from which its direction is sure (3 for a hand
with its fingers stretched, 1 for a fist)."""

THUMB_OFFSET = 0.25
"""Waist radii by which the thumb must move the middle of the hand's width aside of the middle of the fingers (0.7 on
the bodies at hand, 0.45 with the thumb laid beside the hand)."""

HAND_LONGEST = 9.7
"""Waist radii that a hand reaches below the wrist at most: 7.9 to 8.9 on the bodies at hand. From an elbow's narrowest
place to the finger tips it is 10.9."""

HAND_REACH = 0.66
"""Share of its length that a hand reaches aside of the axis at most, its thumb spread: 0.36 to 0.6 on the bodies at
hand, a flat foot 1.5 and more."""

FOOT_SLENDER = 3.2
"""Length to width from which a foot is not seen on both sides: 2.5 to 2.8 on the bodies at hand, 2.66 by ANSUR II's
means for men (271 and 102 mm, from memory), 3.3 to 4.2 where it is scanned from one side."""

SIDE_MARGIN = 0.05
"""Share of the foot's width by which the toes' tip, or of the hand's by which the thumb, must lie on the wrong side
before the named side is doubted (0.12 to 0.14 on the right side on the bodies at hand)."""

FRONTS_APART = np.radians(35.0)
"""A given front that lies farther from where foot or hand put it is told: toes point outwards by up to 25° (from
memory)."""

LEAST_TILT = np.radians(15.0)
"""A given front must lean at least this far from the limb's axis to show a bearing."""


@dataclass(frozen=True, eq=False)
class Bearings:
    """The unit vector of the front (3,), how it was known, and what speaks against it or the side that was named."""

    front: Floats
    known_from: str
    findings: tuple[Finding, ...]


def front_from_foot(points: Floats, estimate: AxisEstimate, *, handed: float, side: str) -> Bearings:
    """The front of a lower leg along the foot's long axis (principal axis of its points in plan).

    `points` (N,3) evenly dense in the estimate's coordinates. `handed` is 1 where front, outside, axis are right-handed
    in these coordinates for the `side` that was named, and -1 where they are left-handed. Raises FrontError where
    no foot reaches out.
    """
    depth, plan, axis, radius = _around(points, estimate)
    foot = plan[depth > FOOT_DEPTH * radius]
    down, aside, _ = _reach(points, estimate)
    if aside < max(FOOT_REACH * radius, HAND_REACH * down):
        raise FrontError(
            "the scan shows no foot, so that the front of the leg is not known; "
            "give the front as a direction in the scan's axes or as a point on the shin"
        )
    middle = foot.mean(axis=0)
    front = np.linalg.svd(foot - middle, full_matrices=False)[2][0]
    front = front * np.sign(front @ middle)
    outside = handed * np.cross(axis, front)
    ahead, across = (foot - middle) @ front, (foot - middle) @ outside
    width = np.ptp(across)
    tip = across[ahead > np.quantile(ahead, 0.95)].mean() / width
    findings: tuple[Finding, ...] = ()
    if tip > SIDE_MARGIN and np.ptp(ahead) < FOOT_SLENDER * width:
        findings = (_side_doubted("foot", side),)
    return Bearings(front, "foot", findings)


def front_from_hand(points: Floats, estimate: AxisEstimate, *, handed: float, side: str) -> Bearings:
    """The front of a forearm, its back-of-hand side: across the row of fingers, the thumb being lateral.

    Arguments as in `front_from_foot`; `handed` is 1 where back of hand, thumb side, axis are right-handed. Where the
    thumb leans to the other side of the hand than on the arm that was named, its own palm tells the front, and the
    finding says so. Raises FrontError where no hand with stretched fingers and a thumb can be seen, or what is seen is
    rather a foot.
    """
    depth, plan, axis, radius = _around(points, estimate)
    length = float(np.quantile(depth, 0.999))
    ask = "; give the front as a direction in the scan's axes from palm to back of hand, or as a point on that side"
    beyond = depth > FOOT_DEPTH * radius
    if np.any(beyond) and float(np.quantile(np.linalg.norm(plan[beyond], axis=1), 0.999)) > length:
        raise FrontError(
            "what the scan shows below the narrowest place reaches further aside than down, as a foot does and a "
            "stretched hand does not; name the limb 'lower leg' where it is one, or else" + ask.removeprefix(";")
        )
    if length < HAND_LENGTH * radius:
        raise FrontError("the scan shows no hand, so that the back-of-hand side is not known" + ask)
    fingers = plan[(depth > FINGERS[0] * length) & (depth < FINGERS[1] * length)]
    base = plan[(depth > THUMB[0] * length) & (depth < THUMB[1] * length)]
    if min(len(fingers), len(base)) < FEWEST_POINTS:
        raise FrontError("the scan shows too little where fingers and thumb should be" + ask)
    _, sizes, rows = np.linalg.svd(fingers - fingers.mean(axis=0), full_matrices=False)
    width = np.quantile((base - fingers.mean(axis=0)) @ rows[0], (0.01, 0.99))
    offset = width.mean() / radius
    if sizes[0] < FLATNESS * sizes[1] or abs(offset) < THUMB_OFFSET:
        raise FrontError("the scan's hand shows no row of stretched fingers beside a thumb" + ask)
    lateral = rows[0] * np.sign(offset)
    front = handed * np.cross(lateral, axis)
    aside = base @ lateral
    thumb = base[aside > aside.max() - 0.2 * np.ptp(aside)].mean(axis=0)
    # Half of the fingers' own way off the axis is where the palm is, half way down the hand.
    raised = (thumb - fingers.mean(axis=0) / 2) @ front / np.ptp(fingers @ lateral)
    findings: tuple[Finding, ...] = ()
    if raised > SIDE_MARGIN:
        front = -front
        findings = (_side_doubted("hand", side),)
    return Bearings(front, "hand", findings)


def shows_foot(points: Floats, estimate: AxisEstimate) -> bool:
    """Whether below the estimate's narrowest place points (N,3) reach far aside, and further aside than down."""
    down, aside, radius = _reach(points, estimate)
    return aside > max(FOOT_REACH * radius, down)


def shows_hand(points: Floats, estimate: AxisEstimate) -> bool:
    """Whether right below the estimate's narrowest place points (N,3) are a hand with stretched fingers and a thumb."""
    down, aside, radius = _reach(points, estimate)
    if down > HAND_LONGEST * radius or aside > HAND_REACH * down:
        return False
    try:
        front_from_hand(points, estimate, handed=1.0, side="right")
    except FrontError:
        return False
    return True


def _reach(points: Floats, estimate: AxisEstimate) -> tuple[float, float, float]:
    """How far below the waist points reach down and aside, mm, and the waist's radius; 0 where there are too few."""
    depth, plan, _, radius = _around(points, estimate)
    beyond = depth > FOOT_DEPTH * radius
    if np.count_nonzero(beyond) < FEWEST_POINTS:
        return 0.0, 0.0, radius
    aside = np.linalg.norm(plan[beyond], axis=1)
    return float(np.quantile(depth, 0.999)), float(np.quantile(aside, 0.999)), radius


def front_given(toward: Floats, estimate: AxisEstimate) -> Bearings:
    """The front as given by a vector (3,) across an axis. Raises FrontError where it shows no bearing."""
    axis = estimate.profile.axis
    across = toward - (toward @ axis) * axis
    if not np.linalg.norm(across) > np.sin(LEAST_TILT) * np.linalg.norm(toward):
        raise FrontError(
            "the front that was given lies along the limb's axis and shows no side of it; "
            "give a direction across the limb, or a point on its skin"
        )
    return Bearings(across / np.linalg.norm(across), "given", ())


def compared(given: Bearings, shown: Bearings, estimate: AxisEstimate) -> Bearings:
    """The given front, with what foot or hand say against it: of the side that was named, and of the front itself."""
    axis = estimate.profile.axis
    seen = shown.front - (shown.front @ axis) * axis
    turn = abs(float(np.arctan2(np.cross(seen, given.front) @ axis, seen @ given.front)))
    findings = shown.findings
    if turn > FRONTS_APART:
        findings += (finding("limb.front elsewhere", "stop", turn=turn, seen=shown.known_from),)
    return Bearings(given.front, given.known_from, findings)


def _around(points: Floats, estimate: AxisEstimate) -> tuple[Floats, Floats, Floats, float]:
    """Depth below the waist (N,), the part across the axis (N,3), the axis and the waist's radius."""
    axis = estimate.profile.axis
    offset = points - estimate.origin
    along = offset @ axis
    return -along, offset - along[:, None] * axis, axis, float(estimate.profile.radii[estimate.waist])


def _side_doubted(seen: FarEnd, side: str) -> Finding:
    return finding("limb.side against", "stop", seen=seen, side=side, other="right" if side == "left" else "left")
