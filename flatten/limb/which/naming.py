"""What to call the limbs of a scan that shows several: by foot or hand, and by the side of the person they are on."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import get_args

import numpy as np

from flatten.findings import message
from flatten.limb.anatomy.axis import estimate_distal_axis
from flatten.limb.anatomy.front import front_from_foot
from flatten.limb.kind import FarEnd, limb_beside
from flatten.limb.model import LimbError, SeenLimb
from flatten.limb.which.misnamed import shown_end
from flatten.mesh.surface import Floats

NAMED_BY = 4000
"""Points of a limb by which it is told what it ends in."""

FROM_THE_LEFT = ("right", "left")
"""The sides of a person as who faces them sees them."""


@dataclass(frozen=True, eq=False)
class Facing:
    """How a scan looks to who faces the person: unit vectors (3,) to that one's right, and up."""

    across: Floats
    up: Floats


def seen_limbs(parts: Sequence[Floats], places: Sequence[Floats]) -> tuple[tuple[SeenLimb, ...], Facing]:
    """The limbs whose points `parts` (each (N,3) mm, evenly dense, in the scan's axes) are, called by what they show,
    each with a place (3,) on it; and how they look from the front.

    The feet tell where the person's front is, and the shins which way is up: of two legs or two arms the right one is
    then on the right. Without feet no side is named, and the view is across the scan's broadest direction.
    """
    ends = [_end(points) for points in parts]
    facing = _facing([points for points, end in zip(parts, ends, strict=True) if end == "foot"])
    names = [message("limb.seen", end=end, side=None) for end in ends]
    for end in get_args(FarEnd):
        both = [number for number, own in enumerate(ends) if own == end]
        if facing is None or len(both) != 2:
            continue
        asides = [float(np.mean(parts[number] @ facing.across)) for number in both]
        for side, which in zip(FROM_THE_LEFT, np.argsort(asides), strict=True):
            names[both[which]] = message("limb.seen", end=end, side=side)
    limbs = tuple(SeenLimb(name, place, points) for name, place, points in zip(names, places, parts, strict=True))
    return limbs, _broadest(np.concatenate(parts)) if facing is None else facing


def limbs_of_parts(parts: Sequence[tuple[Floats, Floats]]) -> tuple[tuple[SeenLimb, ...], Facing]:
    """The same of parts that are a place (3,) and points (N,3) each, however many."""
    return seen_limbs([thinned(points) for _, points in parts], [place for place, _ in parts])


def thinned(points: Floats) -> Floats:
    """About NAMED_BY of the points (N,3), every so manieth."""
    return points[:: 1 + len(points) // NAMED_BY]


def _turned(points: Floats) -> tuple[Floats, Floats]:
    """Points (N,3) about their middle in their principal axes, the longest first, and those axes (3,3)."""
    offset = points - points.mean(axis=0)
    axes = np.linalg.eigh(offset.T @ offset)[1].T[::-1]
    return offset @ axes.T, axes


def _end(points: Floats) -> FarEnd | None:
    return shown_end(_turned(points)[0])


def _facing(legs: Sequence[Floats]) -> Facing | None:
    """How who faces a person sees them, by the feet of their legs; None where no leg tells it."""
    fronts, ups = [], []
    for points in legs:
        own, axes = _turned(points)
        try:
            estimate = estimate_distal_axis(own, kind=limb_beside("foot"))
            front = front_from_foot(own, estimate, handed=1.0, side="left").front
        except LimbError:
            continue
        fronts.append(front @ axes)
        ups.append(estimate.profile.axis @ axes)
    if not fronts:
        return None
    up = _unit(np.mean(ups, axis=0))
    return Facing(_unit(np.cross(up, np.mean(fronts, axis=0))), up)


def _broadest(points: Floats) -> Facing:
    _, axes = _turned(points)
    return Facing(axes[1], axes[0])


def _unit(vector: Floats) -> Floats:
    return np.asarray(vector / np.linalg.norm(vector))
