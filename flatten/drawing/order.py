"""What a machine follows: nothing twice and nothing without length, inner cuts before outlines, with little travel."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Sequence
from dataclasses import replace
from typing import TypeVar

import numpy as np

from flatten.drawing.model import CUT_LAYERS, OUTLINES, Circle, Layer
from flatten.mesh.surface import Floats
from flatten.pattern.model import Path
from flatten.pattern.path import area, spans

STUB = 1e-3
"""mm. A span shorter than this has no length: writers keep ten-thousandths, and a machine's step is a hundredth."""

_PLACES = 4
"""Decimals by which two places are told apart: as many as a writer keeps."""

_Drawn = TypeVar("_Drawn", Path, Circle)


def in_cutting_order(layers: Sequence[Layer]) -> tuple[Layer, ...]:
    """The layers as they are cut: what is only drawn, then CUT_LAYERS in turn, each without doubles and stubs.

    In a layer of cuts slots come before round holes, each next to the one before it, from the lower left on; outlines
    come by their area, the smallest first, so that nothing is cut out of a piece that already lies loose.
    """
    drawn = [_clean(layer) for layer in layers if layer.name not in CUT_LAYERS]
    cut = {layer.name: _clean(layer) for layer in layers if layer.name in CUT_LAYERS}
    return (*drawn, *(_sorted(cut[name]) for name in CUT_LAYERS if name in cut))


def without_stubs(path: Path) -> Path | None:
    """The path without spans that have no length; None where nothing is left, the path itself where all have some."""
    ends = np.roll(path.points, -1, axis=0) if path.closed else path.points[1:]
    long = np.hypot(*(ends - path.points[: len(ends)]).T) >= STUB
    if long.all() and len(long):
        return path
    kept = long if path.closed else np.append(long, True)
    if np.count_nonzero(kept) < 2:
        return None
    return without_stubs(Path(path.points[kept], path.bulges[kept], path.closed))


def _clean(layer: Layer) -> Layer:
    whole = [found for path in layer.paths if (found := without_stubs(path)) is not None]
    circles = [circle for circle in layer.circles if circle.diameter >= STUB]
    return Layer(layer.name, _once(whole, _path_key), _once(circles, _circle_key), tuple(dict.fromkeys(layer.labels)))


def _once(drawn: Sequence[_Drawn], key: Callable[[_Drawn], Hashable]) -> tuple[_Drawn, ...]:
    """The first of each that have one key, in their order."""
    found: dict[Hashable, _Drawn] = {}
    for one in drawn:
        found.setdefault(key(one), one)
    return tuple(found.values())


def _circle_key(circle: Circle) -> Hashable:
    return tuple(np.round([circle.x, circle.y, circle.diameter], _PLACES).tolist())


def _path_key(path: Path) -> Hashable:
    """What two paths have in common that go over the same spans, wherever they begin and whichever way they go."""
    start, end, bulge = (np.round(each, _PLACES) + 0.0 for each in spans(path))
    turned = (start[:, 0] > end[:, 0]) | ((start[:, 0] == end[:, 0]) & (start[:, 1] > end[:, 1]))
    start, end = np.where(turned[:, None], end, start), np.where(turned[:, None], start, end)
    rows = np.column_stack([start, end, np.where(turned, -bulge, bulge) + 0.0])
    return rows[np.lexsort(rows.T)].tobytes()


def _sorted(layer: Layer) -> Layer:
    """A layer of cuts in its order."""
    if layer.name == OUTLINES:
        # Whole mm², so that the two pieces of a pair, which are as large but for rounding, stay in their order.
        paths = sorted(layer.paths, key=lambda path: round(abs(area(path))) if path.closed else 0)
        return replace(layer, paths=tuple(paths))
    slots = np.array([path.points.mean(axis=0) for path in layer.paths]).reshape(-1, 2)
    slot_way = nearest_first(slots, slots.min(axis=0)) if len(slots) else []
    rounds = np.array([(circle.x, circle.y) for circle in layer.circles]).reshape(-1, 2)
    start = slots[slot_way[-1]] if len(slots) else rounds.min(axis=0) if len(rounds) else np.zeros(2)
    way = nearest_first(rounds, start)
    return replace(layer, paths=tuple(layer.paths[k] for k in slot_way), circles=tuple(layer.circles[k] for k in way))


def nearest_first(places: Floats, start: Floats) -> list[int]:
    """An order of places (n,2) in which each is the nearest to the one before that is left, from `start` (2,) on."""
    left = places.astype(float)
    way: list[int] = []
    at = start
    for _ in range(len(places)):
        away = ((left - at) ** 2).sum(axis=1)
        nearest = int(np.argmin(away))
        way.append(nearest)
        at = places[nearest]
        left[nearest] = np.inf
    return way
