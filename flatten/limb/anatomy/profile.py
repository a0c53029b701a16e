"""Sections of a limb in slabs across an axis: their centres, mean radii, and how much of each is seen."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from flatten.limb.surface.centre import cell_medians, section_centroids
from flatten.mesh.surface import Floats

SLAB = 10.0
"""mm. Height of the slabs in which a limb is first looked at."""

SECTORS = 24
"""Sectors of a slab: 15° each, so that a slab of a few hundred points fills them."""

ROUNDS = 3
"""Rounds of recentring from the slab's median; a circle's centre is then within a hundredth of its radius."""


@dataclass(frozen=True, eq=False)
class Profile:
    """Slabs (m,) along `axis` (3,): `heights`, `centres` (m,3) mm, mean `radii` mm, `seen` share of the sectors.

    Heights are along the axis from the coordinate origin; centres and radii are nan in an empty slab.
    """

    axis: Floats
    heights: Floats
    centres: Floats
    radii: Floats
    seen: Floats


def profile_along(points: Floats, axis: Floats) -> Profile:
    """The slabs across `axis` (3,) of points (N,3) that are about evenly dense."""
    across = across_axis(axis)
    along = points @ axis
    flat = points @ across.T
    low = along.min()
    count = max(1, int(np.ceil((along.max() - low) / SLAB)))
    slab = np.minimum(((along - low) / SLAB).astype(np.int64), count - 1)
    centre = np.stack([cell_medians(slab, flat[:, column], count) for column in range(2)], axis=1)
    for _ in range(ROUNDS):
        offset = flat - centre[slab]
        turn = np.arctan2(offset[:, 1], offset[:, 0])
        sector = np.minimum(((turn / (2 * np.pi) + 0.5) * SECTORS).astype(np.int64), SECTORS - 1)
        radii = cell_medians(slab * SECTORS + sector, np.hypot(*offset.T), count * SECTORS).reshape(count, SECTORS)
        shift, mean, seen = section_centroids(radii)
        centre = centre + shift
    heights = low + (np.arange(count) + 0.5) * SLAB
    return Profile(axis, heights, centre @ across + heights[:, None] * axis, mean, seen)


def across_axis(axis: Floats) -> Floats:
    """Two unit vectors (2,3) that make a right-handed frame with the unit vector `axis` as its third."""
    start = np.eye(3)[int(np.argmin(np.abs(axis)))]
    first = np.cross(start, axis)
    first = first / np.linalg.norm(first)
    return np.stack([first, np.cross(axis, first)])
