"""The mean of a left and a right limb."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from flatten.limb.girths.girth import tape_girth
from flatten.limb.model import Limb, LimbError
from flatten.limb.surface.model import LimbSurface
from flatten.worn.neutral import BEARINGS, NODE_SPACING, through

SHORTEST = 150.0
"""mm. Two limbs that are both seen over less than this give no piece."""


@dataclass(frozen=True, eq=False)
class Mean:
    """The mean of two limbs in limb coordinates, and how far apart they are.

    `apart` (mm) is the greatest distance between the two skins, along the radius at equal places, at `height`;
    `widest` are the tape girths (mm) of the first and the second limb at the mean's widest place.
    """

    limb: Limb
    skin: LimbSurface
    apart: float
    height: float
    widest: tuple[float, float]


def mean_of(one: tuple[Limb, LimbSurface], other: tuple[Limb, LimbSurface]) -> Mean:
    """The mean of the first limb and the second, of the other side, with the first one's frame.

    Height and bearing mean the same on both sides of the body, so that skins are averaged at equal heights and
    bearings, and heights of landmarks that both have. Between the nodes it is a spline, as all limb surfaces are.

    Raises LimbError where both are seen over too little.
    """
    (limb, skin), (second, twin) = one, other
    low, high = max(skin.trusted[0], twin.trusted[0]), min(skin.trusted[1], twin.trusted[1])
    if high - low < SHORTEST:
        raise LimbError(
            f"the two scans show only {max(high - low, 0.0):.0f} mm of the {limb.kind} in common; scan both limbs over "
            f"all that is to be covered"
        )
    nodes = np.linspace(low, high, int(np.ceil((high - low) / NODE_SPACING)) + 1)
    around = 2 * np.pi * np.arange(BEARINGS) / BEARINGS
    heights, bearings = np.meshgrid(nodes, around, indexing="ij")
    radii = [surface.radius(heights, bearings) for surface in (skin, twin)]
    centres = [surface.centre_line(nodes) for surface in (skin, twin)]
    worse = replace(
        skin,
        rms=max(skin.rms, twin.rms),
        p99=max(skin.p99, twin.p99),
        bridged_share=max(skin.bridged_share, twin.bridged_share),
        bridges=(*skin.bridges, *twin.bridges),
    )
    mean = through(nodes, 0.5 * (radii[0] + radii[1]), 0.5 * (centres[0] + centres[1]), like=worse)
    gaps = np.abs(radii[0] - radii[1])
    worst = np.unravel_index(np.argmax(gaps), gaps.shape)
    theirs = {mark.name: mark.height for mark in second.landmarks}
    marks = tuple(
        replace(mark, height=0.5 * (mark.height + theirs[mark.name])) for mark in limb.landmarks if mark.name in theirs
    )
    found = replace(limb, landmarks=marks)
    widest = found.height_of("widest")
    girths = tape_girth(skin, widest), tape_girth(twin, widest)
    return Mean(found, mean, float(gaps[worst]), float(heights[worst]), girths)
