"""Where the edges run when nobody says: the trade's clearances for each kind of limb."""

from __future__ import annotations

import numpy as np

from flatten.limb.kind import QUARTERS, ProximalLimb, quarter_bearing
from flatten.limb.model import Limb
from flatten.words.say import text
from flatten.worn.curves import Edge
from flatten.worn.panel import CutError


class JointError(CutError):
    """An edge that nobody gave is measured from a joint whose place is not known well enough."""


class JointHiddenError(CutError):
    """The top edge, which nobody gave, usually ends below a joint that the scan does not show."""


QUARTER_BEARINGS = np.array([quarter_bearing(quarter) for quarter in QUARTERS])
"""rad."""

ARCH = 20.0
"""mm that an arched edge is higher at front and back where nobody says: a shin guard's bottom edge, so that the foot
can flex."""

KNEE_HOLLOW = 60.0
"""mm that a swept edge is lower at the back where nobody says: a shin guard's top edge, which so clears the knee's
hollow."""

RIVETED_OVERLAP = 22.0
"""mm. Leather on leather at a riveted seam: 20 to 25 is usual. From memory."""


def default_top(limb: Limb, trusted: tuple[float, float]) -> tuple[float, ...]:
    """Heights (mm) of the top edge at the bearings QUARTER_BEARINGS: below knee or elbow, lower where it bends.

    Raises JointError where its place is not known well enough, JointHiddenError where the scan ends below that joint.
    """
    top = limb.kind.top_edge
    if top.joint is not None:
        _check_joint(limb, "top")
    end = trusted[1] if top.joint is None else _joint(limb, top.joint)
    return tuple(end - below for below in top.below)


def default_bottom(limb: Limb) -> tuple[float, ...]:
    """Heights (mm) of the bottom edge at the bearings QUARTER_BEARINGS, clear of the joint or the far end below it.

    Raises JointError where height 0 is a joint whose place is not known well enough.
    """
    if isinstance(limb.kind, ProximalLimb):
        _check_joint(limb, "bottom")
    return limb.kind.bottom_edge


def _check_joint(limb: Limb, edge: str) -> None:
    if limb.asked is not None:
        raise JointError(
            f"the {edge} edge goes by the {limb.kind.joint}, and that has to be asked for: {text(limb.asked)} "
            f"Or give the {edge} edge's own heights under [edges]."
        )


def _joint(limb: Limb, name: str) -> float:
    if name not in {mark.name for mark in limb.landmarks}:
        raise JointHiddenError(
            f"the scan does not show the {name}, below which the top edge usually ends; give its height, such as "
            f'top = "180 mm" under [edges], or scan to a hand\'s breadth above the {name}'
        )
    return limb.height_of(name)


def shape_heights(
    shape: str, *, height: float | None, by: float | None, default: tuple[float, ...]
) -> tuple[float, ...]:
    """Heights (mm) at QUARTER_BEARINGS of an edge of a shape of the trade; `default` are those of no shape.

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
    return Edge(name, QUARTER_BEARINGS, np.asarray(heights, float))
