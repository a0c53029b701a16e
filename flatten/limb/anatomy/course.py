"""How a limb runs: its middle line, its front, its joint, and the straight axis that its radius is told about."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from flatten.findings import Message, message
from flatten.limb.anatomy.axis import AxisEstimate, axis_through, spread_at
from flatten.limb.anatomy.crease import elbow_of_arm
from flatten.limb.anatomy.elbow import elbow_of_forearm
from flatten.limb.anatomy.front import (
    Bearings,
    compared,
    front_from_foot,
    front_from_hand,
    front_given,
    shown,
)
from flatten.limb.anatomy.hand import Hand, hand_of
from flatten.limb.anatomy.joint import Joint
from flatten.limb.anatomy.knee import knee_of_leg
from flatten.limb.anatomy.kneecap import knee_of_thigh
from flatten.limb.anatomy.midline import Midline, midline_of
from flatten.limb.anatomy.narrow import trunk_begins
from flatten.limb.anatomy.waist import Waist, waist_of
from flatten.limb.kind import DistalLimb, LimbKind, ProximalLimb, limb_beside
from flatten.limb.kind import Joint as KindJoint
from flatten.limb.model import FrontError, KindError, LimbError
from flatten.mesh.surface import Floats
from flatten.words.say import text

JOINT_GIVEN = 5.0
"""mm. Standard deviation of a joint that somebody felt for and told by a tape or by a click: the middle of a kneecap
or the tip of an elbow is found to half of a finger's width (a judgement, no published value)."""

ABOVE_JOINT = 1.2
"""Joint radii above a joint up to which its own bones bend the line of the section centres (a judgement, no published
value)."""

SHORTEST = 32.0
"""mm. A line of section centres that is shorter shows no axis to within some degrees."""

PAST = 0.46
"""Share of a distal limb's length by which a scan of it goes on past its joint (0.32 to 0.47 on the test scans): what
shows no more of the proximal limb is taken for no scan of that."""

END_ZONE = 30.0
"""mm. Where a leg's joint is not shown its axis joins the mean centres of zones of this length at its two ends, so that
the calf's bulge tilts it less."""

BESIDE = 0.6
"""Share of a distal limb's length that is kept beyond the joint where the limb on its other side is asked for: with all
of both, the signs of one would be looked for by the size of the other. Scans of one limb seldom show more."""


NEAR_JOINTS: dict[KindJoint, Callable[[Midline, Floats], Joint]] = {"knee": knee_of_thigh, "elbow": elbow_of_arm}
"""How the joint at the lower end of a proximal limb is found."""


@dataclass(frozen=True)
class Named:
    """What the user named: the limb and its side; and whether front, lateral and axis are right-handed on it (1) or
    left-handed (-1) in the coordinates that it is looked for in."""

    kind: LimbKind
    side: str
    handed: float


@dataclass(frozen=True, eq=False)
class Given:
    """What was given, in the coordinates that the limb is looked for in: how the front looks from a place on the axis,
    and the joint's place (3,); None for what was not."""

    front: Callable[[Floats], Floats] | None
    joint: Floats | None


@dataclass(frozen=True, eq=False)
class Course:
    """How a limb runs: its middle line, its front, its straight axis, and its joint with its place (3,).

    The joint is None where the scan ends below it.
    """

    line: Midline
    bearings: Bearings
    estimate: AxisEstimate
    joint: Joint | None
    place: Floats | None


def course_of(points: Floats, line: Midline, *, named: Named, given: Given) -> Course:
    """The course of a limb through points (N,3), evenly dense, with its middle line.

    Raises FrontError where the front is neither given nor shown, LimbError where no such limb can be followed.
    """
    if isinstance(named.kind, ProximalLimb):
        return _proximal(points, line, named.kind, named=named, given=given)
    return _distal(points, line, named.kind, named=named, given=given)


def bearings_of(points: Floats, line: Midline, *, named: Named, given: Given) -> Bearings:
    """The front alone, as `course_of` tells it, and what the scan says against the side that was named.

    Raises FrontError where the front is neither given nor shown, LimbError where no such limb can be followed.
    """
    kind = named.kind
    if isinstance(kind, DistalLimb):
        waist = waist_of(line, kind.far_end)
        return _front(points, line, waist, named=named, given=given, place=waist.place, axis=waist.axis)
    return _proximal_front(points, line, _distal_below(points, line, kind)[0], named=named, given=given)


def _distal(points: Floats, line: Midline, kind: DistalLimb, *, named: Named, given: Given) -> Course:
    waist = waist_of(line, kind.far_end)
    bearings = _front(points, line, waist, named=named, given=given, place=waist.place, axis=waist.axis)
    if given.joint is not None:
        joint: Joint | None = Joint(float(line.nearest(given.joint[None])[0]), JOINT_GIVEN, ())
    else:
        joint = _far_joint(points, line, waist, kind, front=bearings.front)
        if joint is not None and joint.along > line.along[-1]:
            joint = None
    start = waist.extreme.along
    if not kind.to_joint:
        top, axis = min(waist.straight_to, line.trusted[1]), waist.axis
    elif joint is not None:
        top = min(joint.along, line.trusted[1])
        axis = line.place(top) - waist.place
    else:
        top = line.trusted[1]
        ends = line.within(start, start + END_ZONE), line.within(top - END_ZONE, top)
        axis = line.places[ends[1]].mean(axis=0) - line.places[ends[0]].mean(axis=0)
    if given.joint is not None and joint is not None and joint.along - start < SHORTEST:
        raise LimbError(
            f"the {kind.joint} that was given lies {joint.along - start:.0f} mm above the {kind.zero}, where none is; "
            f"give its height above the {kind.zero} by tape, or a point on it"
        )
    if top - start < SHORTEST:
        raise LimbError(
            f"the scan shows only {max(0.0, top - start):.0f} mm of {kind} above the {kind.zero}, {SHORTEST:.0f} are "
            "needed; check which limb it shows and its unit, or scan more of it"
        )
    estimate = axis_through(points, axis=axis / np.linalg.norm(axis), waist=waist.place, top=line.place(top))
    place = given.joint
    if place is None and joint is not None:
        place = line.place(joint.along)
    return Course(line, bearings, estimate, joint, place)


def _far_joint(points: Floats, line: Midline, waist: Waist, kind: DistalLimb, *, front: Floats | None) -> Joint | None:
    """The joint at the upper end of a distal limb, centred on it where the scan goes on far above."""
    found = _joint_above(points, line, waist, kind, front=front)
    if found is None:
        return None
    start = waist.extreme.along
    end = found.along + BESIDE * (found.along - start)
    if line.along[-1] <= end:
        return found
    part = points[line.nearest(points) < end]
    centred = midline_of(part)
    again = _joint_above(part, centred, waist_of(centred, kind.far_end), kind, front=front)
    if again is None:
        return found
    return _moved(again, centred, line)


def _joint_above(
    points: Floats, line: Midline, waist: Waist, kind: DistalLimb, *, front: Floats | None
) -> Joint | None:
    if kind.joint == "knee":
        return None if front is None else knee_of_leg(line, waist.extreme, front)
    return elbow_of_forearm(line, waist.extreme, hand=_hand(points, line, waist))


def _hand(points: Floats, line: Midline, waist: Waist) -> Hand | None:
    """The hand of a scan that shows one, for its size."""
    try:
        return hand_of(points, line, waist.extreme)
    except FrontError:
        return None


def _proximal(points: Floats, line: Midline, kind: ProximalLimb, *, named: Named, given: Given) -> Course:
    top = trunk_begins(line)
    # Where it does not spread it goes on to the scan's own end, whose ragged sections tell no direction.
    end = line.along[-1] if top >= line.trusted[1] else top
    waist, below = _distal_below(points, line, kind)
    if waist is not None and below is not None and end - below.along < PAST * (below.along - waist.extreme.along):
        raise KindError(text(_too_low(kind)))
    bearings = _proximal_front(points, line, waist, named=named, given=given)
    if given.joint is not None:
        joint = Joint(float(line.nearest(given.joint[None])[0]), JOINT_GIVEN, ())
    elif waist is None or below is None:
        joint = NEAR_JOINTS[kind.joint](line, bearings.front)
    else:
        part = points[line.nearest(points) > below.along - BESIDE * (below.along - waist.extreme.along)]
        centred = midline_of(part)
        joint = _moved(NEAR_JOINTS[kind.joint](centred, bearings.front), centred, line)
    start = _clear(line, joint.along)
    if end - start < SHORTEST:
        raise LimbError(
            f"the scan shows only {max(0.0, end - joint.along):.0f} mm of {kind} between the {kind.joint} and the "
            "trunk, too little to tell its axis by; check which limb it shows and its unit"
        )
    axis = line.direction(min(start, top - SHORTEST), top)
    middle = line.place(joint.along)
    estimate = axis_through(points, axis=axis, waist=middle, top=line.place(top))
    estimate = replace(estimate, top=spread_at(estimate.profile, estimate.waist))
    zero = middle if given.joint is None else given.joint
    return Course(line, bearings, estimate, joint, zero)


def _proximal_front(points: Floats, line: Midline, waist: Waist | None, *, named: Named, given: Given) -> Bearings:
    """The front across the upper half of the limb, before its joint is known."""
    top = trunk_begins(line)
    axis = line.direction((line.trusted[0] + top) / 2, top)
    return _front(points, line, waist, named=named, given=given, place=line.place(top), axis=axis)


def _clear(line: Midline, joint: float) -> float:
    """The place along a line above a joint where its own bones no longer bend the line."""
    return joint + ABOVE_JOINT * line.radius(joint)


def _distal_below(points: Floats, line: Midline, kind: ProximalLimb) -> tuple[Waist | None, Joint | None]:
    """The waist above foot or hand and the joint above that, of a scan that shows the distal limb with its end, too."""
    end = kind.far_end
    try:
        waist = waist_of(line, end)
        if not shown(end, points, line, waist):
            return None, None
        front = front_from_foot(points, waist, handed=1.0, side="left").front if end == "foot" else None
        return waist, _far_joint(points, line, waist, limb_beside(end), front=front)
    except LimbError:
        return None, None


def _moved(joint: Joint, own: Midline, line: Midline) -> Joint:
    """A joint on its `own` line, along another one of the same limb."""
    along, *others = (float(line.nearest(own.place(at)[None])[0]) for at in (joint.along, *joint.others))
    return Joint(along, joint.sigma, tuple(others))


def _too_low(kind: ProximalLimb) -> Message:
    beside = limb_beside(kind.far_end)
    end, seen = kind.far_end, beside.zero
    return message("limb.shows too low", end=end, seen=seen, joint=kind.joint, beside=beside.name, kind=kind.name)


def _front(
    points: Floats,
    line: Midline,
    waist: Waist | None,
    *,
    named: Named,
    given: Given,
    place: Floats,
    axis: Floats,
) -> Bearings:
    """Where the front is: as given, with what the scan says against it, or as the scan shows it."""
    if given.front is None:
        return _front_shown(points, line, waist, named)
    told = front_given(given.front(place), axis)
    try:
        seen = _front_shown(points, line, waist, named)
    except FrontError:
        return told
    return compared(told, seen, axis)


def _front_shown(points: Floats, line: Midline, waist: Waist | None, named: Named) -> Bearings:
    kind = named.kind
    if kind.front_from is None:
        raise FrontError(
            f"the front of {'an' if kind.name[0] in 'aeiou' else 'a'} {kind} cannot be told from its shape; "
            "give it as a direction in the scan's axes or as a point on the skin"
        )
    if waist is None:
        raise FrontError(
            f"the scan shows no {kind.front_from} below the {kind}, so that its front is not known; "
            f"give the front as a direction in the scan's axes or as a point above the {kind.zero}"
        )
    if kind.front_from == "foot":
        return front_from_foot(points, waist, handed=named.handed, side=named.side)
    return front_from_hand(points, line, waist, handed=named.handed, side=named.side)
