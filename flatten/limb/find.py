"""A limb found in a scan: axis, front and landmarks, and the surface fitted to it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from flatten.limb.anatomy.axis import END_ZONE, Course, course_of, straight_up_to, whole
from flatten.limb.anatomy.front import Bearings, compared, front_from_foot, front_from_hand, front_given
from flatten.limb.anatomy.landmarks import hollow_height, landmarks_of, least_height, section_centres
from flatten.limb.anatomy.profile import across_axis, profile_along
from flatten.limb.anatomy.upper import JOINTS, cut_short, joint_is_shown, upper_course, upper_landmarks, zero_height
from flatten.limb.artefacts.cloth import APART, ROW, Cloth, cloth_in, rings_in, with_limb_for_cuffs, without_cuffs
from flatten.limb.artefacts.facets import facet_sentences, girth_unsure
from flatten.limb.artefacts.layers import layers_in
from flatten.limb.model import (
    KINDS,
    SIDES,
    Frame,
    Front,
    FrontDirection,
    FrontError,
    KindError,
    Limb,
    LimbError,
)
from flatten.limb.surface.fit import fit_surface
from flatten.limb.surface.model import LimbSurface
from flatten.limb.surface.sample import even_points
from flatten.limb.which.misnamed import misnamed
from flatten.mesh.surface import Floats
from flatten.scan.model import Scan

COARSE_POINTS = 20_000
"""Points for axis and front: some hundreds in each slab of 10 mm."""

FINE_POINTS = 60_000
"""Points for the surface: about one a square millimetre and a half on a forearm, four on a long leg with its foot."""

RIGHT_HANDED = {"lower leg": "left", "thigh": "left", "forearm": "right", "upper arm": "left"}
"""The side of the body on which front, lateral, axis are right-handed (see Frame)."""

ROUGH_SPACING = 16.0
"""mm. Height between the knots of the surface that axis and trusted range are told by: a third of a knee."""

ROUGH_BEARINGS = 24
"""Its bearing columns: a knot each 8–15 mm."""

ROUGH_SMOOTHING = 5.0
"""mm. Its smoothing: ripples below 50 mm are not looked at."""

BELLY_BACK = 0.3
"""Waist radii that the middle of a calf's sections lies behind the line from ankle to knee, from 4 to 9.5 radii up: 0.4
to 0.6 on the bodies of the test scans, 0 to 0.2 on the invented ones. Where a scan ends there, the slabs' axis leans
back by it."""

BELOW_WAIST = 2.5
"""Waist radii below the ankle's or wrist's narrowest place at which the search for the trusted range starts."""


FOLDS = 40.0
"""mm below the place where a thigh or an upper arm spreads into the trunk from which on its surface need not hold."""

BELOW_CLOTH = {"lower leg": 60.0, "forearm": 30.0}
"""mm below the waist from which rows are compared. A sock's edge just above the ankle puts the waist above itself, and
wants calm rows below it; a hand flares from 12 mm below a wrist on, in 16 mm by up to 5 mm, as an edge does."""

BELOW_RIM = 24.0
"""mm below a leg's waist from which rims are told: socks 15 to 60 mm above an ankle have theirs from 21 mm below it up,
and a heel's own steps begin at 35."""

BELOW_JOINT = 150.0
"""mm below the narrowest place of knee or elbow from which cloth is looked for on the limb above: as far as a thigh's
or an upper arm's surface reaches down the next limb."""


def find_limb(scan: Scan, *, kind: str, side: str, front: Front | None = None) -> tuple[Limb, LimbSurface]:
    """The limb in a scan that shows one, and the surface fitted to it in limb coordinates.

    `kind` is one of KINDS, `side` one of SIDES; `front` in scan coordinates overrules the foot or hand. Height 0 is
    the least tape girth above ankle or wrist, the kneecap's top, the elbow's crease. Raises FrontError where the front
    is neither given nor shown, KindError where it is not given and foot or hand are another limb's, LimbError where the
    scan shows no such limb or it cannot be followed, with the height.
    """
    if kind not in KINDS or side not in SIDES:
        raise LimbError(f"no limb is a '{side} {kind}'; the sides are {', '.join(SIDES)}, the kinds {', '.join(KINDS)}")
    coarse = even_points(scan, count=COARSE_POINTS)
    own = _own_frame(coarse)
    handed = (1.0 if RIGHT_HANDED[kind] == side else -1.0) * float(np.sign(np.linalg.det(own.axes)))
    points = own.to_limb(coarse)
    course = _course(with_limb_for_cuffs(points, _first_look(points)), kind=kind)
    cloth = _cloth(points, course, kind=kind)
    if cloth.cuffs:
        course = _course(with_limb_for_cuffs(points, cloth), kind=kind)
        # A cuff may have misled the first course to another joint, and other cloth.
        cloth = _cloth(points, course, kind=kind)
        points = without_cuffs(points, cloth)
    if (other := misnamed(own.to_limb(coarse), course, kind=kind)) and front is None:
        raise KindError(f"{other}; where '{kind}' is right all the same, give its front")
    bearings = _front(points, course, own, kind=kind, side=side, handed=handed, front=front)
    local = _frame(course.origin, course.profile.axis, bearings.front, handed)
    fine = without_cuffs(own.to_limb(even_points(scan, count=FINE_POINTS)), cloth)
    local, surface = _followed(local, points, fine, course, kind=kind, handed=handed, cloth=cloth)
    waist, unsure = _zero(surface, course, kind=kind)
    zero = cloth.frame.to_limb((local.origin + waist * local.axes[2])[None])[0, 2]
    worn, rims = cloth.cautions(kind, zero=zero), tuple(height - zero for height in cloth.rims)
    if kind not in JOINTS:
        marks, unsure = landmarks_of(surface, kind=kind, waist=waist)
    else:
        marks = upper_landmarks(surface, kind=kind, zero=waist, told=bool(unsure))
        picked = any(repair.code == "other limbs" for repair in scan.repairs)
        unsure += cut_short(surface, kind=kind, widest=marks[-1].height, picked=picked)
    marks = tuple(replace(mark, height=mark.height - waist) for mark in marks)
    frame = Frame(own.to_scan((local.origin + waist * local.axes[2])[None])[0], local.axes @ own.axes)
    surface = _lowered(surface, waist)
    layers = layers_in(Frame(local.origin + waist * local.axes[2], local.axes).to_limb(fine), surface)
    twice = (layers.caution(kind),) if layers else ()
    facets = facet_sentences(girth_unsure(scan, surface, frame=frame))
    named = (f"Check which limb it is: {other}.",) if other else ()
    cautions = (*named, *bearings.cautions, *worn, *unsure, *twice, *facets)
    return Limb(kind, side, frame, marks, bearings.known_from, cautions, rims), surface


def _course(points: Floats, *, kind: str) -> Course:
    try:
        return upper_course(points, kind=kind) if kind in JOINTS else course_of(points, kind=kind)
    except LimbError as error:
        if other := misnamed(points, None, kind=kind):
            raise LimbError(f"no {kind} can be followed, and {other}") from error
        raise


def _zero(surface: LimbSurface, course: Course, *, kind: str) -> tuple[float, tuple[str, ...]]:
    """Where height 0 is on a surface whose heights count from the course's waist, and what is not sure about it."""
    if kind in JOINTS:
        return zero_height(surface, kind=kind, shown=joint_is_shown(course))
    return least_height(surface), ()


def _first_look(points: Floats) -> Cloth:
    """The rings of cloth along the scan's longest extent, which would mislead the course."""
    along = np.array([1.0, 0.0, 0.0])
    profile = profile_along(points, along)
    frame = Frame(np.zeros(3), np.stack([*across_axis(along), along]))
    return rings_in(points, frame=frame, middles=profile.centres[whole(profile)])


def _cloth(points: Floats, course: Course, *, kind: str) -> Cloth:
    """The cloth about a first course."""
    axis = course.profile.axis
    frame = _frame(course.origin, axis, across_axis(axis)[0], 1.0)
    seen = whole(course.profile)
    top = course.top if kind in JOINTS else straight_up_to(course.profile, course.waist)
    low, high = (float(course.profile.heights[slab]) - course.waist_height for slab in (seen[0], top))
    low = max(low, -BELOW_JOINT) if kind in JOINTS else -BELOW_CLOTH[kind]
    # Below a wrist and below an elbow an arm grows thinner upwards by itself.
    thinner = APART * ROW if kind in ("forearm", "upper arm") else low
    hems = (-BELOW_RIM, -BELOW_RIM) if kind == "lower leg" else (low, thinner)
    return cloth_in(points, frame=frame, middles=course.profile.centres[seen], between=(low, high), hems=hems)


def _followed(
    local: Frame, points: Floats, fine: Floats, course: Course, *, kind: str, handed: float, cloth: Cloth
) -> tuple[Frame, LimbSurface]:
    """The surface through the `fine` points, and its frame. Raises LimbError, which tells the edge of cloth, too."""
    try:
        rough = _rough(local.to_limb(points), course, kind=kind)
        local, needed = _straightened(local, rough, course, kind=kind, handed=handed)
        return local, fit_surface(local.to_limb(fine), heights=rough.trusted, needed=needed)
    except LimbError as error:
        if not cloth.hems:
            raise
        raise LimbError(f"{error}; {cloth.reason()}") from error


def _own_frame(points: Floats) -> Frame:
    """The scan's principal frame, each axis signed by its third moment.

    It turns and mirrors with the scan, so that nothing that is found in it depends on how the scan lies.
    """
    middle = points.mean(axis=0)
    offset = points - middle
    rows = np.linalg.eigh(offset.T @ offset)[1].T[::-1]
    signs = np.where(((offset @ rows.T) ** 3).sum(axis=0) < 0, -1.0, 1.0)
    return Frame(middle, rows * signs[:, None])


def _front(
    points: Floats, course: Course, own: Frame, *, kind: str, side: str, handed: float, front: Front | None
) -> Bearings:
    if front is not None:
        if isinstance(front, FrontDirection):
            toward = own.axes @ np.array(front.direction)
        else:
            place = own.to_limb(np.array([front.place]))[0] - course.origin
            toward = place - (place @ course.profile.axis) * course.profile.axis
        given = front_given(toward, course)
        try:
            shown = _front(points, course, own, kind=kind, side=side, handed=handed, front=None)
        except FrontError:
            return given
        return compared(given, shown, course)
    if kind == "lower leg":
        return front_from_foot(points, course, handed=handed, side=side)
    if kind == "thigh":
        return _front_of_thigh(points, handed=handed, side=side)
    if kind == "forearm":
        return front_from_hand(points, course, handed=handed, side=side)
    raise FrontError(
        f"the front of an {kind} cannot be told from its shape; "
        "give it as a direction in the scan's axes or as a point on the skin"
    )


def _front_of_thigh(points: Floats, *, handed: float, side: str) -> Bearings:
    """The front of a thigh from the foot below it. Raises FrontError where the scan shows none."""
    try:
        return front_from_foot(points, course_of(points, kind="lower leg"), handed=handed, side=side)
    except LimbError as error:
        raise FrontError(
            "the scan shows no foot below the thigh, so that its front is not known; "
            "give the front as a direction in the scan's axes or as a point above the kneecap"
        ) from error


def _frame(origin: Floats, axis: Floats, front: Floats, handed: float) -> Frame:
    across = front - (front @ axis) * axis
    across = across / np.linalg.norm(across)
    return Frame(origin, np.stack([across, handed * np.cross(axis, across), axis]))


def _rough(points: Floats, course: Course, *, kind: str) -> LimbSurface:
    """A coarse surface over all of the limb that a radius can follow, heights from the waist's slab."""
    heights = course.profile.heights - course.waist_height
    seen = whole(course.profile)
    low = max(float(heights[seen[0]]), -BELOW_WAIST * float(course.profile.radii[course.waist]))
    return fit_surface(
        points,
        heights=(low, float(heights[seen[-1]])),
        needed=(0.0, _needed_top(course, kind)),
        spacing=ROUGH_SPACING,
        bearings=ROUGH_BEARINGS,
        smoothing=ROUGH_SMOOTHING,
    )


def _needed_top(course: Course, kind: str) -> float:
    """Height above the waist's slab up to which the surface must be whole: short of a groin's or an armpit's folds."""
    top = float(course.profile.heights[course.top]) - course.waist_height
    return top - FOLDS if kind in JOINTS else top


def _straightened(
    local: Frame, rough: LimbSurface, course: Course, *, kind: str, handed: float
) -> tuple[Frame, tuple[float, float]]:
    """The frame with its axis through smooth section centres, and the heights that the limb is needed over.

    A lower leg's axis goes through the centres of the ankle's narrowest section and of the section at the hollow of
    the knee. Where the knee is not shown the slabs' axis leans by what a calf's middle lies behind (BELLY_BACK); on
    other limbs it stays.
    """
    top = _needed_top(course, kind)
    if kind in JOINTS:
        return local, (0.0, top)
    waist = least_height(rough)
    hollow = hollow_height(rough, waist) if kind == "lower leg" else None
    if hollow is None:
        if kind == "lower leg":
            lean = BELLY_BACK * float(course.profile.radii[course.waist]) / max(top, float(END_ZONE))
            axis = local.axes[2] + lean * local.axes[0]
            local = _frame(local.origin, axis / np.linalg.norm(axis), local.axes[0], handed)
        return local, (waist, top)
    heights = np.array([waist, hollow])
    centres = section_centres(rough, heights)
    places = np.column_stack([centres, heights]) @ local.axes
    axis = (places[1] - places[0]) / np.linalg.norm(places[1] - places[0])
    return _frame(local.origin, axis, local.axes[0], handed), (waist, hollow)


def _lowered(surface: LimbSurface, by: float) -> LimbSurface:
    """The same surface with heights counted from `by`."""
    return replace(
        surface,
        height_knots=surface.height_knots - by,
        trusted=(surface.trusted[0] - by, surface.trusted[1] - by),
        bridges=tuple(replace(bridge, height=bridge.height - by) for bridge in surface.bridges),
    )
