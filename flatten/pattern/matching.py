"""Match marks: ticks at the same heights of the limb on both sides of a seam, so that mates find each other.

A mark's number is its height, in mm, so that it is the same on both pieces and can be found on the limb with a ruler;
where a limb has several seams, each has a letter before it. The topmost mark of a side is double: two pieces that lie
with one of them upside down show it at once. Between the seams no line is drawn at those heights: the grain side stays
free for tooling.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from string import ascii_uppercase

import numpy as np
import shapely

from flatten.mesh.surface import Floats
from flatten.pattern.isoline import isolines
from flatten.pattern.marks import kept_clear, meetings, tick
from flatten.pattern.model import Hole, Mark
from flatten.pattern.outline import Side
from flatten.pattern.path import along
from flatten.unwrap.model import FlatPanel
from flatten.worn.curves import SEAM_KINDS

STEPS = (50.0, 25.0, 10.0)
"""mm. Heights from one match mark to the next that are tried, the widest first: two to a hand's breadth."""

LEAST_MARKS = 3
"""Marks that a side should have at least: two could still be taken for one another's."""

FROM_CORNER = 12.0
"""mm of height that marks keep from a side's ends at least, and twice the radius that corners are rounded by: up to a
corner of 53° the round has ended there."""

FROM_RING = 15.0
"""mm of height that marks keep from a ring's own notches, which do as well."""

DOUBLE = 2.5
"""mm between the two ticks of a double mark: apart for an eye, one for a hand."""


@dataclass(frozen=True)
class Matching:
    """One seam's match marks: its `letter` ("" where the limb has one seam), and their heights, mm, going up."""

    letter: str
    heights: tuple[float, ...]


@dataclass(frozen=True, eq=False)
class MatchMark:
    """A match mark of a `seam`, with its `letter`, at a `height` (mm) of the limb: its ticks, the inner `end` (2,) mm
    of the first, and the way (2,) inwards."""

    seam: str
    letter: str
    height: float
    ticks: tuple[Mark, ...]
    end: Floats
    inward: Floats


def matchings(pieces: Sequence[tuple[Side, ...]], *, rings: Sequence[float], radius: float) -> dict[str, Matching]:
    """Where the mates of each seam are marked, by the seam's name; `pieces` are the sides of a limb's pieces.

    Heights are those that all of a seam's sides have, multiples of one of STEPS, and none that a ring (mm) has. Corners
    are rounded by a `radius` of up to so many mm.
    """
    seams: dict[str, list[Side]] = {}
    for side in (side for sides in pieces for side in sides if side.kind in SEAM_KINDS):
        seams.setdefault(side.name, []).append(side)
    letters = ascii_uppercase if len(seams) > 1 else ("",)
    clear = max(FROM_CORNER, 2.0 * radius)
    return {
        name: Matching(letters[i % len(letters)], _heights(own, rings, clear))
        for i, (name, own) in enumerate(seams.items())
    }


def _heights(sides: list[Side], rings: Sequence[float], clear: float) -> tuple[float, ...]:
    """The heights, mm, of a seam's match marks, which keep `clear` mm from its ends."""
    low = max(float(side.heights[0]) for side in sides) + clear
    high = min(float(side.heights[-1]) for side in sides) - clear
    found: list[float] = []
    for step in STEPS:
        found = [step * k for k in range(int(np.ceil(low / step)), int(np.floor(high / step)) + 1)]
        if len(found) >= LEAST_MARKS:
            break
    return tuple(height for height in found if all(abs(height - ring) > FROM_RING for ring in rings))


def match_marks(
    flat: FlatPanel,
    uv: Floats,
    *,
    sides: tuple[Side, ...],
    holes: tuple[Hole, ...],
    upper: Sequence[Floats],
    matched: Mapping[str, Matching],
) -> tuple[MatchMark, ...]:
    """The match marks of the piece of a flat panel, whose vertices lie at `uv` (V,2), by height.

    They stand on the cut line. On a lower layer they stand on the line where the upper's edge comes, one of `upper`
    (polylines (k,2)), as its own edge is hidden then.
    """
    rims = kept_clear(holes)
    lines = shapely.MultiLineString(list(upper))
    found = []
    for height in sorted({height for own in matched.values() for height in own.heights}):
        ring = isolines(uv, flat.panel.mesh.faces, flat.panel.heights, height)
        for side, at in meetings(ring, sides):
            own = matched.get(side.name) if side.kind in SEAM_KINDS else None
            if own is None or height not in own.heights:
                continue
            down = -DOUBLE if side.upward else DOUBLE
            places = np.array([at, at + down] if height == own.heights[-1] else [at])
            points, heading = along(side.path, places)
            inward = np.stack([-heading[:, 1], heading[:, 0]], axis=1)
            if side.layer == "lower":
                points = points + _inside(lines, ring, points[0]) * inward
            ticks = [tick(point, way, rims, kind="match mark") for point, way in zip(points, inward, strict=True)]
            drawn = tuple(mark for mark in ticks if mark is not None)
            if drawn:
                end = drawn[0].path.points[-1]
                found.append(MatchMark(side.name, own.letter, height, drawn, end, inward[0]))
    return tuple(found)


def _inside(lines: shapely.Geometry, ring: Sequence[Floats], point: Floats) -> float:
    """How far, in mm, from a point (2,) on the cut line a ring meets the nearest of `lines`; 0 where it does not."""
    met = shapely.intersection(shapely.MultiLineString(list(ring)), lines)
    return 0.0 if shapely.is_empty(met) else float(shapely.distance(met, shapely.Point(point)))
