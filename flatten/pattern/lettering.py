"""Text on a piece: made fit for one line, measured, broken into lines, and the box that it fills at most."""

from __future__ import annotations

import textwrap
import unicodedata

import numpy as np

from flatten.mesh.surface import Floats
from flatten.pattern.model import Label
from flatten.pattern.placing import rectangle

LEAST_TEXT = 5.0
"""mm. Height of the smallest capitals on a piece: legible at arm's length on a bench. Common practice."""

SMALL_TEXT = 4.0
"""mm. Height of the capitals where LEAST_TEXT has no room: a narrow piece's label, read close to."""

BETWEEN = 0.15
"""Space between text lines, in heights of a capital of the lower one."""

ABOVE, BELOW = 1.12, 0.35
"""How far plain letters reach above and below the baseline, in heights of a capital, tails and brackets counted."""

FAR_ABOVE, FAR_BELOW = 1.5, 0.55
"""The same for all other letters: two accents on a capital, tails of scripts that have long ones."""

BESIDE = 0.08
"""How far a letter reaches past its own place, in heights of a capital: the tail of a J to the left."""

_ADVANCES = {
    0.4: "'ijl",
    0.45: " ,.I’‘·",
    0.5: "/:;\\f|",
    0.55: "()-[]t",
    0.6: "!r²",
    0.65: '"',
    0.7: "*`°",
    0.75: "Jsz“”",
    0.8: "c",
    0.85: "?L_kovxy–",
    0.9: "$0123456789FTabdeghnpqu{}",
    1.0: "ABEKPSVXYZ",
    1.05: "CHNRU",
    1.1: "&D",
    1.15: "GOQw",
    1.2: "#+<=>^~×±",
    1.25: "M",
    1.35: "%½¼",
    1.4: "Wm",
    1.5: "@—…",
}
"""Width of a letter, in heights of a capital: that of the widest of DejaVu Sans, Liberation Sans (which has Arial's
widths) and Helvetica, whose capitals a drawing takes as 0.72 of their size, rounded up to a twentieth."""

_WIDTHS = {letter: width for width, letters in _ADVANCES.items() for letter in letters}

ACCENT = 0.15
"""What an accent adds to the width of a letter, in heights of a capital: that of "ď" stands beside it."""

FULL = 1.5
"""Width of an ideograph, in heights of a capital."""

UNKNOWN = 1.7
"""Width of a letter that no table has, in heights of a capital: the widest of Cyrillic and Arabic."""


def one_line(text: str) -> str:
    """The text with line breaks and characters that no file may hold replaced by spaces, and blanks drawn together.

    Control characters, surrogates and non-characters go; letters of every script stay.
    """
    kept = (" " if unicodedata.category(c) in ("Cc", "Cs", "Cn", "Zl", "Zp") else c for c in text)
    return " ".join("".join(kept).split())


def text_width(text: str, height: float) -> float:
    """Upper bound on the width of a text whose capitals are `height` mm tall, mm, for common sans-serif fonts.

    What its first and last letters reach past their places is counted.
    """
    return height * (2.0 * BESIDE + sum(map(_advance, text)))


def _advance(letter: str) -> float:
    """Width of a letter, in heights of a capital."""
    if letter in _WIDTHS:
        return _WIDTHS[letter]
    if unicodedata.combining(letter):
        return 0.0
    if unicodedata.east_asian_width(letter) in "WF":
        return FULL
    parts = unicodedata.normalize("NFD", letter)
    return _WIDTHS[parts[0]] + ACCENT if parts[0] in _WIDTHS else UNKNOWN


def reach(text: str) -> tuple[float, float]:
    """How far a text's letters reach above and below the baseline at most, in heights of a capital."""
    return (ABOVE, BELOW) if all(letter in _WIDTHS for letter in text) else (FAR_ABOVE, FAR_BELOW)


def text_box(label: Label) -> Floats:
    """Corners (4,2) of the box that a label's text fills at most, mm, counter-clockwise from its lower left."""
    width, (above, below) = text_width(label.text, label.height), reach(label.text)
    ahead, up = 0.5 * width - BESIDE * label.height, 0.5 * (above - below) * label.height
    cos, sin = np.cos(label.angle), np.sin(label.angle)
    x, y = label.x + ahead * cos - up * sin, label.y + ahead * sin + up * cos
    return rectangle(float(x), float(y), width, (above + below) * label.height, label.angle)


def shortened(text: str, *, columns: int, lines: int) -> tuple[str, ...]:
    """The text in at most `lines` lines of at most `columns` characters, ended by "…" where it goes on."""
    text = one_line(text)
    return tuple(textwrap.wrap(text, columns, max_lines=lines, placeholder=" …"))
