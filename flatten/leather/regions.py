"""The plain names of a limb's sides and thirds, and sentences that say where something is."""

from __future__ import annotations

import numpy as np

from flatten.leather.model import LeatherError
from flatten.mesh.surface import Floats, Ints

LEVELS = ("lower", "middle", "upper")

SIDE_NAMES = {
    "lower leg": ("front", "outside", "back", "inside"),
    "thigh": ("front", "outside", "back", "inside"),
    "forearm": ("back of the hand side", "thumb side", "palm side", "little-finger side"),
    "upper arm": ("front", "outside", "back", "inside"),
}
"""The four sides of each kind of limb in the order of growing bearing; each is a quarter turn, the first about 0."""

ZERO_NAMES = {
    "lower leg": "the ankle",
    "thigh": "the kneecap",
    "forearm": "the wrist",
    "upper arm": "the elbow's crease",
}
"""What height 0 is on each kind of limb."""


def side_names(kind: str) -> tuple[str, str, str, str]:
    """The names of the four sides of a limb of this kind, in the order of growing bearing.

    Raises LeatherError where the kind is unknown.
    """
    if kind not in SIDE_NAMES:
        raise LeatherError(f"'{kind}' is no kind of limb; it must be one of {', '.join(SIDE_NAMES)}")
    return SIDE_NAMES[kind]


def region_names(kind: str) -> tuple[str, ...]:
    """The twelve region names of a limb of this kind: its sides in order, each from lower to upper."""
    return tuple(f"{side}, {level}" for side in side_names(kind) for level in LEVELS)


def region_index(heights: Floats, bearings: Floats, *, span: tuple[float, float]) -> Ints:
    """Index (N,) into `region_names` of points at `heights` mm and `bearings` radians.

    A side is the quarter turn about bearing 0, π/2, π or 3π/2; a level is a third of `span`, the heights between
    which the panel lies.
    """
    quarter = np.floor(np.asarray(bearings) / (np.pi / 2) + 0.5).astype(np.int64) % 4
    low, high = span
    thirds = np.searchsorted([low + (high - low) / 3, low + (high - low) * 2 / 3], heights, side="right")
    return quarter * len(LEVELS) + thirds


def place(kind: str, *, height: float, bearing: float) -> str:
    """Where a point is, in words: "at the front, 31 mm above the ankle"."""
    side = side_names(kind)[int(np.floor(bearing / (np.pi / 2) + 0.5)) % 4]
    return f"at the {side}, {height_words(kind, height)}"


def height_words(kind: str, height: float) -> str:
    """A height in words: "31 mm above the ankle"."""
    rounded = round(height)
    if not rounded:
        return f"at {ZERO_NAMES[kind]}"
    return f"{abs(rounded)} mm {'above' if rounded > 0 else 'below'} {ZERO_NAMES[kind]}"
