"""Where a piece, or both of a pair, can lie on one leather beside what lies there already."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from typing import Any, Literal

import numpy as np
import shapely
from shapely import affinity

from flatten.mesh.surface import Flags, Floats
from flatten.sheet.cells import Lattice, clear, spectrum, touched, within
from flatten.sheet.ground import LIKE, Ground

CELLS = 60_000
"""Cells that a leather is looked at in: 6 mm each of a side, 1.5 mm of a machine's bed."""

FINEST = 1.0
"""mm. Cells are no smaller: what that would gain is less than a hand lays a piece by."""

SNUG = 0.01
"""mm by which shapes are taken smaller where they are looked at in cells: one that just fits must not fill the next
row of them."""

EXACT = 0.02
"""mm by which pieces may be nearer to each other, or to the margin, than was asked: SNUG of both, since that is how
they were placed."""

_ROUND = 24
"""Chords of a quarter circle, where shapes are grown by half the space between them."""

_FINENESS = 4
"""A piece is moved on, once it lies on a cell's corner, in steps of a half, a quarter, … of a cell, so many times
halved."""


Sought = Literal["along", "across", "both"]
"""What a place is sought by: how far a piece reaches along the leather first, or across it, or both taken together."""


@dataclass(frozen=True, eq=False)
class Item:
    """A piece to lay: its shape, mm, the angle of its grain (rad), and the number of its mate, the like piece for the
    other limb. A `small` one may lie on the belly where small pieces may."""

    shape: shapely.Polygon
    grain: float
    small: bool = False
    mate: int | None = None


@dataclass(frozen=True)
class Place:
    """Where an item lies: turned about its own origin by `turn` rad, then moved by (x, y) mm, on one of the grounds.

    `like`: it is one of a pair, and both lie on like leather.
    """

    x: float
    y: float
    turn: float
    ground: int = 0
    like: bool = False


def laid_shape(shape: shapely.Polygon, place: Place) -> shapely.Polygon:
    """A shape where it lies."""
    turned = affinity.rotate(shape, place.turn, origin=(0.0, 0.0), use_radians=True)
    return affinity.translate(turned, place.x, place.y)


@dataclass(eq=False)
class Laid:
    """What lies on one leather: shapes, and the cells taken by them and by what is not used, with their transforms."""

    taken: dict[bool, Flags]
    spectra: dict[bool, Floats] = field(default_factory=dict)
    shapes: list[shapely.Polygon] = field(default_factory=list)


@dataclass(frozen=True, eq=False)
class _Seen:
    """An item in one turn: its shape, the cells of it grown by half the space, their transform, and how far the lower
    left corner of the first cell is from the shape's own origin."""

    shape: shapely.Polygon
    cells: Flags
    own: Floats
    x: float
    y: float
    turn: float


class Grid:
    """One leather as cells, with the items in all their turns: kept, as transforms are costly."""

    def __init__(self, items: Sequence[Item], ground: Ground) -> None:
        """Cells of the leather."""
        self.items, self.ground, self.space = items, ground, ground.space
        self.turns = tuple(ground.turns(item.grain) for item in items)
        self._soft = tuple(ground.belly == "all" or (ground.belly != "none" and item.small) for item in items)
        self._usable = {soft: ground.usable(soft=soft) for soft in (False, True)}
        for usable in self._usable.values():
            shapely.prepare(usable)
        self.lattice = self._lattice()
        self._seen: dict[tuple[int, float], _Seen | None] = {}
        self._mirror_seen: dict[tuple[int, float], _Seen] = {}
        self._barred = {soft: ~within(self._grown(usable), self.lattice) for soft, usable in self._usable.items()}

    def _lattice(self) -> Lattice:
        x0, y0, x1, y1 = shapely.bounds(
            shapely.buffer(self._usable[True], 0.5 * self.space, join_style="mitre")
        ).tolist()
        if math.isnan(x0):
            return Lattice(0.0, 0.0, 1.0, 1, 1)
        cell = max(FINEST, math.sqrt((x1 - x0) * (y1 - y0) / CELLS))
        if self.ground.two_sided:
            # The backbone runs between two rows, so that mirrored places are cells' mirror images.
            y0 = math.floor(y0 / cell) * cell
            y1 = max(y1, -y0)
        return Lattice(x0, y0, cell, math.ceil((y1 - y0) / cell - SNUG), math.ceil((x1 - x0) / cell - SNUG))

    def _grown(self, usable: shapely.Geometry) -> shapely.Geometry:
        return shapely.buffer(usable, 0.5 * self.space + SNUG, join_style="mitre")

    def empty(self) -> Laid:
        """The leather with nothing on it."""
        return Laid({soft: barred.copy() for soft, barred in self._barred.items()})

    def lay(self, laid: Laid, unit: tuple[int, ...], *, first: Sought, snug: bool) -> tuple[Place, ...] | None:
        """Lay an item, or mates together, where it lies nearest to the tail or the lower left corner; None where there
        is no room. `first` tells what nearest means.

        Of mates that cannot both lie on like leather, each lies where it can. With `snug` they are moved on from the
        cells' corners until they meet what is beside them.
        """
        found = None
        if len(unit) == 2:
            mirrored = self.ground.two_sided and self._images(*unit)
            found = self._mirrored(laid, unit, first) if mirrored else self._level(laid, unit, first)
        if found is None:
            found = self._apart(laid, unit, first)
        if found is None:
            return None
        if snug:
            found = self._settled(laid, unit, found)
        for k, place in zip(unit, found, strict=True):
            self._put(laid, laid_shape(self.items[k].shape, place))
        return found

    def _put(self, laid: Laid, shape: shapely.Polygon) -> None:
        cells = touched(self._margin(shape), self.lattice)
        for taken in laid.taken.values():
            taken |= cells
        laid.spectra.clear()
        laid.shapes.append(shape)

    def _margin(self, shape: shapely.Polygon) -> shapely.Geometry:
        return shapely.buffer(shape, 0.5 * self.space - SNUG, quad_segs=_ROUND)

    def _turned(self, k: int, turn: float) -> _Seen | None:
        """An item in one turn; None where that is larger than the leather."""
        if (k, turn) not in self._seen:
            shape = affinity.rotate(self.items[k].shape, turn, origin=(0.0, 0.0), use_radians=True)
            grown = self._margin(shape)
            x0, y0, x1, y1 = shapely.bounds(grown).tolist()
            cell = self.lattice.cell
            rows, columns = math.ceil((y1 - y0) / cell), math.ceil((x1 - x0) / cell)
            if rows > self.lattice.rows or columns > self.lattice.columns:
                self._seen[k, turn] = None
            else:
                cells = touched(grown, Lattice(x0, y0, cell, rows, columns))
                self._seen[k, turn] = _Seen(shape, cells, spectrum(cells, self.lattice), -x0, -y0, turn)
        return self._seen[k, turn]

    def _free(self, laid: Laid, k: int, seen: _Seen) -> Flags:
        """The cells that an item's lowest left one may have."""
        soft = self._soft[k]
        if soft not in laid.spectra:
            laid.spectra[soft] = spectrum(laid.taken[soft], self.lattice)
        return clear(seen.cells, seen.own, laid.spectra[soft], self.lattice)

    def _views(self, k: int) -> Iterator[_Seen]:
        for turn in self.turns[k]:
            seen = self._turned(k, turn)
            if seen is not None:
                yield seen

    def _reach(self, seen: _Seen, free: Flags) -> tuple[Floats, Floats]:
        """How far an item reaches from the tail (columns,), and from the backbone or the bed's lower edge (rows,)."""
        rows, columns = (np.arange(n, dtype=float) for n in free.shape)
        low = self.lattice.y + rows * self.lattice.cell
        high = low + seen.cells.shape[0] * self.lattice.cell
        across = np.maximum(np.abs(low), np.abs(high)) if self.ground.two_sided else high
        return columns + seen.cells.shape[1], across / self.lattice.cell

    def _nearest(self, seen: _Seen, free: Flags, first: Sought) -> tuple[tuple[float, float], int, int] | None:
        """The free row and column from which an item reaches least, and how far it does."""
        if not free.any():
            return None
        ahead, aside = self._reach(seen, free)
        if first == "along":
            column = int(np.argmax(free.any(axis=0)))
            rows = np.flatnonzero(free[:, column])
            row = int(rows[np.argmin(aside[rows])])
            return (float(ahead[column]), float(aside[row])), row, column
        if first == "across":
            rows = np.flatnonzero(free.any(axis=1))
            row = int(rows[np.argmin(aside[rows])])
            column = int(np.argmax(free[row]))
            return (float(aside[row]), float(ahead[column])), row, column
        away = np.where(free, ahead[None] + aside[:, None], np.inf)
        row, column = (int(at) for at in np.unravel_index(np.argmin(away), away.shape))
        return (float(away[row, column]), float(ahead[column])), row, column

    def _place(self, seen: _Seen, row: int, column: int, *, like: bool = False) -> Place:
        cell = self.lattice.cell
        x, y = self.lattice.x + column * cell + seen.x, self.lattice.y + row * cell + seen.y
        return Place(x, y, seen.turn, like=like)

    def _single(self, laid: Laid, k: int, first: Sought) -> tuple[_Seen, int, int] | None:
        """The turn, row and column in which an item reaches least."""
        best: tuple[tuple[float, float], _Seen, int, int] | None = None
        for seen in self._views(k):
            free = self._free(laid, k, seen)
            found = self._nearest(seen, free, first)
            if found is not None and (best is None or found[0] < best[0]):
                best = (found[0], seen, *found[1:])
        return None if best is None else best[1:]

    def _apart(self, laid: Laid, unit: tuple[int, ...], first: Sought) -> tuple[Place, ...] | None:
        """Places of items each by itself, those before it being there; None unless there is room for all."""
        trial = Laid({soft: taken.copy() for soft, taken in laid.taken.items()}, dict(laid.spectra))
        places = []
        for number, k in enumerate(unit):
            found = self._single(trial, k, first)
            if found is None:
                return None
            places.append(self._place(*found))
            if number + 1 < len(unit):
                self._put(trial, laid_shape(self.items[k].shape, places[-1]))
        return tuple(places)

    def _mirrored(self, laid: Laid, unit: tuple[int, ...], first: Sought) -> tuple[Place, ...] | None:
        """Places of mates that mirror each other about the backbone, each wholly on its own side of it."""
        best: tuple[tuple[float, float], tuple[Place, Place]] | None = None
        mine, other = unit
        middle = round(-self.lattice.y / self.lattice.cell)
        for seen in self._views(mine):
            mate = self._image(other, seen)
            if mate is None:
                continue
            own, its = self._free(laid, mine, seen), self._free(laid, other, mate)
            height = seen.cells.shape[0]
            # The mirror image of cells from row r on begins 2·middle − r − height.
            rows = np.arange(own.shape[0])
            images = 2 * middle - rows - height
            beside = (rows >= middle) | (rows + height <= middle)
            there = beside & (images >= 0) & (images < its.shape[0])
            both = np.zeros_like(own)
            both[there] = own[there] & its[images[there]]
            found = self._nearest(seen, both, first)
            if found is not None and (best is None or found[0] < best[0]):
                _, row, column = found
                place = self._place(seen, row, column, like=True)
                image = Place(place.x, -place.y, mate.turn, like=True)
                best = (found[0], (place, image))
        return None if best is None else best[1]

    def _level(self, laid: Laid, unit: tuple[int, ...], first: Sought) -> tuple[Place, ...] | None:
        """Places of mates as far from the backbone as each other, within LIKE; None where that cannot be had."""
        if self.ground.kind != "hide":
            return None
        mine, other = unit
        start = self._single(laid, mine, first)
        if start is None:
            return None
        seen, row, column = start
        place = self._place(seen, row, column, like=True)
        trial = Laid({soft: taken.copy() for soft, taken in laid.taken.items()})
        self._put(trial, laid_shape(self.items[mine].shape, place))
        level = self._from_backbone(laid_shape(self.items[mine].shape, place).centroid.y)
        best: tuple[tuple[float, float], Place] | None = None
        for mate in self._views(other):
            free = self._free(trial, other, mate)
            middle = mate.shape.centroid.y + mate.y
            heights = self.lattice.y + np.arange(free.shape[0]) * self.lattice.cell + middle
            free[np.abs(self._from_backbone(heights) - level) > LIKE - self.lattice.cell] = False
            found = self._nearest(mate, free, "along")
            if found is not None and (best is None or found[0] < best[0]):
                best = (found[0], self._place(mate, *found[1:], like=True))
        return None if best is None else (place, best[1])

    def _from_backbone(self, across: Any) -> Any:
        return np.abs(across) if self.ground.two_sided else across

    def _images(self, k: int, mate: int) -> bool:
        """Whether two items are each other's exact mirror images about x = 0."""
        one, other = self.items[k].shape, self.items[mate].shape
        image = affinity.scale(one, -1.0, 1.0, origin=(0.0, 0.0))
        return bool(shapely.symmetric_difference(image, other).area < EXACT * one.length)

    def _image(self, k: int, seen: _Seen) -> _Seen | None:
        """The mate of an item seen in one turn, as its mirror image across the backbone; None where its grain does not
        allow that turn."""
        turn = math.pi - seen.turn
        allowed = [own for own in self.turns[k] if abs(math.remainder(own - turn, 2.0 * math.pi)) < 1e-9]
        if not allowed:
            return None
        if (k, allowed[0]) not in self._mirror_seen:
            shape = affinity.scale(seen.shape, 1.0, -1.0, origin=(0.0, 0.0))
            cells = seen.cells[::-1]
            found = _Seen(shape, cells, spectrum(cells, self.lattice), seen.x, -seen.y, allowed[0])
            self._mirror_seen[k, allowed[0]] = found
        return self._mirror_seen[k, allowed[0]]

    def fits(self, laid: Laid, shapes: Sequence[shapely.Polygon], soft: bool) -> bool:
        """Whether shapes lie where pieces may, `space` from all that lies there and from each other, within EXACT."""
        for number, shape in enumerate(shapes):
            inner = shapely.buffer(shape, -EXACT)
            if not shapely.contains_properly(self._usable[soft], inner):
                return False
            beside = [*laid.shapes, *shapes[:number]]
            if any(shapely.dwithin(shape, other, self.space - EXACT) for other in beside):
                return False
        return True

    def _settled(self, laid: Laid, unit: tuple[int, ...], places: tuple[Place, ...]) -> tuple[Place, ...]:
        """Places moved towards the tail and then the backbone (the lower edge) until something is met, by a cell or two
        at most; mates that mirror each other stay so."""
        soft = all(self._soft[k] for k in unit)
        mirrored = len(unit) == 2 and self.ground.two_sided and places[0].like
        groups = [tuple(range(len(unit)))] if mirrored else [(n,) for n in range(len(unit))]
        found = list(places)
        for group in groups:
            others = [laid_shape(self.items[unit[n]].shape, found[n]) for n in range(len(unit)) if n not in group]
            beside = Laid({}, {}, [*laid.shapes, *others])
            for way in ("back", "down"):
                if way == "down" and places[0].like and not mirrored:
                    continue
                for halved in range(_FINENESS):
                    step = self.lattice.cell / 2**halved
                    for _ in range(2):
                        tried = {n: self._stepped(unit[n], found[n], way, step) for n in group}
                        shapes = [laid_shape(self.items[unit[n]].shape, tried[n]) for n in group]
                        if not self.fits(beside, shapes, soft):
                            break
                        for n in group:
                            found[n] = tried[n]
        return tuple(found)

    def _stepped(self, k: int, place: Place, way: str, step: float) -> Place:
        """An item's place one step nearer to the tail, or to the backbone (the lower edge)."""
        if way == "back":
            return replace(place, x=place.x - step)
        middle = laid_shape(self.items[k].shape, place).centroid.y
        return replace(place, y=place.y - step * (math.copysign(1.0, middle) if self.ground.two_sided else 1.0))
