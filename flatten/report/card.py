"""The card for measuring somebody who is far away: one page to print or send, with where the tape goes."""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from reportlab.lib.colors import Color, HexColor
from reportlab.lib.units import mm
from reportlab.pdfbase.pdfmetrics import stringWidth
from reportlab.pdfgen.canvas import Canvas
from scipy.interpolate import CubicSpline

from flatten.findings import message
from flatten.mesh.surface import Floats
from flatten.report.palette import REPORT
from flatten.sheet.paper import paper_size
from flatten.words import say
from flatten.words.english import ENGLISH
from flatten.words.language import Language

INK, SOFT, SKIN, ACCENT, LINE = (HexColor(REPORT[name].light) for name in ("ink", "soft", "skin", "accent", "line"))
BODY, BOLD, ITALIC = "Times-Roman", "Times-Bold", "Times-Italic"

MARGIN = 16.0
"""mm. Every home printer prints up to here."""

ROW = 7.0
"""mm from one line to fill in to the next: a hand writes on 7 mm."""

LEG = (
    ((-14, -3), (-17, -9), (-13, -15), (14, -15), (40, -15), (52, -12), (50, -6), (34, 0), (20, 7), (15, 18)),
    ((14, 34), (14, 60), (16, 90), (19, 112), (23, 125), (21, 138), (24, 165), (28, 195), (27, 222)),
    ((-34, 222), (-33, 200), (-27, 168), (-20, 140), (-17, 122), (-20, 104), (-23, 84), (-17, 56), (-9, 32), (-9, 12)),
)
"""An invented leg seen from its outside, mm on the page: foot, shin, thigh, back; the toes to the right."""

ARM = (
    ((92, 0), (68, 3), (42, 8), (24, 12), (14, 21), (15, 40), (19, 62), (18, 84), (14, 104)),
    ((-16, 104), (-17, 80), (-14, 52), (-14, 26), (-15, 6), (-11, -9), (4, -14), (20, -13), (44, -10), (68, -7)),
    ((92, -6), (104, -9), (122, -8), (136, -5), (138, 0), (124, 3), (114, 4), (117, 14), (113, 20), (106, 14)),
    ((100, 8),),
)
"""An invented arm seen from its outside, the forearm lifted level with the thumb up; the hand to the right."""


@dataclass(frozen=True)
class _Tape:
    """Where the tape goes in a drawing: its middle, half its length, how it lies, which end has its number, and whether
    heights count from there."""

    x: float
    y: float
    half: float
    upright: bool
    number: str
    end: float = -1.0
    zero: bool = False


LEG_TAPES = (
    _Tape(-2.0, 88.0, 20.5, False, "1"),
    _Tape(2.5, 26.0, 14.5, False, "2", zero=True),
    _Tape(1.0, 113.0, 22.0, False, "3"),
    _Tape(1.0, 141.0, 24.0, False, "4"),
    _Tape(-2.5, 204.0, 34.0, False, "5"),
)
ARM_TAPES = (
    _Tape(34.0, -1.0, 13.5, True, "6"),
    _Tape(86.0, -3.0, 6.5, True, "7", zero=True),
    _Tape(0.5, 68.0, 20.5, False, "8", end=1.0),
)

ASKED = (
    (message("card.calf"), message("card.calf.where")),
    (message("card.ankle"), message("card.ankle.where")),
    (message("card.below knee"), message("card.below knee.where")),
    (message("card.above knee"), message("card.above knee.where")),
    (message("card.thigh"), message("card.thigh.where")),
    (message("card.forearm"), message("card.forearm.where")),
    (message("card.wrist"), message("card.wrist.where")),
    (message("card.upper arm"), message("card.upper arm.where")),
)
"""The girths by number: what each is called, and where the tape goes."""

STEPS = (
    (message("card.ready"), message("card.ready.how")),
    (message("card.tape"), message("card.tape.how")),
    (message("card.scan"), message("card.scan.how")),
    (message("card.send"), message("card.send.how")),
)
"""What to do in order: a word for it, and how."""


def measuring_card(*, paper: str, language: Language = ENGLISH) -> bytes:
    """The card as a PDF of one page, "A4" or "Letter"; the same bytes each time.

    Raises PaperError where the paper is not known.
    """
    width, height = paper_size(paper)
    stream = io.BytesIO()
    canvas = Canvas(stream, pagesize=(width * mm, height * mm), invariant=1)
    canvas.setTitle(say.text(message("card.title"), language))
    wide, top = width - 2 * MARGIN, height - MARGIN
    canvas.scale(mm, mm)
    canvas.translate(MARGIN, 0)
    _text(canvas, say.text(message("card.head"), language), 0, top - 8, size=9.5, font=BODY)
    under = say.text(message("card.for"), language)
    _text(canvas, under, 0, top - 14, size=4, font=ITALIC, colour=SOFT)
    column = 0.58 * wide
    y = top - 25
    for number, (head, body) in enumerate(STEPS, 1):
        _text(canvas, f"{number}  {say.text(head, language)}", 0, y, size=5.2, font=BOLD, colour=ACCENT)
        y = _paragraph(canvas, say.text(body, language), 0, y - 6.2, column - 6, size=3.85) - 4.4
    _drawings(canvas, column, wide - column, top - 20, language)
    _answers(canvas, wide, y - 1.0, language)
    canvas.showPage()
    canvas.save()
    return stream.getvalue()


def _drawings(canvas: Canvas, x: float, room: float, top: float, language: Language) -> None:
    """The leg, and beside its calf the arm of the same person, in a column `room` wide whose upper end is `top`."""
    for parts, tapes, scale, left, down in (
        (LEG, LEG_TAPES, 0.48, 20.5, 108.0),
        (ARM, ARM_TAPES, 0.28, room - 139 * 0.28, 93.0),
    ):
        canvas.saveState()
        canvas.translate(x + left, top - down)
        canvas.scale(scale, scale)
        _limb(canvas, parts)
        for tape in tapes:
            _tape(canvas, tape, size=4.0 / scale)
        canvas.restoreState()
    leg, arm = (say.text(each, language) for each in (message("card.leg"), message("card.arm")))
    _text(canvas, leg, x + 12, top - 121, size=3.6, font=ITALIC, colour=SOFT)
    _text(canvas, arm, x + room - 34, top - 101, size=3.6, font=ITALIC, colour=SOFT)


def _answers(canvas: Canvas, wide: float, y: float, language: Language) -> None:
    canvas.setStrokeColor(LINE)
    canvas.setLineWidth(0.3)
    canvas.line(0, y, wide, y)
    y -= 8.0
    for number, (called, where) in enumerate(ASKED, 1):
        _text(canvas, str(number), 0, y, size=5, font=BOLD, colour=ACCENT)
        _text(canvas, say.text(called, language), 6, y, size=4.6, font=BOLD)
        _text(canvas, say.text(where, language), 46, y, size=3.7, font=ITALIC, colour=SOFT)
        canvas.setStrokeColor(SOFT)
        canvas.line(wide - 40, y - 1, wide - 10, y - 1)
        _text(canvas, "mm", wide - 8, y, size=4, colour=SOFT)
        y -= ROW
    y = _paragraph(canvas, say.text(message("card.zero"), language), 0, y, wide, size=3.7) - 3.5
    lines = ((message("card.whose"), 0, 70), (message("card.side"), 76, 120), (message("card.over"), 126, wide))
    for each, start, end in lines:
        label = say.text(each, language)
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
    """A closed curve (n,2) through points (k,2): a periodic cubic spline over the roots of the chords' lengths."""
    closed = np.concatenate([points, points[:1]])
    along = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(closed, axis=0), axis=1) ** 0.5)])
    return np.asarray(CubicSpline(along, closed, bc_type="periodic")(np.linspace(0, along[-1], 240)))


def _tape(canvas: Canvas, tape: _Tape, *, size: float) -> None:
    canvas.setStrokeColor(ACCENT)
    canvas.setLineWidth(2.2)
    if tape.upright:
        canvas.line(tape.x, tape.y - tape.half, tape.x, tape.y + tape.half)
        place = (tape.x - 1.5, tape.y + tape.half + 3.5)
    else:
        canvas.line(tape.x - tape.half, tape.y, tape.x + tape.half, tape.y)
        away = -0.9 * size if tape.end < 0 else 0.4 * size
        place = (tape.x + tape.end * tape.half + away, tape.y - 0.35 * size)
    _text(canvas, tape.number, *place, size=size, font=BOLD, colour=ACCENT)
    if tape.zero:
        _text(canvas, "0 =", place[0] - 1.5 * size, place[1], size=size)


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
