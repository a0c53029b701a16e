"""What is carved, as marks on its piece."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import shapely

from flatten.mesh.surface import Floats
from flatten.ornament.model import Bevel, Carving, Region
from flatten.ornament.sheets import BACKGROUND, BEVELLED, CARVED, closed_path
from flatten.pattern.model import Mark, Path

PRESSED = 0.7
"""mm. A bevelled side's line lies this far beside its carved line: where the toe of a beveller presses. From memory."""

STEP = 0.5
"""mm. Longest chord of a line that is carried: a smooth map bends it by less than 0.001 mm."""

Carry = Callable[[Floats], Floats]
"""Takes places (n,2) of the drawing plane to the piece (n,2), mm."""


def marks_of(carving: Carving, carry: Carry) -> tuple[Mark, ...]:
    """The carved lines of a carving, their bevelled sides, and the rims of its background, carried to the piece."""
    lines = [Mark(CARVED, carried_path(line.points, line.closed, carry)) for line in carving.lines]
    sides = [
        Mark(BEVELLED, carried_path(points, False, carry)) for bevel in carving.bevels for points in _beside(bevel)
    ]
    rims = [Mark(BACKGROUND, closed_path(rim)) for rim in carried_region(carving.background, carry).rims]
    return (*lines, *sides, *rims)


def carried_path(points: Floats, closed: bool, carry: Carry) -> Path:
    """A polyline (n,2) of the drawing plane as a path on the piece."""
    line = shapely.LinearRing(points) if closed else shapely.LineString(points)
    fine = shapely.get_coordinates(shapely.segmentize(line, STEP))
    found = carry(fine[:-1] if closed else fine)
    return Path(found, np.zeros(len(found)), closed=closed)


def carried_region(region: Region, carry: Carry) -> Region:
    """A region of the drawing plane on the piece."""
    if not region.rims:
        return region
    carried = shapely.transform(shapely.segmentize(region.shape, STEP), carry)
    # By rounding a rim may come to lie over itself at a sharp corner; its area would then be taken for a hole's.
    return Region.of(carried if shapely.is_valid(carried) else shapely.make_valid(carried, method="structure"))


def _beside(bevel: Bevel) -> list[Floats]:
    """The line beside a carved line on its bevelled side, in parts where it is bent more sharply than that."""
    by = PRESSED if bevel.side == "left" else -PRESSED
    line = shapely.offset_curve(shapely.LineString(bevel.points), by, quad_segs=8)
    parts = shapely.get_parts(line).tolist()
    return [shapely.get_coordinates(part) for part in parts if not shapely.is_empty(part)]
