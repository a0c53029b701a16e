"""What every piece bears in the middle: its label block, the grain arrow and a check line, true size."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely

from flatten.findings import message
from flatten.pattern.lettering import BESIDE, LEAST_TEXT, SMALL_TEXT, one_line, reach, shortened, text_width
from flatten.pattern.marks import ARROW_HEAD, CHECK, CHECK_TICK, SHORT_CHECK, arrow, check_line, no_room
from flatten.pattern.model import Label
from flatten.pattern.placing import free_place
from flatten.pattern.writing import GAP, Written, block_of, taken, upright, with_lines
from flatten.words import say
from flatten.words.language import Language

_TITLE = 8.0
"""mm. Height of a piece's name."""

_ARROWS = (120.0, 80.0, 50.0, 30.0, 20.0)
"""mm. Lengths of the grain arrow that are tried, longest first."""

_ARROW_SHARE = 0.5
"""Share of a piece's longer measure that its grain arrow is long at most, unless it is the shortest."""

_BARE_ARROWS = (30.0, 20.0, 14.0)
"""mm. Lengths of the grain arrow that are tried on a small piece; the shortest is little more than its head."""

_WAYS = (40.0, 25.0)
"""mm. Lengths of the arrow to the front that are tried, longest first."""

_APART = 1.0
"""mm between an arrow's head or a check line's ticks and the word above them."""

_BLOCKS = (
    (_TITLE, LEAST_TEXT, 30, 2),
    (LEAST_TEXT, LEAST_TEXT, 16, 2),
    (SMALL_TEXT, SMALL_TEXT, 12, 2),
    (SMALL_TEXT, SMALL_TEXT, 40, 1),
)
"""How a label is stacked, tried in this order: height of its title and of the rest (mm), columns, lines a text."""


def with_block(written: Written, texts: Sequence[str], *, whole: int, name: str, near: tuple[float, float]) -> Written:
    """The label block added: the first text larger, the others below it, left-aligned, level or turned upwards.

    Long texts are broken and at last shortened, but for the first `whole` ones. Where there is no room for a block, it
    is stacked narrower, then written smaller, and at last its lines part and each takes a place of its own.
    Raises PatternError where not even those have room.
    """
    for first, rest, columns, most in _BLOCKS:
        found = _stacked(written, texts, first, rest, columns, most, near, whole=whole)
        if found is not None:
            return found
    for i, text in enumerate(texts):
        placed = _parted(written, text, near, whole=i < whole)
        if placed is None:
            raise no_room(name, f"“{text}” on its label", text_width(text, SMALL_TEXT), SMALL_TEXT * sum(reach(text)))
        written = placed
    return written


def _parted(written: Written, text: str, near: tuple[float, float], *, whole: bool) -> Written | None:
    """The text added by itself in its smallest height, in as few lines as find room; None without room.

    Nothing is kept free about it: lines and holes keep their own distance already.
    """
    for columns, most in ((40, 1), (20, 2), (10, 4)):
        found = _stacked(written, (text,), SMALL_TEXT, SMALL_TEXT, columns, most, near, whole=int(whole), around=0.0)
        if found is not None:
            return found
    return None


def _stacked(
    written: Written,
    texts: Sequence[str],
    first: float,
    rest: float,
    columns: int,
    most: int,
    near: tuple[float, float],
    *,
    whole: int,
    around: float = GAP,
) -> Written | None:
    """The texts added as one block with a title `first` mm and other lines `rest` mm tall; None without room.

    The first `whole` ones are not shortened. `around` mm are free on all sides of it.
    """
    broken = [shortened(text, columns=columns, lines=most) for text in texts]
    if any(" ".join(own) != one_line(text) for own, text in zip(broken[:whole], texts, strict=False)):
        return None
    lines = [(line, rest if i else first) for i, own in enumerate(broken) for line in own]
    if not lines:
        return written
    block = block_of(lines)
    for angle in (0.0, 0.5 * np.pi):
        size = block.width + 2 * around, block.height + 2 * around
        place = free_place(written.free, *size, angle=angle, near=near)
        if place is not None:
            return with_lines(written, block, place, angle, kind="name")
    return None


def with_arrow(written: Written, angle: float, word: str, *, name: str, near: tuple[float, float]) -> Written:
    """The grain arrow and its word added: the word above it, on a narrow piece before or behind it.

    Raises PatternError where not even the shortest arrow has room.
    """
    x0, y0, x1, y1 = (0.0,) * 4 if shapely.is_empty(written.free) else shapely.bounds(written.free).tolist()
    most = max(_ARROW_SHARE * max(x1 - x0, y1 - y0), _ARROWS[-1])
    for inline in (False, True):
        for size in (size for size in _ARROWS if size <= most):
            found = _line_and_word(written, word, size, angle, near, kind="grain", inline=inline)
            if found is not None:
                return found
    raise no_room(name, "a grain arrow", _ARROWS[-1], ARROW_HEAD + 2 * LEAST_TEXT)


def with_bare_arrow(written: Written, angle: float, *, name: str, near: tuple[float, float]) -> Written:
    """A grain arrow without its word added, on a small piece.

    Raises PatternError where not even the shortest has room.
    """
    height = 0.8 * ARROW_HEAD
    for size in _BARE_ARROWS:
        place = free_place(written.free, size, height, angle=upright(angle), near=near)
        if place is not None:
            drawn = arrow(*place, size, angle, kind="grain")
            return taken(written, (), drawn, (*place, size, height, upright(angle)), kind="grain")
    raise no_room(name, "a grain arrow", _BARE_ARROWS[-1], height)


def with_way(written: Written, angle: float, word: str, *, near: tuple[float, float]) -> Written:
    """A short arrow along `angle` added, the way to what its word says; left out where it has no room."""
    for inline in (False, True):
        for size in _WAYS:
            found = _line_and_word(written, word, size, angle, near, kind="way", inline=inline)
            if found is not None:
                return found
    return _line_and_word(written, word, _WAYS[-1], angle, near, kind="way", inline=False, small=True) or written


def with_check_line(written: Written, *, near: tuple[float, float], language: Language) -> Written:
    """The check line and its length added: 100 mm, or 50 mm on a small piece; left out where neither has room.

    A drawing and a printed cover have check lines of their own.
    """
    for inline in (False, True):
        for size in (CHECK, SHORT_CHECK):
            word = say.text(message("mm", value=size), language)
            for angle in (0.0, 0.5 * np.pi, 0.25 * np.pi, -0.25 * np.pi):
                found = _line_and_word(written, word, size, angle, near, kind="check line", inline=inline)
                if found is not None:
                    return found
    return written


def _line_and_word(
    written: Written,
    word: str,
    size: float,
    angle: float,
    near: tuple[float, float],
    *,
    kind: str,
    inline: bool,
    small: bool = False,
) -> Written | None:
    """An arrow or a check line with its word above it or in line with it, in one box; None without room.

    A `small` word, and one in line, is of SMALL_TEXT, and nothing is kept free about it.
    """
    small = small or inline
    text_height = SMALL_TEXT if small else LEAST_TEXT
    above, below = reach(word)
    wide, tall = text_width(word, text_height), text_height * (above + below)
    check = kind == "check line"
    thick = CHECK_TICK if check else 0.8 * ARROW_HEAD
    width, height = (size + GAP + wide, max(thick, tall)) if inline else (max(size, wide), thick + _APART + tall)
    turn = upright(angle)
    around = 0.0 if small else GAP
    place = free_place(written.free, width + 2 * around, height + 2 * around, angle=turn, near=near)
    if place is None:
        return None
    up = np.array([-np.sin(turn), np.cos(turn)])
    right = np.array([np.cos(turn), np.sin(turn)])
    if inline:
        line = np.array(place) - 0.5 * (width - size) * right
        base = np.array(place) + (0.5 * width - wide) * right - 0.5 * (above - below) * text_height * up
    else:
        line = np.array(place) + (0.5 * thick - 0.5 * height) * up
        base = np.array(place) + (0.5 * height - text_height * above) * up - 0.5 * wide * right
    base = base + BESIDE * text_height * right
    x, y = float(line[0]), float(line[1])
    marks = check_line(x, y, size, turn) if check else arrow(x, y, size, angle, kind=kind)
    label = Label(float(base[0]), float(base[1]), text_height, turn, word)
    return taken(written, (label,), marks, (*place, width, height, turn), kind=kind)
