"""Where a filling's strands turn back: reeds that stand upright in the middle, water that lies level beside."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from flatten.mesh.surface import Flags, Ints
from flatten.ornament.tiles import CROSS, LEVEL, UPRIGHT, Tiles, crossings, runs

_DRAWS = 24
"""Drawings that are made from one seed, the best of which is taken: one in five has a ring of its own somewhere."""

_CLEAR = 2
"""Tiles that walls keep from rims that lie as they do."""

_LONGEST = 9
"""Arcs that a strand may go without a crossing before the eye takes it for a hole in the weave."""

_SHORTEST = 14
"""Arcs of a closed strand below which it looks like a link left over."""


@dataclass(frozen=True)
class Reeds:
    """How a bed of reeds stands, in tiles: reeds are crossed at `joints` tiles of every `stand`, stand `half` to each
    side of the middle below and `half` + `flare` above, and beside them every `swell`-th row of water lies level."""

    stand: int
    joints: int
    half: float
    flare: float
    swell: int
    offset: int


def reed_bed(present: Flags, seed: int, *, even: bool) -> Tiles:
    """Tiles with walls of a bed of reeds on the tiles that are `present` (w,h); `even` ones are their mirror image.

    Of several drawings from the seed the one is taken whose strands are fewest and cross often enough.
    """
    random = np.random.default_rng(seed)
    drawn = []
    for _ in range(_DRAWS):
        tiles = _linked(
            Tiles(_walls(present.shape, _bed(present.shape, random), random, even=even), present), even=even
        )
        drawn.append((_flaws(tiles), tiles))
    return min(drawn, key=lambda each: each[0])[1]


def _bed(shape: tuple[int, ...], random: np.random.Generator) -> Reeds:
    width, _ = shape
    stand = int(random.choice([6, 8, 8, 10]))
    return Reeds(
        stand=stand,
        joints=2,
        half=width * random.uniform(0.08, 0.16),
        flare=width * random.uniform(0.05, 0.2),
        swell=int(random.choice([4, 4, 6])),
        offset=int(random.integers(stand)),
    )


def _walls(shape: tuple[int, ...], bed: Reeds, random: np.random.Generator, *, even: bool) -> Ints:
    width, height = shape
    walls = np.zeros((width + 1, height + 1), dtype=np.int64)
    middle = width / 2
    for x in range(1, width // 2 + 1 if even else width):
        for y in range(1, height):
            if (x + y) % 2 == 0:
                continue
            out = abs(x - middle)
            inner = bed.half + bed.flare * (y / height) ** 2
            if out <= inner:
                stands = (y + bed.offset) % bed.stand >= bed.joints
                walls[x, y] = UPRIGHT if stands else CROSS
            elif out <= inner + 3.0:
                # Reeds that lean outwards, half as tall between their joints, so that the water reaches them.
                stands = (y + bed.offset + bed.stand // 2) % (bed.stand // 2) in (1, 2)
                walls[x, y] = UPRIGHT if stands else CROSS
            else:
                level = (y + int(out) // 2 + bed.offset) % bed.swell == 0
                walls[x, y] = LEVEL if level and random.random() < 0.85 else CROSS
            # A wall beside a rim that lies as the rim does would make a strand dodge to and fro along it.
            beside = {UPRIGHT: min(x, width - x), LEVEL: min(y, height - y)}
            if beside.get(int(walls[x, y]), _CLEAR) < _CLEAR:
                walls[x, y] = CROSS
            if even:
                walls[width - x, y] = walls[x, y]
    return walls


def _linked(tiles: Tiles, *, even: bool) -> Tiles:
    """Tiles with walls taken away where a strand would be a ring of its own: it is joined to its neighbour there."""
    for _ in range(tiles.present.size):
        short = [corners for corners in runs(tiles) if len(corners) < _SHORTEST]
        found = next((corners[_walled(tiles, corners)] for corners in short if _walled(tiles, corners).any()), None)
        if found is None:
            return tiles
        walls = tiles.walls.copy()
        column, row = found[0]
        walls[column, row] = CROSS
        if even:
            walls[tiles.size[0] - column, row] = CROSS
        tiles = Tiles(walls, tiles.present)
    return tiles


def _walled(tiles: Tiles, corners: Ints) -> Flags:
    """Which of a strand's corners (n,2) have a wall that can be taken away."""
    columns, rows = corners.T
    return np.asarray(tiles.inner[columns, rows] & (tiles.states[columns, rows] != CROSS))


def _flaws(tiles: Tiles) -> tuple[int, int]:
    """How much there is to be said against a drawing: closed strands that are too short and stretches that cross
    nothing for too long, then the number of strands."""
    crossed = {(int(x), int(y)) for x, y in crossings(tiles)}
    strands = runs(tiles)
    flaws = sum(10 for corners in strands if len(corners) < _SHORTEST)
    for corners in strands:
        met = np.flatnonzero([(int(x), int(y)) in crossed for x, y in corners])
        gaps = np.diff(met, append=met[:1] + len(corners)) if met.size else np.array([len(corners)])
        flaws += int(np.maximum(gaps - _LONGEST, 0).sum())
    return flaws, len(strands)
