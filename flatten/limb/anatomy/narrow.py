"""Where a limb is narrowest and widest along its middle line, and where its trunk begins."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.ndimage import gaussian_filter1d

from flatten.limb.anatomy.midline import STEP, Midline
from flatten.limb.model import LimbError
from flatten.mesh.surface import Floats, Ints

SMOOTHING = 6.0
"""mm, standard deviation by which girths are smoothed before their extremes are taken: a step and a half."""

HAND_RADII = 2.2
"""Median radii of a limb that a hand reaches along the line beyond the wrist at the least: fists reach 2.6."""

PALM = 1.75
"""A section so many times as wide as deep is a palm's; a wrist's has 1.2 to 1.6."""

SHIN_RADII = (1.4, 5.2)
"""Radii above a place between which the shin's own direction is taken: 45 to 170 mm above an ankle."""

FOOT_TURN = np.radians(22.0)
"""Turn of the line from the shin's own direction from which it is the foot's."""

FOOT_RADII = 6.0
"""Median radii of a leg from the toes along the line within which the foot turns into the shin: 3 to 5 on the bodies at
hand, whose ankles are thinnest at 4.6 to 7.1; a fat calf turns the line as far, but above."""

CALF_RISE = 1.12
"""Growth of the girth above its least that ends the walk up from the foot: calves have 1.4 to 1.9 ankle girths, and
the swell of the ankle bones stays below 1.05."""

SHARE = 0.005
"""Share of girth by which an extreme is told: noise and a tape's own error."""

LEAST_SIGMA = 3.0
"""mm. No place of least or greatest girth is told better than this (3.2 at the wrist, the best)."""

WIDEST_SIGMA = 12.0
"""mm. Nor is a greatest girth, from one sample of points to another."""

SPREAD = 0.6
"""Slope of the mean radius along the line at which a limb spreads into the trunk: 31°; thighs and upper arms of the
bodies at hand have .25 at the most below it."""


@dataclass(frozen=True)
class Extreme:
    """A place `along` a line, mm, of least or greatest `girth`, mm, and the place's `sigma`, mm."""

    along: float
    girth: float
    sigma: float


@dataclass(frozen=True)
class Dip(Extreme):
    """A local least girth, above which girth grows by a share of at least `rise` to both sides of it."""

    rise: float


def smooth_girths(line: Midline) -> Floats:
    """Tape girths (K,) mm, smoothed by SMOOTHING."""
    return np.asarray(gaussian_filter1d(line.girths, SMOOTHING / STEP, mode="nearest"))


def wrist_of(line: Midline) -> Extreme:
    """The least girth of a forearm above its hand.

    Where the scan shows a hand, at least HAND_RADII lie beyond the wrist, and it lies above all of the palm, as
    fingers are thinner. Raises LimbError where the scan shows nothing above the hand.
    """
    among = line.within(-np.inf, np.inf)
    if not line.opened[0]:
        wide, deep = widths(line)
        beyond = line.along[among] >= HAND_RADII * np.median(line.mean_radii)
        flat = wide[among] >= PALM * deep[among]
        palm = np.flatnonzero(flat & (line.along[among] < np.mean(line.trusted)))
        above = np.arange(len(among)) > (palm[-1] if palm.size else -1)
        among = among[beyond & above & ~flat]
    return _least(line, among, "hand")


def ankle_of(line: Midline) -> Extreme:
    """The least girth of a lower leg above its foot, below the calf.

    Up from where the line no longer turns from the foot into the shin, to where the calf has swollen by CALF_RISE.
    Raises LimbError where the scan shows nothing above the foot.
    """
    among = line.within(-np.inf, np.inf)
    shin = np.array([line.direction(*(line.along[at] + np.array(SHIN_RADII) * line.mean_radii[at])) for at in among])
    turned = np.einsum("ij,ij->i", line.directions[among], shin) < np.cos(FOOT_TURN)
    foot = np.flatnonzero(turned & (line.along[among] < FOOT_RADII * np.median(line.mean_radii)))
    among = among[foot[-1] + 1 if foot.size and not line.opened[0] else 0 :]
    girths = smooth_girths(line)[among]
    risen = np.flatnonzero(girths > CALF_RISE * np.minimum.accumulate(girths)) if len(among) else np.empty(0, int)
    return _least(line, among[: risen[0]] if risen.size else among, "foot")


def widest_between(line: Midline, low: float, high: float) -> Extreme:
    """The greatest girth of a leg's calf, from `low` to `high` along its line, mm.

    Its sigma is half of the stretch over which the girth is within SHARE of it. Raises LimbError where the line is not
    trusted anywhere there.
    """
    among = line.within(low, high)
    if len(among) == 0:
        raise LimbError(
            f"the calf cannot be found: it should be widest {low:.0f} to {high:.0f} mm from the lower end of the limb, "
            "and the scan nowhere shows the limb all round there; say which limb it is and the scan's unit if they are "
            "not what was taken, or scan more of it"
        )
    return _extreme(line, among, 1.0, WIDEST_SIGMA)


def dips(line: Midline, low: float, high: float) -> tuple[Dip, ...]:
    """The local least girths between `low` and `high` along a line, mm; the ends of that stretch are none.

    Of dips between which girth rises by less than SHARE the deepest counts.
    """
    girths = smooth_girths(line)
    among = line.within(low, high)
    inner = among[1:-1]
    found: list[Dip] = []
    for at in inner[(girths[inner] < girths[inner - 1]) & (girths[inner] <= girths[inner + 1])]:
        above, below = among[among > at], among[among < at][::-1]
        ends = []
        for side in (above, below):
            risen = np.flatnonzero(girths[side] > (1 + SHARE) * girths[at])
            ends.append(int(side[risen[0] if risen.size else -1]))
        if girths[at] <= girths[ends[1] : ends[0] + 1].min():
            half = float(line.along[ends[0]] - line.along[ends[1]]) / 2
            rise = float(min(girths[above].max(), girths[below].max()) / girths[at] - 1)
            found.append(Dip(float(line.along[at]), float(girths[at]), max(LEAST_SIGMA, half), rise))
    return tuple(found)


def trunk_begins(line: Midline) -> float:
    """The place along a line, mm, from which the limb spreads into the trunk; the trusted end where it does not."""
    among = line.within(-np.inf, np.inf)
    radii = gaussian_filter1d(line.mean_radii, 2 * SMOOTHING / STEP, mode="nearest")
    slope = np.gradient(radii, line.along)[among]
    upper = line.along[among] > np.mean(line.trusted)
    spread = np.flatnonzero(upper & (slope > SPREAD))
    return float(line.along[among[spread[0]]]) if spread.size else line.trusted[1]


def widths(line: Midline) -> tuple[Floats, Floats]:
    """The greatest and least widths (K,) mm of each section's outline, between parallels."""
    lags = np.arange(line.radii.shape[1])
    cosines = np.cos(2 * np.pi * lags / len(lags))
    support = np.max([np.roll(line.radii, lag, axis=1) * cosines[lag] for lag in lags], axis=0)
    width = support + np.roll(support, len(lags) // 2, axis=1)
    return np.asarray(width.max(axis=1)), np.asarray(width.min(axis=1))


def _least(line: Midline, among: Ints, far_end: str) -> Extreme:
    if len(among) == 0:
        raise LimbError(f"the scan shows no limb above its {far_end}; check which limb it shows, and scan more of it")
    return _extreme(line, among, -1.0, LEAST_SIGMA)


def _extreme(line: Midline, among: Ints, sign: float, least: float) -> Extreme:
    """The greatest of `sign` times the girth among some places, refined by the parabola through its neighbours."""
    girths = smooth_girths(line)
    values = sign * girths[among]
    at = int(np.argmax(values))
    near = sign * values[at] - sign * SHARE * abs(values[at])
    flat = sign * girths[among] >= sign * near
    low = high = at
    while low > 0 and flat[low - 1]:
        low -= 1
    while high < len(among) - 1 and flat[high + 1]:
        high += 1
    along = float(line.along[among[at]])
    if 0 < at < len(among) - 1:
        left, here, right = values[at - 1 : at + 2]
        bend = left - 2 * here + right
        along += float(0.5 * (left - right) / bend) * STEP if bend < 0 else 0.0
    half = float(line.along[among[high]] - line.along[among[low]]) / 2
    return Extreme(along, float(girths[among[at]]), max(least, half))
