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
    said = language.sentences[message.code](**_figures(message, language))
    return _on_its_limb(message, said, language) if isinstance(message, Finding) else said


def stop(found: Finding, language: Language = ENGLISH) -> str:
    """A finding that is a stop as a heading has it: one short sentence of what is wrong and what settles it.

    Raises KeyError where the language has no such words for its code.
    """
    wrong, settled = language.stops[found.code](**_figures(found, language))
    return _on_its_limb(found, language.sentences["verdict.stop"](wrong=wrong, settled=settled), language)


def sure(found: Finding, language: Language = ENGLISH) -> str:
    """That the maker has settled a stop knowingly. Raises KeyError as `stop` does."""
    wrong, _ = language.stops[found.code](**_figures(found, language))
    return _on_its_limb(found, language.sentences["verdict.sure"](wrong=wrong), language)


def _on_its_limb(found: Finding, said: str, language: Language) -> str:
    """What is said of a finding, on one of two limbs with its side before it."""
    if found.place.limb is None:
        return said
    which = language.sentences["of the scan"] if found.place.scan else language.sentences["on the limb"]
    return which(limb=found.place.limb, said=said)


def _figures(message: Message, language: Language) -> dict[str, Figure]:
    return {key: _filled(figure, language) for key, figure in message.filled}


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


def page_words(language: Language = ENGLISH) -> tuple[tuple[str, str], ...]:
    """Patterns of what in a sentence only the job file has, and what the browser page says in its place."""
    return language.spoken
