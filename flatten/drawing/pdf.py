"""Pieces as the bytes of a PDF at true size: a cover that says how to join the sheets, then the sheets."""

from __future__ import annotations

import io
from collections.abc import Sequence

from reportlab.pdfgen.canvas import Canvas

from flatten.drawing.behind import clear_line, draw_behind
from flatten.drawing.compose import layers_of
from flatten.drawing.cover import CAUTION, Mockup, draw_cover
from flatten.drawing.hatch import draw_hatch
from flatten.drawing.ink import MM, WARNING, draw_layers, lined, put_text, ready_font, text_size
from flatten.findings import Message, message
from flatten.pattern.lettering import one_line
from flatten.sheet.grid import OVERLAP
from flatten.sheet.tiles import CAPTION, Sheets, Tile, Tiling
from flatten.words import say
from flatten.words.english import ENGLISH
from flatten.words.language import Language

_WARNING = 8.0
"""mm. Height of capitals of a sheet's warning."""

_CROSS = 4.0
"""mm. Half the length of a registration cross's arms."""

_FRAME = 0.55
"""Grey of frames and crosses; 0 is black."""

_ALONG = 0.2, 0.8
"""Shares of what two sheets have in common along their joint, at which crosses stand on both."""

_SHORT = 30.0
"""mm. Sheets that have less than this in common along their joint have one cross there."""

_NAMED = 3
"""Pieces of a shared sheet that its caption names; of more it says how many."""


def pdf_bytes(
    sheets: Sheets,
    title: str,
    *,
    stopped: bool = False,
    zero: str = "",
    mockup: Mockup | None = None,
    how: Sequence[Message] = (),
    caution: Message = CAUTION,
    language: Language = ENGLISH,
) -> bytes:
    """The pieces on their sheets as PDF at true size, after one cover.

    Where they are `stopped`, cover and sheets say that they are not to be cut as they are; a try-on in paper is fine.
    The cover tells what heights count from (`zero`). Sheets of a `mockup` say of what it is in place of that warning.
    `how` is what is done with the sheets in place of a pattern's, and `caution` what is to be heeded.
    Same pieces, same bytes: no date is written.
    """
    ready_font()
    out = io.BytesIO()
    canvas = Canvas(out, invariant=1, pageCompression=1)
    canvas.setTitle(one_line(title))
    canvas.setCreator("Calfskin")
    canvas.setAuthor("")
    # Readers that heed it offer "actual size" first when this file is printed.
    canvas.setViewerPreference("PrintScaling", "None")
    warning = say.text(message("sheet.not to be cut"), language) if stopped else ""
    if mockup is not None:
        warning = say.text(message("mock-up", sheet=mockup.sheet, thickness=mockup.thickness), language)
    draw_cover(
        canvas,
        sheets,
        title,
        language,
        warning=warning,
        zero=zero,
        mockup=mockup,
        how=how,
        caution=caution,
    )
    for number, tiling in enumerate(sheets.tilings):
        form = f"pieces{number}"
        _draw_pieces(canvas, tiling, form)
        for tile in tiling.tiles:
            _draw_sheet(canvas, tiling, tile, form, language, warning)
    canvas.save()
    return out.getvalue()


def _draw_pieces(canvas: Canvas, tiling: Tiling, form: str) -> None:
    """The pieces of a tiling as a form of that name: it is in the file once, whatever number of sheets shows it."""
    left, right = (pick(tile.x for tile in tiling.tiles) for pick in (min, max))
    bottom, top = (pick(tile.y for tile in tiling.tiles) for pick in (min, max))
    canvas.beginForm(form, left, bottom, right + tiling.window[0], top + tiling.window[1])
    for piece in tiling.pieces:
        draw_hatch(canvas, piece)
        draw_layers(canvas, layers_of(piece))
    canvas.endForm()


def _draw_sheet(canvas: Canvas, tiling: Tiling, tile: Tile, form: str, language: Language, warning: str) -> None:
    """One page: the `form` of the pieces within the tile's window, frame, joining lines, crosses and caption, and a
    warning."""
    width, height = tiling.window
    canvas.setPageSize((tiling.page[0] * MM, tiling.page[1] * MM))
    canvas.saveState()
    canvas.scale(MM, MM)
    left, bottom = tiling.edge, tiling.edge + CAPTION
    middle = left + 0.5 * width
    sides = {piece.side for piece in tiling.pieces}
    side = say.text(message("sheet.side", side=tiling.pieces[0].side), language) if len(sides) == 1 else ""
    name = tiling.pieces[0].name if len(tiling.pieces) == 1 else ""
    canvas.saveState()
    canvas.translate(left, bottom)
    draw_behind(canvas, tiling, tile, (tile.name, side, name))
    canvas.restoreState()
    canvas.setFillColorRGB(*WARNING)
    if warning:
        line = clear_line(tiling, tile, warning, _WARNING)
        put_text(canvas, middle, bottom + line, _WARNING, warning, anchor="middle", most=width - 20.0)
    canvas.saveState()
    window = canvas.beginPath()
    window.rect(left, bottom, width, height)
    canvas.clipPath(window, stroke=0, fill=0)
    canvas.translate(left - tile.x, bottom - tile.y)
    canvas.doForm(form)
    canvas.restoreState()
    canvas.setStrokeGray(_FRAME)
    canvas.setLineWidth(0.2)
    canvas.rect(left, bottom, width, height)
    # Half a cross shows its middle: what of it would come on the printer's own edge is left out.
    printed = canvas.beginPath()
    printed.rect(tiling.edge, tiling.edge, tiling.page[0] - 2.0 * tiling.edge, tiling.page[1] - 2.0 * tiling.edge)
    canvas.clipPath(printed, stroke=0, fill=0)
    canvas.translate(left - tile.x, bottom - tile.y)
    _draw_joins(canvas, tiling, tile)
    canvas.restoreState()
    canvas.saveState()
    canvas.scale(MM, MM)
    _write_caption(canvas, tiling, tile, language)
    canvas.restoreState()
    canvas.showPage()


def _draw_joins(canvas: Canvas, tiling: Tiling, tile: Tile) -> None:
    """Dashed lines where neighbours' trimmed edges come to lie, and crosses on both sheets' common lines.

    The sheet on the left and the sheets above lie on top, trimmed along their frames.
    """
    width, height = tiling.window
    beside = {(other.row, other.column): other for other in tiling.tiles}
    dashes = [3.0, 2.0]
    if (tile.row, tile.column - 1) in beside:
        lined(canvas, tile.x + OVERLAP, tile.y, tile.x + OVERLAP, tile.y + height, dashes)
    for x, column in ((tile.x + OVERLAP, tile.column - 1), (tile.x + width, tile.column + 1)):
        if (tile.row, column) in beside:
            for share in _ALONG:
                _cross(canvas, x, tile.y + share * height)
    above = False
    for other in tiling.tiles:
        low, high = max(tile.x, other.x), min(tile.x, other.x) + width
        if abs(other.row - tile.row) != 1 or high - low < 2.0 * _CROSS:
            continue
        above = above or other.row < tile.row
        y = tile.y + (height - OVERLAP if other.row < tile.row else 0.0)
        for share in _ALONG if high - low >= _SHORT else (0.5,):
            _cross(canvas, low + share * (high - low), y)
    if above:
        lined(canvas, tile.x, tile.y + height - OVERLAP, tile.x + width, tile.y + height - OVERLAP, dashes)


def _cross(canvas: Canvas, x: float, y: float) -> None:
    """A registration cross with a small square, so that half of it still shows its middle; in a ring it would be a hole
    that comes after forming."""
    lined(canvas, x - _CROSS, y, x + _CROSS, y)
    lined(canvas, x, y - _CROSS, x, y + _CROSS)
    canvas.rect(x - 0.5 * _CROSS, y - 0.5 * _CROSS, _CROSS, _CROSS, stroke=1, fill=0)


def _write_caption(canvas: Canvas, tiling: Tiling, tile: Tile, language: Language) -> None:
    """The sheet's name, what is on it, its row and place in it, and the word on true size, under the window."""
    canvas.setFillGray(0.2)
    called = tuple(message("sheet.piece", piece=piece.name, side=piece.side) for piece in tiling.pieces)
    where = message(
        "sheet.place",
        letter=tiling.letter,
        number=tiling.tiles.index(tile) + 1,
        sheets=len(tiling.tiles),
        pieces=called[:_NAMED],
        more=max(len(called) - _NAMED, 0),
        row=tile.row + 1,
        rows=tiling.rows,
        place=sum(other.row == tile.row and other.column <= tile.column for other in tiling.tiles),
        in_row=tiling.in_row(tile.row),
    )
    y, left, right = tiling.edge + 2.5, tiling.edge, tiling.page[0] - tiling.edge
    true_size = say.text(message("sheet.true size"), language)
    room = text_size(true_size, 2.6)
    put_text(canvas, left, y, 4.0, tile.name)
    put_text(canvas, left + 14.0, y, 2.6, say.text(where, language), most=right - left - 14.0 - room - 4.0)
    put_text(canvas, right, y, 2.6, true_size, anchor="end")
