"""The cover of the PDF: test square, how to join the sheets, and a small map of them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from textwrap import wrap

from reportlab.pdfgen.canvas import Canvas

from flatten.drawing.ink import MM, WARNING, draw_path, put_text
from flatten.drawing.legend import Entry, draw_legend, entries_of, legend_height
from flatten.findings import Message, message
from flatten.pattern.path import bounds
from flatten.sheet.paper import PAPERS, paper_size
from flatten.sheet.tiles import Sheets, Tiling
from flatten.words import say
from flatten.words.language import Language

SQUARE = 100.0
"""mm. Side of the test square."""

IN_SQUARE = (78.0, 73.0)
"""mm. Width and height of the room for the legend in the test square, clear of its sides and of their length."""

_EDGE = 15.0
"""mm. The cover's own margin."""

_TEXT = 3.0
"""mm. Height of capitals in the cover's text."""

_ZERO_ROW = 105
"""Letters in a row of what height 0 is: as wide as the cover."""

_TOLD_ROW = 46
"""Letters in a row of what is told of a mock-up: as wide as the cover is beside the test square."""

MOST_MAPS = 8
"""Pieces whose sheets are all mapped on the cover: more maps side by side would be too small to read."""

CAUTION = message("cover.caution")
"""What is to be heeded with a pattern's sheets."""


@dataclass(frozen=True)
class Mockup:
    """What sheets of a mock-up say beside what all sheets do: what `sheet` it is of and how thick (mm), and what is
    `told` of it on the cover."""

    sheet: str
    thickness: float
    told: tuple[Message, ...]


def _how(tilings: Sequence[Tiling], mockup: Mockup | None) -> tuple[Message, ...]:
    """How to join the sheets, by number, where there is something to join; common practice."""
    joined: tuple[Message, ...] = (message("cover.how.square", length=SQUARE),)
    if any(len(tiling.tiles) > 1 for tiling in tilings):
        joined += (message("cover.how.trim"), message("cover.how.row"), message("cover.how.rows"))
    if mockup is not None:
        cut = message("cover.how.cut mock-up", sheet=mockup.sheet, thickness=mockup.thickness)
        return (*joined, cut, message("cover.how.write down"))
    return (
        *joined,
        message(
            "cover.how.cut",
            after=any(hole.after for tiling in tilings for piece in tiling.pieces for hole in piece.holes),
        ),
        message("cover.how.try on"),
    )


def draw_cover(
    canvas: Canvas,
    laid: Sheets,
    title: str,
    language: Language,
    *,
    warning: str = "",
    zero: str = "",
    mockup: Mockup | None = None,
    how: Sequence[Message] = (),
    caution: Message = CAUTION,
) -> None:
    """The first page, upright: title, a warning, test square, instructions, what is told of a mock-up, what heights
    count from, cautions, a map of every piece's sheets. `how` is what is done with them, by number, in place of what is
    done with a pattern's."""
    tilings, paper = laid.tilings, laid.printing.paper
    # A page that is as large as the pieces comes with a cover for the printer at home.
    width, height = paper_size(paper if paper in PAPERS else "A4")
    canvas.setPageSize((width * MM, height * MM))
    canvas.saveState()
    canvas.scale(MM, MM)
    canvas.setFillGray(0.1)
    y = height - _EDGE - 5.0
    put_text(canvas, _EDGE, y, 5.0, title, most=width - 2 * _EDGE)
    if warning:
        y -= 8.0
        canvas.setFillColorRGB(*WARNING)
        put_text(canvas, _EDGE, y, 4.5, warning, most=width - 2 * _EDGE)
        canvas.setFillGray(0.1)
    sheets = sum(len(tiling.tiles) for tiling in tilings)
    y -= 8.0
    put_text(canvas, _EDGE, y, _TEXT, say.text(message("cover.counted", sheets=sheets, paper=paper), language))
    y -= 8.0 + SQUARE
    _draw_square(canvas, _EDGE, y, width, language)
    if mockup is not None:
        _draw_told(canvas, _EDGE + SQUARE + 8.0, y + SQUARE - 44.0, width, mockup, language)
    entries, (wide, tall) = entries_of([piece for tiling in tilings for piece in tiling.pieces]), IN_SQUARE
    fits = legend_height(entries, wide, language) <= tall
    if entries and fits:
        left, top = _EDGE + SQUARE - 9.0 - wide, y + 11.0 + tall
        put_text(canvas, left, top + 3.0, _TEXT, say.text(message("legend.title"), language), most=wide)
        draw_legend(canvas, entries, left, top, wide, language)
    y -= 9.0
    put_text(canvas, _EDGE, y, 1.25 * _TEXT, say.text(message("cover.how"), language))
    y -= 1.0
    for number, step in enumerate(how or _how(tilings, mockup), 1):
        for row, line in enumerate(say.text(step, language).splitlines()):
            y -= 4.6 if row else 6.2
            put_text(canvas, _EDGE, y, 0.85 * _TEXT, "" if row else str(number))
            put_text(canvas, _EDGE + 7.0, y, 0.85 * _TEXT, line, most=width - 2 * _EDGE - 7.0)
    if zero:
        y -= 8.0
        _draw_zero(canvas, y, width, zero)
        y -= 4.2 * (len(wrap(zero, _ZERO_ROW)) - 1)
    # Where many pieces have a sheet each, only those are mapped whose sheets are joined.
    shown = [tiling for tiling in tilings if len(tiling.tiles) > 1 or len(tilings) <= MOST_MAPS]
    y -= 8.0
    for line in say.text(caution, language).splitlines():
        put_text(canvas, _EDGE, y, 0.8 * _TEXT, line, most=width - 2 * _EDGE)
        y -= 4.6
    cut = tuple(tiling.letter for tiling in tilings if tiling.cuts)
    if cut:
        told = say.text(message("cover.across", letters=cut), language)
        put_text(canvas, _EDGE, y, 0.8 * _TEXT, told, most=width - 2 * _EDGE)
        y -= 4.6
    _draw_maps(canvas, shown, (_EDGE, _EDGE, width - _EDGE, y - 2.0), language)
    canvas.restoreState()
    canvas.showPage()
    if not fits:
        _draw_legend_sheet(canvas, entries, width, height, language)


def _draw_legend_sheet(
    canvas: Canvas, entries: Sequence[Entry], width: float, height: float, language: Language
) -> None:
    """The legend on a page of its own."""
    canvas.setPageSize((width * MM, height * MM))
    canvas.saveState()
    canvas.scale(MM, MM)
    canvas.setFillGray(0.1)
    put_text(canvas, _EDGE, height - _EDGE - 5.0, 5.0, say.text(message("legend.title"), language))
    draw_legend(canvas, entries, _EDGE, height - _EDGE - 14.0, width - 2 * _EDGE, language)
    canvas.restoreState()
    canvas.showPage()


def _draw_told(canvas: Canvas, x: float, y: float, page_width: float, mockup: Mockup, language: Language) -> None:
    """What is told of a mock-up, downwards from (x, y) beside the test square."""
    for told in mockup.told:
        for line in wrap(say.text(told, language), _TOLD_ROW):
            put_text(canvas, x, y, 0.75 * _TEXT, line, most=page_width - _EDGE - x)
            y -= 3.9
        y -= 1.0


def _draw_zero(canvas: Canvas, y: float, page_width: float, zero: str) -> None:
    """The line that height 0 is, as a maker marks it on the limb, and beside it what it is."""
    canvas.setStrokeGray(0.0)
    canvas.setLineWidth(0.6)
    canvas.line(_EDGE + 3.0, y + 1.0, _EDGE + 16.0, y + 1.0)
    put_text(canvas, _EDGE, y, 0.85 * _TEXT, "0")
    for row, line in enumerate(wrap(zero, _ZERO_ROW)):
        put_text(canvas, _EDGE + 19.0, y - 4.2 * row, 0.8 * _TEXT, line, most=page_width - 2 * _EDGE - 19.0)


def _draw_square(canvas: Canvas, x: float, y: float, page_width: float, language: Language) -> None:
    """The test square with its lower left corner at (x, y), and what it is for."""
    canvas.setStrokeGray(0.0)
    canvas.setLineWidth(0.3)
    canvas.rect(x, y, SQUARE, SQUARE)
    size = say.text(message("mm", value=SQUARE), language)
    put_text(canvas, x + 0.5 * SQUARE, y + 3.0, _TEXT, size, anchor="middle")
    canvas.saveState()
    canvas.translate(x + 3.0 + _TEXT, y + 0.5 * SQUARE)
    canvas.rotate(90.0)
    put_text(canvas, 0.0, 0.0, _TEXT, size, anchor="middle")
    canvas.restoreState()
    beside, room = x + SQUARE + 8.0, page_width - _EDGE - x - SQUARE - 8.0
    for i, line in enumerate(say.text(message("cover.true size"), language).splitlines()):
        put_text(canvas, beside, y + SQUARE - 8.0 - 9.0 * i, 5.0, line, most=room)
    for i, line in enumerate(say.text(message("cover.square"), language).splitlines()):
        put_text(canvas, beside, y + SQUARE - 30.0 - 6.0 * i, _TEXT, line, most=room)


def _draw_maps(
    canvas: Canvas, tilings: Sequence[Tiling], box: tuple[float, float, float, float], language: Language
) -> None:
    """Every piece with its numbered sheets, small, side by side in the box (x0, y0, x1, y1), at one scale."""
    if not tilings:
        return
    x0, y0, x1, y1 = box
    cell, caption = (x1 - x0) / len(tilings), 6.0
    grids = [_grid(tiling) for tiling in tilings]
    scale = min(min((cell - 6.0) / (grid[2] - grid[0]), (y1 - y0 - caption) / (grid[3] - grid[1])) for grid in grids)
    for i, (tiling, grid) in enumerate(zip(tilings, grids, strict=True)):
        canvas.saveState()
        wide, tall = scale * (grid[2] - grid[0]), scale * (grid[3] - grid[1])
        left = x0 + (i + 0.5) * cell - 0.5 * wide
        first = tiling.pieces[0]
        piece, more = message("sheet.piece", piece=first.name, side=first.side), len(tiling.pieces) - 1
        called = say.text(message("cover.map", letter=tiling.letter, piece=piece, more=more), language)
        put_text(canvas, left, y1 - tall - 5.0, 0.8 * _TEXT, called, most=cell - 6.0)
        canvas.translate(left, y1 - tall)
        canvas.scale(scale, scale)
        canvas.translate(-grid[0], -grid[1])
        canvas.setLineWidth(0.2 / scale)
        canvas.setStrokeGray(0.6)
        canvas.setFillGray(0.35)
        for tile in tiling.tiles:
            canvas.rect(tile.x, tile.y, *tiling.window)
            middle = tile.x + 0.5 * tiling.window[0], tile.y + 0.5 * tiling.window[1]
            put_text(canvas, middle[0], middle[1] - 2.0 / scale, 4.0 / scale, tile.name, anchor="middle")
        canvas.setLineWidth(0.4 / scale)
        canvas.setStrokeGray(0.0)
        for each in tiling.pieces:
            draw_path(canvas, each.outline)
        canvas.restoreState()


def _grid(tiling: Tiling) -> tuple[float, float, float, float]:
    """Box of pieces and all their sheets' windows, mm."""
    x0, y0, x1, y1 = bounds(tiling.pieces[0].outline)
    for tile in tiling.tiles:
        x0, y0 = min(x0, tile.x), min(y0, tile.y)
        x1, y1 = max(x1, tile.x + tiling.window[0]), max(y1, tile.y + tiling.window[1])
    return x0, y0, x1, y1
