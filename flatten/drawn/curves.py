"""Points on drawn curves, so many that no chord leaves its curve by more than is told."""

from __future__ import annotations

import math

import numpy as np

from flatten.mesh.surface import Floats

MOST_CHORDS = 20_000
"""Chords of one curve: at 0.02 mm those of a circle 500 m wide."""


def bezier_points(corners: Floats, fine: float) -> Floats:
    """Points (n,2) after the first along the Bézier curve of `corners` (3,2) or (4,2).

    A chord leaves a curve by at most the greatest second derivative over 8 n², and that lies at a corner of the second
    differences (Farin 2002, "Curves and Surfaces for CAGD", sections 5.3 and 5.4).
    """
    degree = len(corners) - 1
    bend = degree * (degree - 1) * float(np.hypot(*np.diff(corners, n=2, axis=0).T).max())
    count = _count(math.sqrt(bend / (8.0 * fine)))
    at = np.linspace(0.0, 1.0, count + 1)[1:, None]
    found = np.zeros((count, 2))
    for k, corner in enumerate(corners):
        found += math.comb(degree, k) * at**k * (1.0 - at) ** (degree - k) * corner
    found[-1] = corners[-1]
    return found


def arc_angles(radius: float, sweep: float, fine: float) -> Floats:
    """Angles (n,), of 0 to `sweep` rad without the first, at which chords of a circle leave it by `fine` at most: of
    4 asin √(fine/2r) each, as the sagitta of a chord over the angle c is r (1 − cos c/2)."""
    most = 4.0 * math.asin(math.sqrt(min(fine / (2.0 * radius), 0.5))) if radius > 0.0 else math.pi
    return np.linspace(0.0, sweep, _count(abs(sweep) / most) + 1)[1:]


def bulge_points(start: Floats, end: Floats, bulge: float, fine: float) -> Floats:
    """Points (n,2) after `start` on the arc of that bulge, the tangent of a quarter of its sweep, positive to the left
    turning (DXF reference, LWPOLYLINE)."""
    chord = complex(*end) - complex(*start)
    if abs(bulge) < 1e-12 or abs(chord) == 0.0:
        return np.array([end])
    sweep = 4.0 * math.atan(bulge)
    # The centre lies left of the chord's middle for a positive bulge below 1: i·c·(1 − b²)/4b from it.
    centre = complex(*start) + 0.5 * chord + 0.25j * chord * (1.0 - bulge * bulge) / bulge
    out = complex(*start) - centre
    turned = centre + out * np.exp(1j * arc_angles(abs(out), sweep, fine))
    points = np.column_stack([turned.real, turned.imag])
    points[-1] = end
    return points


def _count(chords: float) -> int:
    return int(min(max(1.0, math.ceil(chords)), MOST_CHORDS))
