"""Where pieces lie on leather: on few hides or beds, on as little of each as can be found, mates on like leather."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely

from flatten.sheet.ground import Ground
from flatten.sheet.spots import Grid, Item, Laid, Place, Sought, laid_shape

BUDGET = 3.0e7
"""Cells that are looked at in all, over every order that is tried: about a second of a small computer. Counted, not
timed, so that the same job gives the same places on every machine."""

_RUNS = 60
"""Orders that are tried at most: later ones find little."""

SOUGHT: tuple[Sought, ...] = ("along", "across", "both")
"""The ways in which places are sought, each tried with each order."""

_SEED = 20
"""Of the exchanges in the order that are tried by chance; the same at every run."""


@dataclass(frozen=True, eq=False)
class Nesting:
    """Where each item lies, None where it lies nowhere, and the grounds, in the order in which they are used.

    Grounds beyond those that there are were taken as further ones like the last.
    """

    places: tuple[Place | None, ...]
    grounds: tuple[Ground, ...]
    had: int

    def on(self, ground: int) -> tuple[int, ...]:
        """The items that lie on one of the grounds."""
        return tuple(k for k, place in enumerate(self.places) if place is not None and place.ground == ground)


@dataclass(frozen=True)
class _Way:
    """One way of laying: the units in their order, and what their places are sought by."""

    order: tuple[tuple[int, ...], ...]
    first: Sought


def nested(items: Sequence[Item], grounds: Sequence[Ground], *, more: int) -> Nesting:
    """Where items lie on grounds, and on up to `more` further ones like the last.

    Many orders are tried, and places sought for each item in turn from the tail or the lower left corner on; kept is
    what lays most leather, on the grounds that there are before further ones, on the fewest of them, and on the
    smallest part of each. Both of a pair of mates are laid together.

    Precondition: there is a ground.
    """
    if not items:
        return Nesting((), tuple(grounds), len(grounds))
    grids = [Grid(items, ground) for ground in grounds]
    cost = max(sum(map(len, one.turns)) * one.lattice.rows * one.lattice.columns for one in grids)
    units = _units(items)
    # Few units have few orders.
    most = min(_RUNS, len(SOUGHT) * math.factorial(min(len(units), 5)))
    runs = int(np.clip(BUDGET // max(cost, 1), min(4, most), most))
    best: tuple[tuple[float, ...], _Way, Nesting] | None = None
    ways = [_Way(order, first) for order in _orders(items, units) for first in SOUGHT]
    chance = np.random.default_rng(_SEED)
    for number in range(runs):
        if number < len(ways):
            way = ways[number]
        else:
            assert best is not None
            way = _exchanged(best[1], chance)
        found = _laid(way, items, grids, more)
        rank = score(found, items)
        if best is None or rank < best[0]:
            best = (rank, way, found)
    assert best is not None
    snug = _laid(best[1], items, grids, more, snug=True)
    return min((best[2], snug), key=lambda found: score(found, items))


def _units(items: Sequence[Item]) -> list[tuple[int, ...]]:
    """Items one by one, mates together."""
    return [
        (k,) if item.mate is None else (k, item.mate)
        for k, item in enumerate(items)
        if item.mate is None or k < item.mate
    ]


def _orders(items: Sequence[Item], units: Sequence[tuple[int, ...]]) -> list[tuple[tuple[int, ...], ...]]:
    """The orders that are tried first: the largest first, by area, by length, by height, by width."""

    def size(k: int, of: int) -> float:
        x0, y0, x1, y1 = items[k].shape.bounds
        return float((items[k].shape.area, max(x1 - x0, y1 - y0), y1 - y0, x1 - x0)[of])

    orders = [tuple(sorted(units, key=lambda unit: -max(size(k, of) for k in unit))) for of in range(4)]
    return list(dict.fromkeys(orders))


def _exchanged(way: _Way, chance: np.random.Generator) -> _Way:
    """The way with two units exchanged, and sought by chance."""
    order = list(way.order)
    if len(order) > 1:
        one, other = chance.choice(len(order), 2, replace=False)
        order[one], order[other] = order[other], order[one]
    return replace(way, order=tuple(order), first=SOUGHT[chance.integers(len(SOUGHT))])


def _laid(way: _Way, items: Sequence[Item], grids: Sequence[Grid], more: int, *, snug: bool = False) -> Nesting:
    """Items laid in an order, each on the first ground with room; mates on one ground where that can be."""
    waiting = [*grids, *[grids[-1]] * more]
    sheets: list[Laid] = []
    places: list[Place | None] = [None] * len(items)

    def lay(unit: tuple[int, ...]) -> bool:
        for number, grid in enumerate(waiting):
            empty = number == len(sheets)
            if empty:
                sheets.append(grid.empty())
            found = grid.lay(sheets[number], unit, first=way.first, snug=snug)
            if found is not None:
                for k, place in zip(unit, found, strict=True):
                    places[k] = replace(place, ground=number)
                return True
            if empty:
                sheets.pop()
                if number + 1 >= len(grids):
                    # All further ones are like this one, on which it does not lie though nothing lies there yet.
                    return False
                sheets.append(grid.empty())
        return False

    for unit in way.order:
        if not lay(unit) and len(unit) > 1:
            for k in unit:
                lay((k,))
    used = max((place.ground + 1 for place in places if place is not None), default=0)
    grounds = tuple(grid.ground for grid in waiting[: max(used, len(grids))])
    return Nesting(tuple(places), grounds, len(grids))


def score(found: Nesting, items: Sequence[Item]) -> tuple[float, ...]:
    """What is better is less: leather laid on the grounds that there are, further grounds, mates that do not lie on
    like leather, and how much of each ground is used up."""
    laid = [(item, place) for item, place in zip(items, found.places, strict=True) if place is not None]
    had = sum(item.shape.area for item, place in laid if place.ground < found.had)
    all_laid = sum(item.shape.area for item, _ in laid)
    unlike = sum(item.mate is not None and not place.like for item, place in laid)
    used = 0.0
    for number, ground in enumerate(found.grounds):
        shapes = [laid_shape(item.shape, place) for item, place in laid if place.ground == number]
        if shapes:
            used += _used(ground, shapes)
    # To the mm², and to a millionth of a ground: what is less is rounding.
    return (-round(had), -round(all_laid), len(found.grounds), unlike, round(used, 6))


NEARER = 0.5
"""What is lost of a hide's length for pieces that lie nearer to the backbone by its whole width: the best leather lies
there. From taste."""

CORNER = 0.01
"""Of a bed, what a smaller corner counts against a smaller strip: it tells apart what is else alike."""


def _used(ground: Ground, shapes: Sequence[shapely.Polygon]) -> float:
    """How much of a ground is used up, as a share of it.

    On a bed: the strip from its left, or from its lower edge, that holds all. On a hide: the strip from its tail, as
    what is left towards the neck is one piece from backbone to belly, and how far out the pieces lie.
    """
    (x0, y0), (x1, y1) = ground.outline.min(axis=0), ground.outline.max(axis=0)
    bounds = np.array([shape.bounds for shape in shapes])
    along = (bounds[:, 2].max() - x0) / (x1 - x0)
    if ground.kind == "bed":
        across = (bounds[:, 3].max() - y0) / (y1 - y0)
        return float(min(along, across) + CORNER * along * across)
    areas = np.array([shape.area for shape in shapes])
    out = np.abs([shape.centroid.y for shape in shapes]) / max(-y0, y1)
    return float(along + NEARER * (areas @ out) / areas.sum())
