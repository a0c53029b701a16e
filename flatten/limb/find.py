"""A limb found in a scan: axis, front and landmarks, and the surface fitted to it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from flatten.findings import Finding, finding
from flatten.limb.anatomy.axis import END_ZONE, Course, course_of, straight_up_to, whole
from flatten.limb.anatomy.front import Bearings, compared, front_from_foot, front_from_hand, front_given
from flatten.limb.anatomy.landmarks import hollow_height, landmarks_of, least_height, section_centres
from flatten.limb.anatomy.profile import across_axis, profile_along
from flatten.limb.anatomy.upper import cut_short, joint_is_shown, upper_course, upper_landmarks, zero_height
from flatten.limb.artefacts.cloth import Cloth, cloth_in, rings_in, with_limb_for_cuffs, without_cuffs
from flatten.limb.artefacts.facets import facet_findings, girth_short
from flatten.limb.artefacts.layers import layers_in
from flatten.limb.kind import SIDES, DistalLimb, FarEnd, LimbKind, ProximalLimb, limb_beside
from flatten.limb.model import (
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
from flatten.words.say import text

COARSE_POINTS = 20_000
"""Points for axis and front: some hundreds in each slab of 10 mm."""

FINE_POINTS = 60_000
"""Points for the surface: about one a square millimetre and a half on a forearm, four on a long leg with its foot."""

ROUGH_SPACING = 16.0
"""mm. Height between the knots of the surface that axis and trusted range are told by: a third of a knee."""

ROUGH_BEARINGS = 24
"""Its bearing columns: a knot each 8–15 mm."""

ROUGH_SMOOTHING = 5.0
"""mm. Its smoothing: ripples below 50 mm are not looked at."""

BELOW_WAIST = 2.5
"""Waist radii below the ankle's or wrist's narrowest place at which the search for the trusted range starts."""


FRONTS: dict[FarEnd, Callable[..., Bearings]] = {"foot": front_from_foot, "hand": front_from_hand}
"""How the front is told from what lies beyond a limb."""

FOLDS = 40.0
"""mm below the place where a thigh or an upper arm spreads into the trunk from which on its surface need not hold."""


def find_limb(scan: Scan, *, kind: LimbKind, side: str, front: Front | None = None) -> tuple[Limb, LimbSurface]:
    """The limb in a scan that shows one, and the surface fitted to it in limb coordinates.

    `side` is one of SIDES; `front` in scan coordinates overrules the foot or hand. Height 0 is
    the least tape girth above ankle or wrist, the kneecap's top, the elbow's crease. Raises FrontError where the front
    is neither given nor shown, KindError where it is not given and foot or hand are another limb's, LimbError where the
    scan shows no such limb or it cannot be followed, with the height.
    """
    if side not in SIDES:
        raise LimbError(f"no limb is a '{side} {kind}'; the sides are {', '.join(SIDES)}")
    coarse = even_points(scan, count=COARSE_POINTS)
    own = _own_frame(coarse)
    handed = (1.0 if kind.right_handed == side else -1.0) * float(np.sign(np.linalg.det(own.axes)))
    points = own.to_limb(coarse)
    course = _course(with_limb_for_cuffs(points, _first_look(points)), kind=kind)
    cloth = _cloth(points, course, kind=kind)
    if cloth.cuffs:
        course = _course(with_limb_for_cuffs(points, cloth), kind=kind)
        # A cuff may have misled the first course to another joint, and other cloth.
        cloth = _cloth(points, course, kind=kind)
        points = without_cuffs(points, cloth)
    if (other := misnamed(own.to_limb(coarse), course, kind=kind)) and front is None:
        raise KindError(f"{text(other)}; where '{kind}' is right all the same, give its front")
    bearings = _front(points, course, own, kind=kind, side=side, handed=handed, front=front)
    local = _frame(course.origin, course.profile.axis, bearings.front, handed)
    fine = without_cuffs(own.to_limb(even_points(scan, count=FINE_POINTS)), cloth)
    local, surface = _followed(local, points, fine, course, kind=kind, handed=handed, cloth=cloth)
    waist, unsure = _zero(surface, course, kind=kind)
    zero = cloth.frame.to_limb((local.origin + waist * local.axes[2])[None])[0, 2]
    worn, edges = cloth.findings(kind, zero=zero), tuple(height - zero for height in cloth.rims)
    if isinstance(kind, DistalLimb):
        marks, unsure = landmarks_of(surface, kind=kind, waist=waist)
    else:
        marks = upper_landmarks(surface, kind=kind, zero=waist)
        picked = any(repair.code == "scan.other limbs" for repair in scan.repairs)
        unsure += cut_short(surface, kind=kind, widest=marks[-1].height, zero=waist, picked=picked)
    marks = tuple(replace(mark, height=mark.height - waist) for mark in marks)
    frame = Frame(own.to_scan((local.origin + waist * local.axes[2])[None])[0], local.axes @ own.axes)
    surface = _lowered(surface, waist)
    layers = layers_in(Frame(local.origin + waist * local.axes[2], local.axes).to_limb(fine), surface)
    twice = (layers.finding(kind),) if layers else ()
    facets = facet_findings(girth_short(scan, surface, frame=frame))
    named = (finding("limb.misnamed", "look", shown=other),) if other else ()
    findings = (*named, *bearings.findings, *worn, *unsure, *twice, *facets)
    return Limb(kind, side, frame, marks, bearings.known_from, findings, edges), surface


def _course(points: Floats, *, kind: LimbKind) -> Course:
    try:
        return upper_course(points, kind=kind) if isinstance(kind, ProximalLimb) else course_of(points, kind=kind)
    except LimbError as error:
        if other := misnamed(points, None, kind=kind):
            raise LimbError(f"no {kind} can be followed, and {text(other)}") from error
        raise


def _zero(surface: LimbSurface, course: Course, *, kind: LimbKind) -> tuple[float, tuple[Finding, ...]]:
    """Where height 0 is on a surface whose heights count from the course's waist, and what is not sure about it."""
    if isinstance(kind, ProximalLimb):
        return zero_height(surface, kind=kind, shown=joint_is_shown(course))
    return least_height(surface), ()


def _first_look(points: Floats) -> Cloth:
    """The rings of cloth along the scan's longest extent, which would mislead the course."""
    along = np.array([1.0, 0.0, 0.0])
    profile = profile_along(points, along)
    frame = Frame(np.zeros(3), np.stack([*across_axis(along), along]))
    return rings_in(points, frame=frame, middles=profile.centres[whole(profile)])


def _cloth(points: Floats, course: Course, *, kind: LimbKind) -> Cloth:
    """The cloth about a first course."""
    axis = course.profile.axis
    frame = _frame(course.origin, axis, across_axis(axis)[0], 1.0)
    seen = whole(course.profile)
    top = course.top if isinstance(kind, ProximalLimb) else straight_up_to(course.profile, course.waist)
    low, high = (float(course.profile.heights[slab]) - course.waist_height for slab in (seen[0], top))
    search = kind.cloth
    low = max(low, -search.below) if isinstance(kind, ProximalLimb) else -search.below
    hems = max(low, search.thicker), max(low, search.thinner)
    return cloth_in(points, frame=frame, middles=course.profile.centres[seen], between=(low, high), hems=hems)


def _followed(
    local: Frame, points: Floats, fine: Floats, course: Course, *, kind: LimbKind, handed: float, cloth: Cloth
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
    points: Floats, course: Course, own: Frame, *, kind: LimbKind, side: str, handed: float, front: Front | None
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
    if kind.front_from is None:
        raise FrontError(
            f"the front of {'an' if kind.name[0] in 'aeiou' else 'a'} {kind} cannot be told from its shape; "
            "give it as a direction in the scan's axes or as a point on the skin"
        )
    shown_by = FRONTS[kind.front_from]
    if isinstance(kind, DistalLimb):
        return shown_by(points, course, handed=handed, side=side)
    try:
        return shown_by(points, course_of(points, kind=limb_beside(kind.front_from)), handed=handed, side=side)
    except LimbError as error:
        raise FrontError(
            f"the scan shows no {kind.front_from} below the {kind}, so that its front is not known; "
            f"give the front as a direction in the scan's axes or as a point above the {kind.zero}"
        ) from error


def _frame(origin: Floats, axis: Floats, front: Floats, handed: float) -> Frame:
    across = front - (front @ axis) * axis
    across = across / np.linalg.norm(across)
    return Frame(origin, np.stack([across, handed * np.cross(axis, across), axis]))


def _rough(points: Floats, course: Course, *, kind: LimbKind) -> LimbSurface:
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


def _needed_top(course: Course, kind: LimbKind) -> float:
    """Height above the waist's slab up to which the surface must be whole: short of a groin's or an armpit's folds."""
    top = float(course.profile.heights[course.top]) - course.waist_height
    return top - FOLDS if isinstance(kind, ProximalLimb) else top


def _straightened(
    local: Frame, rough: LimbSurface, course: Course, *, kind: LimbKind, handed: float
) -> tuple[Frame, tuple[float, float]]:
    """The frame with its axis through smooth section centres, and the heights that the limb is needed over.

    One that runs to the joint goes through the centres of the waist's narrowest section and of the section at the
    hollow of the knee. Where the joint is not shown the slabs' axis leans by what the limb's middle lies behind, if
    that is known; on other limbs it stays.
    """
    top = _needed_top(course, kind)
    if isinstance(kind, ProximalLimb):
        return local, (0.0, top)
    waist = least_height(rough)
    hollow = hollow_height(rough, waist) if kind.to_joint else None
    if hollow is None:
        if kind.behind is not None:
            lean = kind.behind * float(course.profile.radii[course.waist]) / max(top, float(END_ZONE))
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
