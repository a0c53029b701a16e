"""Where the edges run when nobody says: the trade's clearances for each kind of limb."""

from __future__ import annotations

import numpy as np

from flatten.limb.model import Limb
from flatten.worn.curves import Edge
from flatten.worn.panel import CutError

QUARTERS = np.arange(4) * np.pi / 2
"""Bearings of front, outside, back and inside."""

ARCH = 20.0
"""mm. The bottom edge of a shin guard is arched this much higher at front and back, so that the foot can flex."""

BELOW_KNEE = 25.0
"""mm below the kneecap at the front: 20 to 30 is usual. From memory."""

KNEE_HOLLOW = 60.0
"""mm. The back of the top edge lies this much lower than the front and so clears the knee hollow."""

ABOVE_WRIST = 15.0
"""mm above the least girth of the wrist, which leaves the wrist free to turn: 10 to 20 is usual. From memory."""

BELOW_ELBOW = (35.0, 40.0, 55.0, 40.0)
"""mm below the elbow at the back-of-hand, thumb, palm and little-finger sides; the palm side meets the
upper arm when the elbow bends. From memory."""

ABOVE_KNEE = (40.0, 50.0, 60.0, 50.0)
"""mm above the kneecap's top at front, outside, back and inside. From memory."""

ABOVE_ELBOW = (50.0, 40.0, 35.0, 40.0)
"""mm above the elbow's crease at front (biceps), outside, back and inside. From memory."""

RIVETED_OVERLAP = 22.0
"""mm. Leather on leather at a riveted seam: 20 to 25 is usual. From memory."""

BELOW_TRUNK = 20.0
"""mm. A thigh's or upper arm's top edge stays this far below the end of the trusted surface."""


def default_bottom(kind: str) -> tuple[float, ...]:
    """Heights (mm) of a limb's bottom edge at the bearings QUARTERS; a shin guard's is arched at front and back."""
    if kind == "lower leg":
        return (ARCH, 0.0, ARCH, 0.0)
    if kind == "forearm":
        return (ABOVE_WRIST,) * 4
    return ABOVE_KNEE if kind == "thigh" else ABOVE_ELBOW


def default_top(limb: Limb, trusted: tuple[float, float]) -> tuple[float, ...]:
    """Heights (mm) of the top edge at the bearings QUARTERS: below knee or elbow, lower where it bends.

    Raises CutError where the scan ends below that joint.
    """
    if limb.kind == "lower leg":
        front = _joint(limb, "knee") - BELOW_KNEE
        return (front, front - KNEE_HOLLOW / 2, front - KNEE_HOLLOW, front - KNEE_HOLLOW / 2)
    if limb.kind == "forearm":
        elbow = _joint(limb, "elbow")
        return tuple(elbow - below for below in BELOW_ELBOW)
    return (trusted[1] - BELOW_TRUNK,) * 4


def _joint(limb: Limb, name: str) -> float:
    if name not in {mark.name for mark in limb.landmarks}:
        raise CutError(
            f"the scan does not show the {name}, below which the top edge usually ends; give its height, such as "
            f'top = "180 mm" under [edges], or scan to a hand\'s breadth above the {name}'
        )
    return limb.height_of(name)


def shape_heights(
    shape: str, *, height: float | None, by: float | None, default: tuple[float, ...]
) -> tuple[float, ...]:
    """Heights (mm) at the bearings QUARTERS of an edge of a shape of the trade; `default` are those of no shape.

    "straight" runs level; "swept" falls by `by` mm from the front to the back, so that a knee or an elbow can bend;
    "arched" is `by` mm higher at front and back than at the sides, so that a foot can. None for `height` takes it from
    `default`: the mean all round, the front, or the sides' mean.
    """
    if shape == "straight":
        return (float(np.mean(default)) if height is None else height,) * 4
    if shape == "swept":
        front = default[0] if height is None else height
        fall = KNEE_HOLLOW if by is None else by
        return (front, front - fall / 2, front - fall, front - fall / 2)
    if shape == "arched":
        sides = 0.5 * (default[1] + default[3]) if height is None else height
        rise = ARCH if by is None else by
        return (sides + rise, sides, sides + rise, sides)
    return default


def edge(name: str, heights: tuple[float, ...]) -> Edge:
    """The edge through four heights at front, outside, back and inside."""
    return Edge(name, QUARTERS, np.asarray(heights, float))
