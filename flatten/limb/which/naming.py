"""What to call the limbs of a scan that shows several: by foot or hand, and by the side of the person they are on."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import get_args

import numpy as np

from flatten.findings import message
from flatten.limb.anatomy.front import front_from_foot
from flatten.limb.anatomy.midline import Midline, midline_of
from flatten.limb.anatomy.waist import waist_of
from flatten.limb.kind import FarEnd
from flatten.limb.model import LimbError, SeenLimb
from flatten.limb.which.misnamed import shown_end
from flatten.mesh.surface import Floats

NAMED_BY = 20_000
"""Points of a limb by which it is told what it ends in: some five in each sector of its sections."""

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
    lines = [_line(points) for points in parts]
    ends = [None if line is None else shown_end(points, line) for points, line in zip(parts, lines, strict=True)]
    shown = zip(parts, lines, ends, strict=True)
    facing = _facing([(points, line) for points, line, end in shown if line is not None and end == "foot"])
    if facing is not None and len(parts) == 2 and ends.count("foot") == 1 and all(line is not None for line in lines):
        # Beside a leg that shows its foot there stands another, whose foot the floor or a hole took.
        ends = ["foot" if end is None else end for end in ends]
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


def _line(points: Floats) -> Midline | None:
    """The middle line of points (N,3); None where they are no limb that one can be followed along."""
    try:
        return midline_of(points)
    except LimbError:
        return None


def _facing(legs: Sequence[tuple[Floats, Midline]]) -> Facing | None:
    """How who faces a person sees them, by the feet of their legs; None where no leg tells it."""
    fronts, ups = [], []
    for points, line in legs:
        try:
            waist = waist_of(line, "foot")
            fronts.append(front_from_foot(points, waist, handed=1.0, side="left").front)
        except LimbError:
            continue
        ups.append(waist.axis)
    if not fronts:
        return None
    up = _unit(np.mean(ups, axis=0))
    return Facing(_unit(np.cross(up, np.mean(fronts, axis=0))), up)


def _broadest(points: Floats) -> Facing:
    offset = points - points.mean(axis=0)
    axes = np.linalg.eigh(offset.T @ offset)[1].T[::-1]
    return Facing(axes[1], axes[0])


def _unit(vector: Floats) -> Floats:
    return np.asarray(vector / np.linalg.norm(vector))
