"""The legend of printed sheets: each kind of line, ring and ground that occurs in a job, and what it is, in words."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import shapely
from reportlab.pdfgen.canvas import Canvas

from flatten.drawing.compose import LAYER_OF
from flatten.drawing.hatch import stroke_hatch
from flatten.drawing.ink import broken, colour_shares, draw_layers, put_text
from flatten.drawing.model import LAYERS, Circle, Layer
from flatten.findings import Message, message
from flatten.pattern.model import Hole, Piece
from flatten.pattern.path import segment
from flatten.pattern.rims import cross, slot_rim
from flatten.words import say
from flatten.words.language import Language

TICKS = frozenset({"notch", "match mark", "front"})
"""Kinds of marks that are short, and so solid."""

_SAMPLE, _BESIDE = 16.0, 3.0
"""mm. How long a line is drawn in the legend, and the space between it and its words: a long dash and a gap show."""

_TEXT, _LINE, _BETWEEN = 2.3, 3.7, 1.5
"""mm. Height of capitals, from line to line, and more between two entries."""

_HATCHED = 6.0
"""mm. Height of the hatch's sample."""


@dataclass(frozen=True)
class Entry:
    """What a legend tells in words, and how it is drawn: as a line of a `layer`, a `hole`, a "tick", an "arrow" or a
    "hatch" (`drawn`)."""

    told: Message
    drawn: str
    hole: Hole | None = None


def entries_of(pieces: Sequence[Piece]) -> tuple[Entry, ...]:
    """What occurs on pieces, in the order in which it is met: cuts, holes, lines, ticks, arrow, hatch."""
    if not pieces:
        return ()
    kinds = list(dict.fromkeys(mark.kind for piece in pieces for mark in piece.marks))
    found = [Entry(message("legend.cut"), "CUT"), *_holes([hole for piece in pieces for hole in piece.holes])]
    for name in ("SLIT", "STITCH", "FOLD", "GROOVE", "CARVE", "BEVEL", "BACKGROUND", "GRID", "COUNT", "CENTRE", "MARK"):
        on = tuple(sorted(kind for kind in kinds if LAYER_OF.get(kind, "MARK") == name and kind not in TICKS))
        if on:
            found.append(Entry(message("legend.lines", layer=name, drawn=on), name))
    ticks = tuple(sorted(TICKS.intersection(kinds)))
    if ticks:
        found.append(Entry(message("legend.ticks", ticks=ticks), "tick"))
    if "grain" in kinds:
        found.append(Entry(message("legend.grain"), "arrow"))
    if any(piece.untooled for piece in pieces):
        found.append(Entry(message("legend.hatch"), "hatch"))
    return tuple(found)


def _holes(holes: Sequence[Hole]) -> list[Entry]:
    """The holes that are punched flat, each size once, the largest first; then those that come after."""
    flat = [hole for hole in holes if hole.kind != "stop" and not hole.after]
    found = []
    for diameter, run in sorted({(hole.diameter, round(hole.run, 1)) for hole in flat}, reverse=True):
        kinds = {hole.kind for hole in flat if (hole.diameter, round(hole.run, 1)) == (diameter, run)}
        told = message("legend.hole", punched=tuple(sorted(kinds)), diameter=diameter, run=run)
        found.append(Entry(told, "HOLES", Hole(0.0, 0.0, diameter, min(kinds), "", "", run=run)))
    later = [hole for hole in holes if hole.after]
    if later:
        ring = Hole(0.0, 0.0, max(hole.diameter for hole in later), later[0].kind, "", "", after=True)
        found.append(Entry(message("legend.after"), "MARK", ring))
    return found


def legend_height(entries: Sequence[Entry], width: float, language: Language) -> float:
    """How tall the entries are beneath one another, `width` mm wide, mm."""
    return sum(_height(entry, width, language) for entry in entries)


def _height(entry: Entry, width: float, language: Language) -> float:
    lines = len(_words(entry, width, language))
    ring = 0.0 if entry.hole is None else entry.hole.diameter
    return max(lines * _LINE, ring, _HATCHED if entry.drawn == "hatch" else 0.0) + _BETWEEN


def _words(entry: Entry, width: float, language: Language) -> list[str]:
    return broken(say.text(entry.told, language), _TEXT, width - _SAMPLE - _BESIDE)


def draw_legend(canvas: Canvas, entries: Sequence[Entry], x: float, y: float, width: float, language: Language) -> None:
    """The entries beneath one another, `width` mm wide, from the upper left corner (x, y)."""
    for entry in entries:
        words, tall = _words(entry, width, language), _height(entry, width, language)
        middle = y - 0.5 * (tall - _BETWEEN)
        canvas.saveState()
        canvas.translate(x, middle)
        _draw_sample(canvas, entry)
        canvas.restoreState()
        canvas.setFillGray(0.1)
        first = middle + 0.5 * (len(words) - 1) * _LINE - 0.5 * _TEXT
        for row, line in enumerate(words):
            put_text(canvas, x + _SAMPLE + _BESIDE, first - row * _LINE, _TEXT, line)
        y -= tall


def _draw_sample(canvas: Canvas, entry: Entry) -> None:
    """What an entry tells of, as it is drawn on the sheets, from the origin to the right."""
    if entry.hole is not None:
        canvas.translate(0.5 * _SAMPLE, 0.0)
        _draw_hole(canvas, entry.hole)
    elif entry.drawn == "hatch":
        stroke_hatch(canvas, shapely.box(0.0, -0.5 * _HATCHED, _SAMPLE, 0.5 * _HATCHED))
    elif entry.drawn == "tick":
        draw_layers(canvas, [Layer("MARK", (segment((0.5 * _SAMPLE, -2.0), (0.5 * _SAMPLE, 2.0)),), (), ())])
    elif entry.drawn == "arrow":
        barbs = (_SAMPLE - 4.0, 1.6), (_SAMPLE, 0.0), (_SAMPLE - 4.0, -1.6)
        tip = segment((0.0, 0.0), (_SAMPLE, 0.0)), segment(*barbs)
        draw_layers(canvas, [Layer("TEXT", tip, (), ())])
    else:
        # So short a line is solid on a sheet; here it shows its layer's dashes.
        look = LAYERS[entry.drawn]
        canvas.setStrokeColorRGB(*colour_shares(look.colour))
        canvas.setLineWidth(look.width)
        canvas.setLineCap(1 if 0.0 in look.dashes else 0)
        canvas.setDash(list(look.dashes))
        canvas.line(0.0, 0.0, _SAMPLE, 0.0)


def _draw_hole(canvas: Canvas, hole: Hole) -> None:
    """A hole at its own size about the origin."""
    name = "MARK" if hole.after else "HOLES"
    crossed = cross(hole) if hole.after else ()
    rim = (slot_rim(hole),) if hole.run else ()
    circles = () if hole.run else (Circle(0.0, 0.0, hole.diameter),)
    draw_layers(canvas, [Layer(name, (*rim, *crossed), circles, ())])
