"""How a thigh or an upper arm runs, from the knee or the elbow up to the trunk, and where its height 0 is."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from scipy.ndimage import gaussian_filter1d

from flatten.findings import Finding, finding
from flatten.limb.anatomy.axis import ROUNDS, TURN, AxisEstimate, whole
from flatten.limb.anatomy.landmarks import ends_at_widest
from flatten.limb.anatomy.profile import Profile, profile_along
from flatten.limb.girths.girth import tape_girths
from flatten.limb.kind import Joint, ProximalLimb
from flatten.limb.model import Landmark, LimbError
from flatten.limb.surface.model import LimbSurface
from flatten.mesh.surface import Floats

NEXT_BULGE = 1.03
"""Rise of the mean radius over the joint's below it at which calf or forearm begins: they stand out by 1.06 to 1.11 on
the bodies at hand, and a thigh or an upper arm hardly narrows again on its way down to the joint."""

SPREAD = 0.45
"""Slope of the mean radius, or of the middle of the sections, at which a limb spreads into the trunk: a thigh's is
0.1, 0.2 at a full one's top, an upper arm's less; a groin's and an armpit's jump by a limb's width within 50 mm."""

RUN = 3
"""Slabs over which that slope is taken: 30 mm."""

ABOVE_JOINT = 1.2
"""Joint radii above its narrowest place up to which the joint's own bones bend the line of the section centres (a
judgement, no published value)."""

KNEECAP = (0.7, 2.4)
"""Radii of the leg's narrowest place below the knee between which, above it, the kneecap's top is looked for: wide
about KNEECAP_RADII."""

KNEECAP_RADII = 1.45
"""The kneecap's top above that place, in its radii: 1.45 to 1.5 on the invented bodies; no published value known."""

KNEECAP_FALL = 0.05
"""Slope by which the front falls back above a kneecap, against the thigh's own line: ripples of the fit stay below."""

CREASE = 45.0
"""mm about the elbow's narrowest place between which the hollow of its crease is looked for (a judgement,
no published value)."""

HOLLOW = 1.0
"""mm that a crease's hollow is deep at least, against the line over it: twice what a phone's waves leave."""

FRONT = np.radians(np.array([-10.0, 0.0, 10.0]))
"""Bearings whose mean is the front's outline."""

STEP, SMOOTH = 2.0, 5.0
"""mm. Step of that outline, and the standard deviation of its smoothing: a kneecap's rim is 20 mm tall."""

TOP_MARGIN = 10.0
"""mm below the end of the trusted range from which on girths are not compared: the fold itself begins there."""

SHORTEST = 32.0
"""mm. A line of section centres above the joint's own bones that is shorter shows no axis to within some degrees."""


def estimate_proximal_axis(points: Floats, *, kind: ProximalLimb) -> AxisEstimate:
    """The estimate of a thigh or an upper arm through points (N,3), whose longest extent is about the first coordinate.

    Its `waist` is the narrowest slab at knee or elbow, its `top` the last below groin or armpit. Raises
    LimbError where no such limb can be followed.
    """
    axis = np.array([1.0, 0.0, 0.0])
    profile = profile_along(points, axis)
    seen = whole(profile)
    quarter = max(2, len(seen) // 4)
    if np.mean(profile.radii[seen[:quarter]]) > np.mean(profile.radii[seen[-quarter:]]):
        axis = -axis
    for _ in range(ROUNDS):
        profile = profile_along(points, axis)
        waist = _joint(profile)
        top = _spreads(profile, waist)
        line = _line(profile, waist, top, kind)
        if np.dot(line, axis) <= 0:
            raise LimbError(f"no straight {kind} can be followed in the scan; check which limb it shows and its unit")
        axis = line
    profile = profile_along(points, axis)
    waist = _joint(profile)
    return AxisEstimate(profile, waist, _spreads(profile, waist))


def _joint(profile: Profile) -> int:
    """The narrowest slab, walking down from the widest until the next bulge, the calf or the forearm, stands out."""
    seen = whole(profile)
    best = int(seen[np.argmax(profile.radii[seen])])
    for slab in seen[seen < best][::-1]:
        if profile.radii[slab] < profile.radii[best]:
            best = int(slab)
        elif profile.radii[slab] > NEXT_BULGE * profile.radii[best]:
            break
    return best


def _spreads(profile: Profile, waist: int) -> int:
    """The last slab above the joint before radius or middle run off into the trunk, or before the scan ends."""
    seen = whole(profile)
    above = seen[seen >= waist]
    for slab in above:
        later = slab + RUN
        if later > above[-1]:
            break
        reach = profile.heights[later] - profile.heights[slab]
        aside = profile.centres[later] - profile.centres[slab] - reach * profile.axis
        if max(profile.radii[later] - profile.radii[slab], np.linalg.norm(aside)) > SPREAD * reach:
            return int(slab)
    return int(above[-1])


def _line(profile: Profile, waist: int, top: int, kind: ProximalLimb) -> Floats:
    start = profile.heights[waist] + ABOVE_JOINT * profile.radii[waist]
    seen = whole(profile)
    among = seen[(profile.heights[seen] >= start) & (seen <= top)]
    length = profile.heights[top] - start
    if len(among) < 4 or length < SHORTEST:
        raise LimbError(
            f"the scan shows only {max(0.0, profile.heights[top] - profile.heights[waist]):.0f} mm of {kind} between "
            f"the {kind.joint} and the trunk, too little to tell its axis by; check which limb it shows and its unit"
        )
    # The median of all pairs' slopes (Theil 1950; Sen 1968): a few slabs that hold some of the trunk do not move it.
    one, other = np.triu_indices(len(among), 1)
    rise = (profile.heights[among[other]] - profile.heights[among[one]])[:, None]
    line = np.median((profile.centres[among[other]] - profile.centres[among[one]]) / rise, axis=0)
    return np.asarray(line / np.linalg.norm(line))


def joint_is_shown(estimate: AxisEstimate) -> bool:
    """Whether the limb widens again below the joint's narrowest slab, as it does where the scan goes on past it."""
    seen = whole(estimate.profile)
    below = estimate.profile.radii[seen[seen < estimate.waist]]
    return bool(below.size and below.max() > TURN * estimate.profile.radii[estimate.waist])


def zero_height(surface: LimbSurface, *, kind: ProximalLimb, shown: bool) -> tuple[float, tuple[Finding, ...]]:
    """Height of the kneecap's top or the elbow's crease, and what is not sure; 0 is the joint's narrowest place.

    `shown` says whether the scan goes on past that place. Raises LimbError where it does not, and the joint's own
    shape cannot be seen either.
    """
    zero = ZEROS[kind.joint]
    found = zero.seen(surface)
    if found is not None:
        return found, ()
    if not shown:
        raise LimbError(
            f"the scan ends at the {kind.joint} and does not show it, so that the heights on the {kind} cannot be "
            f"told; scan it from a hand below the {kind.joint} upwards"
        )
    guess = zero.radii * float(surface.radius(np.zeros(1), FRONT[1:2])[0])
    guessed = finding(
        "limb.zero guessed",
        "look",
        place=kind.place(height=0.0),
        landmark=kind.zero,
        kind=kind.name,
        joint=kind.joint,
        above=guess,
        sigma=kind.zero_sigma,
    )
    return guess, (guessed,)


def cut_short(
    surface: LimbSurface, *, kind: ProximalLimb, widest: float, zero: float, picked: bool
) -> tuple[Finding, ...]:
    """What is not sure about the widest place, at height `widest`: a limb that is widest at its end may be wider above.

    One that was `picked` among others ends where it meets the trunk or them.
    """
    if picked or widest < surface.trusted[1] - 2 * TOP_MARGIN:
        return ()
    return (ends_at_widest(kind, widest - zero),)


def proximal_landmarks(surface: LimbSurface, *, kind: ProximalLimb, zero: float) -> tuple[Landmark, ...]:
    """The kneecap's top or the elbow's crease, and the widest place up to the trunk."""
    heights = np.arange(zero, surface.trusted[1] - TOP_MARGIN, STEP)
    widest = float(heights[np.argmax(tape_girths(surface, heights))])
    return Landmark(kind.zero, zero, kind.zero_sigma), Landmark("widest", widest)


def _front(surface: LimbSurface, low: float, high: float) -> tuple[Floats, Floats]:
    heights = np.arange(max(low, surface.trusted[0]), min(high, surface.trusted[1]), STEP)
    bearings = np.broadcast_to(FRONT, (len(heights), len(FRONT)))
    outline = surface.points(np.broadcast_to(heights[:, None], bearings.shape), bearings)[..., 0].mean(axis=1)
    return heights, np.asarray(gaussian_filter1d(outline, SMOOTH / STEP, mode="nearest"))


def _kneecap(surface: LimbSurface) -> float | None:
    """Where the front falls back fastest above the bulge of the kneecap; None where it hardly does."""
    radius = float(surface.radius(np.zeros(1), np.zeros(1))[0])
    heights, outline = _front(surface, KNEECAP[0] * radius, KNEECAP[1] * radius)
    slope = np.gradient(outline, heights)
    slope = slope - np.median(slope)
    at = int(np.argmin(slope))
    return float(heights[at]) if slope[at] < -KNEECAP_FALL and 0 < at < len(slope) - 1 else None


def _crease(surface: LimbSurface) -> float | None:
    """Where the front is deepest below the line over the elbow's hollow; None where it is hardly hollow."""
    heights, outline = _front(surface, -CREASE, CREASE)
    line = np.interp(heights, heights[[0, -1]], outline[[0, -1]])
    at = int(np.argmin(outline - line))
    return float(heights[at]) if outline[at] - line[at] < -HOLLOW else None


@dataclass(frozen=True)
class Zero:
    """How a joint's height 0 is `seen` on a surface, and where it is put where it is not, in radii above the joint."""

    seen: Callable[[LimbSurface], float | None]
    radii: float


ZEROS: dict[Joint, Zero] = {"knee": Zero(_kneecap, KNEECAP_RADII), "elbow": Zero(_crease, 0.0)}
