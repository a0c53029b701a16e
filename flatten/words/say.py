"""Messages and keys as a user reads them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from flatten.findings import Figure, Finding, Message
from flatten.words.english import ENGLISH
from flatten.words.language import Language


def text(message: Message, language: Language = ENGLISH) -> str:
    """The sentence of a message or a finding, with those of the messages in it.

    That of a finding on one of two limbs says first which. Raises KeyError where the language has none for its code.
    """
    said = language.sentences[message.code](**{key: _filled(figure, language) for key, figure in message.filled})
    if not isinstance(message, Finding) or message.place.limb is None:
        return said
    if message.place.scan:
        return language.sentences["of the scan"](limb=message.place.limb, said=said)
    return language.sentences["on the limb"](limb=message.place.limb, said=said)


def _filled(figure: Figure, language: Language) -> Figure:
    """A figure as its sentence takes it: messages as text, all else as it is."""
    if isinstance(figure, Message):
        return text(figure, language)
    return tuple(_filled(each, language) for each in figure) if isinstance(figure, tuple) else figure


def texts(message: Iterable[Message], language: Language = ENGLISH) -> list[str]:
    """The sentences of messages, in their order. Raises KeyError as `text` does."""
    return [text(each, language) for each in message]


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
