"""Rivets round a part: evenly by arc length at their distance from its edge, one in each corner."""

from __future__ import annotations

from collections.abc import Collection

import numpy as np
import shapely

from flatten.mesh.surface import Floats
from flatten.pattern.fastening import GREATEST_PITCH, LEAST_PITCH
from flatten.pattern.model import PatternError
from flatten.pattern.ring import Ring
from flatten.unwrap.model import FlatPanel

LEAST_SIDE = 0.6 * LEAST_PITCH
"""mm. Two corners nearer to one another than this share a rivet, half-way."""

MEASURED_FROM = 0.2
"""mm by which rivets stand further in than they must: cut lines are smoothed by up to half of it."""

LOOKS = ("bottom", "high", "top", "low")
"""The ways that a part's sides look: down, towards higher bearings, up, towards lower bearings."""


def rim_of(flat: FlatPanel) -> shapely.Polygon:
    """The outline of a flat panel."""
    return shapely.Polygon(np.concatenate([flat.uv[boundary.vertices[:-1]] for boundary in flat.panel.boundaries]))


def rivets_round(flat: FlatPanel, *, away: float, pitch: float, sides: Collection[str]) -> tuple[Floats, float]:
    """Where rivets stand on a flat part (n,2), `away` mm from its edge, and how far they are apart on average, mm.

    `sides` are those of LOOKS that get some. Each side between corners gets a rivet at each end and others evenly
    between, `pitch` mm apart as nearly as can be; an outline without corners gets them evenly all round.

    Raises PatternError where the part is too narrow for them, or gets fewer than two.
    """
    line = _line_inside(flat, away + MEASURED_FROM)
    ends = line.corners(LEAST_SIDE)
    if not len(ends):
        ends = np.array([line.highest()]) if set(sides) >= set(LOOKS) else line.changes()
    places: list[float] = []
    steps: list[float] = []
    for start, stop in zip(ends, np.roll(ends, -1), strict=True):
        size = float(np.mod(stop - start, line.length)) or line.length
        if len(ends) > 1 and line.looks(start + 0.5 * size) not in sides:
            continue
        count = _count(size, pitch)
        places += [*np.linspace(start, start + size, count + 1)]
        steps += [size / count] * count
    rivets = _apart(np.mod(places, line.length), line.length)
    if len(rivets) < 2:
        raise PatternError(
            f"plate '{flat.panel.name}' gets fewer than two rivets on its sides {', '.join(sorted(sides))}; name more "
            "sides, or leave them out for rivets all round"
        )
    return line.at(rivets), float(np.mean(steps))


def _apart(places: Floats, whole: float) -> Floats:
    """Rising places (n,) round a line of length `whole`, each once: two sides share the rivet in their corner."""
    rising = np.sort(places)
    gaps = np.mod(np.roll(rising, -1) - rising, whole)
    return rising[(gaps > MEASURED_FROM) & (gaps < whole - MEASURED_FROM)] if len(rising) > 1 else rising


def _line_inside(flat: FlatPanel, away: float) -> Ring:
    """The line `away` mm inside a flat part's edge."""
    outline = rim_of(flat)
    inside = shapely.buffer(outline, -away, join_style="mitre", mitre_limit=5.0)
    if inside.is_empty or inside.geom_type != "Polygon":
        widest = 2.0 * shapely.maximum_inscribed_circle(outline).length
        what = f"{widest:.0f} mm wide" if inside.is_empty else "narrow between two wider places"
        raise PatternError(
            f"plate '{flat.panel.name}' is {what}; rivets {away:.1f} mm from its edge need more than {2 * away:.0f} mm "
            "everywhere: make it wider, its rivets smaller, or its outline calmer"
        )
    return Ring.through(shapely.get_coordinates(shapely.orient_polygons(inside).exterior))


def _count(length: float, pitch: float) -> int:
    """How many steps from rivet to rivet divide a side, near to the pitch and within its bounds where that can be."""
    fewest, most = int(np.ceil(length / GREATEST_PITCH)), int(length / LEAST_PITCH)
    wanted = max(round(length / pitch), 1)
    return min(max(wanted, fewest), most) if 1 <= fewest <= most else wanted
