"""Girths of a fitted surface in a plane of the scan, whatever way the limb's own axis leans."""

import numpy as np
from scipy.spatial import ConvexHull

STEPS = 14
"""Newton steps along the height; each squares an error that starts below the section's tilt of a few degrees."""


def girths_in_plane(limb, surface, place, normal):
    """Section and tape (mm) in the plane through `place` square to `normal`, both in the scan's axes.

    None where the plane leaves the trusted range.
    """
    origin, across = limb.frame.to_limb(np.asarray(place)[None])[0], limb.frame.axes @ np.asarray(normal)
    bearings = np.arange(720) * (np.pi / 360)
    heights = np.full(720, origin[2])
    low, high = surface.height_knots[0], surface.height_knots[-1]
    for _ in range(STEPS):
        points = surface.points(heights, bearings)
        along = surface.tangents(heights, bearings)[0]
        heights = np.clip(heights - (points - origin) @ across / (along @ across), low, high)
    points = surface.points(heights, bearings)
    least, most = max(surface.trusted[0], low + 1e-9), min(surface.trusted[1], high - 1e-9)
    if heights.min() < least or heights.max() > most:
        return None
    assert np.abs((points - origin) @ across).max() < 1e-6
    flat = points @ np.linalg.svd(across[None])[2][1:].T
    return float(np.linalg.norm(flat - np.roll(flat, 1, axis=0), axis=1).sum()), float(ConvexHull(flat).area)
