"""A drawing as the bytes of an SVG file at true size."""

from __future__ import annotations

from xml.sax.saxutils import escape

import numpy as np

from flatten.drawing.compose import extent
from flatten.drawing.dashes import dashes_of
from flatten.drawing.model import LAYERS, ON_SCREEN, Drawing
from flatten.findings import message
from flatten.pattern.lettering import one_line
from flatten.pattern.model import Label, Path
from flatten.pattern.path import spans
from flatten.words import say
from flatten.words.english import ENGLISH
from flatten.words.language import Language

MARGIN = 10.0
"""mm. White round the drawing."""

CAPITAL = 0.72
"""Height of a capital over the font size, for Helvetica and Arial (718 and 716 thousandths; from memory)."""

_ENDS = {"CUT": ' stroke-linejoin="round"', "STITCH": ' stroke-linecap="round"', "FOLD": ' stroke-linecap="round"'}
"""How lines of a layer meet or end, where not as a renderer does it by itself: a dot is a dash of no length."""


def svg_bytes(drawing: Drawing, language: Language = ENGLISH) -> bytes:
    """The drawing as SVG in mm: width and height in mm, one user unit 1 mm, a group with an id and a title per layer.

    Arcs are arc commands; y points down here and only here. The white ground is a style and no rectangle, which a
    machine would take for a cut or an area to engrave.
    """
    x0, y0, x1, y1 = extent(drawing)
    left, top = x0 - MARGIN, y1 + MARGIN
    width, height = x1 - x0 + 2.0 * MARGIN, y1 - y0 + 2.0 * MARGIN
    size = f'width="{_number(width)}mm" height="{_number(height)}mm" viewBox="0 0 {_number(width)} {_number(height)}"'
    out = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        f'<svg xmlns="http://www.w3.org/2000/svg" version="1.1" {size} style="background:#ffffff">',
    ]
    out.append(f"<title>{escape(one_line(drawing.title))}</title>")
    for layer in drawing.layers:
        out.append(f'<g id="{layer.name.lower()}" {_style(layer.name)}>')
        out.append(f"<title>{escape(say.text(message('drawing.layer', layer=layer.name), language))}</title>")
        out += [f'<path d="{_path_data(path, left, top)}"{_stroke(path, layer.name)}/>' for path in layer.paths]
        out += [
            f'<circle cx="{_number(c.x - left)}" cy="{_number(top - c.y)}" r="{_number(0.5 * c.diameter)}"/>'
            for c in layer.circles
        ]
        out += [_text(label, left, top) for label in layer.labels]
        out.append("</g>")
    out.append("</svg>\n")
    return "\n".join(out).encode("utf-8")


def _style(name: str) -> str:
    """The attributes of a layer's group."""
    look = LAYERS[name]
    colour = ON_SCREEN[look.number]
    if name == "TEXT":
        return f'fill="{colour}" font-family="Helvetica, Arial, sans-serif"'
    return f'fill="none" stroke="{colour}" stroke-width="{_number(look.width)}"{_ENDS.get(name, "")}'


def _stroke(path: Path, name: str) -> str:
    """The attributes of a path that its layer's group does not give it: its own dashes, a line among the texts."""
    look = LAYERS[name]
    colour = ON_SCREEN[look.number]
    line = f' fill="none" stroke="{colour}" stroke-width="{_number(look.width)}"' if name == "TEXT" else ""
    dashes = " ".join(map(_number, dashes_of(path, look)))
    return f'{line} stroke-dasharray="{dashes}"' if dashes else line


def _path_data(path: Path, left: float, top: float) -> str:
    """The d attribute of a path: M, L and A commands, closed by Z."""
    start, end, bulge = spans(path)
    data = [f"M{_number(path.points[0, 0] - left)} {_number(top - path.points[0, 1])}"]
    chord, arc = np.hypot(*(end - start).T), bulge != 0.0
    radii = np.divide(chord * (1.0 + bulge**2), 4.0 * np.abs(bulge), out=np.zeros_like(chord), where=arc)
    x, y = (end[:, 0] - left).tolist(), (top - end[:, 1]).tolist()
    for i, (ahead, down, t, radius) in enumerate(zip(x, y, bulge.tolist(), radii.tolist(), strict=True)):
        to = f"{_number(ahead)} {_number(down)}"
        if t != 0.0:
            # Counter-clockwise stays so on the page, and the page's positive sweep is clockwise.
            large, sweep, size = int(abs(t) > 1.0), int(t < 0.0), _number(radius)
            data.append(f"A{size} {size} 0 {large} {sweep} {to}")
        elif not (path.closed and i == len(start) - 1):
            data.append(f"L{to}")
    return " ".join([*data, "Z"] if path.closed else data)


def _text(label: Label, left: float, top: float) -> str:
    """A text element, turned about its start."""
    x, y = _number(label.x - left), _number(top - label.y)
    size = _number(label.height / CAPITAL)
    turn = f' transform="rotate({_number(-np.degrees(label.angle))} {x} {y})"' if label.angle else ""
    return f'<text x="{x}" y="{y}" font-size="{size}"{turn}>{escape(one_line(label.text))}</text>'


def _number(value: float) -> str:
    """A number to a ten-thousandth, without needless zeros."""
    text = f"{value:.4f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text
