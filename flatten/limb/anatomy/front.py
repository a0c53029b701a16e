"""Where a limb's front is: from the foot, from the hand, or as given."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from flatten.findings import Finding, finding
from flatten.limb.anatomy.hand import hand_of
from flatten.limb.anatomy.midline import Midline
from flatten.limb.anatomy.waist import Waist
from flatten.limb.kind import FarEnd
from flatten.limb.model import FrontError
from flatten.mesh.surface import Floats

FEWEST_POINTS = 10
"""Points that foot, fingers and thumb must have each, or they are not in the scan."""

FOOT_DEPTH = 1.5
"""Waist radii below the ankle's narrowest place at which the foot is what is seen, and no more the shin."""

FOOT_REACH = 3.0
"""Waist radii from the axis that a foot reaches at least (6 on the bodies at hand; a stump or a cut heel, 2)."""

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


def front_from_foot(points: Floats, waist: Waist, *, handed: float, side: str) -> Bearings:
    """The front of a lower leg along the foot's long axis (principal axis of its points in plan).

    `points` (N,3) evenly dense in the estimate's coordinates. `handed` is 1 where front, outside, axis are right-handed
    in these coordinates for the `side` that was named, and -1 where they are left-handed. Raises FrontError where
    no foot reaches out.
    """
    depth, plan, axis, radius = _around(points, waist)
    foot = plan[depth > FOOT_DEPTH * radius]
    down, aside, _ = _reach(points, waist)
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


def front_from_hand(points: Floats, line: Midline, waist: Waist, *, handed: float, side: str) -> Bearings:
    """The front of a forearm, its back-of-hand side, by the hand beyond its wrist.

    Arguments as in `front_from_foot`; `handed` is 1 where back of hand, thumb side, axis are right-handed. Where the
    thumb leans to the other side of the hand than on the arm that was named, its own palm tells the front, and the
    finding says so. Raises FrontError where no hand is seen, where what is seen is rather a foot, or where neither
    thumb nor palm can be told.
    """
    if shows_foot(points, waist):
        raise FrontError(
            "what the scan shows below the narrowest place reaches further aside than down, as a foot does and a "
            "stretched hand does not; name the limb 'lower leg' where it is one, or else give the front as a direction "
            "in the scan's axes from palm to back of hand, or as a point on that side"
        )
    hand = hand_of(points, line, waist.extreme)
    if not hand.sure:
        raise FrontError(
            "the scan's hand shows neither a thumb nor fingers that curl, so that its palm and its back cannot be "
            "told apart; give the front as a direction in the scan's axes from palm to back of hand, or as a point on "
            "that side"
        )
    own = hand.handed(waist.axis)
    doubted = own * handed < 0
    front = hand.back(waist.axis, handed=own if doubted else handed)
    return Bearings(front, "hand", (_side_doubted("hand", side),) if doubted else ())


def shown(end: FarEnd, points: Floats, line: Midline, waist: Waist) -> bool:
    """Whether points (N,3) below the waist above such an end show it."""
    return shows_foot(points, waist) if end == "foot" else shows_hand(points, line, waist)


def shows_foot(points: Floats, waist: Waist) -> bool:
    """Whether below the waist points (N,3) reach far aside, and further aside than down."""
    down, aside, radius = _reach(points, waist)
    return aside > max(FOOT_REACH * radius, down)


def shows_hand(points: Floats, line: Midline, waist: Waist) -> bool:
    """Whether right below the waist points (N,3) are a hand that ends the limb and whose thumb is seen."""
    down, aside, radius = _reach(points, waist)
    if line.opened[0] or down > HAND_LONGEST * radius or aside > HAND_REACH * down:
        return False
    try:
        return hand_of(points, line, waist.extreme).thumb > 0.0
    except FrontError:
        return False


def _reach(points: Floats, waist: Waist) -> tuple[float, float, float]:
    """How far below the waist points reach down and aside, mm, and the waist's radius; 0 where there are too few."""
    depth, plan, _, radius = _around(points, waist)
    beyond = depth > FOOT_DEPTH * radius
    if np.count_nonzero(beyond) < FEWEST_POINTS:
        return 0.0, 0.0, radius
    aside = np.linalg.norm(plan[beyond], axis=1)
    return float(np.quantile(depth, 0.999)), float(np.quantile(aside, 0.999)), radius


def front_given(toward: Floats, axis: Floats) -> Bearings:
    """The front as given by a vector (3,) across an axis. Raises FrontError where it shows no bearing."""
    across = toward - (toward @ axis) * axis
    if not np.linalg.norm(across) > np.sin(LEAST_TILT) * np.linalg.norm(toward):
        raise FrontError(
            "the front that was given lies along the limb's axis and shows no side of it; "
            "give a direction across the limb, or a point on its skin"
        )
    return Bearings(across / np.linalg.norm(across), "given", ())


def compared(given: Bearings, shown: Bearings, axis: Floats) -> Bearings:
    """The given front, with what foot or hand say against it: of the side that was named, and of the front itself."""
    seen = shown.front - (shown.front @ axis) * axis
    turn = abs(float(np.arctan2(np.cross(seen, given.front) @ axis, seen @ given.front)))
    findings = shown.findings
    if turn > FRONTS_APART:
        findings += (finding("limb.front elsewhere", "stop", turn=turn, seen=shown.known_from),)
    return Bearings(given.front, given.known_from, findings)


def _around(points: Floats, waist: Waist) -> tuple[Floats, Floats, Floats, float]:
    """Depth below the waist (N,), the part across the axis (N,3), the axis and the waist's radius."""
    axis = waist.axis
    offset = points - waist.place
    along = offset @ axis
    return -along, offset - along[:, None] * axis, axis, waist.radius


def _side_doubted(seen: FarEnd, side: str) -> Finding:
    return finding("limb.side against", "stop", seen=seen, side=side, other="right" if side == "left" else "left")
