"""Sheets for ornament, at true size as pieces: a field with squares to draw on, lines to trace, the look of a weave."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import shapely

from flatten.findings import Message, message
from flatten.mesh.surface import Floats
from flatten.ornament.model import Field, Region
from flatten.ornament.squares import Line, axes_of, squares_of
from flatten.pattern.lettering import text_width
from flatten.pattern.model import Label, Mark, Path, Piece
from flatten.pattern.path import segment
from flatten.words import say
from flatten.words.language import Language

SQUARE = 5.0
"""mm. Side of a square of the field's sheet: that of squared paper."""

NUMBER = 2.5
"""mm. Height of the numbers of a grid's lines."""

SHADED = 1.4
"""mm between the lines that shade a background: a field of a hand's breadth has as many as an engraving."""

_SHADE_ANGLE = np.pi / 4.0
"""rad. The way of those lines."""

CARVED, BEVELLED, BACKGROUND = "carved line", "bevelled side", "background"
"""The kinds of marks that an ornament has on its piece."""

_KEPT = ("centre line", "fold", "trim")
"""Marks of a piece that its sheets for ornament bear too."""


def field_sheet(piece: Piece, field: Field, *, square: float = SQUARE, language: Language) -> Piece:
    """The sheet to draw on by hand: the piece's outline and holes, its field, its centre line, and squares of `square`
    mm in it. By the centre line a drawing that is made in the sheet's file comes back to its place."""
    lines = squares_of(field, square)
    marks = [
        *_kept(piece),
        *(Mark("field", closed_path(rim)) for rim in field.region.rims),
        *(Mark("counted square" if line.counted else "square", segment(*line.ends)) for line in lines),
    ]
    if field.centre is not None:
        marks.append(Mark("field’s middle", segment(*field.centre)))
    told = message("ornament.sheet field", piece=piece.name)
    return _sheet(piece, told, marks, _numbers(field, lines), language)


def tracing_sheet(piece: Piece, *, language: Language) -> Piece:
    """The sheet to trace from: outline, holes, centre line, and the carved lines alone."""
    lines = [mark for mark in piece.marks if mark.kind == CARVED]
    return _sheet(piece, message("ornament.sheet trace", piece=piece.name), [*_kept(piece), *lines], (), language)


def look_sheet(piece: Piece, background: Region, *, language: Language) -> Piece:
    """The sheet that shows over and under: carved lines, bevelled sides, the background shaded."""
    lines = [mark for mark in piece.marks if mark.kind in (CARVED, BEVELLED)]
    shade = [Mark("shade", segment(*line)) for line in _shade(background)]
    return _sheet(piece, message("ornament.sheet look", piece=piece.name), [*shade, *lines], (), language)


def closed_path(rim: Floats) -> Path:
    """A closed polyline (n,2) as a path."""
    return Path(rim, np.zeros(len(rim)), closed=True)


def _kept(piece: Piece) -> list[Mark]:
    return [mark for mark in piece.marks if mark.kind in _KEPT]


def _sheet(piece: Piece, told: Message, marks: Sequence[Mark], labels: Sequence[Label], language: Language) -> Piece:
    """The piece with these marks and labels alone, called as it is told."""
    name = say.text(told, language)
    return replace(piece, name=name, marks=tuple(marks), labels=tuple(labels), untooled=(), tooled=(), inscriptions=())


def _numbers(field: Field, lines: Sequence[Line]) -> tuple[Label, ...]:
    """The numbers of the stronger lines, counted from the centre line to both sides and from the lower end up, each
    where its line begins, inside the field."""
    _, right, up = axes_of(field)
    found, told = [], set()
    for line in sorted(lines, key=lambda each: each.ends @ (up if each.upright else right) @ np.ones(2)):
        if not line.counted or not line.number or (line.number, line.upright) in told:
            continue
        told.add((line.number, line.upright))
        start = line.ends[np.argmin(line.ends @ (up if line.upright else right))]
        text = str(abs(line.number))
        at = start + (0.6 * right + 0.8 * up if line.upright else 0.8 * right + 0.6 * up)
        box = shapely.box(at[0], at[1], at[0] + text_width(text, NUMBER), at[1] + NUMBER)
        if shapely.covers(field.region.shape, box):
            found.append(Label(float(at[0]), float(at[1]), NUMBER, 0.0, text))
    return tuple(found)


def _shade(region: Region) -> list[Floats]:
    """Slanting lines (2,2), SHADED mm apart, over a region."""
    shape = region.shape
    if shapely.is_empty(shape):
        return []
    way = np.array([np.cos(_SHADE_ANGLE), np.sin(_SHADE_ANGLE)])
    across = np.array([-way[1], way[0]])
    x0, y0, x1, y1 = shapely.bounds(shape)
    corners = np.array([[x0, y0], [x1, y0], [x1, y1], [x0, y1]])
    reach, span = corners @ across, corners @ way
    steps = np.arange(np.ceil(reach.min() / SHADED), np.floor(reach.max() / SHADED) + 1.0) * SHADED
    lines = [step * across + np.outer((span.min() - 1.0, span.max() + 1.0), way) for step in steps]
    parts = shapely.get_parts(shapely.intersection(shapely.MultiLineString(lines), shape)).tolist()
    return [shapely.get_coordinates(part) for part in parts if isinstance(part, shapely.LineString)]
