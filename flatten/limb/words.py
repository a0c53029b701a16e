"""Places on a limb in words: heights from where they count, and what a scan leaves unseen."""

from __future__ import annotations

from flatten.limb.kind import LimbKind
from flatten.limb.model import Limb
from flatten.words.say import name, text


def zero_name(kind: LimbKind) -> str:
    """What height 0 is called on a limb of this kind: "the ankle"."""
    return name(kind.zero_name)


def place(kind: LimbKind, *, height: float, bearing: float) -> str:
    """Where a point is, in words: "at the front, 31 mm above the ankle"."""
    return text(kind.at(height, bearing))


def height_words(kind: LimbKind, height: float) -> str:
    """A height in words: "31 mm above the ankle"."""
    return text(kind.at_height(height))


def unseen_words(limb: Limb) -> str:
    """What a scan shows where its limb is bridged: "nothing", or, where it wears cloth, "no skin"."""
    return "no skin" if limb.cloth_edges else "nothing"
