"""The square grid of a field, symmetrical about its centre line, to draw on by hand."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely

from flatten.mesh.surface import Floats
from flatten.ornament.model import Field

COUNTED = 5
"""Every so many squares a line is stronger and has its number: an eye counts up to five."""

SHORTEST = 0.5
"""mm. A shorter part of a line, at a rim's bend, is left out."""


@dataclass(frozen=True, eq=False)
class Line:
    """A straight part (2,2), mm, of a grid's line that is so many squares (`number`) to the right of the centre line,
    negative to its left, or up from the field's lower end; `upright` or level."""

    ends: Floats
    number: int
    upright: bool

    @property
    def counted(self) -> bool:
        """Whether it is one of the stronger lines."""
        return self.number % COUNTED == 0


def axes_of(field: Field) -> tuple[Floats, Floats, Floats]:
    """Where a field's grid begins (2,), mm, its way to the right (2,) and its way up (2,): the lower end of the centre
    line, or without one the middle below it."""
    if field.centre is not None:
        start, end = field.centre
        up = (end - start) / np.hypot(*(end - start))
        return start, np.array([up[1], -up[0]]), up
    x0, y0, x1, _ = shapely.bounds(field.region.shape).tolist()
    return np.array([0.5 * (x0 + x1), y0]), np.array([1.0, 0.0]), np.array([0.0, 1.0])


def squares_of(field: Field, size: float) -> tuple[Line, ...]:
    """The lines of a grid of squares of `size` mm over a field, its first upright one on the centre line; those that a
    hole or a bay of the field parts come in parts."""
    origin, right, up = axes_of(field)
    shape = field.region.shape
    found: list[Line] = []
    points = shapely.get_coordinates(shape) - origin
    for way, across, upright in ((right, up, True), (up, right, False)):
        reach, span = points @ way, points @ across
        low, high = int(np.ceil(reach.min() / size)), int(np.floor(reach.max() / size))
        for number in range(low, high + 1):
            ends = origin + number * size * way + np.outer((span.min() - 1.0, span.max() + 1.0), across)
            parts = shapely.get_parts(shapely.intersection(shapely.LineString(ends), shape)).tolist()
            found += [
                Line(shapely.get_coordinates(part), number, upright)
                for part in parts
                if isinstance(part, shapely.LineString) and part.length >= SHORTEST
            ]
    return tuple(found)
