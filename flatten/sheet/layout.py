"""Pieces laid out beside each other at true size."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from flatten.pattern.model import Piece, Zone
from flatten.pattern.path import bounds, moved

BETWEEN = 30.0
"""mm. Free space between pieces that lie side by side: a ruler's width."""


def moved_piece(piece: Piece, dx: float, dy: float) -> Piece:
    """The piece with all that is on it, moved by (dx, dy) mm."""
    return replace(
        piece,
        outline=moved(piece.outline, dx, dy),
        holes=tuple(replace(hole, x=hole.x + dx, y=hole.y + dy) for hole in piece.holes),
        marks=tuple(replace(mark, path=moved(mark.path, dx, dy)) for mark in piece.marks),
        labels=tuple(replace(label, x=label.x + dx, y=label.y + dy) for label in piece.labels),
        inscriptions=tuple(replace(each, box=each.box + np.array([dx, dy])) for each in piece.inscriptions),
        untooled=tuple(_moved_zone(zone, dx, dy) for zone in piece.untooled),
        tooled=tuple(_moved_zone(zone, dx, dy) for zone in piece.tooled),
    )


def _moved_zone(zone: Zone, dx: float, dy: float) -> Zone:
    return replace(zone, rims=tuple(moved(rim, dx, dy) for rim in zone.rims))


def side_by_side(pieces: Sequence[Piece]) -> tuple[Piece, ...]:
    """The pieces from left to right, each with its lowest point at y = 0, the first from x = 0 on."""
    placed: list[Piece] = []
    x = 0.0
    for piece in pieces:
        x0, y0, x1, _ = bounds(piece.outline)
        placed.append(moved_piece(piece, x - x0, -y0))
        x += x1 - x0 + BETWEEN
    return tuple(placed)


def in_rows(pieces: Sequence[Piece], width: float) -> tuple[Piece, ...]:
    """The pieces in rows of at most `width` mm (one that is wider by itself has a row), from left to right, the first
    row on top and each row's lowest points level."""
    rows: list[list[Piece]] = []
    right = 0.0
    for piece in pieces:
        x0, _, x1, _ = bounds(piece.outline)
        if not rows or right + x1 - x0 > width:
            rows.append([])
            right = 0.0
        rows[-1].append(piece)
        right += x1 - x0 + BETWEEN
    placed: list[Piece] = []
    y = 0.0
    for row in rows:
        level = side_by_side(row)
        y -= max(bounds(piece.outline)[3] for piece in level) + BETWEEN
        placed += [moved_piece(piece, 0.0, y) for piece in level]
    return tuple(placed)
