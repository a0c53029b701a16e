"""What is said of a drawing that is brought, mirrored and placed, in English."""

from __future__ import annotations

import math

from flatten.words.english.weaving import on_piece
from flatten.words.language import Sentence

_LEFT_OUT = {
    "text": ("text", "texts"),
    "image": ("picture", "pictures"),
    "clip": ("mask round a line, which is taken whole", "masks round lines, which are taken whole"),
    "hatch": ("hatched area", "hatched areas"),
    "dimension": ("dimension", "dimensions"),
    "other": ("thing that is no line", "things that are no lines"),
}


def _at(x: float, y: float) -> str:
    return f"at ({x:.1f}, {y:.1f}) mm of the drawing"


def size(strands: int, width: float, height: float) -> str:
    """How large a drawing came in."""
    said = "1 strand" if strands == 1 else f"{strands} strands"
    return f"The drawing holds {said}, {width:.1f} × {height:.1f} mm over all; check one length of it with a ruler."


def dots() -> str:
    """A drawing whose page is in the dots of a screen."""
    return (
        "The drawing's page is in px, taken as 1/96 in each. Programs differ about that: check one length of it, or "
        "save the drawing in mm."
    )


def left_out(left_out: str, count: int) -> str:
    """What a drawing holds besides lines."""
    one, several = _LEFT_OUT[left_out]
    return f"Left out of the drawing: {count} {one if count == 1 else several}."


def twice(count: int) -> str:
    """Lines that are drawn once more over themselves."""
    return (
        "1 line of the drawing lies on another one; it is taken once."
        if count == 1
        else f"{count} lines of the drawing lie on others; each is taken once."
    )


def filled(count: int) -> str:
    """Areas that are filled and have no line round them, beside lines."""
    said = "1 area that is" if count == 1 else f"{count} areas that are"
    return (
        f"Left out of the drawing: {said} only filled, without a line of its own."
        if count == 1
        else (f"Left out of the drawing: {said} only filled, without lines of their own.")
    )


def short(off: float, x: float, y: float) -> str:
    """An end that stops just before the centre line."""
    return f"A strand ends {off:.1f} mm short of the centre line, {_at(x, y)}; lead it on to the line to join it."


def kinked(turn: float, x: float, y: float) -> str:
    """A strand with a corner where it meets its mirror image."""
    return (
        f"A strand turns by {math.degrees(turn):.0f}° where it meets its mirror image, {_at(x, y)}; let it meet the "
        "centre line at a right angle, or let two cross there."
    )


def scaled(scale: float) -> str:
    """How much larger or smaller than drawn a drawing lies on the field."""
    return f"The drawing lies on the field {scale:.3g} times as large as drawn, the largest that fits."


_FLAT = 10_000.0
"""mm. A line that bends like a circle so far across, or further, is told as straight: 0.25 mm in 100."""


def _bent(across: float) -> str:
    digits = 10.0 ** (math.floor(math.log10(across)) - 1)
    return f"bend like the edge of a circle {digits * round(across / digits):.4g} mm across where they bend most"


def fitted(least: float, greatest: float, skew: float, bend: float) -> str:
    """What fitting a drawing to the outline does to it."""
    return (
        f"Fitted to the field’s outline, parts of the drawing are {least:.2f} to {greatest:.2f} times as large as "
        f"drawn, right angles are off by up to {math.degrees(skew):.0f}°, and straight lines "
        f"{_bent(2.0 / bend) if bend > 2.0 / _FLAT else 'stay straight'}."
    )


def out(length: float, off: float, x: float, y: float) -> str:
    """Strands that leave the field."""
    return (
        f"{length:.0f} mm of the drawing’s lines lie outside the field, by up to {off:.1f} mm, {on_piece(x, y)}; they "
        "are cut off there."
    )


def uneven(off: float, x: float, y: float) -> str:
    """A whole drawing that is not symmetrical, on a piece that is."""
    return (
        f"The piece is symmetrical, the drawing is not quite: it is {off:.1f} mm from its mirror image {_at(x, y)}. "
        "Draw one half and have it mirrored, if that is not meant."
    )


SENTENCES: dict[str, Sentence] = {
    "bring.size": size,
    "bring.dots": dots,
    "bring.left_out": left_out,
    "bring.twice": twice,
    "bring.filled": filled,
    "mirror.short": short,
    "mirror.kinked": kinked,
    "placing.scaled": scaled,
    "placing.fitted": fitted,
    "placing.out": out,
    "placing.uneven": uneven,
}
"""By code."""
