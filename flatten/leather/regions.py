"""A limb's regions: its sides by thirds of its length."""

from __future__ import annotations

import numpy as np

from flatten.limb.kind import LimbKind
from flatten.mesh.surface import Floats, Ints

LEVELS = ("lower", "middle", "upper")


def regions_of(kind: LimbKind) -> tuple[tuple[str, str], ...]:
    """Side and level of the twelve regions of a limb of this kind: its sides in order, each from lower to upper."""
    return tuple((side, level) for side in kind.sides for level in LEVELS)


def region_index(heights: Floats, bearings: Floats, *, span: tuple[float, float]) -> Ints:
    """Index (N,) into `regions_of` of points at `heights` mm and `bearings` radians.

    A side is the quarter turn about bearing 0, π/2, π or 3π/2; a level is a third of `span`, the heights between
    which the panel lies.
    """
    quarter = np.floor(np.asarray(bearings) / (np.pi / 2) + 0.5).astype(np.int64) % 4
    low, high = span
    thirds = np.searchsorted([low + (high - low) / 3, low + (high - low) * 2 / 3], heights, side="right")
    return quarter * len(LEVELS) + thirds
