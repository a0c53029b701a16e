"""A limb's own words: its sides, what its height 0 is, and where on it a place lies."""

from __future__ import annotations

import numpy as np

from flatten.limb.model import Limb, LimbError

SIDE_NAMES = {
    "lower leg": ("front", "outside", "back", "inside"),
    "thigh": ("front", "outside", "back", "inside"),
    "forearm": ("back of the hand side", "thumb side", "palm side", "little-finger side"),
    "upper arm": ("front", "outside", "back", "inside"),
}
"""The four sides of each kind of limb in the order of growing bearing; each is a quarter turn, the first about 0."""

OTHER_WORDS = {
    "lower leg": {"shin": 0, "calf": 2},
    "thigh": {"kneecap side": 0, "knee hollow side": 2},
    "forearm": {},
    "upper arm": {"biceps side": 0, "triceps side": 2},
}
"""What makers also call those sides, and their numbers among the four."""

ZERO_NAMES = {
    "lower leg": "the ankle",
    "thigh": "the kneecap",
    "forearm": "the wrist",
    "upper arm": "the elbow’s crease",
}
"""What height 0 is on each kind of limb."""


def side_names(kind: str) -> tuple[str, str, str, str]:
    """The names of the four sides of a limb of this kind, in the order of growing bearing.

    Raises LimbError where the kind is unknown.
    """
    if kind not in SIDE_NAMES:
        raise LimbError(f"'{kind}' is no kind of limb; it must be one of {', '.join(SIDE_NAMES)}")
    return SIDE_NAMES[kind]


def side_number(kind: str, word: str) -> int | None:
    """Which of the four sides of a limb of this kind a word means, None where it is none of its words.

    "thumb side", "thumb" and "thumb_side" are one word. Raises LimbError where the kind is unknown.
    """
    words = {_plain(name): number for number, name in enumerate(side_names(kind))}
    words |= {_plain(name): number for name, number in OTHER_WORDS[kind].items()}
    return words.get(_plain(word))


def _plain(word: str) -> str:
    return " ".join(word.lower().replace("_", " ").replace("-", " ").split()).removesuffix(" side")


def quarter_at(bearing: float) -> int:
    """The number, 0 to 3, of the side that a bearing (rad) lies on: each is a quarter turn, the first about 0."""
    return int(np.floor(bearing / (np.pi / 2) + 0.5)) % 4


def place(kind: str, *, height: float, bearing: float) -> str:
    """Where a point is, in words: "at the front, 31 mm above the ankle".

    Raises LimbError where the kind is unknown.
    """
    return f"at the {side_names(kind)[quarter_at(bearing)]}, {height_words(kind, height)}"


def height_words(kind: str, height: float) -> str:
    """A height in words: "31 mm above the ankle"."""
    rounded = round(height)
    if not rounded:
        return f"at {ZERO_NAMES[kind]}"
    return f"{abs(rounded)} mm {'above' if rounded > 0 else 'below'} {ZERO_NAMES[kind]}"


def unseen_words(limb: Limb) -> str:
    """What a scan shows where its limb is bridged: "nothing", or, where it wears cloth, "no skin"."""
    return "no skin" if limb.rims else "nothing"
