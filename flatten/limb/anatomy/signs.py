"""Signs of a joint from peaks and dips along a limb's line: how far from them the joint is, and how surely."""

from __future__ import annotations

import numpy as np

from flatten.limb.anatomy.bends import Peak
from flatten.limb.anatomy.joint import Hint, Sign
from flatten.limb.anatomy.midline import STEP, Midline
from flatten.limb.anatomy.narrow import Dip, smooth_girths

DIP_WEIGHT = 6.0
"""Weight of a clear dip of girth, the deepest, against its being no joint's."""

CLEAR_DIP = 0.006
"""Share of girth that rises to both sides of a dip which counts for two thirds of a clear one: noise makes 0.002."""

MOST = 6.0
"""The greatest weight of one peak: what stands out far more is no joint's, but a lid's or the trunk's."""

SHALLOWER = 0.01
"""Share of girth by which a dip is less deep than the deepest at which it counts for a third of it."""

DIP_BLUR = 0.5
"""Part of a dip's own sigma, half of its flat stretch, that counts beside the sign's: its middle is told better."""

THIN_WEIGHT = 6.0
"""Weight of all that is thin against a joint's being nowhere there."""


def by_dips(dips: tuple[Dip, ...], *, above: float, sigma: float) -> Sign:
    """The joint lies `above` mm above a dip of girth, within `sigma`; clear and deep ones count most."""
    least = min((dip.girth for dip in dips), default=0.0)
    hints = (
        Hint(
            dip.along + above,
            float(np.hypot(sigma, DIP_BLUR * dip.sigma)),
            DIP_WEIGHT * float(np.exp(-(dip.girth / least - 1) / SHALLOWER) * -np.expm1(-dip.rise / CLEAR_DIP)),
        )
        for dip in dips
    )
    return Sign(tuple(hints), 1.0)


def by_peaks(peaks: tuple[Peak, ...], *, above: float, sigma: float, size: float) -> Sign:
    """The joint lies `above` mm above a peak, within `sigma`; one of a `size` counts as much as nothing."""
    return Sign(tuple(Hint(peak.at + above, sigma, weight(peak, size, 2.0)) for peak in peaks), 1.0)


def weight(peak: Peak, size: float, power: float) -> float:
    """How much a peak counts against nothing: as much where it is of a `size`, more by a `power`, at the most MOST."""
    return float(min(MOST, (peak.size / size) ** power))


def by_thinness(line: Midline, *, low: float, high: float, share: float) -> Sign:
    """The joint lies where the girth between `low` and `high` is within some `share` of the least there.

    The more girth exceeds that least, the less is it likely, by a normal law.
    """
    among = line.within(low, high)
    girths = smooth_girths(line)[among]
    likely = np.exp(-0.5 * ((girths / girths.min() - 1) / share) ** 2)
    weights = THIN_WEIGHT * likely / likely.sum()
    return Sign(
        tuple(Hint(float(line.along[at]), STEP, float(weight)) for at, weight in zip(among, weights, strict=True)), 1.0
    )
