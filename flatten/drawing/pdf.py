"""Pieces as the bytes of a PDF at true size: a cover that says how to join the sheets, then the sheets."""

from __future__ import annotations

import io
from collections.abc import Sequence

from reportlab.pdfgen.canvas import Canvas

from flatten.drawing.compose import layers_of
from flatten.drawing.cover import CAUTION, Mockup, draw_cover
from flatten.drawing.ink import MM, WARNING, draw_layers, lined, put_text, ready_font
from flatten.findings import Message, message
from flatten.pattern.lettering import one_line
from flatten.pattern.model import Piece
from flatten.sheet.tiles import CAPTION, MARGIN, OVERLAP, Tile, Tiling, row_name, tiled
from flatten.words import say
from flatten.words.english import ENGLISH
from flatten.words.language import Language

_CROSS = 4.0
"""mm. Half the length of a registration cross's arms."""

_FRAME, _SHADE = 0.55, 0.9
"""Greys of frames and crosses, and of the sheet's large name behind the drawing; 0 is black."""


def pdf_bytes(
    pieces: Sequence[Piece],
    title: str,
    *,
    paper: str,
    stopped: bool = False,
    zero: str = "",
    mockup: Mockup | None = None,
    how: Sequence[Message] = (),
    caution: Message = CAUTION,
    language: Language = ENGLISH,
) -> bytes:
    """The pieces as PDF at true size on `paper` ("A4" or "Letter"), each on sheets of its own after one cover.

    Where they are `stopped`, cover and sheets say that they are not to be cut as they are; a try-on in paper is fine.
    The cover tells what heights count from (`zero`). Sheets of a `mockup` say of what it is in place of that warning.
    `how` is what is done with the sheets in place of a pattern's, and `caution` what is to be heeded.
    Same pieces, same bytes: no date is written. Raises PaperError where the paper is not known.
    """
    ready_font()
    tilings = [tiled(piece, paper) for piece in pieces]
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
        tilings,
        title,
        paper,
        language,
        warning=warning,
        zero=zero,
        mockup=mockup,
        how=how,
        caution=caution,
    )
    for tiling in tilings:
        for tile in tiling.tiles:
            _draw_sheet(canvas, tiling, tile, language, warning)
    canvas.save()
    return out.getvalue()


def _draw_sheet(canvas: Canvas, tiling: Tiling, tile: Tile, language: Language, warning: str) -> None:
    """One page: the piece's part within the tile's window, frame, joining lines, crosses and caption, and a warning."""
    width, height = tiling.window
    canvas.setPageSize((tiling.page[0] * MM, tiling.page[1] * MM))
    canvas.saveState()
    canvas.scale(MM, MM)
    left, bottom = MARGIN, MARGIN + CAPTION
    canvas.setFillGray(_SHADE)
    middle = left + 0.5 * width, bottom + 0.5 * height
    put_text(canvas, middle[0], middle[1], 30.0, tile.name, anchor="middle")
    side = say.text(message("sheet.side", side=tiling.piece.side), language)
    put_text(canvas, middle[0], middle[1] - 16.0, 9.0, side, anchor="middle")
    put_text(canvas, middle[0], middle[1] - 25.0, 4.5, tiling.piece.name, anchor="middle")
    canvas.setFillColorRGB(*WARNING)
    put_text(canvas, middle[0], bottom + height - 14.0, 8.0, warning, anchor="middle", most=width - 20.0)
    canvas.saveState()
    window = canvas.beginPath()
    window.rect(left, bottom, width, height)
    canvas.clipPath(window, stroke=0, fill=0)
    canvas.translate(left - tile.x, bottom - tile.y)
    draw_layers(canvas, layers_of(tiling.piece))
    canvas.restoreState()
    canvas.setStrokeGray(_FRAME)
    canvas.setLineWidth(0.2)
    canvas.rect(left, bottom, width, height)
    _draw_joins(canvas, tiling, tile, left, bottom)
    _write_caption(canvas, tiling, tile, language)
    canvas.restoreState()
    canvas.showPage()


def _draw_joins(canvas: Canvas, tiling: Tiling, tile: Tile, left: float, bottom: float) -> None:
    """Dashed lines where neighbours' trimmed edges come to lie, and crosses on both sheets' common lines.

    The sheet on the left and the sheet above lie on top, trimmed along their frames.
    """
    width, height = tiling.window
    there = {(other.row, other.column) for other in tiling.tiles}
    upright = [(left + width, (tile.row, tile.column + 1)), (left + OVERLAP, (tile.row, tile.column - 1))]
    level = [(bottom, (tile.row + 1, tile.column)), (bottom + height - OVERLAP, (tile.row - 1, tile.column))]
    dashes = [3.0, 2.0]
    for x, neighbour in upright:
        if neighbour in there:
            if neighbour[1] < tile.column:
                lined(canvas, x, bottom, x, bottom + height, dashes)
            for share in (0.2, 0.8):
                _cross(canvas, x, bottom + share * height)
    for y, neighbour in level:
        if neighbour in there:
            if neighbour[0] < tile.row:
                lined(canvas, left, y, left + width, y, dashes)
            for share in (0.2, 0.8):
                _cross(canvas, left + share * width, y)


def _cross(canvas: Canvas, x: float, y: float) -> None:
    """A registration cross with a small ring, so that half of it still shows its middle."""
    lined(canvas, x - _CROSS, y, x + _CROSS, y)
    lined(canvas, x, y - _CROSS, x, y + _CROSS)
    canvas.circle(x, y, 0.5 * _CROSS, stroke=1, fill=0)


def _write_caption(canvas: Canvas, tiling: Tiling, tile: Tile, language: Language) -> None:
    """The sheet's name, its row and column, and the word on true size, under the window."""
    canvas.setFillGray(0.2)
    where = message(
        "sheet.place",
        row=row_name(tile.row),
        last_row=row_name(tiling.rows - 1),
        column=tile.column + 1,
        columns=tiling.columns,
        piece=message("sheet.piece", piece=tiling.piece.name, side=tiling.piece.side),
    )
    put_text(canvas, MARGIN, MARGIN + 2.5, 4.0, tile.name)
    put_text(canvas, MARGIN + 14.0, MARGIN + 2.5, 2.6, say.text(where, language), most=90.0)
    true_size = say.text(message("sheet.true size"), language)
    put_text(canvas, tiling.page[0] - MARGIN, MARGIN + 2.5, 2.6, true_size, anchor="end")
