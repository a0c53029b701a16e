"""How wide darts and slashes open in the flat piece."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from flatten.unwrap.model import FlatPanel, UnwrapError
from flatten.worn.panel import Boundary

LEAST_OPENING = 1.0
"""mm. A dart that opens less when flat is no wedge that a knife can cut out."""


@dataclass(frozen=True)
class DartOpening:
    """The width (mm) at the edge of a dart or slash in the flat piece; below 0 its sides lie over one another."""

    name: str
    kind: str
    width: float


def dart_openings(flat: FlatPanel) -> tuple[DartOpening, ...]:
    """The openings of all darts and slashes of a flat panel, in the order of its boundaries."""
    return tuple(
        DartOpening(first.name, first.kind, _width(flat, first, second))
        for first, second in pairwise(flat.panel.boundaries)
        if first.name == second.name and first.kind in ("dart", "slash")
    )


def check_dart_openings(flats: Iterable[FlatPanel]) -> None:
    """Raises UnwrapError where a dart or slash does not open when flat, with what to do instead."""
    for flat in flats:
        for dart in dart_openings(flat):
            if dart.width >= LEAST_OPENING:
                continue
            if dart.width > -LEAST_OPENING:
                raise UnwrapError(
                    f"the {dart.kind} '{dart.name}' opens by only {max(dart.width, 0.0):.1f} mm when flat, so there "
                    f"is nothing to take out there; leave it out, or make it a slash with an opening of a few mm"
                )
            raise UnwrapError(
                f"the sides of the {dart.kind} '{dart.name}' lie {-dart.width:.0f} mm over one another when flat, "
                f"for the limb is hollow there; make it a slash with an opening about {1 - 1.3 * dart.width:.0f} mm "
                f"wider, or leave it out"
            )


def _width(flat: FlatPanel, first: Boundary, second: Boundary) -> float:
    """Signed width between the ends at the edge: the first side's end comes first, counter-clockwise."""
    start, tip, end = flat.uv[[first.vertices[0], first.vertices[-1], second.vertices[-1]]]
    inward = tip - 0.5 * (start + end)
    inward = inward / np.hypot(*inward)
    # Going round counter-clockwise the leather is on the left, so the gap runs to the right of the way inwards.
    return float((end - start) @ np.array([inward[1], -inward[0]]))
