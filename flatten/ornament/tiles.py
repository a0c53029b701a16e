"""A grid of tiles with one arc of a strand in each: mirror curves, which turn back at walls and cross elsewhere."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from flatten.mesh.surface import Flags, Floats, Ints, frozen_ints
from flatten.ornament.model import OrnamentError

CROSS, LEVEL, UPRIGHT = 0, 1, 2
"""What is at a grid point whose coordinates' sum is odd: strands cross, or turn back at a level or an upright wall."""

_ARC_STEPS = 12
"""Chords that stand for the arc in a tile: it turns by a right angle at most, so that a chord turns by 8° and leaves
the arc by a thousandth of the tile."""

_PULL = 0.42
"""Share of a tile's side that an arc keeps the direction of its ends for: about that of a circle's quarter, whose
control points lie 0.55 of the radius away, and below 1/2, so that those of both ends stay within the tile."""


@dataclass(frozen=True, eq=False)
class Tiles:
    """Tiles of side 1 from (0, 0) to `walls`' shape less one; one that lies beside `present` (w,h) has no strand.

    `walls` (w+1,h+1) says of each grid point with an odd sum of its coordinates what is there; rims and the borders of
    what is left out are walls whatever it says. A grid that is `round` goes on from its last column to its first, whose
    walls count. The two odd corners of each tile are joined by an arc. So strands meet at such points alone, and where
    all four tiles are present and no wall stands, two cross (Jablan, "Mirror generated curves", Symmetry: Culture and
    Science 6, 1995; from memory).
    """

    walls: Ints
    present: Flags
    round: bool = False

    def __post_init__(self) -> None:
        """Freeze the arrays."""
        object.__setattr__(self, "walls", frozen_ints(self.walls))
        present = np.array(self.present, dtype=bool)
        present.flags.writeable = False
        object.__setattr__(self, "present", present)

    @property
    def size(self) -> tuple[int, int]:
        """Columns and rows of tiles."""
        width, height = self.present.shape
        return width, height

    @cached_property
    def _around(self) -> Flags:
        """Of each grid point (w+1,h+1,2,2) whether the tiles east and west of it are present, each above and below."""
        width, height = self.size
        framed = np.zeros((width + 2, height + 2), dtype=bool)
        framed[1:-1, 1:-1] = self.present
        if self.round:
            framed[0], framed[-1] = framed[-2], framed[1]
        east, west = framed[1:], framed[:-1]
        return np.stack([np.stack([side[:, 1:], side[:, :-1]], axis=-1) for side in (east, west)], axis=-2)

    @cached_property
    def inner(self) -> Flags:
        """The grid points (w+1,h+1) that all four tiles around are present at."""
        return np.asarray(self._around.all(axis=(2, 3)))

    @cached_property
    def states(self) -> Ints:
        """What is at each grid point (w+1,h+1); where the sum of its coordinates is even, or no tile is, it means
        nothing.

        Raises OrnamentError where three tiles meet, one does, or two of them by a corner: a strand would end there.
        """
        east, west = self._around[:, :, 0], self._around[:, :, 1]
        level = (east == west).all(axis=2)
        upright = (east[..., 0] == east[..., 1]) & (west[..., 0] == west[..., 1])
        x, y = np.indices(level.shape)
        ends = np.argwhere(((x + y) % 2 == 1) & ~level & ~upright)
        if len(ends):
            raise OrnamentError(
                f"a strand would end at grid point ({ends[0, 0]}, {ends[0, 1]}): give the grid an even number of tiles "
                f"there"
            )
        return np.where(self.inner, self.walls, np.where(level, LEVEL, UPRIGHT))


def crossings(tiles: Tiles) -> Ints:
    """The grid points (n,2) where two strands cross."""
    x, y = np.indices(tiles.states.shape)
    crossed = tiles.inner & (tiles.states == CROSS) & ((x + y) % 2 == 1)
    if tiles.round:
        crossed[-1] = False
    return np.argwhere(crossed)


def runs(tiles: Tiles) -> tuple[Ints, ...]:
    """The strands, all closed: for each the corners (n,2) that it passes, in turn; every step is a tile's diagonal.

    Columns of a grid that is round are counted on, not begun anew. They are in the order of their first tile.
    """
    width, height = tiles.size
    states = tiles.states.tolist()
    seen = np.zeros((width, height), dtype=bool).tolist()
    found = []
    for column in range(width):
        for row in range(height):
            if seen[column][row] or not tiles.present[column, row]:
                continue
            x, y = column, row + (column + row + 1) % 2
            step = (1, 1 if y == row else -1)
            corners = []
            begin = (column, row)
            while True:
                corners.append((x, y))
                tile = ((x + min(step[0], 0)) % width, y + min(step[1], 0))
                if tile == begin and len(corners) > 1:
                    break
                seen[tile[0]][tile[1]] = True
                x, y = x + step[0], y + step[1]
                what = states[x % width if tiles.round else x][y]
                step = (-step[0] if what == UPRIGHT else step[0], -step[1] if what == LEVEL else step[1])
            found.append(np.array(corners[:-1], dtype=np.int64))
    return tuple(found)


def curves(tiles: Tiles, *, swing: float = 0.3, rim: float = 0.0) -> tuple[Floats, ...]:
    """The strands as smooth closed curves (n,2) in the grid's own coordinates; the first point is not repeated.

    They run straight through crossings, along the diagonals, and turn `swing` from a wall (`rim` from a rim or from
    what is left out), both as shares of a tile, at most 1/2. Each arc is a Bézier cubic whose control points lie in its
    tile, and so does the arc: strands meet where they cross, and nowhere else.
    """
    # No corner of the polyline lies on a crossing: there two chords cross, as is plain to whoever looks for it.
    shares = (np.arange(_ARC_STEPS)[:, None] + 0.5) / _ARC_STEPS
    basis = np.hstack([(1 - shares) ** 3, 3 * shares * (1 - shares) ** 2, 3 * shares**2 * (1 - shares), shares**3])
    smooth = []
    for corners in runs(tiles):
        ahead = np.diff(corners, axis=0, append=corners[:1])
        if tiles.round:
            # A strand may end whole turns further on than it began: its last step is one tile all the same.
            ahead[-1, 0] = np.mod(ahead[-1, 0] + 1, tiles.size[0]) - 1
        first, leaving = _ends(tiles, corners, ahead, swing, rim)
        last, coming = _ends(tiles, corners + ahead, -ahead, swing, rim)
        controls = np.stack([first, first + _PULL * leaving, last + _PULL * coming, last], axis=1)
        smooth.append((basis @ controls).reshape(-1, 2))
    return tuple(smooth)


def _ends(tiles: Tiles, corners: Ints, into: Ints, swing: float, rim: float) -> tuple[Floats, Floats]:
    """Where arcs into the tiles on the `into` (n,2) side of corners (n,2) begin, and the directions they leave in."""
    x = corners[:, 0] % tiles.size[0] if tiles.round else corners[:, 0]
    states = tiles.states[x, corners[:, 1]]
    turned = np.stack([states == UPRIGHT, states == LEVEL], axis=1)
    aside = np.where(turned, into, 0).astype(float)
    away = np.where(tiles.inner[x, corners[:, 1]], swing, rim)
    return corners + away[:, None] * aside, into - aside
