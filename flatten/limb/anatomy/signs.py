"""Signs of a joint from peaks and dips along a limb's line: how far from them the joint is, and how surely."""

from __future__ import annotations

import numpy as np

from flatten.limb.anatomy.bends import Peak
from flatten.limb.anatomy.joint import Hint, Sign
from flatten.limb.anatomy.midline import STEP, Midline
from flatten.limb.anatomy.narrow import Extreme, smooth_girths

DIP_WEIGHT = 6.0
"""Weight of the deepest dip of girth against its being no joint's."""

SHALLOWER = 0.01
"""Share of girth by which a dip is less deep than the deepest at which it counts for a third of it."""

DIP_BLUR = 0.5
"""Part of a dip's own sigma, half of its flat stretch, that counts beside the sign's: its middle is told better."""

THIN_WEIGHT = 6.0
"""Weight of all that is thin against a joint's being nowhere there."""


def by_dips(dips: tuple[Extreme, ...], *, above: float, sigma: float) -> Sign:
    """The joint lies `above` mm above a dip of girth, within `sigma`; deep ones count most."""
    least = min((dip.girth for dip in dips), default=0.0)
    hints = (
        Hint(
            dip.along + above,
            float(np.hypot(sigma, DIP_BLUR * dip.sigma)),
            DIP_WEIGHT * float(np.exp(-(dip.girth / least - 1) / SHALLOWER)),
        )
        for dip in dips
    )
    return Sign(tuple(hints), 1.0)


def by_peaks(peaks: tuple[Peak, ...], *, above: float, sigma: float, size: float, power: float = 2.0) -> Sign:
    """The joint lies `above` mm above a peak, within `sigma`.

    A peak of a `size` counts as much as nothing, others by a `power` of theirs.
    """
    return Sign(tuple(Hint(peak.at + above, sigma, (peak.size / size) ** power) for peak in peaks), 1.0)


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
