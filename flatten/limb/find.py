"""A limb found in a scan: its course, front and landmarks, and the surface fitted to it.

The steps of `find_limb`, each done once where no reason is told:

1. Even points of the scan in its own principal frame, so that nothing depends on how it lies.
2. The middle line through them, which bends with the limb. Rings of cloth would mislead what is told by it, so those
   that several looks agree on are put back to the limb, and the line is drawn anew.
3. Whether foot or hand are another limb's than the one that was named, looked at with all points.
4. The course along that line: the waist above foot or hand, the front, given or by foot or hand, the joint by several
   signs, and the straight axis between them. A limb with another beside it is centred on the joint between them first.
5. Cloth about that axis. Where cuffs are found all this is done once more with the limb in place of these.
6. The surface: a rough one through the points without cuffs, which the axis is straightened by and which tells how far
   the limb can be followed; then the one that stays, through more points, with heights along the straightened axis.
7. Height 0 and the landmarks on it; from here on heights count from there.
8. What the scan itself shows beside that surface: cloth, double layers, flat facets.

A slab is a section of 10 mm across the axis.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from flatten.findings import Finding, finding
from flatten.limb.anatomy.axis import AxisEstimate, straight_up_to, whole
from flatten.limb.anatomy.course import Course, Given, Named, bearings_of, course_of
from flatten.limb.anatomy.landmarks import landmarks_of, least_height, section_centres
from flatten.limb.anatomy.midline import Midline, midline_of
from flatten.limb.anatomy.profile import across_axis
from flatten.limb.artefacts.cloth import Cloth, cloth_in, with_limb_for_cuffs, without_cuffs
from flatten.limb.artefacts.doubled import double_layer_findings
from flatten.limb.artefacts.facets import facet_findings, girth_short
from flatten.limb.artefacts.looks import agreed, with_limb_for_rings
from flatten.limb.joint import unsure_findings
from flatten.limb.kind import SIDES, LimbKind, ProximalLimb
from flatten.limb.model import (
    Frame,
    Front,
    FrontDirection,
    JointPoint,
    KindError,
    Limb,
    LimbError,
)
from flatten.limb.scaled import lowered
from flatten.limb.surface.fit import fit_surface
from flatten.limb.surface.model import LimbSurface
from flatten.limb.surface.sample import even_points
from flatten.limb.which.misnamed import misnamed
from flatten.limb.which.told import kind_told, side_told, unnamed
from flatten.mesh.surface import Floats
from flatten.scan.model import Scan
from flatten.units import place_text, unit_mm
from flatten.words.say import text

COARSE_POINTS = 20_000
"""Points for the course: some five in each sector of its sections."""

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

LOWER_PART = 0.6
"""Share of the way from the joint to the trunk over which a thigh's or an upper arm's surface must hold: what lies
above may be folds, of which the trusted range tells where they begin."""

BELOW_JOINT = 0.9
"""Share of the way to a knee over which a lower leg's surface must hold: 35 mm short of it begins its hollow."""

END_ZONE = 30.0
"""mm. The least length over which an axis that leans is corrected."""


def find_limb(
    scan: Scan,
    *,
    kind: LimbKind | None,
    side: str | None,
    front: Front | None = None,
    joint: JointPoint | None = None,
) -> tuple[Limb, LimbSurface]:
    """The limb in a scan that shows one, and the surface fitted to it in limb coordinates, by the steps above.

    `side` is one of SIDES; where it or the kind is None, foot or hand tell it, or the usual one is assumed. `front` and
    `joint` in scan coordinates overrule what the scan shows. Height 0 is the least tape girth above ankle or wrist, the
    kneecap's top, the elbow's crease. Raises FrontError where the front is neither given nor shown, KindError where it
    is not given and foot or hand are another limb's, or where nobody named the limb and it is not the usual one,
    LimbError where the scan shows no such limb or it cannot be followed, with the height.
    """
    if side is not None and side not in SIDES:
        raise LimbError(f"no limb is a '{side} {kind}'; the sides are {', '.join(SIDES)}")
    coarse = even_points(scan, count=COARSE_POINTS)
    own = _own_frame(coarse)
    points = own.to_limb(coarse)
    line = midline_of(points)
    if kind is not None:
        return _found_as(scan, points, line, own, kind, side=side, front=front, joint=joint)
    kind, told = kind_told(points, line)
    try:
        limb, surface = _found_as(scan, points, line, own, kind, side=side, front=front, joint=joint)
    except LimbError as error:
        if told.code == "limb.kind assumed":
            raise unnamed(error, kind) from error
        raise
    return replace(limb, findings=(told, *limb.findings)), surface


def _found_as(
    scan: Scan,
    points: Floats,
    line: Midline,
    own: Frame,
    kind: LimbKind,
    *,
    side: str | None,
    front: Front | None,
    joint: JointPoint | None,
) -> tuple[Limb, LimbSurface]:
    """The limb of a kind, as in `find_limb`; `points` are the scan's in the frame `own`, with their middle `line`."""
    turned = float(np.sign(np.linalg.det(own.axes)))
    sides = {each: Named(kind, each, turned if kind.right_handed == each else -turned) for each in SIDES}
    given = _given(front, joint, own)
    other = misnamed(points, line, kind=kind)
    if other and front is None:
        raise KindError(f"{text(other)}; where '{kind}' is right all the same, give its front")
    told: list[Finding] = []
    try:
        if side is None:
            side, shown = side_told(lambda each: bearings_of(points, line, named=sides[each], given=given))
            told.append(shown)
        named = sides[side]
        course, cloth = _course_and_cloth(points, line, named, given)
        fine = without_cuffs(own.to_limb(even_points(scan, count=FINE_POINTS)), cloth)
        local = _frame(course.estimate.origin, course.estimate.profile.axis, course.bearings.front, named.handed)
        local, surface = _followed(local, without_cuffs(points, cloth), fine, course, named, cloth=cloth)
    except LimbError as error:
        if other is None:
            raise
        raise LimbError(f"no {kind} can be followed, and {text(other)}") from error

    picked = any(repair.code == "scan.other limbs" for repair in scan.repairs)
    joint_at = None if course.place is None else float(local.to_limb(course.place[None])[0, 2])
    zero = joint_at if isinstance(kind, ProximalLimb) and joint_at is not None else least_height(surface)
    local = Frame(local.origin + zero * local.axes[2], local.axes)
    surface = lowered(surface, zero)
    frame = Frame(own.to_scan(local.origin[None])[0], local.axes @ own.axes)
    height = None if joint_at is None else joint_at - zero
    marks, unsure = landmarks_of(surface, kind=kind, joint=course.joint, height=height, picked=picked)
    unsure += unsure_findings(
        kind, course.joint, height=height or 0.0, point=_in_file(frame.to_scan(np.array([[0.0, 0.0, 0.0]]))[0], scan)
    )
    # Heights of cloth are those of its own frame, along the estimate.
    base = cloth.frame.to_limb(local.origin[None])[0, 2]
    findings = (
        *((finding("limb.kind against", "stop", limb=kind.name, shown=other),) if other else ()),
        *told,
        *course.bearings.findings,
        *cloth.findings(kind, zero=base),
        *unsure,
        *double_layer_findings(local.to_limb(fine), surface, kind=kind),
        *facet_findings(girth_short(scan, surface, frame=frame)),
    )
    edges = tuple(height - base for height in cloth.all_edges)
    return Limb(kind, side, frame, marks, course.bearings.known_from, findings, edges), surface


def _in_file(place: Floats, scan: Scan) -> str:
    """A place (3,) on the scan in its file's own unit, as a job file takes it."""
    return place_text(place, unit=unit_mm(scan.unit) * scan.scale)


def _given(front: Front | None, joint: JointPoint | None, own: Frame) -> Given:
    """What was given, in the own frame."""

    def toward(place: Floats) -> Floats:
        assert front is not None
        if isinstance(front, FrontDirection):
            return own.axes @ np.array(front.direction)
        return own.to_limb(np.array([front.place]))[0] - place

    placed = None if joint is None else own.to_limb(np.array([joint.place]))[0]
    return Given(None if front is None else toward, placed)


def _course_and_cloth(points: Floats, line: Midline, named: Named, given: Given) -> tuple[Course, Cloth]:
    """The limb's course, and the cloth about its axis. Raises LimbError where no limb of this kind can be followed."""
    bare, line = with_limb_for_rings(points, line)
    course = course_of(bare, line, named=named, given=given)
    cloth = _cloth(points, course.estimate, named.kind)
    if cloth.cuffs:
        # They may have misled the course to another joint, and the search to other cloth.
        bare = with_limb_for_cuffs(points, cloth)
        course = course_of(bare, midline_of(bare), named=named, given=given)
        cloth = _cloth(points, course.estimate, named.kind)
    return course, cloth


def _cloth(points: Floats, estimate: AxisEstimate, kind: LimbKind) -> Cloth:
    """The cloth about an axis estimate, as several looks agree on it."""
    axis = estimate.profile.axis
    frame = _frame(estimate.origin, axis, across_axis(axis)[0], 1.0)
    seen = whole(estimate.profile)
    proximal, search = isinstance(kind, ProximalLimb), kind.cloth
    top = estimate.top if proximal else straight_up_to(estimate.profile, estimate.waist)
    low, high = (float(estimate.profile.heights[slab]) - estimate.waist_height for slab in (seen[0], top))
    low = max(low, -search.below) if proximal else -search.below
    single = max(low, search.thicker), max(low, search.thinner)
    middles = estimate.profile.centres[seen]

    def look(some: Floats, shift: float) -> Cloth:
        return cloth_in(some, frame=frame, middles=middles, between=(low + shift, high), single=single)

    # Where foot, hand and trunk are known, little else looks like cloth.
    return agreed(points, look, but=1)


def _followed(
    local: Frame, points: Floats, fine: Floats, course: Course, named: Named, *, cloth: Cloth
) -> tuple[Frame, LimbSurface]:
    """The surface through the `fine` points, and its frame. Raises LimbError, which tells the edge of cloth, too."""
    try:
        rough = _rough(local.to_limb(points), course.estimate, kind=named.kind)
        local, needed = _straightened(local, rough, course, named)
        return local, fit_surface(local.to_limb(fine), heights=rough.trusted, needed=needed)
    except LimbError as error:
        if not cloth.edges:
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


def _frame(origin: Floats, axis: Floats, front: Floats, handed: float) -> Frame:
    across = front - (front @ axis) * axis
    across = across / np.linalg.norm(across)
    return Frame(origin, np.stack([across, handed * np.cross(axis, across), axis]))


def _rough(points: Floats, estimate: AxisEstimate, *, kind: LimbKind) -> LimbSurface:
    """A coarse surface over all of the limb that a radius can follow, heights from the waist's slab."""
    heights = estimate.profile.heights - estimate.waist_height
    seen = whole(estimate.profile)
    low = max(float(heights[seen[0]]), -BELOW_WAIST * float(estimate.profile.radii[estimate.waist]))
    return fit_surface(
        points,
        heights=(low, float(heights[seen[-1]])),
        needed=(0.0, _needed_top(estimate, kind)),
        spacing=ROUGH_SPACING,
        bearings=ROUGH_BEARINGS,
        smoothing=ROUGH_SMOOTHING,
    )


def _needed_top(estimate: AxisEstimate, kind: LimbKind) -> float:
    """Height above the waist's slab up to which the surface must be whole: short of a knee's, a groin's or an armpit's
    folds."""
    top = float(estimate.profile.heights[estimate.top]) - estimate.waist_height
    return (LOWER_PART if isinstance(kind, ProximalLimb) else BELOW_JOINT if kind.to_joint else 1.0) * top


def _straightened(local: Frame, rough: LimbSurface, course: Course, named: Named) -> tuple[Frame, tuple[float, float]]:
    """The frame with its axis through smooth section centres, and the heights that the limb is needed over.

    One that runs to the joint goes through the centres of the waist's narrowest section and of that at the joint. Where
    the joint is not shown the axis leans by what the limb's middle lies behind, if that is known; on other limbs it
    stays.
    """
    kind, handed, top = named.kind, named.handed, _needed_top(course.estimate, named.kind)
    if isinstance(kind, ProximalLimb):
        return local, (0.0, top)
    waist = least_height(rough)
    if not kind.to_joint:
        return local, (waist, top)
    if course.place is None:
        if kind.behind is not None:
            estimate = course.estimate
            lean = kind.behind * float(estimate.profile.radii[estimate.waist]) / max(top, END_ZONE)
            axis = local.axes[2] + lean * local.axes[0]
            local = _frame(local.origin, axis / np.linalg.norm(axis), local.axes[0], handed)
        return local, (waist, top)
    joint = min(float(local.to_limb(course.place[None])[0, 2]), rough.trusted[1])
    heights = np.array([waist, joint])
    centres = section_centres(rough, heights)
    places = np.column_stack([centres, heights]) @ local.axes
    axis = (places[1] - places[0]) / np.linalg.norm(places[1] - places[0])
    return _frame(local.origin, axis, local.axes[0], handed), (waist, BELOW_JOINT * joint)
