"""Named heights on a limb surface: ankle, widest, knee; wrist, widest, elbow."""

from __future__ import annotations

import numpy as np

from flatten.findings import Finding, finding
from flatten.limb.anatomy.joint import Joint
from flatten.limb.girths.girth import tape_girths
from flatten.limb.kind import LimbKind, ProximalLimb
from flatten.limb.model import Landmark
from flatten.limb.surface.model import LimbSurface
from flatten.mesh.surface import Floats

END = 10.0
"""mm. A greatest girth nearer than this to the upper end of what the scan shows may not be the limb's greatest."""

EVERY = 4
"""Steps between the girths that are looked at first: a girth bends over centimetres, so that the greatest of these
tells where all are to be looked at."""

STEP = 2.0
"""mm. Step in which the girths that landmarks are found by are taken; extrema are then refined by a parabola."""

OWN_SECTIONS = 0.7
"""Waist radii below a joint above which sections are the joint's: on eight posed forearms whose girth grows up to the
elbow, bent by 10 to 60°, the widest between wrist and elbow is then met within 17 mm; with 1 radius one is missed by
43 mm, with 0.5 all by 5 to 10 mm too high."""

TOP_MARGIN = 10.0
"""mm below the end of a proximal limb's trusted range from which on girths are not compared: the fold begins there."""

NEAR_WAIST = 60.0
"""mm. The least girth lies within this height of the narrowest slab, which is told by its mean radius."""


def least_height(surface: LimbSurface) -> float:
    """Height of the least tape girth near height 0, the waist's slab, mm."""
    low, high = surface.trusted
    heights = _steps(max(-NEAR_WAIST, low), min(NEAR_WAIST, high))
    return _extreme(heights, -tape_girths(surface, heights))


def _steps(low: float, high: float) -> Floats:
    return np.linspace(low, high, max(3, round((high - low) / STEP) + 1))


def _extreme(heights: Floats, values: Floats) -> float:
    """Place of the largest value, refined by the parabola through its neighbours where it has two."""
    at = int(np.argmax(values))
    if at in (0, len(values) - 1):
        return float(heights[at])
    left, here, right = values[at - 1 : at + 2]
    bend = left - 2 * here + right
    return float(heights[at] + (0.5 * (left - right) / bend if bend < 0 else 0.0) * (heights[1] - heights[0]))


def landmarks_of(
    surface: LimbSurface, *, kind: LimbKind, joint: Joint | None, height: float | None, picked: bool
) -> tuple[tuple[Landmark, ...], tuple[Finding, ...]]:
    """The landmarks of a limb whose heights count from its height 0, from there up, and what is not sure about them.

    `joint` is at a `height`, None where the scan ends below it; of a proximal limb it is height 0. One that was
    `picked` among others ends where it meets the trunk or them.
    """
    if isinstance(kind, ProximalLimb):
        zero = Landmark(kind.zero, 0.0, joint.sigma if joint else 0.0)
        heights = np.arange(0.0, surface.trusted[1] - TOP_MARGIN, STEP)
        widest = float(heights[np.argmax(tape_girths(surface, heights))])
        ends = widest >= surface.trusted[1] - 2 * TOP_MARGIN and not picked
        found = (ends_at_widest(kind, widest),) if ends else ()
        return (zero, Landmark("widest", widest)), found
    widest = widest_height(surface, 0.0, height)
    marks = (Landmark(kind.zero, 0.0), Landmark("widest", widest))
    if joint is not None and height is not None:
        return (*marks, Landmark(kind.joint_mark, height, joint.sigma)), ()
    told: list[Finding] = []
    if kind.leans is not None:
        lean = float(np.radians(kind.leans))
        told.append(finding("limb.joint not shown", "look", joint=kind.joint, far_end=kind.far_end, lean=lean))
    if widest > surface.trusted[1] - END:
        told.append(ends_at_widest(kind, widest))
    return marks, tuple(told)


def ends_at_widest(kind: LimbKind, height: float) -> Finding:
    """That the scan of a limb ends where it is widest, at a height."""
    return finding("limb.ends at widest", "look", place=kind.place(height=height), kind=kind.name)


def widest_height(surface: LimbSurface, waist: float, joint: float | None) -> float:
    """Height of the greatest tape girth above height `waist` and below the joint, mm.

    Nearer than OWN_SECTIONS below the joint its own sections are measured, and no more the limb's.
    """
    top = surface.trusted[1]
    if joint is not None:
        top = min(top, joint - OWN_SECTIONS * _waist_radius(surface, waist))
    heights = _steps(waist, max(top, waist + 2 * STEP))
    at = EVERY * int(np.argmax(tape_girths(surface, heights[::EVERY])))
    near = heights[max(0, at - EVERY - 1) : at + EVERY + 2]
    return _extreme(near, tape_girths(surface, near))


def section_centres(surface: LimbSurface, heights: Floats) -> Floats:
    """Area centroids (m,2) of the sections at heights (m,), limb coordinates mm."""
    bearing = np.arange(90, dtype=np.float64) * (np.pi / 45)
    radius = surface.radius(heights[:, None], bearing)
    moment = np.stack([np.mean(radius**3 * np.cos(bearing), axis=1), np.mean(radius**3 * np.sin(bearing), axis=1)], 1)
    return np.asarray(surface.centre_line(heights) + moment * (2 / 3) / np.mean(radius**2, axis=1)[:, None])


def _waist_radius(surface: LimbSurface, waist: float) -> float:
    return float(tape_girths(surface, np.array([waist]))[0]) / (2 * np.pi)
