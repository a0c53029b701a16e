"""A piece as it will be cut: its size, its holes, and a small drawing of it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from flatten.findings import Message, message
from flatten.leather.amount import leather_mass
from flatten.leather.messages import amount_message
from flatten.pattern.cutting import cut_line
from flatten.pattern.model import Hole, Piece
from flatten.pattern.path import area, bounds, length, polyline
from flatten.pattern.rims import cross, slot_rim
from flatten.report.picture import Note, Picture, Stroke, line

SAGITTA = 0.2
"""mm. A drawn arc may leave the true one by this much: below a hair's width at the size of the page."""

LEAST_ROOM = 300.0
"""mm of width that the picture of a piece has at least: a small piece is not blown up."""

_ABOVE, _BELOW, _BESIDE = 6.0, 22.0, 46.0
"""mm free above and to the right of a piece, below it and to its left, where its size is written."""


@dataclass(frozen=True)
class PieceShown:
    """A piece for the page: what it is called, its size and holes, its area mm², and its drawing."""

    title: Message
    size: Message
    area: float
    picture: Picture


@dataclass(frozen=True)
class HoleCount:
    """How many holes of one kind and size a piece has; `diameter` is a slot's width, `length` (mm) 0 for round ones.

    `after`: they are marked through the other layer after forming.
    """

    kind: str
    diameter: float
    length: float
    after: bool
    count: int


@dataclass(frozen=True)
class Amount:
    """How much leather of one `thickness` (mm) pieces take together: `area` mm² and `mass` g."""

    thickness: float
    area: float
    mass: float


def amounts(pieces: Sequence[Piece]) -> tuple[Amount, ...]:
    """What pieces take of leather of each thickness, in the order in which each first appears.

    Raises LeatherError where a leather has no thickness.
    """
    areas: dict[float, float] = {}
    for piece in pieces:
        areas[piece.thickness] = areas.get(piece.thickness, 0.0) + piece_area(piece)
    return tuple(Amount(own, area, leather_mass(area, thickness=own)) for own, area in areas.items())


def amount_messages(pieces: Sequence[Piece]) -> list[Message]:
    """How much leather of each thickness to buy for pieces, and what they weigh.

    Raises LeatherError where a leather has no thickness.
    """
    return [amount_message(one.area, mass=one.mass, thickness=one.thickness) for one in amounts(pieces)]


def hole_counts(*pieces: Piece) -> list[HoleCount]:
    """Pieces' holes by kind and size and when they are made, in the order in which each first appears."""
    sizes = [
        (hole.kind, hole.diameter, hole.run + hole.diameter if hole.run else 0.0, hole.after)
        for piece in pieces
        for hole in piece.holes
    ]
    return [HoleCount(*size, sizes.count(size)) for size in dict.fromkeys(sizes)]


def piece_size(piece: Piece) -> tuple[float, float]:
    """Width and height of a piece's outline, mm."""
    left, bottom, right, top = bounds(piece.outline)
    return right - left, top - bottom


def piece_area(piece: Piece) -> float:
    """Area inside the line that is cut round a piece, mm²; its holes are not taken off, they are bought too."""
    return abs(area(cut_line(piece)))


def piece_title(piece: Piece) -> Message:
    """A piece's name and side, "Whole, left"."""
    return message("report.piece title", piece=piece.name, side=piece.side)


def size_message(piece: Piece) -> Message:
    """Size, area, length of the cut and holes of a piece."""
    width, height = piece_size(piece)
    return message(
        "report.piece size",
        width=width,
        height=height,
        area=piece_area(piece),
        cut=length(piece.outline),
        holes=hole_messages(each for each in hole_counts(piece) if not each.after),
        after=hole_messages(each for each in hole_counts(piece) if each.after),
    )


def hole_messages(counted: Iterable[HoleCount]) -> tuple[Message, ...]:
    """How many holes there are of each kind and size; slots of one width are told together, whatever their lengths."""
    groups: dict[tuple[str, float], list[HoleCount]] = {}
    for each in counted:
        groups.setdefault(("slot" if each.length else each.kind, each.diameter), []).append(each)
    return tuple(_holes(group) for group in groups.values())


def _holes(group: Sequence[HoleCount]) -> Message:
    first, count = group[0], sum(each.count for each in group)
    if not first.length:
        return message("report.holes", hole=first.kind, diameter=first.diameter, count=count)
    lengths = [each.length for each in group]
    return message("report.slots", width=first.diameter, shortest=min(lengths), longest=max(lengths), count=count)


def shown_pieces(pieces: Sequence[Piece]) -> tuple[PieceShown, ...]:
    """Pieces for the page, as the wearer sees them, grain side up, all at one scale."""
    room = max((piece_size(piece)[0] for piece in pieces), default=0.0)
    return tuple(
        PieceShown(
            piece_title(piece),
            size_message(piece),
            piece_area(piece),
            _picture(piece, max(room, LEAST_ROOM)),
        )
        for piece in pieces
    )


def _picture(piece: Piece, room: float) -> Picture:
    """A piece with its width and height written beside it, in a picture with `room` mm for its width."""
    left, bottom, right, top = bounds(piece.outline)
    outline = Stroke(line(polyline(piece.outline, SAGITTA), closed=True), "piece")
    width, height = right - left, top - bottom
    notes = (
        Note(0.5 * (left + right), -bottom + 16.0, message("mm", value=width), "size", "middle"),
        Note(left - 5.0, -0.5 * (bottom + top), message("mm", value=height), "size", "end"),
    )
    return Picture(
        message("picture.outline", piece=piece.name, width=width, height=height),
        (left - _BESIDE, -top - _ABOVE, room + _BESIDE + _ABOVE, height + _ABOVE + _BELOW),
        (outline, *_untooled(piece), *hole_strokes(piece.holes)),
        notes,
    )


def _untooled(piece: Piece) -> list[Stroke]:
    """The zones of a piece that are not to be carved or stamped."""
    rims = ([line(polyline(rim, SAGITTA), closed=True) for rim in zone.rims] for zone in piece.untooled)
    return [Stroke("".join(paths), "untooled") for paths in rims]


def hole_strokes(holes: Sequence[Hole], *, moved: tuple[float, float] = (0.0, 0.0)) -> list[Stroke]:
    """Holes as strokes, moved by (x, y) mm."""
    placed = [replace(hole, x=hole.x + moved[0], y=hole.y + moved[1]) for hole in holes]
    return [Stroke(_crossed(hole), "marked") if hole.after else Stroke(_rim(hole), "hole") for hole in placed]


def _crossed(hole: Hole) -> str:
    return _rim(hole) + "".join(line(path.points) for path in cross(hole))


def _rim(hole: Hole) -> str:
    if hole.run:
        return line(polyline(slot_rim(hole), SAGITTA), closed=True)
    return _circle(hole.x, hole.y, 0.5 * hole.diameter)


def _circle(x: float, y: float, radius: float) -> str:
    turn = np.linspace(0.0, 2 * np.pi, 16, endpoint=False)
    return line(np.column_stack([x + radius * np.cos(turn), y + radius * np.sin(turn)]), closed=True)
