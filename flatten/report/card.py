"""The card for measuring somebody who is far away: one page to print or send, with where the tape goes."""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from reportlab.lib.colors import Color, HexColor
from reportlab.lib.pagesizes import A4, LETTER
from reportlab.lib.units import mm
from reportlab.pdfbase.pdfmetrics import stringWidth
from reportlab.pdfgen.canvas import Canvas
from scipy.interpolate import CubicSpline

from flatten.mesh.surface import Floats

PAPERS = {"A4": A4, "Letter": LETTER}

INK, SOFT, SKIN, ACCENT, LINE = (
    HexColor(code) for code in ("#2b2520", "#6d6156", "#ece3d6", "#8a5423", "#d9cdb9")
)  # fmt: skip
BODY, BOLD, ITALIC = "Times-Roman", "Times-Bold", "Times-Italic"

MARGIN = 16.0
"""mm. Every home printer prints up to here."""

LEG = (
    ((-14, -3), (-17, -9), (-13, -15), (14, -15), (40, -15), (52, -12), (50, -6), (34, 0), (20, 7), (15, 18)),
    ((14, 34), (14, 60), (16, 90), (19, 118), (21, 140)),
    ((-19, 140), (-17, 122), (-20, 104), (-23, 84), (-17, 56), (-9, 32), (-9, 12)),
)
"""An invented left leg seen from its outside, mm on the page: foot, shin, back; the toes to the right."""

ARM = (
    ((0, 0), (24, 3), (50, 8), (74, 12), (92, 12)),
    ((92, -12), (72, -13), (48, -10), (24, -7), (0, -6)),
    ((-12, -9), (-30, -8), (-44, -5), (-46, 0), (-32, 3), (-22, 4), (-25, 14), (-21, 20), (-14, 14), (-8, 4)),
)
"""An invented forearm with the thumb up, seen from the palm's side; the hand to the left."""


@dataclass(frozen=True)
class _Tape:
    """Where the tape goes in a drawing: its middle, half its length, and how it lies."""

    x: float
    y: float
    half: float
    upright: bool
    number: str


LEG_TAPES = (
    _Tape(-2.0, 88.0, 20.0, False, "1"),
    _Tape(2.5, 26.0, 13.5, False, "2"),
    _Tape(0.5, 119.0, 20.5, False, "3"),
)
ARM_TAPES = (_Tape(62.0, -0.5, 13.5, True, "4"), _Tape(4.0, -3.0, 6.5, True, "5"))

ASKED = (
    ("1", "Widest calf", "where the calf is thickest"),
    ("2", "Ankle", "where the leg is thinnest, a hand above the ankle bones"),
    ("3", "Below the knee", "right under the kneecap"),
    ("4", "Widest forearm", "a hand below the crease of the elbow"),
    ("5", "Wrist", "where it is thinnest, above the bone on the little finger’s side"),
)

STEPS = (
    (
        "Get ready",
        "Bare skin, or the thin sock that will be worn; say which. Not right after sport or a long day on your feet: "
        "a calf swells by several millimetres. Somebody else holds the tape and the phone.",
    ),
    (
        "The tape",
        "Stand with both feet loaded alike, knees straight but not locked. For the arm let it hang, then lift the "
        "forearm level, the hand open, the thumb up. Lay the tape square to the limb, flat on the skin, touching all "
        "round and pressing nowhere. Read to the millimetre. Do it twice; if the two differ by more than 4 mm, do it "
        "a third time.",
    ),
    (
        "The scan",
        "The same stance; do not move. The helper walks round the limb with the phone, at arm’s length, once level, "
        "once higher, once lower: the back too, and the whole foot or the open hand, by which the front is found. "
        "Good even light, no dark stockings, nothing shiny. Leave a plain floor; nobody else in the picture.",
    ),
    (
        "Send",
        "The scan as the phone saves it (OBJ, PLY, STL, GLB, USDZ or a ZIP of one) and this card filled in, with "
        "whether it was the left or the right limb. It is a picture of a body: send it only to whom you trust.",
    ),
)


def measuring_card(*, paper: str) -> bytes:
    """The card as a PDF of one page, "A4" or "Letter"; the same bytes each time."""
    width, height = PAPERS[paper]
    stream = io.BytesIO()
    canvas = Canvas(stream, pagesize=(width, height), invariant=1)
    canvas.setTitle("How to measure a limb for leather armour")
    wide, top = width / mm - 2 * MARGIN, height / mm - MARGIN
    canvas.scale(mm, mm)
    canvas.translate(MARGIN, 0)
    _text(canvas, "Measured for leather", 0, top - 8, size=9.5, font=BODY)
    _text(canvas, "For the bench: five girths and a scan", 0, top - 14, size=4, font=ITALIC, colour=SOFT)
    column = 0.56 * wide
    y = top - 25
    for number, (head, body) in enumerate(STEPS, 1):
        _text(canvas, f"{number}  {head}", 0, y, size=5.2, font=BOLD, colour=ACCENT)
        y = _paragraph(canvas, body, 0, y - 6.2, column - 6, size=4.05) - 5.0
    _drawings(canvas, column, wide - column, top - 20)
    _answers(canvas, wide, y - 1.0)
    canvas.showPage()
    canvas.save()
    return stream.getvalue()


def _drawings(canvas: Canvas, x: float, room: float, top: float) -> None:
    scale = min(0.62, room / 128)
    canvas.saveState()
    canvas.translate(x + 0.42 * room, top - 150 * scale)
    canvas.scale(scale, scale)
    _limb(canvas, LEG)
    for tape in LEG_TAPES:
        _tape(canvas, tape)
    canvas.restoreState()
    canvas.saveState()
    canvas.translate(x + 0.34 * room, top - 212 * scale)
    canvas.scale(0.88 * scale, 0.88 * scale)
    _limb(canvas, ARM)
    for tape in ARM_TAPES:
        _tape(canvas, tape)
    canvas.restoreState()
    _text(canvas, "both feet loaded alike", x + 0.30 * room, top - 176 * scale, size=3.6, font=ITALIC, colour=SOFT)
    _text(canvas, "forearm level, thumb up", x + 0.30 * room, top - 240 * scale, size=3.6, font=ITALIC, colour=SOFT)


def _answers(canvas: Canvas, wide: float, y: float) -> None:
    canvas.setStrokeColor(LINE)
    canvas.setLineWidth(0.3)
    canvas.line(0, y, wide, y)
    y -= 8.5
    for number, name, where in ASKED:
        _text(canvas, number, 0, y, size=5, font=BOLD, colour=ACCENT)
        _text(canvas, name, 6, y, size=4.6, font=BOLD)
        _text(canvas, where, 40, y, size=3.7, font=ITALIC, colour=SOFT)
        canvas.setStrokeColor(SOFT)
        canvas.line(wide - 40, y - 1, wide - 10, y - 1)
        _text(canvas, "mm", wide - 8, y, size=4, colour=SOFT)
        y -= 9.2
    for label, start, end in (("Whose limb", 0, 70), ("left or right", 76, 120), ("over skin, or over", 126, wide)):
        _text(canvas, label, start, y, size=4, colour=SOFT)
        canvas.line(start + _width(label, BODY, 4) + 2, y - 1, end, y - 1)


def _limb(canvas: Canvas, parts: Sequence[Sequence[tuple[float, float]]]) -> None:
    outline = smooth_outline(np.array([point for part in parts for point in part], float))
    path = canvas.beginPath()
    path.moveTo(*outline[0])
    for point in outline[1:]:
        path.lineTo(*point)
    path.close()
    canvas.setFillColor(SKIN)
    canvas.setStrokeColor(INK)
    canvas.setLineWidth(0.6)
    canvas.drawPath(path, fill=1, stroke=1)


def smooth_outline(points: Floats) -> Floats:
    """A closed curve (n,2) through points (k,2): a periodic cubic spline over the chord length."""
    closed = np.concatenate([points, points[:1]])
    along = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(closed, axis=0), axis=1) ** 0.5)])
    return np.asarray(CubicSpline(along, closed, bc_type="periodic")(np.linspace(0, along[-1], 240)))


def _tape(canvas: Canvas, tape: _Tape) -> None:
    canvas.setStrokeColor(ACCENT)
    canvas.setLineWidth(2.2)
    if tape.upright:
        canvas.line(tape.x, tape.y - tape.half, tape.x, tape.y + tape.half)
        place = (tape.x - 1.5, tape.y + tape.half + 3.5)
    else:
        canvas.line(tape.x - tape.half, tape.y, tape.x + tape.half, tape.y)
        place = (tape.x + tape.half + 3.5, tape.y - 2.5)
    _text(canvas, tape.number, *place, size=8, font=BOLD, colour=ACCENT)


def _paragraph(canvas: Canvas, text: str, x: float, y: float, width: float, *, size: float) -> float:
    """Write a paragraph broken to `width`; the height below its last line."""
    row = ""
    for word in text.split():
        longer = f"{row} {word}".strip()
        if _width(longer, BODY, size) > width:
            _text(canvas, row, x, y, size=size)
            row, y = word, y - 1.32 * size
        else:
            row = longer
    _text(canvas, row, x, y, size=size)
    return y - 1.32 * size


def _width(text: str, font: str, size: float) -> float:
    return float(stringWidth(text, font, size))


def _text(canvas: Canvas, text: str, x: float, y: float, *, size: float, font: str = BODY, colour: Color = INK) -> None:
    canvas.setFillColor(colour)
    canvas.setFont(font, size)
    canvas.drawString(x, y, text)
