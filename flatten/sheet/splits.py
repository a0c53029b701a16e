"""Where a piece that is larger than a bed can be split by seams up the limb, so that its parts fit."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from shapely import affinity, ops

from flatten.mesh.surface import Floats, Ints
from flatten.pattern.isoline import isolines
from flatten.sheet.ground import Ground

OVERLAP = 22.0
"""mm of leather on leather at the new seam, which both parts are larger by: as usual where it is riveted. It counts for
both, since either may come to lie on top."""

SPARE = 0.03
"""Share of its size that a part must have to spare on the bed: laid flat by itself it comes out otherwise than as part
of the whole. A calf's parts were up to 2.1 % higher."""

ROUNDING = 1e-6
"""mm. A part that is as large as the bed fits."""

STEP = 10
"""Degrees between seams that are tried, where none at the middle of a side does."""

PAST = 30.0
"""mm by which a seam's line is drawn out past the piece's edge on both ends, so that it parts it for sure."""


@dataclass(frozen=True)
class Split:
    """A piece that no such bed takes: its number, its size and the bed's (mm), and the seams that make parts of it
    which fit, by their bearings in whole degrees, with the parts' sizes; none where no seam up the limb does.

    `bed` is the smallest bed on which it lies whole.
    """

    piece: int
    size: tuple[float, float]
    on: tuple[float, float]
    seams: tuple[int, ...]
    parts: tuple[tuple[float, float], ...]
    bed: tuple[float, float]


def split_of(
    number: int,
    shape: shapely.Polygon,
    grain: float,
    *,
    uv: Floats,
    faces: Ints,
    bearings: Floats,
    ground: Ground,
    barred: Sequence[tuple[float, float]] = (),
) -> Split:
    """How a piece, meshed at `uv` (V,2) with `bearings` (V,) rad, is made to fit a bed.

    Tried are one seam and then two, in the middle of sides first, then every STEP degrees; kept of those that serve is
    the one whose parts are most alike. Each part is laid by itself, with OVERLAP. No seam comes nearer than that to
    what is `barred`: from one bearing to another (rad) something lies on the piece, or is cut into it.
    """
    near = OVERLAP * float(np.ptp(bearings)) / float(np.ptp(uv[:, 0]) or 1.0)
    for seams in _tried(bearings, [(low - near, high + near) for low, high in barred]):
        found = []
        for chosen in seams:
            parts = _parts(shape, [_line(uv, faces, bearings, at) for at in chosen])
            if len(parts) == len(chosen) + 1 and all(fits(part, grain, ground, spare=SPARE) for part in parts):
                found.append((max(shapely.area(part) for part in parts), chosen, parts))
        if found:
            _, chosen, parts = min(found, key=lambda one: one[0])
            sizes = tuple(_size(part) for part in parts)
            return Split(number, _size(shape), ground.size, chosen, sizes, least_bed(shape, grain, ground))
    return Split(number, _size(shape), ground.size, (), (), least_bed(shape, grain, ground))


def fits(shape: shapely.Geometry, grain: float, ground: Ground, *, spare: float = 0.0) -> bool:
    """Whether a piece lies on the bed by itself, were it larger by a share of `spare`: a rectangle holds what its box
    in some turn fits into."""
    width, height = (side + ROUNDING for side in ground.size)
    larger = affinity.scale(shape, 1.0 + spare, 1.0 + spare)
    return any(across <= width and up <= height for across, up in _beds(larger, grain, ground))


def least_bed(shape: shapely.Polygon, grain: float, ground: Ground) -> tuple[float, float]:
    """Width and height, mm, of the smallest bed that takes a piece as its grain may lie, with the bed's margin."""
    return min(_beds(shape, grain, ground), key=lambda size: (round(size[0] * size[1]), size[1]))


def _beds(shape: shapely.Geometry, grain: float, ground: Ground) -> Iterator[tuple[float, float]]:
    """The beds that just take a piece, with its grain along either side, in each turn."""
    for upright in (True, False):
        for turn in replace(ground, upright=upright).turns(grain):
            across, up = _size(affinity.rotate(shape, turn, origin=(0.0, 0.0), use_radians=True))
            yield across + 2.0 * ground.margin, up + 2.0 * ground.margin


def _tried(bearings: Floats, barred: Sequence[tuple[float, float]]) -> Iterator[list[tuple[int, ...]]]:
    """The seams that are tried together, in degrees: those whose whole line may lie on the panel."""
    low, high = math.ceil(math.degrees(bearings.min())), math.floor(math.degrees(bearings.max()))

    def free(degrees: int) -> bool:
        at = math.radians(degrees)
        return not any((at - start) % (2.0 * math.pi) <= end - start for start, end in barred)

    quarters = [at for at in range(low, high + 1) if at % 90 == 0 and free(at)]
    steps = [at for at in range(low, high + 1) if at % STEP == 0 and free(at)]
    for places in (quarters, steps):
        yield [(at,) for at in places]
    for places in (quarters, steps):
        yield [pair for pair in itertools.combinations(places, 2) if pair[1] - pair[0] >= 3 * STEP]


def _line(uv: Floats, faces: Ints, bearings: Floats, degrees: int) -> shapely.LineString:
    """The longest line of a bearing on the flat piece, drawn out past its edge; empty where it has none."""
    lines = isolines(uv, faces, bearings, math.radians(degrees))
    if not lines:
        return shapely.LineString()
    line = lines[0]
    ends = []
    for end, before in ((line[0], line[min(3, len(line) - 1)]), (line[-1], line[max(-4, -len(line))])):
        way = end - before
        ends.append(end + PAST * way / np.hypot(*way))
    return shapely.LineString([ends[0], *line, ends[1]])


def _parts(shape: shapely.Polygon, lines: Sequence[shapely.LineString]) -> list[shapely.Geometry]:
    """A shape parted along lines, each part with OVERLAP of what lies beyond each line."""
    parts: list[shapely.Geometry] = [shape]
    for line in lines:
        if not line.is_empty:
            parts = [own for part in parts for own in shapely.get_parts(ops.split(part, line))]
    # All that lies within OVERLAP of a part lies beyond one of its lines: the rest of its rim is the piece's own.
    return [shapely.intersection(shape, shapely.buffer(part, OVERLAP)) for part in parts]


def _size(shape: shapely.Geometry) -> tuple[float, float]:
    x0, y0, x1, y1 = shapely.bounds(shape).tolist()
    return x1 - x0, y1 - y0
