"""The angles of a flat triangle whose sides are known only between bounds."""

from __future__ import annotations

import numpy as np

from flatten.mesh.surface import Floats

ANGLE_ROUNDING = 1e-9
"""Radians by which each computed angle is widened on the safe side: far above rounding, far below what matters."""


def angle(first: Floats, second: Floats, opposite: Floats) -> Floats:
    """Angle (…) between two sides, radians, 0 or π where the three sides make no triangle.

    By half-angles, lengths subtracted in the order that keeps full accuracy in thin triangles (Kahan 2014,
    "Miscalculating area and angles of a needle-like triangle"): in any other, half the digits of an angle near 0 or π
    are lost.
    """
    large, small = np.maximum(first, second), np.minimum(first, second)
    needle = np.minimum(small, opposite) - (large - np.maximum(small, opposite))
    sine = np.maximum(needle, 0.0) * (opposite + (large - small))
    cosine = (first + second + opposite) * np.maximum(small + (large - opposite), 0.0)
    return 2 * np.arctan2(np.sqrt(sine), np.sqrt(cosine))


def least_angle(first: tuple[Floats, Floats], second: tuple[Floats, Floats], opposite: Floats) -> Floats:
    """The least angle (…) between sides within bounds (low, high), the opposite side at its least.

    For a fixed opposite side and second side the angle, as a function of the first, rises and then falls: so its
    least is at an end, and of all the least is at a corner of the box.
    """
    corners = [angle(a, b, opposite) for a in first for b in second]
    return np.minimum.reduce(corners)


def greatest_angle(first: tuple[Floats, Floats], second: tuple[Floats, Floats], opposite: Floats) -> Floats:
    """The greatest angle (…) between sides within bounds (low, high), the opposite side at its greatest.

    Where it is not at a corner of the box, one side is at an end and the other is the leg of a right angle that the
    opposite side closes, a² = b² − c², if that lies within its bounds; both cannot be so at once.
    """
    found = []
    for fixed, free in ((first, second), (second, first)):
        for side in fixed:
            leg = np.sqrt(np.maximum(side**2 - opposite**2, 0.0))
            found += [angle(side, end, opposite) for end in (*free, np.clip(leg, *free))]
    return np.maximum.reduce(found)
