"""The straight axis that a limb's radius is told about, in slabs of its points across it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from flatten.limb.anatomy.profile import Profile, profile_along
from flatten.limb.model import LimbError
from flatten.mesh.surface import Floats, Ints

WELL_SEEN = 0.7
"""Share of a slab's sectors that must be seen before its radius counts."""

FEWEST_SLABS = 8
"""Slabs that show most of a limb's outline, of which less can be told."""

RUN = 3
"""Slabs over which it is told whether the middle of the sections runs off aside: 30 mm."""

ASIDE = 0.45
"""Slope of that middle at which a limb is bent: 24°. A knee that is stood on, and its calf, have 0.25 at the most, a
spike's triangles pull it aside by 0.2."""


SPREAD = 0.45
"""Slope of the mean radius, or of the middle of the sections, at which a limb spreads into the trunk: a thigh's is
0.1, 0.2 at a full one's top, an upper arm's less; a groin's and an armpit's jump by a limb's width within 50 mm."""


@dataclass(frozen=True, eq=False)
class AxisEstimate:
    """A straight axis towards the body: slabs across it, and those of the limb's waist and of its upper end.

    The waist is a distal limb's narrowest place, above ankle or wrist, or the joint of a proximal one.
    """

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


def axis_through(points: Floats, *, axis: Floats, waist: Floats, top: Floats) -> AxisEstimate:
    """The axis (3,) through points (N,3) with the slabs at two places (3,) of the limb's middle.

    Raises LimbError where too few sections across it are whole.
    """
    profile = profile_along(points, axis)
    seen = whole(profile)
    slabs = [int(seen[np.argmin(np.abs(profile.heights[seen] - place @ axis))]) for place in (waist, top)]
    return AxisEstimate(profile, slabs[0], slabs[1])


def whole(profile: Profile) -> Ints:
    """The slabs that are well seen. Raises LimbError where they are too few to tell a limb."""
    seen = np.flatnonzero((profile.seen >= WELL_SEEN) & (profile.radii > 0))
    if len(seen) < FEWEST_SLABS:
        raise LimbError(
            f"only {len(seen)} sections of 10 mm show most of a limb's outline, {FEWEST_SLABS} are needed; "
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


def spread_at(profile: Profile, start: int) -> int:
    """The last slab from `start` up before radius or middle run off into the trunk, or before the scan ends."""
    seen = whole(profile)
    above = seen[seen >= start]
    for slab in above:
        later = slab + RUN
        if later > above[-1]:
            break
        reach = profile.heights[later] - profile.heights[slab]
        aside = profile.centres[later] - profile.centres[slab] - reach * profile.axis
        if max(profile.radii[later] - profile.radii[slab], np.linalg.norm(aside)) > SPREAD * reach:
            return int(slab)
    return int(above[-1])
