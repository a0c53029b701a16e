"""Named heights on a limb surface: ankle, widest, knee; wrist, widest, elbow."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from scipy.ndimage import gaussian_filter1d

from flatten.findings import Finding, finding
from flatten.limb.girths.girth import tape_girths
from flatten.limb.kind import DistalLimb, Joint, LimbKind
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

BROAD = 12.0
"""mm. Standard deviation of the smoothing in which a knee or an elbow is looked for: a fifth of its own length."""

NEAR_WAIST = 60.0
"""mm. The least girth lies within this height of the narrowest slab, which is told by its mean radius."""

KNEE_STEP = 0.1
"""Least slope of the section's front-to-back middle at the knee, where the leg steps forward (0.2–0.4 on the bodies
at hand, 0.1 and less anywhere below)."""

KNEE_RADII = (7.0, 16.0)
"""Ankle radii above the ankle between which the knee is looked for (9.9–11.6 on the bodies at hand)."""

KNEE_PROPORTION = 10.3
"""Ankle radii from the least girth to the kneecap: 9.9 by ANSUR II's means (ankle girth 229.34 mm, tibial height
468.21 mm; Gordon et al., NATICK/TR-15/007, 2014; least girth 130 mm and kneecap 25 mm above its plateau from memory),
10.5–11.6 on the bodies of the test scans."""

ELBOW_RADII = (6.0, 15.0)
"""Wrist radii above the wrist between which the elbow is looked for (10.6 and 11.6 on the bodies at hand)."""

ELBOW_BEND = 0.15
"""Least bend of the centre line at an elbow, as a change of slope (8°): the forearm's own curve stays below."""


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


def knee_height(surface: LimbSurface, waist: float) -> float | None:
    """Height of the kneecap, mm, above a lower leg's least girth at height `waist`; None where the scan ends below it.

    Three signs are taken, and their mean: where the leg steps forward fastest (the calf ends behind as the kneecap
    begins in front), the hollow behind the knee, and the proportion to the ankle. Each alone misses by up to 85 mm on
    some body, since a smooth leg hardly shows its kneecap, and by 32 to 42 mm rms; their middle one by 25, their mean,
    to which the errors of the one are little to those of another, by 17.
    """
    heights = _above(surface, waist, KNEE_RADII)
    hollow = hollow_height(surface, waist)
    if heights is None or hollow is None:
        return None
    slope = _slope(surface, heights, 0.0) - _slope(surface, heights, np.pi)
    if slope.max() < 2 * KNEE_STEP:
        return None
    signs = _extreme(heights, slope), hollow, waist + KNEE_PROPORTION * _waist_radius(surface, waist)
    return float(np.mean(signs))


def hollow_height(surface: LimbSurface, waist: float) -> float | None:
    """Height of the hollow behind the knee, mm: where the back, moving forward above the calf, stops doing so.

    None where the scan ends below it.
    """
    heights = _above(surface, waist, KNEE_RADII)
    if heights is None:
        return None
    retreat = -_slope(surface, heights, np.pi)
    fastest = int(np.argmax(retreat))
    still = np.flatnonzero(retreat[fastest:] <= 0)
    return float(heights[fastest + still[0]]) if still.size and retreat[fastest] > 0 else None


def _slope(surface: LimbSurface, heights: Floats, bearing: float) -> Floats:
    """How fast the outline at a bearing goes out from a straight line along the axis, smoothed broadly."""
    outline = surface.points(heights, np.full_like(heights, bearing))[:, 0] * np.cos(bearing)
    return np.gradient(_broad(outline), heights)


def elbow_height(surface: LimbSurface, waist: float) -> float | None:
    """Height of a bent elbow, mm, above a forearm's least girth at height `waist`; None where none can be told.

    The line of the section centres is broken there: the place is that of the broken line that fits it best, none where
    the fit would be better still beyond the heights at which an elbow can be.
    """
    window = _above(surface, waist, ELBOW_RADII)
    if window is None:
        return None
    heights = _steps(waist, surface.trusted[1])
    centres = section_centres(surface, heights)
    best, bend, found = np.inf, 0.0, None
    places = window[(window > heights[0]) & (window < heights[-1])]
    for height in places:
        line = np.stack([np.ones_like(heights), heights, np.maximum(heights - height, 0.0)], axis=1)
        fit, left, _, _ = np.linalg.lstsq(line, centres, rcond=None)
        if left.sum() < best:
            best, bend, found = float(left.sum()), float(np.linalg.norm(fit[2])), float(height)
    return found if bend >= ELBOW_BEND and found not in (places[0], places[-1]) else None


JOINT_HEIGHTS: dict[Joint, Callable[[LimbSurface, float], float | None]] = {
    "knee": knee_height,
    "elbow": elbow_height,
}
"""How the height of each joint is told from a surface and its waist."""


def distal_landmarks(
    surface: LimbSurface, *, kind: DistalLimb, waist: float
) -> tuple[tuple[Landmark, ...], tuple[Finding, ...]]:
    """The landmarks of a distal limb, from the body's far end up, and what is not sure about them.

    Those that the scan does not reach are left out.
    """
    found: list[Finding] = []
    joint, sigma = JOINT_HEIGHTS[kind.joint](surface, waist), kind.joint_sigma
    guess = None if kind.guessed is None else waist + kind.guessed * _waist_radius(surface, waist)
    if joint is None and guess is not None and guess < surface.trusted[1]:
        joint, sigma = guess, kind.guessed_sigma
        found.append(_joint_guessed(kind, guess - waist))
    widest = widest_height(surface, waist, joint)
    if joint is None and kind.leans is not None:
        lean = float(np.radians(kind.leans))
        found.append(finding("limb.joint not shown", "look", joint=kind.joint, far_end=kind.far_end, lean=lean))
    if joint is None and widest > surface.trusted[1] - END:
        found.append(ends_at_widest(kind, widest - waist))
    marks = [Landmark(kind.zero, waist), Landmark("widest", widest)]
    if joint is not None:
        marks.append(Landmark(kind.joint_mark, joint, sigma))
    return tuple(marks), tuple(found)


def _joint_guessed(kind: DistalLimb, above: float) -> Finding:
    return finding(
        "limb.joint guessed",
        "look",
        place=kind.place(height=above),
        landmark=kind.joint_mark,
        joint=kind.joint,
        zero=kind.zero,
        far_end=kind.far_end,
        above=above,
        sigma=kind.guessed_sigma,
    )


def ends_at_widest(kind: LimbKind, height: float) -> Finding:
    """That the scan of a limb ends where it is widest, at a height."""
    return finding("limb.ends at widest", "look", place=kind.place(height=height), kind=kind.name)


def widest_height(surface: LimbSurface, waist: float, joint: float | None) -> float:
    """Height of the greatest tape girth above height `waist` and below the joint, mm.

    Nearer than one waist radius below the joint its own sections are measured, and no more the limb's.
    """
    top = surface.trusted[1] if joint is None else joint - _waist_radius(surface, waist)
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


def _above(surface: LimbSurface, waist: float, radii: tuple[float, float]) -> Floats | None:
    radius = _waist_radius(surface, waist)
    low, high = waist + radii[0] * radius, min(waist + radii[1] * radius, surface.trusted[1])
    return _steps(low, high) if high - low > 4 * BROAD else None


def _waist_radius(surface: LimbSurface, waist: float) -> float:
    return float(tape_girths(surface, np.array([waist]))[0]) / (2 * np.pi)


def _broad(values: Floats) -> Floats:
    return np.asarray(gaussian_filter1d(values, BROAD / STEP, mode="nearest"))
