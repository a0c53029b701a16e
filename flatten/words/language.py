"""A language as a table: a sentence for each code, and names where a key is not one itself."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

Sentence = Callable[..., str]
"""What makes a sentence from figures given by name."""

StopWords = Callable[..., tuple[str, str]]
"""What makes, from figures given by name, what is wrong and what settles it: two parts of a sentence."""


@dataclass(frozen=True, eq=False)
class Language:
    """All that is said in one language.

    `tag` names it as web pages do (BCP 47). `sentences` by the code of a message, each with the figures of that code as
    keywords. `names` by key; a key that is not among them is its own name, as the job file's words for limbs and sides
    are English. `page` by key: the texts of the browser page, where figures come by {name}. `stops` by the code of a
    finding that may be a stop: its few words in a heading. `spoken` are patterns of what in a sentence only the job
    file has, and what the page says there.
    """

    tag: str
    sentences: Mapping[str, Sentence]
    names: Mapping[str, str]
    page: Mapping[str, str] = field(default_factory=dict)
    stops: Mapping[str, StopWords] = field(default_factory=dict)
    spoken: tuple[tuple[str, str], ...] = ()


def fixed(text: str) -> Sentence:
    """A sentence without figures."""
    return lambda: text
