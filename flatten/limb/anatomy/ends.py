"""Which end of a limb's middle line is the body's: the one where the scan is cut open, or the thicker one."""

from __future__ import annotations

import numpy as np
from scipy.spatial import cKDTree

from flatten.mesh.surface import Floats

OPEN = 0.25
"""Median radii of the limb that the nearest skin is away from the lengthened line where a scan is cut open: 0.35 to 1.5
on the scans at hand; where foot or hand closes it, the line goes through the skin, 0.1 and less away from a point."""

PAST = 2.0
"""Radii past an end over which the line is lengthened for that: toes and fingers reach so far past the last section."""

BEFORE = 0.5
"""Radii before the end where that begins, for the last sections lie beside skin that is not whole."""


def body_is_first(points: Floats, line: Floats, *, radii: Floats) -> tuple[bool, bool]:
    """Whether the body's end is the first of a line (K,3) mm through points (N,3), and whether one open end told so.

    The scan is cut open where the limb goes on; foot and hand close it. Where both ends are open or both closed, the
    thicker half is the body's, by the sections' `radii` (K,) mm; a closed fist may be thicker than the forearm.
    """
    radius = float(np.median(radii))
    tree = cKDTree(points)
    opened = [is_open(tree, places, radius=radius) for places in (line, line[::-1])]
    if opened[0] != opened[1]:
        return opened[0], True
    half = len(line) // 2
    return bool(np.mean(radii[:half]) > np.mean(radii[-half:])), False


def is_open(points: cKDTree, line: Floats, *, radius: float) -> bool:
    """Whether a line (K,3) mm leaves the limb, of a median radius in mm, at its first place without meeting skin."""
    step = float(np.linalg.norm(line[1:] - line[:-1], axis=1).mean())
    inner = line[min(len(line) - 1, int(radius / step) + 1)]
    way = (line[0] - inner) / np.linalg.norm(line[0] - inner)
    lengthened = line[0] + np.arange(-BEFORE * radius, PAST * radius, step / 2)[:, None] * way
    return bool(np.asarray(points.query(lengthened)[0]).min() > OPEN * radius)
