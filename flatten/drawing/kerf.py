"""What a beam takes away counted in: outlines grow by half of it, holes shrink by half of it all round."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import shapely

from flatten.drawing.model import OUTLINES, Circle, Drawing, Layer
from flatten.errors import CalfskinError
from flatten.pattern.light import lightened
from flatten.pattern.model import Path
from flatten.pattern.offsets import offset
from flatten.pattern.outline import FINE, shape_of
from flatten.pattern.path import area

LEAST_HOLE = 0.2
"""mm. What must be left of a hole's width beside the kerf: below it a beam's path is a point and not a rim."""


_CLOSED = 5.0
"""mm. Length of a dart or slash that may close up before the beam at its tip, where it is narrower than any."""


class KerfError(CalfskinError, ValueError):
    """A kerf is too wide for what is to be cut."""


@dataclass(frozen=True)
class Kerf:
    """The width that a machine's beam takes away, mm: along outlines (`cut`), and round holes and slots (`holes`)."""

    cut: float = 0.0
    holes: float = 0.0


def with_kerf(drawing: Drawing, kerf: Kerf) -> Drawing:
    """The drawing as the middle of a beam runs, so that what is cut comes out at its true size.

    Raises KerfError where a hole, a slot, a dart or a slash is too narrow for the beam.
    """
    layers = []
    for layer in drawing.layers:
        if layer.name == OUTLINES and kerf.cut:
            layer = replace(layer, paths=tuple(_grown(path, 0.5 * kerf.cut) for path in layer.paths))
        if layer.name == "HOLES" and kerf.holes:
            layer = _smaller(layer, kerf.holes)
        layers.append(layer)
    return replace(drawing, layers=tuple(layers))


def _smaller(layer: Layer, kerf: float) -> Layer:
    """Holes and slots, whose rims are smooth, by half the kerf inside of their rims."""
    for circle in layer.circles:
        if circle.diameter < kerf + LEAST_HOLE:
            raise _too_narrow(circle.diameter, kerf, "a hole")
    circles = tuple(Circle(one.x, one.y, one.diameter - kerf) for one in layer.circles)
    return replace(layer, circles=circles, paths=tuple(_inset(path, 0.5 * kerf) for path in layer.paths))


def _inset(rim: Path, by: float) -> Path:
    """A slot's rim, which has no corner, moved inwards; exact."""
    around = Path(np.concatenate([rim.points, rim.points[:1]]), np.append(rim.bulges, 0.0), closed=False)
    moved = offset(around, by if area(rim) > 0.0 else -by)
    if moved is None or 2.0 * by + LEAST_HOLE > 2.0 * _half_width(rim):
        raise _too_narrow(2.0 * _half_width(rim), 2.0 * by, "a slot")
    return Path(moved.points[:-1], moved.bulges[:-1], closed=True)


def _half_width(rim: Path) -> float:
    """The radius of the largest disc in a closed path, mm."""
    return float(shapely.length(shapely.maximum_inscribed_circle(shape_of(rim), FINE)))


def _grown(outline: Path, by: float) -> Path:
    """An outline moved outwards, round about its corners as a round beam goes."""
    shape = shape_of(outline)
    larger = shapely.buffer(shape, by)
    rims = shapely.get_num_interior_rings(larger) if shapely.get_num_geometries(larger) == 1 else 1
    if rims or shapely.area(shapely.difference(shapely.buffer(larger, -by), shape)) > _CLOSED * by:
        raise KerfError(
            f"[output.kerf] cut is {2.0 * by:g} mm, and a dart or slash is narrower: the beam would not cut it open; "
            "give its edge a wider opening, or write cut = '0 mm' and set the kerf at the machine"
        )
    points = shapely.get_coordinates(shapely.get_exterior_ring(larger))[:-1]
    if not shapely.is_ccw(shapely.get_exterior_ring(larger)):
        points = points[::-1]
    return lightened(Path(points, np.zeros(len(points)), closed=True))


def _too_narrow(width: float, kerf: float, what: str) -> KerfError:
    return KerfError(
        f"[output.kerf] holes is {kerf:g} mm, and {what} is {width:.2f} mm wide: nothing is left of it to cut; "
        "write holes = '0 mm' and set the kerf at the machine, or prick such holes by hand"
    )
