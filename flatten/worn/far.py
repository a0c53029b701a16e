"""A foot or a hand as the scan shows it, seen from the axis of the joint that it turns about."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from flatten.mesh.surface import Floats, frozen

ASIDE = 6.0
"""mm. Width of the slices across the joint's axis: half a toe."""

ROUND = np.radians(3.0)
"""rad. Step round the joint: 4 mm on a foot's back 80 mm from the ankle."""

BRIDGED = 7
"""Steps round the joint that are bridged where no point lies: a hole of 30 mm on a foot's back."""

LEAST_POINTS = 200
"""Points beyond the joint with which a scan shows what is there: fewer are the rim where the scan was cut off."""

LEAST_REACH = 60.0
"""mm beyond the joint that the points reach, or forward of it: a scan that ends sooner shows no foot and no hand."""


@dataclass(frozen=True, eq=False)
class Far:
    """The part beyond a joint: its greatest distances `reach` (m,n) mm from the axis, by slices aside and steps round.

    NaN where there is none. `aside` is the first slice's edge, mm along the axis; steps run from -π, and 0 is the
    motion's own direction.
    """

    aside: float
    reach: Floats

    def __post_init__(self) -> None:
        """Freeze the array."""
        object.__setattr__(self, "reach", frozen(self.reach))

    def distance(self, aside: Floats, angle: Floats) -> Floats:
        """Greatest distance (N,) from the axis at places aside (N,) mm and angles (N,) rad; 0 where nothing is seen."""
        slices, steps = self.reach.shape
        row = np.floor((aside - self.aside) / ASIDE).astype(int)
        place = np.mod(angle + np.pi, 2 * np.pi) / ROUND - 0.5
        low = np.floor(place).astype(int)
        share = place - low
        there = (row >= 0) & (row < slices)
        row = np.clip(row, 0, slices - 1)
        found = (1 - share) * self.reach[row, low % steps] + share * self.reach[row, (low + 1) % steps]
        return np.where(there & np.isfinite(found), found, 0.0)


def far_of(ahead: Floats, aside: Floats, beyond: Floats) -> Far | None:
    """The part beyond a joint from its points: mm ahead, aside and beyond (N,) of the joint's axis.

    Only what is beyond the joint moves with it. It is taken as star-shaped about the axis, which a foot and a hand are
    from ankle and wrist. None where the points show no such part.
    """
    moving = beyond > 0.0
    if moving.sum() < LEAST_POINTS or np.hypot(ahead[moving], beyond[moving]).max() < LEAST_REACH:
        return None
    ahead, aside, beyond = ahead[moving], aside[moving], beyond[moving]
    first = float(aside.min())
    steps = round(2 * np.pi / ROUND)
    rows = np.floor((aside - first) / ASIDE).astype(int)
    columns = np.floor((np.arctan2(-beyond, ahead) + np.pi) / ROUND).astype(int) % steps
    reach = np.full((int(rows.max()) + 1, steps), -np.inf)
    np.maximum.at(reach, (rows, columns), np.hypot(ahead, beyond))
    return Far(first, _bridged(np.where(np.isfinite(reach), reach, np.nan)))


def _bridged(reach: Floats) -> Floats:
    """Gaps of at most BRIDGED steps between seen ones filled straight across."""
    found = reach.copy()
    for row in found:
        seen = np.flatnonzero(np.isfinite(row))
        for one, other in pairwise(seen):
            if 1 < other - one <= BRIDGED + 1:
                row[one : other + 1] = np.linspace(row[one], row[other], other - one + 1)
    return found
