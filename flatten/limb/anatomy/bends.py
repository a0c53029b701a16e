"""Where a limb's line turns, where its girth begins to grow faster, and where its outline is hollow."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.ndimage import gaussian_filter1d

from flatten.limb.anatomy.midline import STEP, Midline
from flatten.mesh.surface import Floats

SMOOTHING = 8.0
"""mm, standard deviation of the smoothing of directions and outlines, beside that of the line itself."""

ABOUT = 26.0
"""mm to each side of a turn's peak over which its centre and its angle are taken: a joint's own length."""

PEAK = 12.0
"""mm to each side over which a peak is the greatest."""


@dataclass(frozen=True)
class Peak:
    """Something that stands out `at` a place along a line, mm, by its `size`."""

    at: float
    size: float


def median_radius(line: Midline) -> float:
    """The median of a limb's mean radii, mm, where its line is trusted."""
    return float(np.median(line.mean_radii[line.within(-np.inf, np.inf)]))


def turns(line: Midline, *, low: float, high: float, towards: Floats | None = None) -> tuple[Peak, ...]:
    """Where a line turns most between `low` and `high`, with the angle, radians, that it turns there to one side.

    `towards` (3,) is the side, seen from below, that it turns to; without it each turn is taken to its own side.
    """
    ways = gaussian_filter1d(line.directions, SMOOTHING / STEP, axis=0, mode="nearest")
    bend = np.gradient(ways, line.along, axis=0)
    sizes = np.linalg.norm(bend, axis=1) if towards is None else bend @ towards
    found = []
    for at in _peaks(line, sizes, low, high):
        side = bend[at] / np.linalg.norm(bend[at]) if towards is None else towards
        about = np.abs(line.along - line.along[at]) <= ABOUT
        turned = np.maximum(bend[about] @ side, 0.0)
        found.append(Peak(float(turned @ line.along[about] / turned.sum()), float(turned.sum() * STEP)))
    return tuple(found)


def hinges(line: Midline, *, low: float, high: float, half: float) -> tuple[Peak, ...]:
    """Where girth begins to grow faster: kinks of two straight lines, `half` mm each, through its logarithm.

    Sizes are the change of slope per radius of the limb. Only places with all of both lines on trusted ground count.
    """
    logs, radius = np.log(line.girths), median_radius(line)
    sizes = np.full(len(line.along), -np.inf)
    first, last = line.trusted
    for at in line.within(max(low, first + half - STEP / 2), min(high, last - half + STEP / 2)):
        away = line.along - line.along[at]
        near = np.abs(away) <= half
        pieces = np.column_stack([np.ones(near.sum()), away[near], np.maximum(away[near], 0.0)])
        sizes[at] = float(np.linalg.lstsq(pieces, logs[near], rcond=None)[0][2]) * radius
    return tuple(Peak(float(line.along[at]), float(sizes[at])) for at in _peaks(line, sizes, low, high))


def hollows(line: Midline, towards: Floats, *, low: float, high: float) -> tuple[Peak, ...]:
    """Where the outline towards a unit vector (3,) is hollow, and how much: curvature times the limb's radius."""
    axis = line.direction(*line.trusted)
    outline = line.places + line.reach(towards)[:, None] * towards
    out, along = (gaussian_filter1d(outline @ way, SMOOTHING / STEP, mode="nearest") for way in (towards, axis))
    rise, run = np.gradient(out, line.along), np.gradient(along, line.along)
    curved = (run * np.gradient(rise, line.along) - rise * np.gradient(run, line.along)) / (rise**2 + run**2) ** 1.5
    sizes = gaussian_filter1d(curved, SMOOTHING / STEP, mode="nearest") * median_radius(line)
    return tuple(Peak(float(line.along[at]), float(sizes[at])) for at in _peaks(line, sizes, low, high))


def _peaks(line: Midline, sizes: Floats, low: float, high: float) -> list[int]:
    """The places inside a window whose size is positive and the greatest about: its ends are none."""
    reach = round(PEAK / STEP)
    among = np.flatnonzero((line.along > low) & (line.along < high))
    return [
        int(at)
        for at in among
        if sizes[at] > 0
        and np.isfinite(sizes[max(0, at - 1) : at + 2]).all()
        and sizes[at] == sizes[max(0, at - reach) : at + reach + 1].max()
    ]
