"""Cuffs: rings of cloth that stand off a limb at both their rims, found so that they are not taken for skin."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.ndimage import median_filter

from flatten.limb.centre import cell_medians
from flatten.limb.model import Frame
from flatten.limb.words import height_words
from flatten.mesh.surface import Floats

ROW = 4.0
"""mm. Height of the rows that are compared: half a knot spacing, with a few points in each sector."""

SECTORS = 36
"""Sectors of a row; a rim is told by the median of their steps, so that a bent limb's two sides cancel."""

APART = 2
"""Rows between which a step is taken: 8 mm, within which a rolled or sewn rim rises."""

STEP = 3.0
"""mm. Least step of a rim over APART rows: a slope of 20° all round, which no limb has between ankle and knee or wrist
and elbow (0.2 as a slope at the most, 1.6 mm); a thin sock's edge of 1 mm stays below, and does little harm."""

BACK = 1.8
"""mm. Least step, against the limb's own trend, of a rim that comes in: cloth lies back on the skin less suddenly than
it stands off, and a limb's own bulges turn over four times as far."""

TREND = 25
"""Rows over which the limb's own rise is taken, as a median: 100 mm, more than twice a cuff."""

TALLEST = 90.0
"""mm. A ring between two rims is a cuff up to this height; the bulge of a calf is 200 mm long."""

MARGIN = 5.0
"""mm beyond a cuff's rims that is left out with it: a row's height and the tilt of the cuff."""


@dataclass(frozen=True)
class Cuff:
    """A ring of cloth between two heights of the limb, mm, and by how much its rim stands out."""

    low: float
    high: float
    step: float


def cuffs_in(points: Floats, *, middles: Floats, between: tuple[float, float]) -> tuple[Cuff, ...]:
    """The cuffs on a limb's points (N,3), limb coordinates, between two heights, from the lowest up.

    `middles` (m,3) are places of the limb's centre in order of height.
    """
    low, high = between
    inside = points[(points[:, 2] > low) & (points[:, 2] < high)]
    rows = int((high - low) / ROW)
    if not len(inside) or rows <= APART:
        return ()
    away = inside[:, :2] - np.stack([np.interp(inside[:, 2], middles[:, 2], middles[:, k]) for k in range(2)], axis=1)
    row = np.minimum(((inside[:, 2] - low) / ROW).astype(np.int64), rows - 1)
    turn = np.arctan2(away[:, 1], away[:, 0])
    sector = np.minimum(((turn / (2 * np.pi) + 0.5) * SECTORS).astype(np.int64), SECTORS - 1)
    radii = cell_medians(row * SECTORS + sector, np.hypot(*away.T), rows * SECTORS).reshape(rows, SECTORS)
    steps = radii[APART:] - radii[:-APART]
    told = np.isfinite(steps).mean(axis=1) > 0.5
    rise = np.zeros(len(steps))
    rise[told] = np.nanmedian(steps[told], axis=1)
    rise = rise - median_filter(rise, size=TREND, mode="nearest")
    return tuple(
        Cuff(low + (first + 0.5) * ROW, low + (last + APART + 0.5) * ROW, float(rise[first : last + 1].max()))
        for first, last in _pairs(rise)
    )


def without_cuffs(points: Floats, cuffs: tuple[Cuff, ...], *, frame: Frame) -> Floats:
    """The points (M,3) that lie on no cuff, nor within MARGIN of one; `frame` is that of the cuffs' heights."""
    heights = frame.to_limb(points)[:, 2]
    kept = np.ones(len(points), bool)
    for cuff in cuffs:
        kept &= (heights < cuff.low - MARGIN) | (heights > cuff.high + MARGIN)
    return points[kept]


def cuff_sentence(cuff: Cuff, *, kind: str, zero: float) -> str:
    """What was done about a cuff; heights are told from height `zero` of the cuff's own."""
    low, high = (height_words(kind, height - zero) for height in (cuff.low, cuff.high))
    return (
        f"From {low} to {high} the outline stands out by about {cuff.step:.0f} mm all round, like a cuff or a rolled "
        "sock: it was left out, and the limb is bridged there. Check a girth by tape near it."
    )


def _pairs(rise: Floats) -> list[tuple[int, int]]:
    """Rows at which a rim goes out, each with the row of the next one that comes in."""
    found, at = [], 0
    outward, inward = np.flatnonzero(rise >= STEP), np.flatnonzero(rise <= -BACK)
    for first in outward:
        back = inward[(inward > first) & (inward <= first + TALLEST / ROW)]
        if first < at or not back.size:
            continue
        last = int(back[0])
        while last + 1 in inward:
            last += 1
        found.append((int(first), last))
        at = last
    return found
