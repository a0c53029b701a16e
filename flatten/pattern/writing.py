"""What is written on a piece, and the marks that need a place of their own: label, grain arrow, check line."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from flatten.pattern.lettering import ABOVE, BELOW, LEAST_TEXT, LINE_STEP, shortened, text_width
from flatten.pattern.marks import ARROW_HEAD, CHECK, CHECK_TICK, SHORT_CHECK, arrow, check_line, no_room
from flatten.pattern.model import Label, Mark
from flatten.pattern.path import along, length, polyline
from flatten.pattern.placing import free_place, rectangle

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


def with_block(written: Written, texts: Sequence[str], *, name: str, near: tuple[float, float]) -> Written:
    """The label block added: the first text larger, the others below it, all upright and left-aligned.

    Long texts are broken and at last shortened. Raises PatternError where the piece has no room for the block.
    """
    for first, columns in ((_TITLE, 30), (LEAST_TEXT, 16)):
        lines = [(line, first) for line in shortened(texts[0], columns=columns, lines=2)]
        lines += [(line, LEAST_TEXT) for text in texts[1:] for line in shortened(text, columns=columns, lines=2)]
        width = max(text_width(text, height) for text, height in lines)
        height = sum(size for _, size in lines[:1]) * ABOVE + sum(size * LINE_STEP for _, size in lines[1:])
        height += first * BELOW
        for angle in (0.0, 0.5 * np.pi):
            place = free_place(written.free, width + 2 * _GAP, height + 2 * _GAP, angle=angle, near=near)
            if place is not None:
                return _with_lines(written, lines, place, (width, height), angle)
    raise no_room(name, "its label", width, height)


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


def with_arrow(written: Written, angle: float, *, name: str, near: tuple[float, float]) -> Written:
    """The grain arrow and its word added. Raises PatternError where not even the shortest arrow has room."""
    return _beside_word(written, "grain", _ARROWS, angle, near, name)


def with_check_line(written: Written, *, name: str, near: tuple[float, float]) -> Written:
    """The check line and its length added: 100 mm, or 50 mm on a small piece.

    Raises PatternError where the piece has no room for either.
    """
    for size in (CHECK, SHORT_CHECK):
        for angle in (0.0, 0.5 * np.pi, 0.25 * np.pi, -0.25 * np.pi):
            found = _line_and_word(written, f"{size:.0f} mm", size, angle, near, check=True)
            if found is not None:
                return found
    raise no_room(name, "a check line", SHORT_CHECK, CHECK_TICK + 2 * LEAST_TEXT)


def _beside_word(
    written: Written, word: str, sizes: Sequence[float], angle: float, near: tuple[float, float], name: str
) -> Written:
    """The longest arrow that fits, with its word beside it."""
    for size in sizes:
        found = _line_and_word(written, word, size, angle, near, check=False)
        if found is not None:
            return found
    raise no_room(name, "a grain arrow", sizes[-1], ARROW_HEAD + 2 * LEAST_TEXT)


def _line_and_word(
    written: Written, word: str, size: float, angle: float, near: tuple[float, float], *, check: bool
) -> Written | None:
    """An arrow or a check line with its word above it, in one box; None where the box has no place."""
    text_height = LEAST_TEXT
    width = max(size, text_width(word, text_height))
    thick = CHECK_TICK if check else 0.8 * ARROW_HEAD
    height = thick + text_height * (ABOVE + BELOW)
    turn = upright(angle)
    place = free_place(written.free, width + 2 * _GAP, height + 2 * _GAP, angle=turn, near=near)
    if place is None:
        return None
    up = np.array([-np.sin(turn), np.cos(turn)])
    right = np.array([np.cos(turn), np.sin(turn)])
    line = np.array(place) + (0.5 * thick - 0.5 * height) * up
    base = np.array(place) + (0.5 * height - text_height * ABOVE) * up - 0.5 * text_width(word, text_height) * right
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


_ASIDE = 60.0
"""mm. A line's name stands about this far from the line's middle, where the centre line crosses it."""
