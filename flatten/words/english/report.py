"""What a report tells of a scan, its limb and what is made for it, in English."""

from __future__ import annotations

from flatten.words.english.places import named
from flatten.words.language import Sentence


def mean(apart: float, where: str, wider: str, more: float) -> str:
    """How far two limbs are apart whose mean the pieces are made for."""
    return (
        f"Both pieces are made for the mean of the two limbs. Their skins are up to {apart:.1f} mm apart, {where}, so "
        f"each lies half of that off the mean; at the widest the {named(wider)} one has {more:.0f} mm more girth."
    )


SENTENCES: dict[str, Sentence] = {"report.mean": mean}
