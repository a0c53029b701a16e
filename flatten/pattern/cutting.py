"""The line that is cut round a piece: its outline, with each dart's stop hole as the round end of the cut."""

from __future__ import annotations

import numpy as np

from flatten.mesh.surface import Floats
from flatten.pattern.model import Hole, Path, Piece
from flatten.pattern.path import HALVINGS, along, length, part

_ARCS = 3
"""Arcs that a rim is drawn by: each then turns by less than half a circle, so that its bulge is small."""


def cut_line(piece: Piece) -> Path:
    """The closed line that a knife or laser follows round a piece, once.

    Where a dart ends in a stop hole the outline runs to the hole's rim, round it and on, so that the hole is no circle
    of its own that lies across the cut. The piece's own `outline` runs to the dart's tip, the hole's centre.
    """
    path = piece.outline
    for hole in piece.holes:
        if hole.kind == "stop":
            path = _with_rim(path, hole)
    return path


def _with_rim(path: Path, hole: Hole) -> Path:
    """The closed path with what lies inside a hole about one of its points replaced by the hole's rim."""
    centre, radius = np.array([hole.x, hole.y]), 0.5 * hole.diameter
    tip = int(np.argmin(np.hypot(*(path.points - centre).T)))
    turned = Path(np.roll(path.points, -tip, axis=0), np.roll(path.bulges, -tip), closed=True)
    whole = length(turned)
    first, last = _leaves(turned, centre, radius, 1.0), whole + _leaves(turned, centre, radius, -1.0)
    rest = part(turned, first, last)
    after, before = rest.points[0] - centre, rest.points[-1] - centre
    start, end = (float(np.arctan2(*ray[::-1])) for ray in (before, after))
    # The hole lies on the right of the way to its dart's tip, so that the rim is gone round clockwise.
    sweep = float(np.mod(start - end, 2 * np.pi)) or 2 * np.pi
    turns = start - sweep * np.arange(1, _ARCS) / _ARCS
    rim = centre + radius * np.stack([np.cos(turns), np.sin(turns)], axis=1)
    arcs = np.full(_ARCS, -np.tan(sweep / (4 * _ARCS)))
    return Path(np.concatenate([rest.points, rim]), np.concatenate([rest.bulges[:-1], arcs]), closed=True)


def _leaves(path: Path, centre: Floats, radius: float, way: float) -> float:
    """Signed arc length from a closed path's start, onwards or backwards, at which it is `radius` from `centre`."""

    def outside(distance: float) -> bool:
        place, _ = along(path, np.array([np.mod(way * distance, length(path))]))
        return bool(np.hypot(*(place[0] - centre)) >= radius)

    inner, outer = 0.0, radius
    while not outside(outer):
        inner, outer = outer, outer + 0.25 * radius
    for _ in range(HALVINGS):
        middle = 0.5 * (inner + outer)
        inner, outer = (inner, middle) if outside(middle) else (middle, outer)
    return way * outer
