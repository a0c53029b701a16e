"""Pieces at true size on sheets of paper: one on as many as it takes, which overlap, or several on one."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from string import ascii_uppercase

import shapely

from flatten.pattern.model import Path, Piece
from flatten.pattern.path import bounds, polyline
from flatten.sheet.grid import OVERLAP, PAD, grid_on
from flatten.sheet.layout import in_rows
from flatten.sheet.paper import LONGEST, ONE_PAGE, PLOTTER, PaperError, Printing, paper_size
from flatten.sheet.sharing import shared
from flatten.sheet.turned import inscriptions_of, turned_piece

CAPTION = 8.0
"""mm. Height of the strip under the window in which a sheet's name stands."""

_FLAT = 0.05
"""mm. Outlines are looked at as polygons that leave them by this at most."""

PAPER_SERIES = "ABC"
"""Letters that name formats of paper with a number behind them (ISO 216 and 269): a sheet A4 would be taken for one."""

_LETTERS = tuple(letter for letter in ascii_uppercase if letter not in PAPER_SERIES)


@dataclass(frozen=True)
class Tile:
    """One sheet by its `name`: in row 0 on top, column 0 on the left of its row; the lower left corner (x, y) mm of its
    window on the pieces."""

    name: str
    row: int
    column: int
    x: float
    y: float


@dataclass(frozen=True, eq=False)
class Tiling:
    """One piece on sheets, or several on one, turned as they lie there; its `letter` occurs once in a job.

    `page` and `window` are (width, height) mm, the window `edge` mm from the page's edges; tiles from the top row, left
    to right. `cuts` is whether something that is read on a piece lies across a joint.
    """

    letter: str
    pieces: tuple[Piece, ...]
    page: tuple[float, float]
    window: tuple[float, float]
    edge: float
    tiles: tuple[Tile, ...]
    cuts: bool = False

    @property
    def rows(self) -> int:
        """How many rows there are."""
        return 1 + max(tile.row for tile in self.tiles)

    def in_row(self, row: int) -> int:
        """How many sheets a row has."""
        return sum(tile.row == row for tile in self.tiles)


@dataclass(frozen=True, eq=False)
class Sheets:
    """All sheets of one file, and what they are printed on."""

    printing: Printing
    tilings: tuple[Tiling, ...]


def letter_of(number: int) -> str:
    """D, E, … Z, DD, DE, … for 0, 1, …: never a letter of PAPER_SERIES."""
    name = ""
    number += 1
    while number:
        number, letter = divmod(number - 1, len(_LETTERS))
        name = _LETTERS[letter] + name
    return name


def sheets_of(pieces: Sequence[Piece], printing: Printing, *, first: int = 0) -> Sheets:
    """The pieces on sheets: what takes several has them for itself, what is small shares one.

    Their letters go on from the `first`, which counts from 0. Raises PaperError where the paper is not known, or all
    pieces on one page make it longer than a page can be.
    """
    if printing.paper == ONE_PAGE:
        return Sheets(printing, (_one_page(pieces, printing, letter_of(first)),) if pieces else ())
    alone = [tiled(piece, printing) for piece in pieces]
    small = [number for number, tiling in enumerate(alone) if len(tiling.tiles) == 1]
    window = _window(paper_size(printing.paper), printing)
    groups = shared([pieces[number] for number in small], window)
    found: dict[int, Tiling] = {number: tiling for number, tiling in enumerate(alone) if len(tiling.tiles) > 1}
    for group in groups:
        numbers = [small[k] for k in group.numbers]
        found[numbers[0]] = alone[numbers[0]] if len(numbers) == 1 else _on_one(group.pieces, printing, "")
    ordered = [found[number] for number in sorted(found)]
    return Sheets(printing, tuple(_lettered(tiling, letter_of(first + k)) for k, tiling in enumerate(ordered)))


def tiled(piece: Piece, printing: Printing, *, letter: str = _LETTERS[0]) -> Tiling:
    """The piece by itself on sheets, turned as they take fewest; windows overlap by OVERLAP mm.

    Raises PaperError where the paper is not known.
    """
    wide, tall = paper_size(printing.paper)
    pages = (wide, tall), (tall, wide)
    windows = _window(pages[0], printing), _window(pages[1], printing)
    outline = polyline(piece.outline, _FLAT)
    grid = grid_on(outline, inscriptions_of(piece), *windows)
    page, window = pages[grid.lying], windows[grid.lying]
    turned = turned_piece(piece, grid.angle)
    shape = shapely.Polygon(polyline(turned.outline, _FLAT))
    tiles = [
        Tile("", row, column, x, y)
        for row, (y, lefts) in enumerate(zip(grid.bottoms, grid.lefts, strict=True))
        for column, x in enumerate(lefts)
    ]
    used = [tile for tile in tiles if shapely.area(shapely.intersection(shape, seen(tile, window))) > 0.0]
    tiling = Tiling(letter, (turned,), page, window, printing.edge, tuple(used), grid.cuts > 0)
    return _lettered(tiling, letter)


def joints_on(outline: Path, printing: Printing) -> shapely.Geometry:
    """Where the sheets of a piece with this outline are joined, if nothing on it has to be passed by: lines, none where
    it lies on one sheet. Raises PaperError where the paper is not known."""
    if printing.paper == ONE_PAGE:
        return shapely.MultiLineString([])
    wide, tall = paper_size(printing.paper)
    windows = _window((wide, tall), printing), _window((tall, wide), printing)
    grid = grid_on(polyline(outline, _FLAT), (), *windows)
    return grid.joints(windows[grid.lying])


def seen(tile: Tile, window: tuple[float, float]) -> shapely.Polygon:
    """The part of a tile's window that is seen when all are joined: the sheets on its left and above it lie on it."""
    left, top = (OVERLAP if tile.column else 0.0), window[1] - (OVERLAP if tile.row else 0.0)
    return shapely.box(tile.x + left, tile.y, tile.x + window[0], tile.y + top)


def _lettered(tiling: Tiling, letter: str) -> Tiling:
    """The tiling with a letter, its sheets numbered from 1 on."""
    tiles = (
        Tile(f"{letter}{number}", tile.row, tile.column, tile.x, tile.y) for number, tile in enumerate(tiling.tiles, 1)
    )
    return Tiling(letter, tiling.pieces, tiling.page, tiling.window, tiling.edge, tuple(tiles), tiling.cuts)


def _window(page: tuple[float, float], printing: Printing) -> tuple[float, float]:
    """Width and height of what is drawn on a page, mm, above its caption."""
    return page[0] - 2.0 * printing.edge, page[1] - 2.0 * printing.edge - CAPTION


def _on_one(pieces: Sequence[Piece], printing: Printing, letter: str) -> Tiling:
    """Pieces where they lie on one upright sheet, in its middle."""
    page = paper_size(printing.paper)
    window = _window(page, printing)
    x0, y0, x1, y1 = _extent(pieces)
    tile = Tile("", 0, 0, 0.5 * (x0 + x1 - window[0]), 0.5 * (y0 + y1 - window[1]))
    return Tiling(letter, tuple(pieces), page, window, printing.edge, (tile,))


def _one_page(pieces: Sequence[Piece], printing: Printing, letter: str) -> Tiling:
    """All pieces in rows on a page that is as large as they are. Raises PaperError where it would be too long."""
    placed = in_rows(pieces, PLOTTER - 2.0 * (printing.edge + PAD))
    x0, y0, x1, y1 = _extent(placed)
    window = x1 - x0 + 2.0 * PAD, y1 - y0 + 2.0 * PAD
    page = window[0] + 2.0 * printing.edge, window[1] + 2.0 * printing.edge + CAPTION
    if max(page) > LONGEST:
        raise PaperError(
            f"all pieces on one page make it {page[0]:.0f} × {page[1]:.0f} mm, and a page ends at {LONGEST:.0f} mm; "
            "choose a paper of the printer's, such as paper = 'A3'"
        )
    tile = Tile(f"{letter}1", 0, 0, x0 - PAD, y0 - PAD)
    return Tiling(letter, placed, page, window, printing.edge, (tile,))


def _extent(pieces: Sequence[Piece]) -> tuple[float, float, float, float]:
    """Box about pieces where they lie: least x, least y, greatest x, greatest y, mm."""
    boxes = [bounds(piece.outline) for piece in pieces]
    x0, y0, x1, y1 = zip(*boxes, strict=True)
    return min(x0), min(y0), max(x1), max(y1)
