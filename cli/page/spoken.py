"""Sentences of the rooms as the page says them: where they name a place of the job file, the question that asks it."""

from __future__ import annotations

import re
from typing import Any

from flatten.words.say import page_texts, page_words

_QUESTION = re.compile(r"<([a-z][a-z. ]*)>")


def _compiled() -> tuple[tuple[re.Pattern[str], str], ...]:
    texts = page_texts()
    named = ((pattern, _QUESTION.sub(lambda key: f"“{texts[key[1]]}”", said)) for pattern, said in page_words())
    return tuple((re.compile(pattern, re.DOTALL), said) for pattern, said in named)


_SAID = _compiled()

_TOLD = ("failure", "limb", "verdict", "made", "leather", "pins")
"""The parts of a state that hold sentences of the rooms."""


def spoken(text: str) -> str:
    """A sentence without what only the job file has; any other as it is."""
    for pattern, said in _SAID:
        text = pattern.sub(said, text)
    return text


def spoken_part(name: str, part: Any) -> Any:
    """A part of the page's state with its sentences spoken."""
    return _all_spoken(part) if name in _TOLD else part


def _all_spoken(part: Any) -> Any:
    if isinstance(part, str):
        return spoken(part)
    if isinstance(part, dict):
        # An outline is thousands of numbers, and no sentence.
        return {key: each if key in ("outline", "holes") else _all_spoken(each) for key, each in part.items()}
    return [_all_spoken(each) for each in part] if isinstance(part, list) else part
