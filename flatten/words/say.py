"""Messages and keys as a user reads them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from flatten.findings import Figure, Finding, Message
from flatten.words.english import ENGLISH
from flatten.words.language import Language


def text(told: Message, language: Language = ENGLISH) -> str:
    """The sentence of a message or a finding, with those of the messages in it.

    That of a finding on one of two limbs says first which. Raises KeyError where the language has none for its code.
    """
    said = language.sentences[told.code](**{key: _filled(figure, language) for key, figure in told.filled})
    if not isinstance(told, Finding) or told.place.limb is None:
        return said
    if told.place.scan:
        return language.sentences["of the scan"](limb=told.place.limb, said=said)
    return language.sentences["on the limb"](limb=told.place.limb, said=said)


def _filled(figure: Figure, language: Language) -> Figure:
    """A figure as its sentence takes it: messages as text, all else as it is."""
    if isinstance(figure, Message):
        return text(figure, language)
    return tuple(_filled(each, language) for each in figure) if isinstance(figure, tuple) else figure


def texts(told: Iterable[Message], language: Language = ENGLISH) -> list[str]:
    """The sentences of messages, in their order. Raises KeyError as `text` does."""
    return [text(each, language) for each in told]


def name(key: str, language: Language = ENGLISH) -> str:
    """The name of what a key stands for: of a limb, one of its sides, a landmark, a piece.

    A key with a number after it ("front 2", the second of that name) is named by the key, with the number.
    """
    stem, _, number = key.rpartition(" ")
    if stem and number.isdigit():
        return f"{name(stem, language)} {number}"
    return language.names.get(key, key)


def page_texts(language: Language = ENGLISH) -> Mapping[str, str]:
    """The texts of the browser page by key; where figures come, their names stand in braces."""
    return language.page
