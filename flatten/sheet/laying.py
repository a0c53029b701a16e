"""Pieces laid on leather: each thickness on its own hides or beds, and what finds no room there."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely

from flatten.pattern.model import Piece
from flatten.pattern.path import area, polyline
from flatten.sheet.ground import Ground
from flatten.sheet.layout import moved_piece
from flatten.sheet.nesting import Nesting, nested, score
from flatten.sheet.splits import Split
from flatten.sheet.spots import Item, Place
from flatten.sheet.turned import turned_piece

SMALL = 10_000.0
"""mm². A piece of less is small: a palm's size, in which a stretchy spot does not show. From memory."""

MOST_MORE = 20
"""Further hides, or beds, that are taken at most."""

CHORDS = 0.05
"""mm by which the shapes that are laid leave a piece's own arcs at most."""


@dataclass(frozen=True, eq=False)
class Wanted:
    """A piece to lay, the angle of its grain (rad), and the number of the like piece for the other limb."""

    piece: Piece
    grain: float
    mate: int | None = None


@dataclass(frozen=True, eq=False)
class Layout:
    """One leather or bed and what lies on it: the numbers of the pieces, their places, and the pieces as they lie."""

    ground: Ground
    numbers: tuple[int, ...]
    places: tuple[Place, ...]
    pieces: tuple[Piece, ...]

    @property
    def covered(self) -> float:
        """Area of the pieces on it, mm²."""
        return sum(abs(area(piece.outline)) for piece in self.pieces)

    @property
    def share(self) -> float:
        """The share of it that the pieces are: its yield."""
        return self.covered / self.ground.area

    @property
    def used(self) -> float:
        """How far from its tail, or its left edge, the pieces reach, mm."""
        ends = [shape_of(piece).bounds[2] for piece in self.pieces]
        return float(max(ends) - self.ground.outline[:, 0].min()) if ends else 0.0


@dataclass(frozen=True)
class Short:
    """What finds no room on leather of a thickness: the numbers of the pieces, how many `more` such leathers hold all
    of them (0: there is no leather of that thickness), and which of them lie on none, being too `large`."""

    thickness: float
    pieces: tuple[int, ...]
    more: int
    large: tuple[int, ...]


@dataclass(frozen=True, eq=False)
class Laying:
    """All pieces of a job on leather; `pairs` are mates by number, and whether they lie on like leather. `splits` tell
    how pieces that are too large for a bed can be made to fit."""

    wanted: tuple[Wanted, ...]
    layouts: tuple[Layout, ...]
    short: tuple[Short, ...]
    pairs: tuple[tuple[int, int, bool], ...]
    splits: tuple[Split, ...] = ()


def shape_of(piece: Piece) -> shapely.Polygon:
    """The polygon of a piece's outline, within CHORDS of it."""
    return shapely.Polygon(polyline(piece.outline, CHORDS))


def laid_on_hides(wanted: Sequence[Wanted], grounds: Sequence[Ground]) -> Laying:
    """Pieces on hides, each on one of its own thickness; both of a pair on like leather where that can be."""
    layouts: list[Layout] = []
    short: list[Short] = []
    pairs: list[tuple[int, int, bool]] = []
    for thickness, numbers in _by_thickness(wanted):
        own = [ground for ground in grounds if np.isclose(ground.thickness, thickness)]
        if not own:
            short.append(Short(thickness, numbers, 0, ()))
            continue
        items = _items(wanted, numbers, mates=True)
        found = nested(items, own, more=MOST_MORE)
        layouts += _layouts(wanted, numbers, found, found.had)
        missing = [k for k, place in enumerate(found.places) if place is None or place.ground >= found.had]
        if missing:
            large = tuple(numbers[k] for k in missing if found.places[k] is None)
            left = tuple(numbers[k] for k in missing)
            short.append(Short(thickness, left, len(found.grounds) - found.had, large))
        for k, item in enumerate(items):
            if item.mate is not None and k < item.mate:
                places = found.places[k], found.places[item.mate]
                if all(place is not None and place.ground < found.had for place in places):
                    pairs.append((numbers[k], numbers[item.mate], all(place.like for place in places if place)))
    return Laying(tuple(wanted), tuple(layouts), tuple(short), tuple(pairs))


def laid_on_beds(wanted: Sequence[Wanted], bed: Ground) -> Laying:
    """Pieces on as many beds as it takes, each with pieces of one thickness and all grain along one of its sides."""
    layouts: list[Layout] = []
    short: list[Short] = []
    for thickness, numbers in _by_thickness(wanted):
        items = _items(wanted, numbers, mates=False)
        ways = [replace(bed, thickness=thickness, upright=upright) for upright in (True, False)]
        tried = [nested(items, [way], more=MOST_MORE) for way in ways]
        found = min(tried, key=lambda one: score(one, items)[1:])
        layouts += _layouts(wanted, numbers, found, len(found.grounds))
        large = tuple(numbers[k] for k, place in enumerate(found.places) if place is None)
        if large:
            short.append(Short(thickness, large, 0, large))
    return Laying(tuple(wanted), tuple(layout for layout in layouts if layout.pieces), tuple(short), ())


def _by_thickness(wanted: Sequence[Wanted]) -> list[tuple[float, tuple[int, ...]]]:
    found: dict[float, list[int]] = {}
    for number, one in enumerate(wanted):
        found.setdefault(one.piece.thickness, []).append(number)
    return [(thickness, tuple(numbers)) for thickness, numbers in found.items()]


def _items(wanted: Sequence[Wanted], numbers: Sequence[int], *, mates: bool) -> list[Item]:
    items = []
    for number in numbers:
        one = wanted[number]
        mate = numbers.index(one.mate) if mates and one.mate in numbers else None
        small = abs(area(one.piece.outline)) < SMALL or one.piece.part == "lining"
        items.append(Item(shape_of(one.piece), one.grain, small, mate))
    return items


def _layouts(wanted: Sequence[Wanted], numbers: Sequence[int], found: Nesting, count: int) -> list[Layout]:
    layouts = []
    for ground in range(count):
        on = found.on(ground)
        places = tuple(place for k in on if (place := found.places[k]) is not None)
        pieces = tuple(laid_piece(wanted[numbers[k]].piece, place) for k, place in zip(on, places, strict=True))
        layouts.append(Layout(found.grounds[ground], tuple(numbers[k] for k in on), places, pieces))
    return layouts


def laid_piece(piece: Piece, place: Place) -> Piece:
    """The piece with all that is drawn on it, turned about the origin and moved to its place."""
    return moved_piece(turned_piece(piece, place.turn), place.x, place.y)
