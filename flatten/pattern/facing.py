"""Which way a flat piece faces: where its quarters of the limb lie, and the way to the front."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely

from flatten.mesh.surface import Floats

_WITHIN = 40.0 * np.pi / 180.0
"""rad. How far from a quarter's middle its name may stand: a little less than the eighth of a turn that is its own."""

_HIGH = 0.75
"""Share of the way from the lowest to the highest place at which a quarter's name is sought: under the top edge."""

_BAND = 0.1
"""Share of a piece's height about its middle in which the way to the front is taken."""


@dataclass(frozen=True, eq=False)
class QuarterPart:
    """The part of a flat piece that is of one quarter of the limb: its number, as `sides` of a kind of limb have it,
    where it lies, and a place (2,) mm for its name."""

    quarter: int
    part: shapely.Geometry
    near: Floats


def quarter_parts(uv: Floats, bearings: Floats, heights: Floats) -> tuple[QuarterPart, ...]:
    """The quarters of the limb that a piece has a part of, by rising bearing; `uv` (V,2) lie at `bearings` (V,) rad and
    `heights` (V,) mm. A quarter that a seam parts may come twice."""
    steps = np.round(bearings / (np.pi / 2))
    level = heights.min() + _HIGH * np.ptp(heights)
    found = []
    for step in np.unique(steps):
        middle = step * np.pi / 2
        own = np.flatnonzero(np.abs(bearings - middle) <= _WITHIN)
        if len(own):
            # Half a mm of height counts as much as 1° of bearing here: only the nearest vertex is sought.
            away = np.hypot(np.degrees(bearings[own] - middle), 0.5 * (heights[own] - level))
            part = shapely.MultiPoint(uv[own]).convex_hull
            found.append(QuarterPart(int(step) % 4, part, uv[own[int(np.argmin(away))]]))
    return tuple(found)


def way_to_front(uv: Floats, bearings: Floats, heights: Floats) -> float | None:
    """Direction (rad) on a flat piece in which the limb's front is nearer; None where both ways are about as far.

    `uv` (V,2) lie at `bearings` (V,) rad and `heights` (V,) mm. Precondition: the piece has no part of the front.
    """
    middle = np.mod(0.5 * (bearings.min() + bearings.max()) + np.pi, 2 * np.pi) - np.pi
    if abs(middle) > 0.75 * np.pi:
        return None
    centre = 0.5 * (heights.min() + heights.max())
    band = np.abs(heights - centre) <= _BAND * np.ptp(heights)
    if not band.any():
        band = np.ones(len(heights), dtype=bool)
    here = bearings[band] - bearings[band].mean()
    ahead = here @ (uv[band] - uv[band].mean(axis=0))
    # Ahead is where bearings grow; the front is there where the piece's middle lies before it.
    ahead = -ahead if middle > 0.0 else ahead
    return float(np.arctan2(ahead[1], ahead[0]))
