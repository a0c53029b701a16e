"""What lies beneath a piece's lines on a printed sheet: the hatch of where leather is not to be tooled."""

from __future__ import annotations

import numpy as np
import shapely
from reportlab.pdfgen.canvas import Canvas

from flatten.mesh.surface import Floats
from flatten.pattern.lettering import text_box
from flatten.pattern.model import Piece
from flatten.pattern.rims import spine
from flatten.pattern.zones import ground_of

APART = 4.0
"""mm. Between two lines of the hatch: so wide that what is drawn on it is read, so near that a small zone shows it."""

WIDTH, GREY = 0.15, 0.68
"""Width of a hatch's lines, mm, and their grey (0 is black): half as heavy as any line that is followed."""

CLEAR = 1.0
"""mm. The hatch ends this far from the rims of holes and the boxes of texts."""

_SHORTEST = 1.0
"""mm. A line of the hatch shorter than this is left out: it would be a speck."""


def hatch_of(ground: shapely.Geometry) -> Floats:
    """The lines (n,2,2) of the hatch on a ground, mm: at 45°, APART from one another, from low to high.

    They lie on one ruling of the whole plane, so that neighbouring zones, and sheets that are joined, continue it.
    """
    if shapely.is_empty(ground):
        return np.empty((0, 2, 2))
    x0, y0, x1, y1 = shapely.bounds(ground)
    step = APART * np.sqrt(2.0)
    rises = step * np.arange(np.floor((y0 - x1) / step), np.ceil((y1 - x0) / step) + 1)
    left, right = (np.stack([np.full_like(rises, x), x + rises], axis=1) for x in (x0, x1))
    lines = np.stack([left, right], axis=1)
    parts = shapely.get_parts(shapely.intersection(shapely.linestrings(lines), ground))
    kept = [shapely.get_coordinates(part)[[0, -1]] for part in parts if shapely.length(part) >= _SHORTEST]
    ordered = [line if line[0, 0] <= line[1, 0] else line[::-1] for line in kept]
    # Parts come in the order of the geometry library; sorted by place, the page is the same everywhere.
    ordered.sort(key=lambda line: tuple(np.round(line, 6).ravel()))
    return np.array(ordered).reshape(-1, 2, 2)


def untooled_ground(piece: Piece) -> shapely.Geometry:
    """Where a piece is not to be tooled, without its holes and texts."""
    holes = [shapely.buffer(spine(hole), 0.5 * hole.diameter + CLEAR) for hole in piece.holes]
    texts = [shapely.buffer(shapely.Polygon(text_box(label)), CLEAR) for label in piece.labels]
    zones = shapely.union_all([ground_of(zone) for zone in piece.untooled])
    return shapely.difference(zones, shapely.union_all([*holes, *texts]))


def draw_hatch(canvas: Canvas, piece: Piece) -> None:
    """The hatch of where a piece is not to be tooled, in its own coordinates; nothing where there is no such place."""
    if piece.untooled:
        stroke_hatch(canvas, untooled_ground(piece))


def stroke_hatch(canvas: Canvas, ground: shapely.Geometry) -> None:
    """The hatch's lines on a ground, light and thin."""
    canvas.saveState()
    canvas.setStrokeGray(GREY)
    canvas.setLineWidth(WIDTH)
    canvas.lines([tuple(line.ravel().tolist()) for line in hatch_of(ground)])
    canvas.restoreState()
