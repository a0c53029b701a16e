"""Small pieces together on sheets, without touching each other."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
import shapely
from numpy.typing import NDArray
from scipy.fft import irfft2, next_fast_len, rfft2

from flatten.mesh.surface import Floats
from flatten.pattern.model import Piece
from flatten.pattern.path import polyline
from flatten.sheet.layout import moved_piece
from flatten.sheet.turned import turned_piece

Complex = NDArray[np.complex128]

APART = 6.0
"""mm. Pieces on one sheet are this far apart at least: room for scissors."""

CELL = 2.0
"""mm. Side of the squares by which a sheet is seen as taken or free."""

_OPEN = 8
"""Sheets that are looked at for room before another is begun; the last ones have most."""

_FLAT = 0.2
"""mm. Outlines are looked at as polygons that leave them by this at most; APART has room for it."""


@dataclass(frozen=True, eq=False)
class Group:
    """Pieces that share a sheet, by their numbers in order, and turned and moved as they lie on it."""

    numbers: tuple[int, ...]
    pieces: tuple[Piece, ...]


@dataclass(frozen=True, eq=False)
class _Stencil:
    """The squares that a piece turned by `angle` takes, rows upwards, the first one's lower left corner at (x, y), and
    the conjugate of their transform on a sheet's squares, by which free places are `sought`."""

    angle: float
    x: float
    y: float
    mask: Floats
    sought: Complex


@dataclass(eq=False)
class _Sheet:
    """A sheet that is being filled: the squares that are taken, and what lies where."""

    taken: Floats
    placed: list[tuple[int, float, float, float]] = field(default_factory=list)


def shared(pieces: Sequence[Piece], window: tuple[float, float]) -> tuple[Group, ...]:
    """The pieces, each of which fits a window (width, height) mm by itself, on as few as the first fit finds.

    The largest first, each as low as it comes on the first sheet with room; in the order of each sheet's first piece.
    """
    shape = int(window[1] / CELL), int(window[0] / CELL)
    stencils = [_stencils(piece, shape) for piece in pieces]
    sheets: list[_Sheet] = []
    order = sorted(range(len(pieces)), key=lambda number: (-float(stencils[number][0].mask.sum()), number))
    for number in order:
        for sheet in sheets[-_OPEN:]:
            if _put(sheet, number, stencils[number]):
                break
        else:
            begun = _Sheet(np.zeros(shape))
            if not _put(begun, number, stencils[number]):
                # It fits a window only with less about it than others would need: it has a sheet for itself.
                begun.taken[:] = 1.0
                begun.placed.append((number, 0.0, 0.0, 0.0))
            sheets.append(begun)
    found = []
    for sheet in sheets:
        there = sorted(sheet.placed)
        lying = (moved_piece(turned_piece(pieces[number], angle), x, y) for number, angle, x, y in there)
        found.append(Group(tuple(number for number, *_ in there), tuple(lying)))
    return tuple(sorted(found, key=lambda group: group.numbers))


def _stencils(piece: Piece, shape: tuple[int, int]) -> list[_Stencil]:
    """What a piece takes as it is, and turned by quarters; and the same with its longest way level."""
    # Simplified once, before it is turned: it is the costliest step of a fine outline.
    fine = shapely.Polygon(polyline(piece.outline, _FLAT))
    outline = shapely.get_coordinates(shapely.simplify(fine, _FLAT).exterior)
    box = shapely.get_coordinates(shapely.minimum_rotated_rectangle(shapely.MultiPoint(outline)))
    sides = np.diff(box[:3], axis=0)
    longest = sides[int(np.argmax(np.hypot(*sides.T)))]
    level = -float(np.arctan2(longest[1], longest[0]))
    angles = [start + quarter * 0.5 * np.pi for start in (0.0, level) for quarter in range(4)]
    return [_stencil(outline, angle, shape) for angle in angles]


def _stencil(outline: Floats, angle: float, sheet: tuple[int, int]) -> _Stencil:
    """The squares that come within half of APART of a polygon (n,2) turned by an angle, for a sheet of so many."""
    cos, sin = np.cos(angle), np.sin(angle)
    about = 0.5 * APART + CELL / np.sqrt(2.0)
    shape = shapely.Polygon(outline @ np.array([[cos, sin], [-sin, cos]])).buffer(about)
    x0, y0, x1, y1 = shapely.bounds(shape)
    columns, rows = int(np.ceil((x1 - x0) / CELL)), int(np.ceil((y1 - y0) / CELL))
    x, y = np.meshgrid(x0 + CELL * (np.arange(columns) + 0.5), y0 + CELL * (np.arange(rows) + 0.5))
    shapely.prepare(shape)
    mask = shapely.contains_xy(shape, x, y).astype(float)
    fits = rows <= sheet[0] and columns <= sheet[1]
    sought = np.conj(rfft2(mask, _transformed(sheet))) if fits else np.zeros((0, 0), complex)
    return _Stencil(float(angle), float(x0), float(y0), mask, sought)


def _transformed(shape: tuple[int, ...]) -> tuple[int, int]:
    """Numbers of squares, a sheet's or more, that are transformed fast."""
    return next_fast_len(shape[0], True), next_fast_len(shape[1], True)


def _put(sheet: _Sheet, number: int, stencils: Sequence[_Stencil]) -> bool:
    """Whether a piece found room on a sheet; it then lies where its top comes lowest, and there leftmost."""
    rows, columns = sheet.taken.shape
    if sheet.taken.sum() + stencils[0].mask.sum() > sheet.taken.size:
        return False
    best: tuple[int, int, int, int] | None = None
    size = _transformed(sheet.taken.shape)
    taken = rfft2(sheet.taken, size)
    for k, stencil in enumerate(stencils):
        tall, wide = stencil.mask.shape
        if tall > rows or wide > columns:
            continue
        # What wraps round the sheet's edges lies beyond the places at which the whole stencil is on it.
        met = irfft2(taken * stencil.sought, size)[: rows - tall + 1, : columns - wide + 1]
        free = np.argwhere(met < 0.5)
        if len(free):
            row, column = (int(value) for value in free[0])
            tried = (row + tall, column, k, row)
            best = tried if best is None or tried < best else best
    if best is None:
        return False
    _, column, k, row = best
    stencil = stencils[k]
    tall, wide = stencil.mask.shape
    sheet.taken[row : row + tall, column : column + wide] += stencil.mask
    sheet.placed.append((number, stencil.angle, CELL * column - stencil.x, CELL * row - stencil.y))
    return True
