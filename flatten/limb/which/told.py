"""Which limb and which side a scan shows where nobody names them."""

from __future__ import annotations

from collections.abc import Callable

from flatten.findings import Finding, finding
from flatten.limb.anatomy.front import Bearings
from flatten.limb.anatomy.midline import Midline
from flatten.limb.kind import KINDS, SIDES, USUAL, LimbKind, limb_beside
from flatten.limb.model import KindError, LimbError
from flatten.limb.which.misnamed import shown_end
from flatten.mesh.surface import Floats

AGAINST = "limb.side against"
"""The code of what foot or hand say against a side."""


def kind_told(points: Floats, line: Midline) -> tuple[LimbKind, Finding]:
    """The kind of limb in points (N,3), evenly dense, with their middle line: that which ends at the foot or hand that
    they show, else the usual one; and what to look at about it."""
    end = shown_end(points, line)
    if end is None:
        return USUAL, finding("limb.kind assumed", "look", kind=USUAL.name)
    kind = limb_beside(end)
    others = tuple(other.name for other in KINDS.values() if other.far_end == end and other is not kind)
    return kind, finding("limb.kind told", "look", kind=kind.name, end=end, others=others)


def side_told(front_of: Callable[[str], Bearings]) -> tuple[str, Finding]:
    """The side that foot or hand show, and what to look at about it.

    `front_of(side)` is the front where a side is named, with what speaks against that side. Where nothing speaks
    against either, the first of SIDES is assumed. Raises FrontError as `front_of` does.
    """
    against = {side: [each for each in front_of(side).findings if each.code == AGAINST] for side in SIDES}
    told = [side for side in SIDES if not against[side]]
    if len(told) != 1:
        return SIDES[0], finding("limb.side assumed", "look", side=SIDES[0])
    (side,) = told
    (doubt,) = against[other_side(side)]
    return side, finding("limb.side told", "look", side=side, seen=doubt.figures["seen"])


def other_side(side: str) -> str:
    """The other one of SIDES."""
    return SIDES[1 - SIDES.index(side)]


def unnamed(error: LimbError, kind: LimbKind) -> KindError:
    """The error of a limb that was only assumed to be of a kind, with what to name."""
    kinds = ", ".join(f"'{name}'" for name in KINDS)
    return KindError(
        f"{error}; it was taken for a {kind}, as nobody named the limb and the scan shows neither foot nor hand: name "
        f"it, one of {kinds}"
    )
