"""Where a flat piece lies over itself."""

from __future__ import annotations

import numpy as np
import shapely

from flatten.mesh.gradient import Complexes
from flatten.mesh.surface import Floats, Ints

TOUCH = 1e-6
"""mm. Parts of a flat piece that reach over each other by less only touch, as the two sides of a closed slit do."""


def count_overlaps(flat: Complexes, boundary: Ints) -> int:
    """Number of boundary segments of a flat map (V,) beside which two layers lie, and of pairs that cross.

    The map flips no face, and `boundary` (n,) runs counter-clockwise. Where a part of the piece lies over another, the
    boundary round that place has leather of its own beside it and the other's beneath; or, where it is too small a
    place to hold the middle of a segment, two segments cross. So none is missed: neither a corner that opens past a
    full turn, whose sides do not cross, nor a ring wound exactly onto itself.
    """
    start, end = flat[boundary], flat[np.roll(boundary, -1)]
    along = end - start
    inside = 0.5 * (start + end) + TOUCH * 1j * along / np.abs(along)
    return int(np.sum(winding_numbers(inside, start, end) > 1)) + _crossings(start, end)


def winding_numbers(points: Complexes, start: Complexes, end: Complexes) -> Ints:
    """The winding number (m,) of a piece's boundary round each of the points (m,): how many of its layers lie there.

    A piece without flipped faces has as many there as its boundary winds round it.

    The boundary runs counter-clockwise through segments from `start` (n,) to `end`. Sunday 2001, "Inclusion of a point
    in a polygon": the upward segments that a ray to the right meets, less the downward ones.
    """
    low, high = np.minimum(start.imag, end.imag), np.maximum(start.imag, end.imag)
    right = np.maximum(start.real, end.real)
    reach = shapely.box(points.real, points.imag, np.maximum(right.max(), points.real), points.imag)
    boxes = shapely.box(np.minimum(start.real, end.real), low, right, high)
    point, segment = shapely.STRtree(boxes).query(reach)
    y = points[point].imag
    # An end on the ray belongs to the segment above it.
    meets = (low[segment] <= y) & (y < high[segment])
    point, segment = point[meets], segment[meets]
    along, away = (end - start)[segment], points[point] - start[segment]
    left = (along.conj() * away).imag
    turns = np.where((along.imag > 0) & (left > 0), 1.0, np.where((along.imag < 0) & (left < 0), -1.0, 0.0))
    return np.rint(np.bincount(point, weights=turns, minlength=len(points))).astype(np.int64)


def _crossings(start: Complexes, end: Complexes) -> int:
    """How many pairs of segments cross by more than TOUCH."""
    ends = np.stack([np.stack([z.real, z.imag], axis=-1) for z in (start, end)], axis=1)
    lines = np.asarray(shapely.linestrings(ends))
    first, second = shapely.STRtree(lines).query(lines, predicate="crosses")
    once = first < second
    first, second = first[once], second[once]
    reach = np.min(
        [
            _distance_to_line(start[first], start[second], end[second]),
            _distance_to_line(end[first], start[second], end[second]),
            _distance_to_line(start[second], start[first], end[first]),
            _distance_to_line(end[second], start[first], end[first]),
        ],
        axis=0,
    )
    return int(np.sum(reach > TOUCH))


def _distance_to_line(point: Complexes, start: Complexes, end: Complexes) -> Floats:
    along = end - start
    return np.abs(((point - start) * along.conj()).imag) / np.abs(along)
