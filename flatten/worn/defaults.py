"""Where the edges run when nobody says: the trade's clearances for each kind of limb."""

from __future__ import annotations

import numpy as np

from flatten.limb.model import Limb
from flatten.worn.curves import Edge

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

BELOW_TRUNK = 20.0
"""mm. A thigh's or upper arm's top edge stays this far below the end of the trusted surface."""


def default_heights(limb: Limb, trusted: tuple[float, float]) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Heights (mm) of the bottom and the top edge at the bearings QUARTERS.

    A lower leg: bottom at the least girth, arched at front and back; top below the kneecap at the front and
    lower behind the knee.
    """
    if limb.kind == "lower leg":
        front = limb.height_of("knee") - BELOW_KNEE
        top = (front, front - KNEE_HOLLOW / 2, front - KNEE_HOLLOW, front - KNEE_HOLLOW / 2)
        return (ARCH, 0.0, ARCH, 0.0), top
    if limb.kind == "forearm":
        elbow = limb.height_of("elbow")
        return (ABOVE_WRIST,) * 4, tuple(elbow - below for below in BELOW_ELBOW)
    bottom = ABOVE_KNEE if limb.kind == "thigh" else ABOVE_ELBOW
    return bottom, (trusted[1] - BELOW_TRUNK,) * 4


def edge(name: str, heights: tuple[float, ...]) -> Edge:
    """The edge through four heights at front, outside, back and inside."""
    return Edge(name, QUARTERS, np.asarray(heights, float))
