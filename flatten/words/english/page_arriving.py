"""What comes to the bench, and who: files that were brought, windows that are let in, in English."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from flatten.words.language import Sentence


def opened(address: str, minutes: str) -> str:
    """Where the page is served, on the terminal."""
    return (
        f"The bench is at {address}\nThat opens once, within {minutes} minutes, and only on this computer. Enter gives "
        "an address for another window, Ctrl-C ends it."
    )


def another(address: str) -> str:
    """One more address that lets a window in, on the terminal."""
    return f"Another window opens, once, at {address}"


ARRIVING_SENTENCES: Mapping[str, Sentence] = MappingProxyType({"page.open": opened, "page.another": another})

ARRIVING: Mapping[str, str] = MappingProxyType(
    {
        "drop": "Let go: what you hold is laid on the bench.",
        "no answer": "Calfskin does not answer. It was stopped, or its terminal was closed. Your job is kept: start "
        "calfskin page again, and go on in the window that it opens.",
        "another": "Open in another window",
        "another.address": "This address opens the bench once, within {minutes} minutes, in any browser of this "
        "computer:",
    }
)
