"""Where a sheet's large name and its warning hide least of what is read on its pieces."""

from __future__ import annotations

import numpy as np
import shapely
from reportlab.pdfgen.canvas import Canvas

from flatten.drawing.ink import put_text, text_size
from flatten.pattern.lettering import text_box
from flatten.pattern.path import polyline
from flatten.sheet.tiles import Tile, Tiling

SHADE = 0.9
"""Grey of the name; 0 is black."""

_HEIGHTS = (30.0, 9.0, 4.5)
"""mm. Heights of capitals of the sheet's name, of the side, and of the piece, beneath one another."""

_DOWN = (0.0, 16.0, 25.0)
"""mm that each of them lies below the name's baseline."""

_INSET = 10.0
"""mm that the name keeps from the window's frame, where joints are marked."""

_READ = 20.0
"""How much worse a place on a text is than one on leather where nothing is written."""


_LINE_TOP, _LINE_STEP = 14.0, 4.0
"""mm. The first baseline of a warning below the window's upper edge, and from one that is tried to the next."""

_CLEAR = 2.0
"""mm that a warning keeps from texts, above and below."""


def clear_line(tiling: Tiling, tile: Tile, text: str, height: float) -> float:
    """The baseline (mm above the window's lower edge) of a line of text across the window's middle, with capitals
    `height` mm tall: the highest of those on which it covers least of the pieces' texts."""
    half = 0.5 * min(text_size(text, height), tiling.window[0] - 2.0 * _INSET)
    middle = tile.x + 0.5 * tiling.window[0]
    texts = shapely.union_all([shapely.Polygon(text_box(label)) for piece in tiling.pieces for label in piece.labels])

    def covered(line: float) -> float:
        y = tile.y + line
        return shapely.area(
            shapely.intersection(texts, shapely.box(middle - half, y - _CLEAR, middle + half, y + height + _CLEAR))
        )

    lines = np.arange(tiling.window[1] - _LINE_TOP, _INSET, -_LINE_STEP).tolist()
    return float(min(lines, key=lambda line: round(covered(line))))


def draw_behind(canvas: Canvas, tiling: Tiling, tile: Tile, lines: tuple[str, ...]) -> None:
    """The sheet's name, and under it what its pieces have in common (`lines`, empty ones too), in the tile's window
    whose lower left corner is the origin."""
    x, y = behind(tiling, tile, lines)
    canvas.setFillGray(SHADE)
    for line, height, down in zip(lines, _HEIGHTS, _DOWN, strict=True):
        put_text(canvas, x, y - down, height, line, anchor="middle", most=tiling.window[0] - 2.0 * _INSET)


def behind(tiling: Tiling, tile: Tile, lines: tuple[str, ...]) -> tuple[float, float]:
    """The middle of the baseline of the name in the window: at one of nine places, where it hides least."""
    width, height = tiling.window
    half = 0.5 * min(max(map(text_size, lines, _HEIGHTS)), width - 2.0 * _INSET)
    below, above = _DOWN[-1] + 2.0, _HEIGHTS[0]
    across = (0.5 * width, _INSET + half, width - _INSET - half)
    upright = (0.5 * height, height - _INSET - above, _INSET + below)
    places = [(x, y) for x in across for y in upright]
    window = shapely.box(tile.x, tile.y, tile.x + width, tile.y + height)
    shapes = [shapely.Polygon(polyline(piece.outline, 0.5)) for piece in tiling.pieces]
    leather = shapely.intersection(shapely.union_all(shapes), window)
    texts = shapely.union_all([shapely.Polygon(text_box(label)) for piece in tiling.pieces for label in piece.labels])

    def hidden(place: tuple[float, float]) -> float:
        x, y = tile.x + place[0], tile.y + place[1]
        box = shapely.box(x - half, y - below, x + half, y + above)
        both = shapely.area(shapely.intersection(box, leather)), shapely.area(shapely.intersection(box, texts))
        # To a mm², so that the same place is taken on every machine.
        return float(round(both[0] + _READ * both[1]))

    return min(places, key=hidden)
