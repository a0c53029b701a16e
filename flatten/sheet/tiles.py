"""A piece at true size on sheets of home printer paper that overlap."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely

from flatten.pattern.model import Piece
from flatten.pattern.path import bounds, polyline
from flatten.sheet.paper import paper_size

OVERLAP = 10.0
"""mm. Neighbouring sheets share a strip this wide: room for glue or tape. Common practice."""

MARGIN = 8.0
"""mm. Nothing is drawn nearer to the paper's edge: home printers leave 3 to 6 mm blank. Common practice."""

CAPTION = 8.0
"""mm. Height of the strip under the window in which a sheet's name stands."""

_PAD = 3.0
"""mm. The cut line stays this far inside the outermost windows, so that no frame runs along it."""


@dataclass(frozen=True)
class Tile:
    """One sheet: row 0 on top, column 0 left, and the lower left corner (x, y) mm of its window on the piece."""

    row: int
    column: int
    x: float
    y: float

    @property
    def name(self) -> str:
        """Row letter and column number, such as "B2"."""
        return row_name(self.row) + str(self.column + 1)


@dataclass(frozen=True, eq=False)
class Tiling:
    """A piece on sheets: `page` and `window` are (width, height) mm; tiles from the top row, left to right.

    Sheets on which the piece has no part are left out of `tiles`, though `rows` and `columns` count them.
    """

    piece: Piece
    page: tuple[float, float]
    window: tuple[float, float]
    rows: int
    columns: int
    tiles: tuple[Tile, ...]


def row_name(row: int) -> str:
    """A, B, … Z, AA, AB, … for rows 0, 1, …"""
    name = ""
    row += 1
    while row:
        row, letter = divmod(row - 1, 26)
        name = chr(ord("A") + letter) + name
    return name


def tiled(piece: Piece, paper: str) -> Tiling:
    """The piece on sheets of `paper`, upright or on their side, whichever takes fewer.

    Windows overlap by OVERLAP mm. Raises PaperError where the paper is not one of PAPERS.
    """
    width, height = paper_size(paper)
    # min takes the first of equals, so a piece that needs as many either way lies on upright sheets.
    return min((_tiling(piece, page) for page in ((width, height), (height, width))), key=lambda t: len(t.tiles))


def core(tiling: Tiling, tile: Tile) -> shapely.Polygon:
    """The part of a tile's window that no other tile counts as its own: the cores of all cells fill the grid."""
    left = tile.x + (0.5 * OVERLAP if tile.column else 0.0)
    right = tile.x + tiling.window[0] - (0.5 * OVERLAP if tile.column < tiling.columns - 1 else 0.0)
    bottom = tile.y + (0.5 * OVERLAP if tile.row < tiling.rows - 1 else 0.0)
    top = tile.y + tiling.window[1] - (0.5 * OVERLAP if tile.row else 0.0)
    return shapely.box(left, bottom, right, top)


def _tiling(piece: Piece, page: tuple[float, float]) -> Tiling:
    """The piece on sheets of one direction, centred on their grid."""
    window = (page[0] - 2.0 * MARGIN, page[1] - 2.0 * MARGIN - CAPTION)
    x0, y0, x1, y1 = bounds(piece.outline)
    columns, left = _cells(x0 - _PAD, x1 + _PAD, window[0])
    rows, bottom = _cells(y0 - _PAD, y1 + _PAD, window[1])
    step_x, step_y = window[0] - OVERLAP, window[1] - OVERLAP
    cells = [
        Tile(row, column, left + column * step_x, bottom + (rows - 1 - row) * step_y)
        for row in range(rows)
        for column in range(columns)
    ]
    grid = Tiling(piece, page, window, rows, columns, tuple(cells))
    shape = shapely.Polygon(polyline(piece.outline, 0.05))
    used = [tile for tile in cells if shapely.area(shapely.intersection(shape, core(grid, tile))) > 0.0]
    return Tiling(piece, page, window, rows, columns, tuple(used))


def _cells(low: float, high: float, window: float) -> tuple[int, float]:
    """How many windows cover low to high, and where the first starts so that they are centred on it."""
    count = max(int(np.ceil((high - low - OVERLAP) / (window - OVERLAP))), 1)
    covered = count * (window - OVERLAP) + OVERLAP
    return count, 0.5 * (low + high - covered)
