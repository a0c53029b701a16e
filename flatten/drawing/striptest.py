"""The sheet of the strip test: both strips at true size, what is done with them, and a table for what is read."""

from __future__ import annotations

import io
from itertools import pairwise

import shapely
from reportlab.pdfgen.canvas import Canvas

from flatten.drawing.hatch import stroke_hatch
from flatten.drawing.ink import MM, broken, lined, put_text, ready_font
from flatten.findings import message
from flatten.leather.strips import DIRECTIONS
from flatten.sheet.paper import paper_size
from flatten.words import say
from flatten.words.english import ENGLISH
from flatten.words.language import Language

WIDTH, LENGTH, CLAMPED, GAUGE = 20.0, 200.0, 45.0, 100.0
"""mm. A strip's width and length, what a clamp holds at each end, and the distance of the two lines that are read: on
100 mm a stretch in per cent is the growth in mm. The lines stay 5 mm off the clamps, near which leather necks."""

STRIPS = 3
"""Strips each way: two could be both out of the ordinary."""

READINGS = (
    message("strip sheet.L0"),
    message("strip sheet.L1"),
    message("strip sheet.L2"),
    message("strip sheet.L3"),
    message("strip sheet.L4"),
)
"""What is read of a strip, as its file calls it, and when."""

MARGIN = 14.0
"""mm. The sheet's own margin: every home printer prints up to here."""

_TEXT, _LINE = 2.3, 3.9
"""mm. Height of capitals, and from line to line."""

_ROW = 8.0
"""mm from row to row of the table: a hand writes on 8 mm."""

_STEPS = (
    message("strip sheet.cut"),
    message("strip sheet.lines"),
    message("strip sheet.dry"),
    message("strip sheet.wet"),
    message("strip sheet.dried"),
    message("strip sheet.unloaded"),
)
"""What is done, in its order."""

_BLANKS = (
    message("strip sheet.load"),
    message("strip sheet.width"),
    message("strip sheet.thickness"),
    message("strip sheet.hide"),
)
"""What is written down of all strips."""


def strip_test_sheet(*, paper: str, language: Language = ENGLISH) -> bytes:
    """The sheet as a PDF of one upright page of `paper`; the same bytes each time.

    Raises PaperError where the paper is not known.
    """
    ready_font()
    width, height = paper_size(paper)
    out = io.BytesIO()
    canvas = Canvas(out, invariant=1, pageCompression=1)
    title = say.text(message("strip sheet.title"), language)
    canvas.setTitle(title)
    canvas.setCreator("Calfskin")
    canvas.setAuthor("")
    canvas.setViewerPreference("PrintScaling", "None")
    canvas.setPageSize((width * MM, height * MM))
    canvas.scale(MM, MM)
    canvas.setFillGray(0.1)
    top = height - MARGIN - 5.0
    put_text(canvas, MARGIN, top, 5.0, title, most=width - 2.0 * MARGIN)
    true = say.text(message("strip sheet.true size", length=GAUGE), language)
    put_text(canvas, MARGIN, top - 8.0, _TEXT, true, most=width - 2.0 * MARGIN)
    low = top - 22.0 - LENGTH
    for number, direction in enumerate(DIRECTIONS):
        _draw_strip(canvas, MARGIN + number * (WIDTH + 12.0), low, direction, language)
    left = MARGIN + 2.0 * (WIDTH + 12.0)
    y = _write_steps(canvas, left, top - 18.0, width - MARGIN - left, language)
    _draw_table(canvas, left, y - 4.0, width - MARGIN - left, language)
    canvas.showPage()
    canvas.save()
    return out.getvalue()


def _draw_strip(canvas: Canvas, x: float, y: float, direction: str, language: Language) -> None:
    """A strip upright with its lower left corner at (x, y): its outline, what the clamps hold, and its two lines."""
    canvas.saveState()
    canvas.translate(x, y)
    for low in (0.0, LENGTH - CLAMPED):
        stroke_hatch(canvas, shapely.box(0.0, low, WIDTH, low + CLAMPED))
    canvas.setStrokeGray(0.0)
    canvas.setLineWidth(0.35)
    canvas.rect(0.0, 0.0, WIDTH, LENGTH)
    canvas.setLineWidth(0.2)
    for edge in (CLAMPED, LENGTH - CLAMPED):
        lined(canvas, 0.0, edge, WIDTH, edge, (2.0, 1.2))
    first = 0.5 * (LENGTH - GAUGE)
    for line in (first, first + GAUGE):
        lined(canvas, -3.0, line, WIDTH + 3.0, line)
    called = say.text(message("strip sheet.strip", direction=direction, count=STRIPS), language)
    put_text(canvas, 0.5 * WIDTH, LENGTH + 3.0, _TEXT, called, anchor="middle", most=WIDTH + 11.0)
    canvas.rotate(90.0)
    clamp = say.text(message("strip sheet.clamp", length=CLAMPED), language)
    for middle in (0.5 * CLAMPED, LENGTH - 0.5 * CLAMPED):
        canvas.setFillGray(1.0)
        canvas.rect(middle - 19.0, -0.5 * WIDTH - 2.5, 38.0, 5.0, stroke=0, fill=1)
        canvas.setFillGray(0.1)
        put_text(canvas, middle, -0.5 * WIDTH - 1.2, _TEXT, clamp, anchor="middle", most=36.0)
    told = say.text(message("strip sheet.gauge", length=GAUGE), language)
    put_text(canvas, 0.5 * LENGTH, -0.5 * WIDTH - 1.2, _TEXT, told, anchor="middle", most=GAUGE - 24.0)
    canvas.restoreState()


def _write_steps(canvas: Canvas, x: float, y: float, width: float, language: Language) -> float:
    """What is done, by number, and what to beware of, from (x, y) downwards; how far down it goes."""
    for number, step in enumerate(_STEPS, 1):
        put_text(canvas, x, y, _TEXT, str(number))
        for line in broken(say.text(step, language), _TEXT, width - 6.0):
            put_text(canvas, x + 6.0, y, _TEXT, line)
            y -= _LINE
        y -= 1.6
    y -= 3.0
    rows = broken(say.text(message("strip sheet.caution"), language), _TEXT, width - 6.0)
    canvas.setStrokeGray(0.0)
    canvas.setLineWidth(0.5)
    tall = len(rows) * _LINE + 3.0
    canvas.rect(x, y + _LINE - tall + 1.0, width, tall)
    for line in rows:
        put_text(canvas, x + 3.0, y - 0.8, _TEXT, line)
        y -= _LINE
    return y - 5.0


def _draw_table(canvas: Canvas, x: float, y: float, width: float, language: Language) -> None:
    """Lines for load, width and thickness, and the table of readings, a row for each strip, from (x, y) downwards."""
    canvas.setStrokeGray(0.3)
    canvas.setLineWidth(0.2)
    cell = width / 4.0
    for k, blank in enumerate(_BLANKS):
        put_text(canvas, x + k * cell, y, 2.0, say.text(blank, language), most=cell - 4.0)
        canvas.line(x + k * cell, y - _ROW, x + (k + 1) * cell - 4.0, y - _ROW)
    y -= _ROW + 8.0
    heads = (message("strip sheet.direction"), *READINGS)
    first = 24.0
    edges = [x, *(x + first + k * (width - first) / len(READINGS) for k in range(len(READINGS) + 1))]
    rows = 1 + STRIPS * len(DIRECTIONS)
    for head, (left, right) in zip(heads, pairwise(edges), strict=True):
        name, *below = say.text(head, language).splitlines()
        put_text(canvas, left + 1.5, y - 3.4, 2.3, name, most=right - left - 2.5)
        for line in below:
            put_text(canvas, left + 1.5, y - 6.8, 1.7, line, most=right - left - 2.5)
    for row, direction in enumerate(direction for direction in DIRECTIONS for _ in range(STRIPS)):
        put_text(canvas, x + 1.5, y - (row + 2) * _ROW + 2.6, 2.3, direction)
    for row in range(rows + 1):
        canvas.line(x, y - row * _ROW, x + width, y - row * _ROW)
    for edge in edges:
        canvas.line(edge, y, edge, y - rows * _ROW)
    y -= rows * _ROW + 6.0
    for line in broken(say.text(message("strip sheet.file"), language), _TEXT, width):
        put_text(canvas, x, y, _TEXT, line)
        y -= _LINE
