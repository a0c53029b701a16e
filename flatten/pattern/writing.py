"""What is written on a piece, and the marks that need a place of their own: label, grain arrow, check line."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from flatten.findings import message
from flatten.pattern.lettering import ABOVE, BELOW, LEAST_TEXT, LINE_STEP, SMALL_TEXT, shortened, text_width
from flatten.pattern.marks import ARROW_HEAD, CHECK, CHECK_TICK, SHORT_CHECK, arrow, check_line, no_room
from flatten.pattern.model import Label, Mark, Path
from flatten.pattern.path import along, length, polyline
from flatten.pattern.placing import free_place, rectangle
from flatten.words import say
from flatten.words.language import Language

_GAP = 3.0
"""mm. Free space between two things that are written or drawn on a piece."""

_TITLE = 8.0
"""mm. Height of a piece's name."""

_ARROWS = (120.0, 80.0, 50.0, 30.0)
"""mm. Lengths of the grain arrow that are tried, longest first."""


@dataclass(frozen=True, eq=False)
class Written:
    """Labels and marks placed so far, and what of the piece is `free` for more."""

    labels: tuple[Label, ...]
    marks: tuple[Mark, ...]
    free: shapely.Geometry


def start(free: shapely.Geometry, lines: Sequence[Mark]) -> Written:
    """Nothing written yet: `free` less the surroundings of the lines that are drawn already."""
    drawn = [shapely.LineString(polyline(mark.path, 0.1)).buffer(_GAP) for mark in lines]
    return Written((), (), shapely.difference(free, shapely.union_all(drawn)))


_BLOCKS = (
    (_TITLE, LEAST_TEXT, 30, 2),
    (LEAST_TEXT, LEAST_TEXT, 16, 2),
    (SMALL_TEXT, SMALL_TEXT, 12, 2),
    (SMALL_TEXT, SMALL_TEXT, 40, 1),
)
"""How a label is stacked, tried in this order: height of its title and of the rest (mm), columns, lines a text."""


def with_block(written: Written, texts: Sequence[str], *, name: str, near: tuple[float, float]) -> Written:
    """The label block added: the first text larger, the others below it, left-aligned, level or turned upwards.

    Long texts are broken and at last shortened. Where there is no room for a block, it is stacked narrower, then
    written smaller, and at last its lines part and each takes a place of its own.
    Raises PatternError where not even those have room.
    """
    for first, rest, columns, most in _BLOCKS:
        found = _stacked(written, texts, first, rest, columns, most, near)
        if found is not None:
            return found
    for text in texts:
        placed = _parted(written, text, near)
        if placed is None:
            size = text_width(text, SMALL_TEXT), SMALL_TEXT * (ABOVE + BELOW)
            raise no_room(name, f"“{text}” on its label", *size)
        written = placed
    return written


def _parted(written: Written, text: str, near: tuple[float, float]) -> Written | None:
    """The text added by itself in its smallest height, in as few lines as find room; None without room.

    Nothing is kept free about it: lines and holes keep their own distance already.
    """
    for columns, most in ((40, 1), (20, 2), (10, 4)):
        found = _stacked(written, (text,), SMALL_TEXT, SMALL_TEXT, columns, most, near, around=0.0)
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
    around: float = _GAP,
) -> Written | None:
    """The texts added as one block with a title `first` mm and other lines `rest` mm tall; None without room.

    `around` mm are free on all sides of it.
    """
    lines = [(line, first) for line in shortened(texts[0], columns=columns, lines=most)]
    lines += [(line, rest) for text in texts[1:] for line in shortened(text, columns=columns, lines=most)]
    if not lines:
        return written
    width = max(text_width(text, height) for text, height in lines)
    height = lines[0][1] * ABOVE + sum(size * LINE_STEP for _, size in lines[1:]) + first * BELOW
    for angle in (0.0, 0.5 * np.pi):
        place = free_place(written.free, width + 2 * around, height + 2 * around, angle=angle, near=near)
        if place is not None:
            return _with_lines(written, lines, place, (width, height), angle)
    return None


def _with_lines(
    written: Written,
    lines: Sequence[tuple[str, float]],
    place: tuple[float, float],
    size: tuple[float, float],
    angle: float,
) -> Written:
    """Lines of (text, height) added in a box of `size` mm centred on `place` and turned by `angle`."""
    cos, sin = np.cos(angle), np.sin(angle)
    labels = []
    left, top = -0.5 * size[0], 0.5 * size[1]
    base = top - lines[0][1] * ABOVE
    for i, (text, height) in enumerate(lines):
        base -= height * LINE_STEP + (lines[i - 1][1] - height) * BELOW if i else 0.0
        x, y = place[0] + cos * left - sin * base, place[1] + sin * left + cos * base
        labels.append(Label(float(x), float(y), height, angle, text))
    return _taken(written, tuple(labels), (), (*place, *size, angle))


def _taken(
    written: Written,
    labels: tuple[Label, ...],
    marks: tuple[Mark, ...],
    box: tuple[float, float, float, float, float],
) -> Written:
    """The labels and marks added, and their box (x, y, width, height, angle) taken from what is free."""
    x, y, width, height, angle = box
    used = shapely.Polygon(rectangle(x, y, width + 2 * _GAP, height + 2 * _GAP, angle))
    return Written((*written.labels, *labels), (*written.marks, *marks), shapely.difference(written.free, used))


def upright(angle: float) -> float:
    """The angle, or its opposite, at which a text along a line is read from below or from the right."""
    turned = float(np.mod(angle + 0.5 * np.pi, np.pi) - 0.5 * np.pi)
    return 0.5 * np.pi if np.isclose(turned, -0.5 * np.pi) else turned


def with_arrow(written: Written, angle: float, word: str, *, name: str, near: tuple[float, float]) -> Written:
    """The grain arrow and its word added: the word above it, on a narrow piece before or behind it.

    Raises PatternError where not even the shortest arrow has room.
    """
    for inline in (False, True):
        for size in _ARROWS:
            found = _line_and_word(written, word, size, angle, near, check=False, inline=inline)
            if found is not None:
                return found
    raise no_room(name, "a grain arrow", _ARROWS[-1], ARROW_HEAD + 2 * LEAST_TEXT)


def with_check_line(written: Written, *, near: tuple[float, float], language: Language) -> Written:
    """The check line and its length added: 100 mm, or 50 mm on a small piece; left out where neither has room.

    A drawing and a printed cover have check lines of their own.
    """
    for inline in (False, True):
        for size in (CHECK, SHORT_CHECK):
            word = say.text(message("mm", value=size), language)
            for angle in (0.0, 0.5 * np.pi, 0.25 * np.pi, -0.25 * np.pi):
                found = _line_and_word(written, word, size, angle, near, check=True, inline=inline)
                if found is not None:
                    return found
    return written


def _line_and_word(
    written: Written, word: str, size: float, angle: float, near: tuple[float, float], *, check: bool, inline: bool
) -> Written | None:
    """An arrow or a check line with its word above it or in line with it, in one box; None without room."""
    text_height = SMALL_TEXT if inline else LEAST_TEXT
    wide, tall = text_width(word, text_height), text_height * (ABOVE + BELOW)
    thick = CHECK_TICK if check else 0.8 * ARROW_HEAD
    width, height = (size + _GAP + wide, max(thick, tall)) if inline else (max(size, wide), thick + tall)
    turn = upright(angle)
    around = 0.0 if inline else _GAP
    place = free_place(written.free, width + 2 * around, height + 2 * around, angle=turn, near=near)
    if place is None:
        return None
    up = np.array([-np.sin(turn), np.cos(turn)])
    right = np.array([np.cos(turn), np.sin(turn)])
    if inline:
        line = np.array(place) - 0.5 * (width - size) * right
        base = np.array(place) + (0.5 * width - wide) * right - 0.5 * text_height * up
    else:
        line = np.array(place) + (0.5 * thick - 0.5 * height) * up
        base = np.array(place) + (0.5 * height - text_height * ABOVE) * up - 0.5 * wide * right
    x, y = float(line[0]), float(line[1])
    marks = check_line(x, y, size, turn) if check else arrow(x, y, size, angle)
    label = Label(float(base[0]), float(base[1]), text_height, turn, word)
    return _taken(written, (label,), marks, (*place, width, height, turn))


def with_line_name(written: Written, text: str, mark: Mark) -> Written:
    """A short text added beside a drawn line, along it, near its middle; left out where no place is close by."""
    lines = shortened(text, columns=24, lines=1)
    where, heading = along(mark.path, np.linspace(0.1, 0.9, 17) * length(mark.path))
    size = (text_width(lines[0], LEAST_TEXT), LEAST_TEXT * (ABOVE + BELOW))
    for point, tangent in sorted(
        zip(where, heading, strict=True), key=lambda pair: abs(float(np.hypot(*(pair[0] - where[8]))) - _ASIDE)
    ):
        angle = upright(float(np.arctan2(tangent[1], tangent[0])))
        up = np.array([-np.sin(angle), np.cos(angle)])
        middle = point + (0.5 * size[1] + _GAP + 0.5) * up
        box = shapely.Polygon(rectangle(float(middle[0]), float(middle[1]), size[0], size[1], angle))
        if shapely.contains(written.free, box):
            return _with_lines(written, [(lines[0], LEAST_TEXT)], (float(middle[0]), float(middle[1])), size, angle)
    return written


_DEPTHS = (9.0, 12.0, 16.0, 21.0, 27.0, 34.0)
"""mm. How far inside its side the middle of a seam's name is tried: before the holes, between them, behind them."""


def with_side_name(written: Written, text: str, path: Path) -> Written:
    """A short text added inside a side of a counter-clockwise outline, along it; left out where no place is close by.

    The nearest to the side that has room, and there the nearest to its middle.
    """
    (line,) = shortened(text, columns=30, lines=1)
    whole = length(path)
    places = whole * np.array(sorted(np.linspace(0.1, 0.9, 33), key=lambda share: (round(abs(share - 0.5), 6), share)))
    where, heading = along(path, places)
    turns = np.array([upright(float(angle)) for angle in np.arctan2(heading[:, 1], heading[:, 0])])
    inward = np.stack([-heading[:, 1], heading[:, 0]], axis=1)
    for height in (LEAST_TEXT, SMALL_TEXT):
        size = (text_width(line, height), height * (ABOVE + BELOW))
        for depth in _DEPTHS:
            middles = where + depth * inward
            boxes = [
                shapely.Polygon(rectangle(float(x), float(y), *size, float(turn)))
                for (x, y), turn in zip(middles, turns, strict=True)
            ]
            free = np.flatnonzero(shapely.contains(written.free, np.array(boxes)))
            if len(free):
                x, y = middles[free[0]]
                return _with_lines(written, [(line, height)], (float(x), float(y)), size, float(turns[free[0]]))
    return written


_ASIDE = 60.0
"""mm. A line's name stands about this far from the line's middle, where the centre line crosses it."""
