"""What is read from a drawing's file: its lines in mm, y up, and what was left out."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from flatten.errors import CalfskinError
from flatten.mesh.surface import Floats

ONE_POINT = 1e-6
"""mm, or a drawing's own unit. Places that are no further apart are one: readers round by less."""

MOST_SHAPES = 50_000
"""Shapes, with those of every use of a symbol or block. More is no drawing for a blade, or a file made to choke on."""

MOST_POINTS = 2_000_000
"""Points of all lines together, 32 MB of numbers; a full panel of interlace has 100 thousand."""

DEEPEST = 60
"""Groups, symbols and blocks inside each other. Drawing programs stay below 20; one that shows itself has no
end."""


class DrawnError(CalfskinError, ValueError):
    """A drawing's file cannot be read as lines of a known size."""


@dataclass(frozen=True, eq=False)
class Drawn:
    """A line that was drawn: `layer` is what it lies on, in capitals, and `points` (n,2); a closed one does not repeat
    its first point. One that is not `stroked` is only the edge of a filled area."""

    layer: str
    points: Floats
    closed: bool
    stroked: bool = True


@dataclass(frozen=True, eq=False)
class DrawnFile:
    """The lines of a drawing. `unit` is what told its size: "px" is the dot of screens, 1/96 in, which programs differ
    about. `left_out` counts what is no line, by kind: "text", "image", "clip" and the like, in the order met."""

    lines: tuple[Drawn, ...]
    unit: str
    left_out: tuple[tuple[str, int], ...]


def drawn(layer: str, points: Floats, closed: bool, *, stroked: bool = True) -> Drawn | None:
    """The line through points (n,2) without repeated ones; a closed single point where it has no length, None without
    points.

    Raises DrawnError where a number is not finite.
    """
    if not np.isfinite(points).all():
        raise DrawnError("has a line that runs to a number that is not finite; save it again")
    if not len(points):
        return None
    apart = np.ones(len(points), dtype=bool)
    apart[1:] = np.hypot(*np.diff(points, axis=0).T) > ONE_POINT
    points = points[apart]
    if closed and len(points) > 1 and np.hypot(*(points[0] - points[-1])) <= ONE_POINT:
        points = points[:-1]
    return Drawn(layer.upper(), points, len(points) == 1 or (closed and len(points) > 2), stroked)
