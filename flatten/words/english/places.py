"""Places on a limb in English: heights from where they count, and sides."""

from __future__ import annotations

from flatten.words.english.names import NAMES
from flatten.words.language import Sentence


def named(key: str) -> str:
    """The English name of a key."""
    return NAMES.get(key, key)


def at_height(zero: str, height: float) -> str:
    """A height in words: "31 mm above the ankle"; `zero` is the key of what heights count from."""
    rounded = round(height)
    if not rounded:
        return f"at {named(zero)}"
    return f"{abs(rounded)} mm {'above' if rounded > 0 else 'below'} {named(zero)}"


def at_place(zero: str, side: str, height: float) -> str:
    """Where a point is, in words: "at the front, 31 mm above the ankle"."""
    return f"at the {named(side)}, {at_height(zero, height)}"


def on_the_limb(limb: str, said: str) -> str:
    """A sentence about one of two limbs, its side before it."""
    return f"On the {named(limb)}: {said}"


def of_the_scan(limb: str, said: str) -> str:
    """A sentence about the scan of one of two limbs, its side before it."""
    return f"The {named(limb)} limb’s scan: {said}"


def beneath(on: str) -> str:
    """What a part lies on, "the base" or another part."""
    return "the base" if on == "base" else f"“{named(on)}”"


SENTENCES: dict[str, Sentence] = {
    "at height": at_height,
    "at place": at_place,
    "on the limb": on_the_limb,
    "of the scan": of_the_scan,
}
