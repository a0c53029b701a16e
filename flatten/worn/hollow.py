"""Hollows of a limb's section spanned, as leather spans them that is too thick to follow."""

from __future__ import annotations

import numpy as np

from flatten.mesh.surface import Floats


def spanned_radii(radii: Floats, *, width: float) -> Floats:
    """Radii (n, m) of sections at m equal bearings, mm, with every hollow that a chord of `width` mm spans filled.

    Each section grows by all its chords up to that length, so that a width beyond every hollow gives its convex hull
    and a lesser one fills a wide hollow only as far as leather of that reach would lie in it. The centre must lie
    inside each section's hull. Along a chord between bearings a and c, 1/r = (sin(c − b)/r_a + sin(b − a)/r_c)
    / sin(c − a): the nearest chord is the greatest r.
    """
    count = radii.shape[1]
    step = 2 * np.pi / count
    near = 1.0 / radii
    found = near.copy()
    for span in range(2, (count + 1) // 2):
        far, away = np.roll(near, -span, axis=1), np.roll(radii, -span, axis=1)
        chord = np.sqrt(radii**2 + away**2 - 2 * radii * away * np.cos(span * step))
        short = chord <= width
        # The longest chord of a span is not the rule: a hollow brings far bearings near each other.
        if not short.any():
            continue
        for inner in range(1, span):
            over = (near * np.sin((span - inner) * step) + far * np.sin(inner * step)) / np.sin(span * step)
            at = np.roll(np.where(short, over, np.inf), inner, axis=1)
            np.minimum(found, at, out=found)
    return np.asarray(1.0 / found)
