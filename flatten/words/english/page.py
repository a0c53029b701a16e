"""The browser page in English."""

from __future__ import annotations

from collections.abc import Sequence

from flatten.words.english.places import named
from flatten.words.language import Sentence


def fronts(kinds: Sequence[str]) -> str:
    """How the limb stands on the bench, and what the front of each kind is."""
    first, *others = kinds
    listed = "".join(f", on {named(f'a.{kind}')} {named(f'front.{kind}')}" for kind in others)
    return (
        "The limb on the bench looks at you with its front. "
        f"On {named(f'a.{first}')} that is {named(f'front.{first}')}{listed}."
    )


SENTENCES: dict[str, Sentence] = {"page.fronts": fronts}
