"""Texts on a piece, each where it lies on nothing: beside lines, along sides, near places, in blocks."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely

from flatten.mesh.surface import Floats
from flatten.pattern.lettering import BESIDE, BETWEEN, LEAST_TEXT, SMALL_TEXT, one_line, reach, shortened, text_width
from flatten.pattern.marks import NoRoomError
from flatten.pattern.model import Inscription, Label, Mark, Path
from flatten.pattern.path import along, length, polyline
from flatten.pattern.placing import free_place, rectangle

GAP = 3.0
"""mm. Free space between two things that are written or drawn on a piece."""

TIGHT_GAP = 1.0
"""mm. The same on a small piece."""

FROM_JOINT = 2.0
"""mm. What is read stays this far from where printed sheets are joined: scissors wander."""

NO_JOINTS = shapely.GeometryCollection()
"""Where no sheets are joined."""

_ASIDE = 60.0
"""mm. A line's name stands about this far from the line's middle, where the centre line crosses it."""

_DEPTHS = (9.0, 12.0, 16.0, 21.0, 27.0, 34.0, 42.0)
"""mm. How far inside its side the middle of a seam's name is tried: before the holes, between them, behind them."""

_SHIFTS = (0.0, 4.0, -4.0, 8.0, -8.0)
"""mm. How far up or down a side from a mark its number is tried."""

_NUMBER_DEPTHS = np.arange(0.0, 16.0, 2.0)
"""mm. How far inside the end of a mark the middle of its number is tried, beyond half of its own width."""


@dataclass(frozen=True, eq=False)
class Written:
    """Labels and marks placed so far, and what of the piece is `free` for more, `gap` mm from all of them; and what
    they make together. `joints` are the lines along which printed sheets are joined."""

    labels: tuple[Label, ...]
    marks: tuple[Mark, ...]
    free: shapely.Geometry
    gap: float = GAP
    inscriptions: tuple[Inscription, ...] = ()
    joints: shapely.Geometry = NO_JOINTS


def start(
    free: shapely.Geometry, lines: Sequence[Mark], *, gap: float = GAP, joints: shapely.Geometry = NO_JOINTS
) -> Written:
    """Nothing written yet: `free` less what lies within `gap` mm of the lines that are drawn already."""
    drawn = [shapely.LineString(polyline(mark.path, 0.1)).buffer(gap) for mark in lines]
    return Written((), (), shapely.difference(free, shapely.union_all(drawn)), gap, joints=joints)


def off_joints(
    written: Written, put: Callable[[Written], Written | None], *smaller: Callable[[Written], Written | None]
) -> Written | None:
    """What `put` adds clear of joints, or what is `smaller` there; without room for either, what it adds anyway."""
    if shapely.is_empty(written.joints):
        return put(written)
    aside = replace(written, free=shapely.difference(written.free, shapely.buffer(written.joints, FROM_JOINT)))
    for each in (put, *smaller):
        try:
            found = each(aside)
        except NoRoomError:
            continue
        if found is not None and len(found.inscriptions) > len(written.inscriptions):
            added = found.inscriptions[len(written.inscriptions) :]
            used = [shapely.buffer(shapely.Polygon(one.box), written.gap, join_style="mitre") for one in added]
            return replace(found, free=shapely.difference(written.free, shapely.union_all(used)))
    return put(written)


@dataclass(frozen=True)
class Block:
    """Lines of (text, height) above one another, left-aligned, and the size of the box that they fill, mm."""

    lines: tuple[tuple[str, float], ...]
    width: float
    height: float


def block_of(lines: Sequence[tuple[str, float]]) -> Block:
    """The block of lines (text, height of its capitals in mm), the first at the top. Precondition: there is one."""
    tall = sum(sum(reach(text)) * height for text, height in lines)
    between = sum(BETWEEN * height for _, height in lines[1:])
    return Block(tuple(lines), max(text_width(*line) for line in lines), tall + between)


def with_lines(
    written: Written, block: Block, place: tuple[float, float], angle: float, *, kind: str = "text"
) -> Written:
    """The block added as an inscription of a kind, its box centred on `place` and turned by `angle`."""
    cos, sin = np.cos(angle), np.sin(angle)
    labels = []
    left, top = -0.5 * block.width, 0.5 * block.height
    for i, (text, height) in enumerate(block.lines):
        above, below = reach(text)
        top -= BETWEEN * height if i else 0.0
        ahead, base = left + BESIDE * height, top - above * height
        x, y = place[0] + cos * ahead - sin * base, place[1] + sin * ahead + cos * base
        labels.append(Label(float(x), float(y), height, angle, text))
        top = base - below * height
    return taken(written, tuple(labels), (), (*place, block.width, block.height, angle), kind=kind)


def taken(
    written: Written,
    labels: tuple[Label, ...],
    marks: tuple[Mark, ...],
    box: tuple[float, float, float, float, float],
    *,
    kind: str,
) -> Written:
    """The labels and marks added as an inscription of a kind, and their box (x, y, width, height, angle) taken from
    what is free."""
    x, y, width, height, angle = box
    used = shapely.Polygon(rectangle(x, y, width + 2 * written.gap, height + 2 * written.gap, angle))
    free = shapely.difference(written.free, used)
    return replace(
        written,
        labels=(*written.labels, *labels),
        marks=(*written.marks, *marks),
        free=free,
        inscriptions=(*written.inscriptions, Inscription(kind, rectangle(x, y, width, height, angle))),
    )


def upright(angle: float) -> float:
    """The angle, or its opposite, at which a text along a line is read from below or from the right."""
    turned = float(np.mod(angle + 0.5 * np.pi, np.pi) - 0.5 * np.pi)
    return 0.5 * np.pi if np.isclose(turned, -0.5 * np.pi) else turned


_SPOTS = (
    (LEAST_TEXT, 40, 1, 0.0),
    (LEAST_TEXT, 14, 2, 0.0),
    (LEAST_TEXT, 40, 1, 0.5 * np.pi),
    (SMALL_TEXT, 40, 1, 0.0),
    (SMALL_TEXT, 12, 2, 0.0),
    (SMALL_TEXT, 40, 1, 0.5 * np.pi),
    (SMALL_TEXT, 8, 3, 0.0),
)
"""How a short text at a place is written, tried in this order: height (mm), columns, lines, angle."""


def with_spot(
    written: Written, texts: Sequence[str], *, within: shapely.Geometry, near: Floats, level: bool = False
) -> Written | None:
    """The first of `texts` that has room in a part of the piece added, as near as can be to a point (2,).

    It is `level` or else, where that has no room, turned upwards. None where none has room.
    """
    free = shapely.intersection(written.free, within)
    for text in texts:
        for height, columns, most, angle in _SPOTS:
            lines = shortened(text, columns=columns, lines=most)
            if not lines or " ".join(lines) != one_line(text) or (level and angle):
                continue
            block = block_of([(line, height) for line in lines])
            place = free_place(free, block.width, block.height, angle=angle, near=(float(near[0]), float(near[1])))
            if place is not None:
                return with_lines(written, block, place, angle)
    return None


def with_line_name(written: Written, texts: Sequence[str], mark: Mark, *, height: float = LEAST_TEXT) -> Written:
    """The first of `texts` that has room beside a drawn line added, along it, near its middle; left out without room.

    On either side of it, above it first.
    """
    where, heading = along(mark.path, np.linspace(0.1, 0.9, 17) * length(mark.path))
    order = np.argsort(np.abs(np.hypot(*(where - where[8]).T) - _ASIDE), kind="stable")
    turns = np.array([upright(float(angle)) for angle in np.arctan2(heading[:, 1], heading[:, 0])])
    up = np.stack([-np.sin(turns), np.cos(turns)], axis=1)
    for text in texts:
        block = block_of([(one_line(text), height)])
        for side in (1.0, -1.0):
            middles = where + side * (0.5 * block.height + GAP + 0.5) * up
            found = _first_free(written, block, middles[order], turns[order])
            if found is not None:
                return found
    return written


def _first_free(written: Written, block: Block, middles: Floats, turns: Floats) -> Written | None:
    """The block added at the first of the places (k,2), each at its angle (k,), where it lies on nothing."""
    boxes = shapely.polygons(
        [
            rectangle(float(x), float(y), block.width, block.height, float(turn))
            for (x, y), turn in zip(middles, turns, strict=True)
        ]
    )
    shapely.prepare(written.free)
    free = np.flatnonzero(shapely.contains(written.free, boxes))
    if not len(free):
        return None
    x, y = middles[free[0]]
    return with_lines(written, block, (float(x), float(y)), float(turns[free[0]]))


def with_side_name(written: Written, texts: Sequence[str], path: Path, *, small: bool = False) -> Written | None:
    """The first of `texts` that has room inside a side of a counter-clockwise outline added, along it.

    The nearest to the side that has room, and there the nearest to its middle, in LEAST_TEXT where that has room and it
    is not to be `small`; None where none has.
    """
    whole = length(path)
    places = whole * np.array(sorted(np.linspace(0.1, 0.9, 33), key=lambda share: (round(abs(share - 0.5), 6), share)))
    where, heading = along(path, places)
    turns = np.array([upright(float(angle)) for angle in np.arctan2(heading[:, 1], heading[:, 0])])
    inward = np.stack([-heading[:, 1], heading[:, 0]], axis=1)
    for text in texts:
        for height in (SMALL_TEXT,) if small else (LEAST_TEXT, SMALL_TEXT):
            block = block_of([(one_line(text), height)])
            for depth in _DEPTHS:
                found = _first_free(written, block, where + depth * inward, turns)
                if found is not None:
                    return found
    return None


def with_number(written: Written, text: str, end: Floats, inward: Floats) -> Written:
    """A mark's number added beyond its inner `end` (2,), read square to the side; left out where no place is near."""
    block = block_of([(text, SMALL_TEXT)])
    turn = upright(float(np.arctan2(inward[1], inward[0])))
    beside = np.array([-inward[1], inward[0]])
    places = [
        end + (0.5 * block.width + GAP + depth) * inward + shift * beside
        for depth in _NUMBER_DEPTHS
        for shift in _SHIFTS
    ]
    found = _first_free(written, block, np.array(places), np.full(len(places), turn))
    return written if found is None else found
