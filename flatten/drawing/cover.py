"""The cover of the PDF: test square, how to join the sheets, and a small map of them."""

from __future__ import annotations

from collections.abc import Sequence

from reportlab.pdfgen.canvas import Canvas

from flatten.drawing.ink import MM, draw_path, put_text
from flatten.pattern.path import bounds
from flatten.sheet.paper import paper_size
from flatten.sheet.tiles import Tiling

SQUARE = 100.0
"""mm. Side of the test square."""

_EDGE = 15.0
"""mm. The cover's own margin."""

_TEXT = 3.0
"""mm. Height of capitals in the cover's text."""

_HOW = (
    ("1", "Measure the square: both sides must be 100 mm. If not, the printer has scaled the"),
    ("", "page; turn off every “fit” or “shrink” and print again."),
    ("2", "Trim the right and the lower edge of each sheet along its frame where another sheet"),
    ("", "follows there. Leave all other edges."),
    ("3", "Work row by row: lay each sheet on its right-hand neighbour, trimmed edge on the"),
    ("", "dashed line, so that the halves of the crosses meet. Tape."),
    ("4", "Lay each row on the next lower one in the same way. Tape."),
    ("5", "Measure the 100 mm line on the piece. Cut along the red line; punch all holes."),
    ("6", "Try it on in paper before you cut leather. Paper has no thickness, so it sits a little"),
    ("", "loose: by the ease and about three times the leather’s thickness on the girth. And it does"),
    ("", "not stretch: where the report is orange it lies tight."),
)
"""What the cover says; common practice."""

_CAUTION = (
    "For costume; it is not protective equipment. Cut away from yourself, on a board, with a sharp blade.",
    "Never form hot or hot-wet leather on a body: use a former.",
)


def draw_cover(canvas: Canvas, tilings: Sequence[Tiling], title: str, paper: str) -> None:
    """The first page, upright: title, test square, instructions, cautions and a map of every piece's sheets."""
    width, height = paper_size(paper)
    canvas.setPageSize((width * MM, height * MM))
    canvas.saveState()
    canvas.scale(MM, MM)
    canvas.setFillGray(0.1)
    y = height - _EDGE - 5.0
    put_text(canvas, _EDGE, y, 5.0, title, most=width - 2 * _EDGE)
    sheets = sum(len(tiling.tiles) for tiling in tilings)
    y -= 8.0
    counted = f"{sheets} sheet{'s' if sheets != 1 else ''} of {paper} follow{'s' if sheets == 1 else ''} this cover"
    put_text(canvas, _EDGE, y, _TEXT, counted)
    y -= 8.0 + SQUARE
    _draw_square(canvas, _EDGE, y, width)
    y -= 9.0
    put_text(canvas, _EDGE, y, 1.25 * _TEXT, "How to join the sheets")
    y -= 1.0
    for number, line in _HOW:
        y -= 6.2 if number else 4.6
        put_text(canvas, _EDGE, y, 0.85 * _TEXT, number)
        put_text(canvas, _EDGE + 7.0, y, 0.85 * _TEXT, line, most=width - 2 * _EDGE - 7.0)
    y -= 8.0
    for line in _CAUTION:
        put_text(canvas, _EDGE, y, 0.8 * _TEXT, line, most=width - 2 * _EDGE)
        y -= 4.6
    _draw_maps(canvas, tilings, (_EDGE, _EDGE, width - _EDGE, y - 2.0))
    canvas.restoreState()
    canvas.showPage()


def _draw_square(canvas: Canvas, x: float, y: float, page_width: float) -> None:
    """The test square with its lower left corner at (x, y), and what it is for."""
    canvas.setStrokeGray(0.0)
    canvas.setLineWidth(0.3)
    canvas.rect(x, y, SQUARE, SQUARE)
    put_text(canvas, x + 0.5 * SQUARE, y + 3.0, _TEXT, "100 mm", anchor="middle")
    canvas.saveState()
    canvas.translate(x + 3.0 + _TEXT, y + 0.5 * SQUARE)
    canvas.rotate(90.0)
    put_text(canvas, 0.0, 0.0, _TEXT, "100 mm", anchor="middle")
    canvas.restoreState()
    beside, room = x + SQUARE + 8.0, page_width - _EDGE - x - SQUARE - 8.0
    for i, line in enumerate(("Print at 100 %,", "no fit to page")):
        put_text(canvas, beside, y + SQUARE - 8.0 - 9.0 * i, 5.0, line, most=room)
    for i, line in enumerate(("Measure this square with a ruler", "before you cut anything.")):
        put_text(canvas, beside, y + SQUARE - 30.0 - 6.0 * i, _TEXT, line, most=room)


def _draw_maps(canvas: Canvas, tilings: Sequence[Tiling], box: tuple[float, float, float, float]) -> None:
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
        piece = tiling.piece
        put_text(canvas, left, y1 - tall - 5.0, 0.8 * _TEXT, f"{piece.name}, {piece.side.upper()}", most=cell - 6.0)
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
        draw_path(canvas, piece.outline)
        canvas.restoreState()


def _grid(tiling: Tiling) -> tuple[float, float, float, float]:
    """Box of a piece and all its sheets' windows, mm."""
    x0, y0, x1, y1 = bounds(tiling.piece.outline)
    for tile in tiling.tiles:
        x0, y0 = min(x0, tile.x), min(y0, tile.y)
        x1, y1 = max(x1, tile.x + tiling.window[0]), max(y1, tile.y + tiling.window[1])
    return x0, y0, x1, y1
