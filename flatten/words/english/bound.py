"""What no flat piece can do without, in English."""

from __future__ import annotations

from flatten.words.language import Sentence

_FORMS = {"bulge": "the bulge", "hollow": "the hollow", "shape": "the shape"}


def cause(form: str, where: str) -> str:
    """What asks for stretch, "the hollow at the front, 31 mm above the ankle"; `form` tells how it bends."""
    return f"{_FORMS[form]} {where}"


SENTENCES: dict[str, Sentence] = {"bound.cause": cause}
