"""Where a flat piece lies over itself."""

from __future__ import annotations

import numpy as np
import shapely

from flatten.mesh.gradient import Complexes
from flatten.mesh.surface import Floats, Ints

TOUCH = 1e-6
"""mm. Border segments that reach over each other by less only touch, as the two sides of a closed slit do."""


def flat_angle_sums(faces: Ints, flat: Complexes) -> Floats:
    """Sum of the flat face angles about each vertex (V,), radians; over 2π the piece lies over itself there."""
    corners = flat[faces]
    onward = np.roll(corners, -1, axis=1) - corners
    back = np.roll(corners, 1, axis=1) - corners
    angles = np.angle(back * onward.conj())
    return np.asarray(np.bincount(faces.ravel(), weights=angles.ravel(), minlength=len(flat)), float)


def count_overlaps(faces: Ints, flat: Complexes, border: Ints) -> int:
    """Number of pairs of border segments of a flat map (V,) that cross, or that turn past each other at a corner.

    A flat disk without flipped faces lies over itself exactly where its border (n,) does.
    """
    start, end = flat[border], flat[np.roll(border, -1)]
    shorter = np.minimum(np.abs(end - start), np.abs(np.roll(end - start, 1)))
    turned = int(np.sum((flat_angle_sums(faces, flat)[border] - 2 * np.pi) * shorter > TOUCH))
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
    return turned + int(np.sum(reach > TOUCH))


def _distance_to_line(point: Complexes, start: Complexes, end: Complexes) -> Floats:
    along = end - start
    return np.abs(((point - start) * along.conj()).imag) / np.abs(along)
