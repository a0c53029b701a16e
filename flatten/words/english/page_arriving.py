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


def unneeded(files: tuple[str, ...], more: int) -> str:
    """Files that were brought and are not used: some by their names, and how many more."""
    named = [*files, *([f"{more} more"] if more else [])]
    listed = f"{', '.join(named[:-1])} and {named[-1]}" if len(named) > 1 else named[0]
    return f"{listed} {'is' if len(named) == 1 else 'are'} not needed."


def several_scans(number: int) -> str:
    """Several scans that were brought together."""
    return (
        f"Each of the {number} scans that can be read becomes a job of its own under “Jobs”; the last one lies on the "
        "bench, and Undo leads back through them."
    )


ARRIVING_SENTENCES: Mapping[str, Sentence] = MappingProxyType(
    {"page.open": opened, "page.another": another, "page.unneeded": unneeded, "page.several scans": several_scans}
)

ARRIVING: Mapping[str, str] = MappingProxyType(
    {
        "drop": "Let go: what you hold is laid on the bench.",
        "no answer": "Calfskin does not answer. It was stopped, or its terminal was closed. Your job is kept: start "
        "calfskin page again, and go on in the window that it opens.",
        "brought too large": "What you brought has {megabytes} MB together, and up to {most} MB are taken; bring "
        "the scan alone, or export it with fewer faces.",
        "brought too many": "You brought more than {most} files; bring the scan’s own folder.",
        "brought unreadable": "The browser cannot read what you brought: it was moved or deleted meanwhile, or is "
        "closed to you. Bring it again.",
        "another": "Open in another window",
        "another.address": "This address opens the bench once, within {minutes} minutes, in any browser of this "
        "computer:",
    }
)
