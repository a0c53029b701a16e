"""An outline grown outwards by an allowance, its darts left open."""

from __future__ import annotations

import numpy as np
import shapely

from flatten.mesh.surface import Floats
from flatten.pattern.model import Path
from flatten.pattern.outline import FINE, Side
from flatten.pattern.path import polyline
from flatten.tolerances import CUT_LINE

_THROUGH = 3.0
"""Allowances by which a dart's sides run on past its mouth: it must be cut through the allowance there, whatever angle
they have with the edge."""


def grown(outline: Path, by: float, *, sides: tuple[Side, ...]) -> Path:
    """The closed outline `by` mm outside of another with these `sides`, within CUT_LINE of it; round about its corners.

    Along darts and slashes it does not grow: they stay open to their tips, and run on through the allowance at their
    mouths.
    """
    # No simplification: it hangs on where a ring begins, and a pair's two pieces are exact mirror images.
    larger = shapely.buffer(shapely.Polygon(polyline(outline, 0.5 * CUT_LINE)), by)
    cut = shapely.difference(
        larger, shapely.union_all([_wedge(*pair, through=_THROUGH * by) for pair in _darts(sides)])
    )
    # What a dart's run-on cuts off beside its mouth is waste.
    ring = shapely.get_exterior_ring(max(shapely.get_parts(cut).tolist(), key=lambda part: part.area))
    points = shapely.get_coordinates(ring)[:-1]
    points = points if shapely.is_ccw(ring) else points[::-1]
    return Path(points, np.zeros(len(points)), closed=True)


def _darts(sides: tuple[Side, ...]) -> list[tuple[Side, Side]]:
    """The two sides of each dart and slash, which meet at its tip."""
    return [
        (one, other)
        for one, other in zip(sides, (*sides[1:], *sides[:1]), strict=True)
        if one.kind in ("dart", "slash") and one.kind == other.kind and one.name == other.name
    ]


def _wedge(inwards: Side, outwards: Side, *, through: float) -> shapely.Geometry:
    """What lies between a dart's sides, and `through` mm further out, straight on."""
    first, last = polyline(inwards.path, FINE), polyline(outwards.path, FINE)
    ring = np.concatenate([[_beyond(first, through)], first, last[1:], [_beyond(last[::-1], through)]])
    return shapely.make_valid(shapely.Polygon(ring))


def _beyond(line: Floats, by: float) -> Floats:
    """The point (2,) `by` mm before a line's (n,2) first one, straight on."""
    way = line[0] - line[1]
    return np.asarray(line[0] + by * way / np.hypot(*way))
