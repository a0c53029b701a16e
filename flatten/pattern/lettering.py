"""Text on a piece: made fit for one line, measured, broken into lines."""

from __future__ import annotations

import textwrap
import unicodedata

LEAST_TEXT = 5.0
"""mm. Height of the smallest capitals on a piece: legible at arm's length on a bench. Common practice."""

SMALL_TEXT = 4.0
"""mm. Height of the capitals where LEAST_TEXT has no room: a narrow piece's label, read close to."""

LINE_STEP = 1.6
"""Distance of text lines, in heights of the upper one."""

ABOVE, BELOW = 1.1, 0.35
"""How far letters reach above and below the baseline, in heights of a capital, accents and tails counted."""


def one_line(text: str) -> str:
    """The text with line breaks and characters that no file may hold replaced by spaces, and blanks drawn together.

    Control characters, surrogates and non-characters go; letters of every script stay.
    """
    kept = (" " if unicodedata.category(c) in ("Cc", "Cs", "Cn", "Zl", "Zp") else c for c in text)
    return " ".join("".join(kept).split())


def text_width(text: str, height: float) -> float:
    """Upper estimate of the width of a text whose capitals are `height` mm tall, mm, for common sans-serif fonts."""
    widths = {"W": 1.5, "F": 1.5, "A": 1.2}
    return height * sum(
        0.0 if unicodedata.combining(c) else widths.get(unicodedata.east_asian_width(c), 1.15 if c.isupper() else 0.95)
        for c in text
    )


def shortened(text: str, *, columns: int, lines: int) -> tuple[str, ...]:
    """The text in at most `lines` lines of at most `columns` characters, ended by "…" where it goes on."""
    text = one_line(text)
    return tuple(textwrap.wrap(text, columns, max_lines=lines, placeholder=" …"))
