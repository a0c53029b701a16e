"""What no flat piece can do without, in English."""

from __future__ import annotations

from flatten.words.english.amounts import percent
from flatten.words.language import Sentence

_FORMS = {"bulge": "the bulge", "hollow": "the hollow", "shape": "the shape"}


def cause(form: str, where: str) -> str:
    """What asks for stretch, "the hollow at the front, 31 mm above the ankle"; `form` tells how it bends."""
    return f"{_FORMS[form]} {where}"


def binding(least: float, reached: float, cause: str) -> str:
    """The least spread of a panel and the one that was reached, as shares, and what asks for it."""
    return (
        f"Whatever its outline, no flat piece of this panel, as it was meshed for this, has less than {percent(least)} "
        f"between its least and its greatest stretch; {percent(reached)} was reached. What asks for it is {cause}."
    )


SENTENCES: dict[str, Sentence] = {"bound.cause": cause, "bound.binding": binding}
