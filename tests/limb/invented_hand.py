"""A forearm with a hand of rods whose back, thumb and lengths are known, as even points.

The forearm runs up the z axis from the wrist at 0. The back of the hand is +x, the thumb +y: with the axis they are
right-handed.
"""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise

import numpy as np

from flatten.mesh.surface import Floats

GOLDEN = (np.sqrt(5) - 1) / 2
EVERY = 6.0
"""mm² of skin per point."""

FINGER = 8.0
"""mm, radius of a finger."""

KNUCKLES = ((30.0, -88.0), (10.0, -90.0), (-10.0, -84.0), (-28.0, -76.0))
"""y and z of the knuckles, index to little finger: a line that slants by 13°."""

BONES = (38.0, 26.0, 16.0)
"""mm, lengths of a finger's bones; the second finger's are 6 mm longer in all."""

Inside = Callable[[Floats], Floats]


def rod(start: Floats, end: Floats, radius: float) -> tuple[Floats, Inside]:
    """Points of a rod with round ends, and the test of what lies inside it."""
    way = end - start
    length = float(np.linalg.norm(way))
    way = way / length
    across = np.cross(way, [0.3, 0.5, 0.8] if abs(way[0]) > 0.9 else [1.0, 0.0, 0.0])
    across /= np.linalg.norm(across)
    other = np.cross(way, across)
    count = int(2 * np.pi * radius * (length + 2 * radius) / EVERY)
    at = (np.arange(count) + 0.5) / count * (length + 2 * radius) - radius
    turn = 2 * np.pi * np.mod(np.arange(count) * GOLDEN, 1.0)
    beyond = np.where(at < 0, at, np.where(at > length, at - length, 0.0))
    out = np.sqrt(radius**2 - beyond**2)[:, None]
    points = start + at[:, None] * way + out * (np.cos(turn)[:, None] * across + np.sin(turn)[:, None] * other)

    def inside(where: Floats) -> Floats:
        along = np.clip((where - start) @ way, 0.0, length)
        return np.linalg.norm(where - start - along[:, None] * way, axis=1) < radius - 1e-6

    return points, inside


def trunk(low: float, high: float, depth: Callable, breadth: Callable) -> tuple[Floats, Inside]:
    """Points of an elliptic tube along z, and the test of what lies inside it."""
    fine = np.linspace(low, high, 1000)
    area = np.cumsum(np.pi * (depth(fine) + breadth(fine))) * (fine[1] - fine[0])
    count = int(area[-1] / EVERY)
    z = np.interp((np.arange(count) + 0.5) / count * area[-1], area, fine)
    turn = 2 * np.pi * np.mod(np.arange(count) * GOLDEN, 1.0)
    points = np.column_stack([depth(z) * np.cos(turn), breadth(z) * np.sin(turn), z])

    def inside(where: Floats) -> Floats:
        ratio = np.hypot(where[:, 0] / depth(where[:, 2]), where[:, 1] / breadth(where[:, 2]))
        return (ratio < 1 - 1e-6) & (where[:, 2] > low) & (where[:, 2] < high)

    return points, inside


def arm(
    *, curl: float = 0.1, wrist: float = 0.0, thumb: bool = True, closed: bool = False, high: float = 230.0
) -> Floats:
    """Points (N,3) of forearm and hand.

    `curl` radians is each finger joint's bend towards the palm, `wrist` the hand's; the thumb stands off the hand, is
    `closed` over the fingers of a fist, or is not there.
    """
    towards_palm = np.array([-1.0, 0.0, 0.0])
    parts = [
        trunk(0.0, high, lambda z: 20 + 0.11 * np.clip(z, 0, 180), lambda z: 27 + 0.09 * np.clip(z, 0, 180)),
    ]
    hand = [trunk(-84.0, 0.0, lambda z: 14 + 6 * np.exp(z / 20), lambda z: 38 - 11 * np.exp(z / 20))]
    for number, (y, z) in enumerate(KNUCKLES):
        at, bend = np.array([0.0, y, z]), 0.0
        for bone in np.array(BONES) + (2.0 if number == 1 else 0.0):
            bend += curl
            end = at + bone * (np.cos(bend) * np.array([0.0, 0.0, -1.0]) + np.sin(bend) * towards_palm)
            hand.append(rod(at, end, FINGER))
            at = end
    if thumb:
        joints = ((-6.0, 22.0, -18.0), (-16.0, 58.0, -52.0), (-20.0, 68.0, -86.0))
        if closed:
            joints = ((-6.0, 22.0, -18.0), (-30.0, 40.0, -62.0), (-48.0, 14.0, -80.0))
        hand += [rod(np.array(a), np.array(b), 10.0) for a, b in pairwise(joints)]
    turned = np.array([[np.cos(wrist), 0, np.sin(wrist)], [0, 1, 0], [-np.sin(wrist), 0, np.cos(wrist)]])
    for points, inside in hand:
        parts.append((points @ turned.T, lambda where, inside=inside: inside(where @ turned)))
    skin = []
    for number, (points, _) in enumerate(parts):
        hidden = np.zeros(len(points), dtype=bool)
        for other, (_, inside) in enumerate(parts):
            if other != number:
                hidden |= inside(points)
        skin.append(points[~hidden])
    return np.concatenate(skin)
