"""A limb found in a scan: axis, front and landmarks, and the surface fitted to it.

The steps of `find_limb`, each done once where no reason is told:

1. Even points of the scan in its own principal frame, so that nothing depends on how it lies.
2. An estimate of the axis. Rings of cloth would mislead it, so those that show along the longest extent are looked for
   first, and the limb is put in their place. Then the cloth about that axis. Where cuffs are found the estimate and the
   cloth are found once more with the limb in place of these: before, the axis was known too little to find them by.
3. Whether foot or hand are another limb's than the one that was named, looked at with all points.
4. The front, on points without cuffs: as given, or by foot or hand; where it is given, these are heard against it.
5. The surface: a rough one through the same points, which the axis is straightened by and which tells how far the limb
   can be followed; then the one that stays, through more points, with heights along the straightened axis.
6. Height 0 and the landmarks on it; from here on heights count from there.
7. What the scan itself shows beside that surface: cloth, double layers, flat facets.

A slab is a section of 10 mm across the axis, the waist a limb's narrowest slab: at ankle, wrist, knee or elbow.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from flatten.findings import Finding, finding
from flatten.limb.anatomy.axis import END_ZONE, AxisEstimate, estimate_distal_axis, straight_up_to, whole
from flatten.limb.anatomy.front import Bearings, compared, front_from_foot, front_from_hand, front_given
from flatten.limb.anatomy.landmarks import distal_landmarks, hollow_height, least_height, section_centres
from flatten.limb.anatomy.profile import across_axis, profile_along
from flatten.limb.anatomy.proximal import (
    cut_short,
    estimate_proximal_axis,
    joint_is_shown,
    proximal_landmarks,
    zero_height,
)
from flatten.limb.artefacts.cloth import Cloth, cloth_in, rings_in, with_limb_for_cuffs, without_cuffs
from flatten.limb.artefacts.doubled import double_layer_findings
from flatten.limb.artefacts.facets import facet_findings, girth_short
from flatten.limb.joint import SETTLED, marks_with_joint
from flatten.limb.kind import SIDES, DistalLimb, FarEnd, LimbKind, ProximalLimb, limb_beside
from flatten.limb.model import (
    Frame,
    Front,
    FrontDirection,
    FrontError,
    JointPoint,
    KindError,
    Landmark,
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


@dataclass(frozen=True)
class _Named:
    """What the user named: the limb and its side; and whether front, lateral and axis are right-handed on it (1) or
    left-handed (-1) in the coordinates that it is looked for in."""

    kind: LimbKind
    side: str
    handed: float


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
    if kind is not None:
        return _found_as(scan, kind, side=side, front=front, joint=joint)
    coarse = even_points(scan, count=COARSE_POINTS)
    kind, told = kind_told(_own_frame(coarse).to_limb(coarse))
    try:
        limb, surface = _found_as(scan, kind, side=side, front=front, joint=joint)
    except LimbError as error:
        if told.code == "limb.kind assumed":
            raise unnamed(error, kind) from error
        raise
    return replace(limb, findings=(told, *limb.findings)), surface


def _found_as(
    scan: Scan, kind: LimbKind, *, side: str | None, front: Front | None, joint: JointPoint | None
) -> tuple[Limb, LimbSurface]:
    """The limb of a kind, as in `find_limb`."""
    coarse = even_points(scan, count=COARSE_POINTS)
    own = _own_frame(coarse)
    turned, points = float(np.sign(np.linalg.det(own.axes))), own.to_limb(coarse)

    estimate, cloth = _axis_and_cloth(points, kind)
    other = misnamed(points, estimate, kind=kind)
    if other and front is None:
        raise KindError(f"{text(other)}; where '{kind}' is right all the same, give its front")

    bare = without_cuffs(points, cloth)
    toward = None if front is None else _toward(front, own, estimate)
    sides = {each: _Named(kind, each, turned if kind.right_handed == each else -turned) for each in SIDES}
    told: list[Finding] = []
    if side is None:
        side, shown = side_told(lambda each: _front(bare, estimate, sides[each], toward=toward))
        told.append(shown)
    bearings = _front(bare, estimate, sides[side], toward=toward)
    named = sides[side]
    fine = own.to_limb(even_points(scan, count=FINE_POINTS))
    local = _frame(estimate.origin, estimate.profile.axis, bearings.front, named.handed)
    local, surface = _followed(local, bare, without_cuffs(fine, cloth), estimate, named, cloth=cloth)

    picked = any(repair.code == "scan.other limbs" for repair in scan.repairs)
    given = None if joint is None else float(local.to_limb(own.to_limb(np.array([joint.place])))[0, 2])
    zero, marks, unsure = _marked(surface, estimate, kind=kind, picked=picked, joint=given)
    local = Frame(local.origin + zero * local.axes[2], local.axes)
    surface = lowered(surface, zero)
    frame = Frame(own.to_scan(local.origin[None])[0], local.axes @ own.axes)
    # Heights of cloth are those of its own frame, along the estimate.
    base = cloth.frame.to_limb(local.origin[None])[0, 2]
    findings = (
        *((finding("limb.kind against", "stop", limb=kind.name, shown=other),) if other else ()),
        *told,
        *bearings.findings,
        *cloth.findings(kind, zero=base),
        *unsure,
        *double_layer_findings(local.to_limb(without_cuffs(fine, cloth)), surface, kind=kind),
        *facet_findings(girth_short(scan, surface, frame=frame)),
    )
    edges = tuple(height - base for height in cloth.all_edges)
    return Limb(kind, side, frame, marks, bearings.known_from, findings, edges), surface


def _axis_and_cloth(points: Floats, kind: LimbKind) -> tuple[AxisEstimate, Cloth]:
    """The limb's axis, and the cloth about it. Raises LimbError where no limb of this kind can be followed."""
    estimate = _estimated(with_limb_for_cuffs(points, _first_look(points)), kind)
    cloth = _cloth(points, estimate, kind)
    if cloth.cuffs:
        # They may have misled the estimate to another joint, and the search to other cloth.
        estimate = _estimated(with_limb_for_cuffs(points, cloth), kind)
        cloth = _cloth(points, estimate, kind)
    return estimate, cloth


def _estimated(points: Floats, kind: LimbKind) -> AxisEstimate:
    try:
        if isinstance(kind, ProximalLimb):
            return estimate_proximal_axis(points, kind=kind)
        return estimate_distal_axis(points, kind=kind)
    except LimbError as error:
        if other := misnamed(points, None, kind=kind):
            raise LimbError(f"no {kind} can be followed, and {text(other)}") from error
        raise


def _marked(
    surface: LimbSurface, estimate: AxisEstimate, *, kind: LimbKind, picked: bool, joint: float | None
) -> tuple[float, tuple[Landmark, ...], tuple[Finding, ...]]:
    """Where height 0 is on a surface whose heights count from the waist's slab, the landmarks from there, and what is
    not sure about them; `joint` is the height of one that was given."""
    if isinstance(kind, DistalLimb):
        zero = least_height(surface)
        marks, unsure = distal_landmarks(surface, kind=kind, waist=zero)
        if joint is not None:
            marks = marks_with_joint(marks, surface, kind=kind, waist=zero, height=joint)
            unsure = tuple(each for each in unsure if each.code not in SETTLED)
    else:
        if joint is not None:
            zero, unsure = joint, ()
        else:
            zero, unsure = zero_height(surface, kind=kind, shown=joint_is_shown(estimate))
        marks = proximal_landmarks(surface, kind=kind, zero=zero)
        unsure += cut_short(surface, kind=kind, widest=marks[-1].height, zero=zero, picked=picked)
    return zero, tuple(replace(mark, height=mark.height - zero) for mark in marks), unsure


def _first_look(points: Floats) -> Cloth:
    """The rings of cloth along the scan's longest extent, which would mislead the estimate."""
    along = np.array([1.0, 0.0, 0.0])
    profile = profile_along(points, along)
    frame = Frame(np.zeros(3), np.stack([*across_axis(along), along]))
    return rings_in(points, frame=frame, middles=profile.centres[whole(profile)])


def _cloth(points: Floats, estimate: AxisEstimate, kind: LimbKind) -> Cloth:
    """The cloth about an axis estimate."""
    axis = estimate.profile.axis
    frame = _frame(estimate.origin, axis, across_axis(axis)[0], 1.0)
    seen = whole(estimate.profile)
    proximal, search = isinstance(kind, ProximalLimb), kind.cloth
    top = estimate.top if proximal else straight_up_to(estimate.profile, estimate.waist)
    low, high = (float(estimate.profile.heights[slab]) - estimate.waist_height for slab in (seen[0], top))
    low = max(low, -search.below) if proximal else -search.below
    single = max(low, search.thicker), max(low, search.thinner)
    return cloth_in(points, frame=frame, middles=estimate.profile.centres[seen], between=(low, high), single=single)


def _followed(
    local: Frame, points: Floats, fine: Floats, estimate: AxisEstimate, named: _Named, *, cloth: Cloth
) -> tuple[Frame, LimbSurface]:
    """The surface through the `fine` points, and its frame. Raises LimbError, which tells the edge of cloth, too."""
    try:
        rough = _rough(local.to_limb(points), estimate, kind=named.kind)
        local, needed = _straightened(local, rough, estimate, named)
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


def _toward(front: Front, own: Frame, estimate: AxisEstimate) -> Floats:
    """A front that was given, as a vector (3,) in the own frame."""
    if isinstance(front, FrontDirection):
        return own.axes @ np.array(front.direction)
    place = own.to_limb(np.array([front.place]))[0] - estimate.origin
    return place - (place @ estimate.profile.axis) * estimate.profile.axis


def _front(points: Floats, estimate: AxisEstimate, named: _Named, *, toward: Floats | None) -> Bearings:
    """Where the front is: as given by a vector (3,), with what the scan says against it, or as the scan shows it."""
    if toward is None:
        return _front_shown(points, estimate, named)
    given = front_given(toward, estimate)
    try:
        shown = _front_shown(points, estimate, named)
    except FrontError:
        return given
    return compared(given, shown, estimate)


def _front_shown(points: Floats, estimate: AxisEstimate, named: _Named) -> Bearings:
    kind = named.kind
    if kind.front_from is None:
        raise FrontError(
            f"the front of {'an' if kind.name[0] in 'aeiou' else 'a'} {kind} cannot be told from its shape; "
            "give it as a direction in the scan's axes or as a point on the skin"
        )
    shown_by = FRONTS[kind.front_from]
    if isinstance(kind, DistalLimb):
        return shown_by(points, estimate, handed=named.handed, side=named.side)
    try:
        beside = estimate_distal_axis(points, kind=limb_beside(kind.front_from))
        return shown_by(points, beside, handed=named.handed, side=named.side)
    except LimbError as error:
        raise FrontError(
            f"the scan shows no {kind.front_from} below the {kind}, so that its front is not known; "
            f"give the front as a direction in the scan's axes or as a point above the {kind.zero}"
        ) from error


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
    """Height above the waist's slab up to which the surface must be whole: short of a groin's or an armpit's folds."""
    top = float(estimate.profile.heights[estimate.top]) - estimate.waist_height
    return top - FOLDS if isinstance(kind, ProximalLimb) else top


def _straightened(
    local: Frame, rough: LimbSurface, estimate: AxisEstimate, named: _Named
) -> tuple[Frame, tuple[float, float]]:
    """The frame with its axis through smooth section centres, and the heights that the limb is needed over.

    One that runs to the joint goes through the centres of the waist's narrowest section and of the section at the
    hollow of the knee. Where the joint is not shown the slabs' axis leans by what the limb's middle lies behind, if
    that is known; on other limbs it stays.
    """
    kind, handed, top = named.kind, named.handed, _needed_top(estimate, named.kind)
    if isinstance(kind, ProximalLimb):
        return local, (0.0, top)
    waist = least_height(rough)
    hollow = hollow_height(rough, waist) if kind.to_joint else None
    if hollow is None:
        if kind.behind is not None:
            lean = kind.behind * float(estimate.profile.radii[estimate.waist]) / max(top, float(END_ZONE))
            axis = local.axes[2] + lean * local.axes[0]
            local = _frame(local.origin, axis / np.linalg.norm(axis), local.axes[0], handed)
        return local, (waist, top)
    heights = np.array([waist, hollow])
    centres = section_centres(rough, heights)
    places = np.column_stack([centres, heights]) @ local.axes
    axis = (places[1] - places[0]) / np.linalg.norm(places[1] - places[0])
    return _frame(local.origin, axis, local.axes[0], handed), (waist, hollow)
