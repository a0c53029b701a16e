"""Layers, lines and texts put on a PDF canvas whose unit is 1 mm."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path as File

import numpy as np
from reportlab import rl_config
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas

from flatten.drawing.dashes import dashes_of
from flatten.drawing.model import LAYERS, Layer
from flatten.mesh.surface import Flags, Floats
from flatten.pattern.lettering import one_line
from flatten.pattern.model import Path
from flatten.pattern.path import spans

MM = 72.0 / 25.4
"""Points in a millimetre."""

FONT = "DejaVuSans"
"""An open font that is embedded, so that names in most alphabets print; it comes with matplotlib."""

CAPITAL = 0.729
"""Height of a capital of FONT over its size (1493 of 2048 units)."""

WARNING = (0.78, 0.12, 0.12)
"""Red, green and blue of a warning on paper: dark enough to be read where a printer has only black."""

CENTRE, DOTTED_FROM = 0.6, 2.0
"""mm. Diameter of the dot in the middle of a hole, where a punch is set or an awl pricks, and of the smallest hole
that has one. A dot, as a cross in a ring says that the hole comes later."""

_ARC = np.pi / 6.0
"""rad. An arc is drawn in cubic parts of at most this: they leave it by less than 1e-7 of its radius."""


# Streams as bytes and not as letters: a fifth smaller, and letters take longer than all the rest of a page.
rl_config.useA85 = 0


def ready_font() -> None:
    """Makes FONT known to the PDF library, once."""
    if FONT not in pdfmetrics.getRegisteredFontNames():
        import matplotlib  # here, so that only who draws waits for it

        file = File(matplotlib.get_data_path()) / "fonts" / "ttf" / f"{FONT}.ttf"
        pdfmetrics.registerFont(TTFont(FONT, str(file)))


def draw_layers(canvas: Canvas, layers: Sequence[Layer]) -> None:
    """Paths, circles and labels of each layer in its colour, width and dashes."""
    for layer in layers:
        look = LAYERS[layer.name]
        colour = colour_shares(look.colour)
        canvas.setStrokeColorRGB(*colour)
        canvas.setFillColorRGB(*colour)
        canvas.setLineWidth(look.width)
        canvas.setLineJoin(1)
        # Round ends make dots of dashes that have no length.
        canvas.setLineCap(1 if 0.0 in look.dashes else 0)
        for path in layer.paths:
            canvas.setDash(list(dashes_of(path, look)))
            draw_path(canvas, path)
        canvas.setDash([])
        canvas.setLineCap(0)
        for circle in layer.circles:
            canvas.circle(circle.x, circle.y, 0.5 * circle.diameter, stroke=1, fill=0)
            if layer.name != "MARK" and circle.diameter >= DOTTED_FROM:
                canvas.circle(circle.x, circle.y, 0.5 * CENTRE, stroke=0, fill=1)
        for label in layer.labels:
            canvas.saveState()
            canvas.translate(label.x, label.y)
            canvas.rotate(float(np.degrees(label.angle)))
            put_text(canvas, 0.0, 0.0, label.height, label.text)
            canvas.restoreState()


def colour_shares(colour: str) -> tuple[float, float, float]:
    """Red, green and blue of "#rrggbb" from 0 to 1, to the hundredth that a printer can tell apart."""
    red, green, blue = (round(value / 255, 2) for value in bytes.fromhex(colour[1:]))
    return red, green, blue


def draw_path(canvas: Canvas, path: Path) -> None:
    """Strokes a path: lines as lines, arcs as cubic curves.

    The page's operators are written here for all spans at once: the library's own path takes each number by itself.
    """
    x, y = path.points[0].tolist()
    steps, straight = _cubics(path)
    rows = [
        f"{row[4]:.4f} {row[5]:.4f} l" if line else "{:.4f} {:.4f} {:.4f} {:.4f} {:.4f} {:.4f} c".format(*row)
        for row, line in zip(steps.tolist(), straight.tolist(), strict=True)
    ]
    canvas._code.append(" ".join([f"n {x:.4f} {y:.4f} m", *rows, *(["h"] if path.closed else []), "S"]))


def _cubics(path: Path) -> tuple[Floats, Flags]:
    """Control points (n,6) of cubic curves along a path's spans in turn, and which of them are lines.

    Each part of an arc turns by at most _ARC; its handles are 4/3·tan(angle/4)·radius long. A part of an arc is a chord
    turned by half the part's angle.
    """
    start, end, bulge = spans(path)
    chord = end - start
    turn, size = 4.0 * np.arctan(bulge), np.hypot(*chord.T)
    counts = np.maximum(np.ceil(np.abs(turn) / _ARC), 1).astype(int)
    own = np.repeat(np.arange(len(start)), counts)
    at = np.arange(len(own)) - (np.cumsum(counts) - counts)[own]
    part, half = (turn / counts)[own], 0.5 * turn[own]
    leaving = (np.arctan2(chord[:, 1], chord[:, 0]) - 0.5 * turn)[own]
    share = (at + 1) / counts[own]
    reach = size[own] * share * np.sinc(half * share / np.pi) / np.sinc(half / np.pi)
    ahead = leaving + half * share
    points = start[own] + reach[:, None] * np.stack([np.cos(ahead), np.sin(ahead)], axis=1)
    points[np.cumsum(counts) - 1] = end
    before = np.concatenate([start[:1], points[:-1]])
    first, last = leaving + part * at, leaving + part * (at + 1)
    straight = turn[own] == 0.0
    radius = np.divide(size[own], 2.0 * np.sin(half), out=np.zeros_like(half), where=~straight)
    handle = (4.0 / 3.0 * np.tan(0.25 * part) * radius)[:, None]
    near = before + handle * np.stack([np.cos(first), np.sin(first)], axis=1)
    far = points - handle * np.stack([np.cos(last), np.sin(last)], axis=1)
    return np.concatenate([near, far, points], axis=1), straight


def lined(canvas: Canvas, x0: float, y0: float, x1: float, y1: float, dashes: Sequence[float] = ()) -> None:
    """A straight line in the current colour and width."""
    canvas.setDash(list(dashes))
    canvas.line(x0, y0, x1, y1)
    canvas.setDash([])


def text_size(text: str, height: float) -> float:
    """Width of a line of text with capitals `height` mm tall, mm."""
    return float(pdfmetrics.stringWidth(one_line(text), FONT, height / CAPITAL))


def put_text(
    canvas: Canvas, x: float, y: float, height: float, text: str, *, anchor: str = "start", most: float | None = None
) -> None:
    """One line of text with capitals `height` mm tall; `anchor` is start, middle or end; narrowed to `most` mm."""
    text = one_line(text)
    size = height / CAPITAL
    width = pdfmetrics.stringWidth(text, FONT, size)
    if most is not None and width > most:
        size *= most / width
        width = most
    canvas.setFont(FONT, size)
    canvas.drawString(x - {"start": 0.0, "middle": 0.5, "end": 1.0}[anchor] * width, y, text)


def broken(text: str, height: float, most: float) -> list[str]:
    """The text in lines of at most `most` mm where its capitals are `height` mm tall; a longer word has its own."""
    rows: list[str] = []
    for word in one_line(text).split():
        longer = f"{rows[-1]} {word}" if rows else word
        if rows and pdfmetrics.stringWidth(longer, FONT, height / CAPITAL) <= most:
            rows[-1] = longer
        else:
            rows.append(word)
    return rows
