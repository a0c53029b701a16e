"""The limb's straight axis: which end is the body's, where the waist (ankle, wrist) is, and the line between."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from flatten.limb.anatomy.profile import Profile, profile_along
from flatten.limb.kind import DistalLimb
from flatten.limb.model import LimbError
from flatten.mesh.surface import Floats, Ints

WELL_SEEN = 0.7
"""Share of a slab's sectors that must be seen before its radius counts."""

TURN = 1.015
"""Rise or fall of the mean radius that makes a widest or a narrowest place: above the noise of slabs, 0.3 %."""

FOOT_OFFSET = 1.0
"""An end whose sections lie this many mean radii off the middle's line is a foot; a bent or cut end stays below."""

RUN = 3
"""Slabs over which it is told whether the middle of the sections runs off aside: 30 mm."""

ASIDE = 0.45
"""Slope of that middle at which a limb is bent: 24°. A knee that is stood on, and its calf, have 0.25 at the most, a
spike's triangles pull it aside by 0.2."""

END_ZONE = 30.0
"""mm. The shin's axis joins the mean centres of zones of this length at ankle and knee, so that the calf's bulge
does not tilt it."""

ROUNDS = 6
"""Rounds of axis, sections, axis; each leaves about a tenth of the tilt."""


@dataclass(frozen=True, eq=False)
class AxisEstimate:
    """How a limb runs: its profile with the axis towards the body, and the slabs of its waist and its upper end."""

    profile: Profile
    waist: int
    top: int

    @property
    def origin(self) -> Floats:
        """The waist's centre (3,)."""
        return self.profile.centres[self.waist]

    @property
    def waist_height(self) -> float:
        """Height of the waist's slab along the axis."""
        return float(self.profile.heights[self.waist])


def estimate_distal_axis(points: Floats, *, kind: DistalLimb) -> AxisEstimate:
    """The estimate of a distal limb through points (N,3), evenly dense, whose longest extent is about the first one.

    Raises LimbError where no run of whole sections can be seen.
    """
    axis = np.array([1.0, 0.0, 0.0])
    profile = profile_along(points, axis)
    whole(profile)
    if _body_is_low(profile, kind):
        axis = -axis
    for _ in range(ROUNDS):
        profile = profile_along(points, axis)
        waist = _waist(profile, kind)
        top = _upper_end(profile, waist, kind)
        line = _direction(profile, waist, top, kind)
        if np.dot(line, axis) <= 0:
            raise LimbError(f"no straight {kind} can be followed in the scan; check which limb it shows and its unit")
        axis = line
    profile = profile_along(points, axis)
    waist = _waist(profile, kind)
    return AxisEstimate(profile, waist, _upper_end(profile, waist, kind))


def whole(profile: Profile) -> Ints:
    """The slabs that are well seen. Raises LimbError where they are too few to tell a limb."""
    seen = np.flatnonzero((profile.seen >= WELL_SEEN) & (profile.radii > 0))
    if len(seen) < 8:
        raise LimbError(
            f"only {len(seen)} sections of 10 mm show most of a limb's outline, 8 are needed; "
            "check the scan's unit, and scan the limb from all sides"
        )
    return seen


def straight_up_to(profile: Profile, start: int) -> int:
    """The last slab from `start` up before the middle of the sections runs off aside, as at a bent knee or elbow."""
    seen = whole(profile)
    above = seen[seen >= start]
    heights, middles = profile.heights[above], profile.centres[above] - profile.heights[above, None] * profile.axis
    aside = np.linalg.norm(middles[RUN:] - middles[:-RUN], axis=1) / (heights[RUN:] - heights[:-RUN])
    off = np.flatnonzero(aside > ASIDE)
    return int(above[off[0] if off.size else -1])


def _body_is_low(profile: Profile, kind: DistalLimb) -> bool:
    """True where the body's end is at the low heights: a foot is off the line, and any other far end is thinner."""
    seen = whole(profile)
    quarter = max(2, len(seen) // 4)
    middle = seen[quarter:-quarter]
    if kind.far_end == "foot":
        offset = _off_line(profile, middle)
        radius = float(np.median(profile.radii[middle]))
        low, high = np.nanmax(offset[: seen[quarter]]), np.nanmax(offset[seen[-quarter] :])
        if max(low, high) > FOOT_OFFSET * radius:
            return bool(high > low)
    return bool(np.mean(profile.radii[seen[:quarter]]) > np.mean(profile.radii[seen[-quarter:]]))


def _off_line(profile: Profile, among: Ints) -> Floats:
    heights = profile.heights - profile.heights[among].mean()
    fit = np.polynomial.polynomial.polyfit(heights[among], profile.centres[among], 1)
    return np.linalg.norm(profile.centres - (fit[0] + heights[:, None] * fit[1]), axis=1)


def _waist(profile: Profile, kind: DistalLimb) -> int:
    """The slab of least radius, walking from the middle away from the body until foot or hand flares."""
    seen = whole(profile)
    best = int(seen[int(0.6 * len(seen))])
    for slab in seen[int(0.6 * len(seen)) :: -1]:
        if profile.radii[slab] < profile.radii[best]:
            best = int(slab)
        elif profile.radii[slab] > kind.flare * profile.radii[best]:
            break
    return best


def _upper_end(profile: Profile, waist: int, kind: DistalLimb) -> int:
    """The slab where the part that gives the axis ends: below the knee the narrowest place above the calf."""
    seen = whole(profile)
    limit = profile.heights[waist] + kind.axis_radii * profile.radii[waist]
    above = seen[(seen > waist) & (profile.heights[seen] <= limit)]
    if len(above) < 4:
        raise LimbError(
            f"the scan shows only {len(above) * 10} mm of {kind} above its narrowest place, 40 are needed; "
            "check the scan's unit and which limb it shows"
        )
    if not kind.to_joint:
        return int(above[-1])
    widest = narrowest = waist
    for slab in above:
        radius = profile.radii[slab]
        if radius > profile.radii[widest] and narrowest == waist:
            widest = int(slab)
        elif narrowest == waist:
            if radius * TURN < profile.radii[widest]:
                narrowest = int(slab)
        elif radius < profile.radii[narrowest]:
            narrowest = int(slab)
        elif radius > TURN * profile.radii[narrowest]:
            return narrowest
    return int(above[-1])


def _direction(profile: Profile, waist: int, top: int, kind: DistalLimb) -> Floats:
    seen = whole(profile)
    among = seen[(seen >= waist) & (seen <= top)]
    if kind.to_joint:
        low, high = profile.heights[waist] + END_ZONE, profile.heights[top] - END_ZONE
        heights = profile.heights[among]
        ends = [profile.centres[among[heights <= max(low, heights[0])]], profile.centres[among[heights >= high]]]
        line = ends[1].mean(axis=0) - ends[0].mean(axis=0)
    else:
        heights = profile.heights[among] - profile.heights[among].mean()
        middle = profile.centres[among].mean(axis=0)
        line = np.linalg.lstsq(heights[:, None], profile.centres[among] - middle, rcond=None)[0][0]
    if not line.any():
        raise LimbError(
            f"only {profile.heights[top] - profile.heights[waist]:.0f} mm lie between the narrowest place of the "
            f"{kind} and the next above it, too little to tell its axis by; check which limb it shows, cut away "
            "what stands off it, such as cloth, or scan more of it"
        )
    return np.asarray(line / np.linalg.norm(line))
