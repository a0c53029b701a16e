"""A mended proposal for a drawing that cannot be woven, and for a width that cannot be carved."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from flatten.findings import Message, message
from flatten.mesh.surface import Floats
from flatten.ornament.bands import carved, check_measures
from flatten.ornament.crossings import RIM, lengths_along
from flatten.ornament.model import Carving, Region, Strand, Weave
from flatten.ornament.trouble import Trouble, TroubleError
from flatten.ornament.weave import woven

ROUNDS = 4
"""Times that a drawing with n troubles may be changed, for each of them and once more: a change may make new ones."""

ROOM = (1.5, 2.5, 4.0)
"""How many times the room of a square crossing a strand may swerve, the least that does: three strands seldom meet
square."""

FINE = 32
"""Points in a part of a strand that is moved aside, on each slope: it turns by less than 4 degrees at each."""

NARROWER = 0.5
"""mm. Steps in which a narrower band is sought: less is no difference to an eye."""


@dataclass(frozen=True, eq=False)
class Mended:
    """Strands that weave, and what was changed to that end, `told` in order."""

    strands: tuple[Strand, ...]
    weave: Weave
    told: tuple[Message, ...]


def mended(strands: Sequence[Strand], field: Region, *, width: float, apart: float) -> Mended:
    """A proposal: the strands, changed where they cannot be woven in a field, so that they can.

    An open end is joined with another that is nearer than the rim, or drawn on straight to the rim; where strands
    touch, lie on each other, or three pass through one point, one of them swerves on the side that leaves least
    trouble, so far that bands `width` mm wide and broken by `apart` mm have room beside each other; where a loop cannot
    alternate, strands are cut at the rim. A drawing that weaves comes back as it is, whatever room bands have on it
    (see `narrowed`).

    Raises OrnamentError where a strand is no line or a measure is none, TroubleError with what is left where it
    cannot be mended in this way.
    """
    check_measures(width, apart)
    now = tuple(strands)
    changes: list[Message] = []
    troubles = _troubles(now, field)
    for _ in range(ROUNDS * (len(troubles) + 1)):
        if not troubles:
            return Mended(now, woven(now, field=field), tuple(changes))
        # Ends first: where one is drawn on, it may pass through what else is wrong.
        worst = min(troubles, key=lambda each: (each.kind != "end", each.kind == "odd"))
        now, change = _changed(now, worst, field, width, apart)
        changes.append(change)
        troubles = _troubles(now, field)
    raise TroubleError(troubles)


def narrowed(weave: Weave, *, width: float, apart: float, field: Region) -> Carving:
    """What is carved with the widest bands, up to `width` mm in steps of NARROWER, that the weave has room for.

    Raises TroubleError, of the narrowest, where none has room, and OrnamentError as `carved` does.
    """
    while True:
        try:
            return carved(weave, width=width, apart=apart, field=field)
        except TroubleError:
            if width - NARROWER < NARROWER:
                raise
            width -= NARROWER


def _troubles(strands: Sequence[Strand], field: Region) -> tuple[Trouble, ...]:
    try:
        woven(strands, field=field)
    except TroubleError as error:
        return error.troubles
    return ()


def _changed(
    strands: tuple[Strand, ...], trouble: Trouble, field: Region, width: float, apart: float
) -> tuple[tuple[Strand, ...], Message]:
    """The strands with one trouble mended, and what was done. Raises TroubleError where nothing can be done."""
    x, y = trouble.x, trouble.y
    match trouble.kind:
        case "end":
            return _ended(strands, trouble, field)
        case "odd":
            cut = _cut(strands, field)
            if _same(cut, strands):
                raise TroubleError([trouble])
            return cut, message("mend.cut", x=x, y=y)
        case _:
            # A crossing at right angles takes a width and two distances along the strand beneath; the three that come
            # of one point lie about as far apart as the strand has swerved.
            tries = [
                (room * (width + 2.0 * apart), each)
                for room in ROOM
                for each in _swerves(strands, trouble, room * (width + 2.0 * apart))
            ]

            def left(tried: tuple[float, tuple[Strand, ...]]) -> tuple[int, int]:
                own = tuple(tried[1][number] for number in trouble.strands)
                return len(_troubles(tried[1], field)), _crowded(own, field, width, apart)

            aside, least = min(tries, key=left)
            return least, message("mend.aside", x=x, y=y, aside=aside)


def _crowded(strands: Sequence[Strand], field: Region, width: float, apart: float) -> int:
    """How many troubles strands have as bands, or as strands where they do not weave."""
    try:
        carved(woven(strands, field=field), width=width, apart=apart, field=field)
    except TroubleError as error:
        return len(error.troubles)
    return 0


def _same(one: Sequence[Strand], other: Sequence[Strand]) -> bool:
    return len(one) == len(other) and all(a.points is b.points for a, b in zip(one, other, strict=True))


def _ended(strands: tuple[Strand, ...], trouble: Trouble, field: Region) -> tuple[tuple[Strand, ...], Message]:
    """The strand that ends in the field joined with the nearest other end in it, or drawn on to the rim."""
    here = np.array([trouble.x, trouble.y])
    number = trouble.strands[0]
    own = strands[number].points
    own = own if np.hypot(*(own[-1] - here)) <= np.hypot(*(own[0] - here)) else own[::-1]
    way = (own[-1] - own[-2]) / np.hypot(*(own[-1] - own[-2]))
    low, high = np.array(shapely.bounds(field.shape)).reshape(2, 2)
    ray = shapely.LineString([own[-1], own[-1] + np.hypot(*(high - low)) * way])
    inside = shapely.get_parts(shapely.intersection(ray, field.shape)).tolist()
    ahead = next(
        shapely.get_coordinates(part)
        for part in inside
        if shapely.distance(part, shapely.Point(own[-1])) <= RIM and shapely.length(part) > 0.0
    )
    rim = ahead[np.argmax(np.hypot(*(ahead - own[-1]).T))]
    ends = [
        (float(np.hypot(*(points[-1] - own[-1]))), other, points)
        for other, strand in enumerate(strands)
        if not strand.closed
        for points in ((strand.points, strand.points[::-1]) if other != number else (own[::-1],))
        if shapely.contains_xy(field.shape, *points[-1])
    ]
    near = min(ends, key=lambda each: each[0], default=None)
    rest = list(strands)
    if near is None or near[0] >= np.hypot(*(rim - own[-1])):
        rest[number] = Strand(np.concatenate([own, [rim]]))
        return tuple(rest), message("mend.drawn on", x=trouble.x, y=trouble.y)
    _, other, points = near
    bridge = _bridge(own, points)
    if other == number:
        rest[number] = Strand(np.concatenate([own, bridge]), closed=True)
    else:
        rest[number] = Strand(np.concatenate([own, bridge, points[::-1]]))
        del rest[other]
    return tuple(rest), message("mend.joined", x=trouble.x, y=trouble.y)


def _bridge(one: Floats, other: Floats) -> Floats:
    """Points between the last points of two lines, on a smooth curve (Hermite's cubic) that goes on as both do; none
    where they are one point."""
    a, b = one[-1], other[-1]
    far = np.hypot(*(b - a))
    leaving, arriving = a - one[-2], other[-2] - b
    p, q = far * leaving / np.hypot(*leaving), far * arriving / np.hypot(*arriving)
    t = np.linspace(0.0, 1.0, 2 * FINE)[1:-1, None]
    curve = (2 * t**3 - 3 * t**2 + 1) * a + (t**3 - 2 * t**2 + t) * p + (3 * t**2 - 2 * t**3) * b + (t**3 - t**2) * q
    return curve if far > RIM else np.zeros((0, 2))


def _cut(strands: tuple[Strand, ...], field: Region) -> tuple[Strand, ...]:
    """What of the strands lies in the field; a strand that lies in it whole is itself."""
    pieces: list[Strand] = []
    for strand in strands:
        points = strand.points if not strand.closed else np.concatenate([strand.points, strand.points[:1]])
        line = shapely.LineString(points)
        if shapely.covers(shapely.buffer(field.shape, RIM), line):
            pieces.append(strand)
            continue
        inside = shapely.intersection(line, field.shape)
        # A closed strand is drawn from a point of its own, which may lie inside: no end there.
        merged = shapely.line_merge(inside) if isinstance(inside, shapely.MultiLineString) else inside
        pieces += [
            Strand(shapely.get_coordinates(part))
            for part in shapely.get_parts(merged).tolist()
            if isinstance(part, shapely.LineString) and shapely.length(part) > RIM
        ]
    return tuple(pieces)


def _swerves(strands: tuple[Strand, ...], trouble: Trouble, aside: float) -> Iterator[tuple[Strand, ...]]:
    """The strands with one of those in a trouble moved aside there, each to both sides."""
    for number in trouble.strands:
        for way in (aside, -aside):
            moved = _swerved(strands[number], np.array([trouble.x, trouble.y]), way, 0.5 * trouble.measure)
            yield (*strands[:number], moved, *strands[number + 1 :])


def _swerved(strand: Strand, place: Floats, aside: float, flat: float) -> Strand:
    """A strand moved to its left by `aside` mm where it passes a place, for `flat` mm to both sides, and from there
    smoothly back to its course."""
    slope = 3.0 * abs(aside)
    points = strand.points if not strand.closed else np.concatenate([strand.points, strand.points[:1]])
    line = shapely.LineString(points)
    at = float(shapely.line_locate_point(line, shapely.Point(place)))
    along, total = lengths_along(strand), float(shapely.length(line))
    reach = flat + slope
    extra = at + np.linspace(-reach, reach, 2 * FINE + 1 + int(2 * flat / slope * FINE))
    extra = extra % total if strand.closed else extra[(extra > 0.0) & (extra < total)]
    marks = np.unique(np.concatenate([along, extra]))
    here = _at(along, points, marks)
    away = np.abs(marks - at)
    away = np.minimum(away, total - away) if strand.closed else away
    share = np.clip((away - flat) / slope, 0.0, 1.0)
    ahead, behind = marks + 0.05 * slope, marks - 0.05 * slope
    if strand.closed:
        chord = _at(along, points, ahead % total) - _at(along, points, behind % total)
    else:
        chord = _at(along, points, np.minimum(ahead, total)) - _at(along, points, np.maximum(behind, 0.0))
    left = np.stack([-chord[:, 1], chord[:, 0]], axis=1) / np.hypot(*chord.T)[:, None]
    moved = here + aside * 0.5 * (1.0 + np.cos(np.pi * share))[:, None] * left
    return Strand(moved[:-1] if strand.closed else moved, strand.closed)


def _at(along: Floats, points: Floats, place: Floats) -> Floats:
    """The points (m,2) of a line at places along it."""
    return np.stack([np.interp(place, along, points[:, 0]), np.interp(place, along, points[:, 1])], axis=1)
