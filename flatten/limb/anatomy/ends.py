"""Which end of a limb's middle line is the body's: the thicker one, or where both are alike the one cut open."""

from __future__ import annotations

import numpy as np
from scipy.spatial import cKDTree

from flatten.mesh.surface import Floats

OPEN = 0.25
"""Median radii of the limb that the nearest skin is away from the straightened line where a scan is cut open: 0.4 to
1.5 on nearly all scans at hand; where foot or hand closes it the line meets skin, 0.1 away from a point at the most."""

ALIKE = 1.05
"""Ratio of the mean radii of a limb's halves up to which the one open end outdoes the thicker half. The half at the
body was 1.05 to 2 times as thick on all limbs but some with fists, 1.02 at the least; the shoulder's flap closes upper
arms at the body that are open below (1.06 and more)."""

PAST = 1.5
"""Radii past an end to which the line is straightened: toes and fingers reach so far past the last section."""

STRAIGHT = (1.0, 2.0)
"""Radii before an end between which the line's direction there is taken: nearer the end it wanders, as sections lie
partly beyond the rim, and farther lies an elbow."""


def open_ends(points: Floats, line: Floats, *, radius: float) -> tuple[bool, bool]:
    """Whether the scan is cut open at the first and at the last place of a line (K,3) mm through points (N,3) mm.

    `radius` mm is the limb's.
    """
    tree = cKDTree(points)
    return is_open(tree, line, radius=radius), is_open(tree, line[::-1], radius=radius)


def body_is_first(opened: tuple[bool, bool], *, radii: Floats) -> bool:
    """Whether the body's end is the first of a line whose ends are cut open or not.

    By the sections' `radii` (K,) mm the body's is the thicker half; where both are ALIKE it is the one open end, for
    foot and hand close a scan, and a fist may be as thick as the forearm.
    """
    half = len(radii) // 2
    ratio = float(np.mean(radii[:half]) / np.mean(radii[-half:]))
    if opened[0] != opened[1] and 1 / ALIKE < ratio < ALIKE:
        return opened[0]
    return ratio > 1.0


def is_open(points: cKDTree, line: Floats, *, radius: float) -> bool:
    """Whether a line (K,3) mm, straight from before its first place on, leaves the limb without meeting its skin.

    `radius` mm is the limb's median one.
    """
    step = float(np.linalg.norm(line[1:] - line[:-1], axis=1).mean())
    near, far = (min(len(line) - 1, round(before * radius / step)) for before in STRAIGHT)
    way = (line[near] - line[far]) / np.linalg.norm(line[near] - line[far])
    straight = line[near] + np.arange(0.0, (STRAIGHT[0] + PAST) * radius, step / 2)[:, None] * way
    return bool(np.asarray(points.query(straight)[0]).min() > OPEN * radius)
