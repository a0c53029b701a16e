"""A drawing is laid on a field: as drawn, centred, scaled to fit, or fitted to its outline."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from flatten.findings import Message, finding, message
from flatten.mesh.surface import Floats
from flatten.ornament.bring import Brought
from flatten.ornament.fitting import fitted
from flatten.ornament.mirror import UPRIGHT, mirrored, symmetry
from flatten.ornament.model import Field, OrnamentError, Strand
from flatten.threads import one_thread

UNEVEN = 0.5
"""mm. A whole drawing that is further from its mirror image is told where the piece is even: as far as the eye sees on
the two sides of a limb."""

_FINENESS = 1e-4
"""Share by which the largest scale is found: 0.03 mm of a drawing 300 mm long."""

OUT = 0.05
"""mm. What lies over the field's edge by less lies in it: a drawing that is scaled to fit touches the edge."""

PLACES = ("as drawn", "centred", "scaled", "fitted")
"""Ways to lay a drawing on a field."""


@dataclass(frozen=True, eq=False)
class Placement:
    """A drawing's `strands` on a field. They are `scale` times as large as drawn; where the drawing was fitted, lengths
    grew by `least` to `greatest` times and `scale` is the root of the areas' ratio. `told` is what was seen."""

    strands: tuple[Strand, ...]
    scale: float
    least: float
    greatest: float
    told: tuple[Message, ...]


@one_thread
def placed(
    brought: Brought,
    field: Field,
    *,
    half: str = "whole",
    place: str = "centred",
    by: tuple[float, float] = (0.0, 0.0),
    turn: float = 0.0,
    room: float = 0.0,
) -> Placement:
    """A brought drawing on a field; where it is the "left" or "right" `half`, mirrored first about its centre line.

    "as drawn" keeps the drawing's mm and origin; what was drawn in a field's sheet goes from the sheet's centre line to
    the field's. "centred" lays the middle of its frame (the box of its line on the
    layer FRAME, else of its strands) on the middle of the field's box in the frame of its centre line, its y along the
    line; "scaled" does so as large as fits the field. Both are turned by `turn` degrees to the left and then go `by` mm
    across and along the centre line. "fitted" maps that box to the field's outline (`fitting.fitted`).

    Scaled or fitted, lines keep `room` mm from the field's outline: half of their bands' width.
    The drawing's own centre line, x = 0 or that on its layer CENTRE, lies on the field's where it is half of a drawing.
    Raises OrnamentError where a half crosses its centre line, the field is empty, or nothing fits.
    """
    if place not in PLACES:
        raise OrnamentError(f"the place '{place}' is none; write one of {', '.join(PLACES)}")
    if place in ("as drawn", "fitted") and (any(by) or turn):
        raise OrnamentError(f"a drawing placed '{place}' takes no 'by' and no 'turn'; leave them out, or centre it")
    if field.region.area == 0.0:
        raise OrnamentError(f"the field of {field.piece or 'the piece'} is empty; make its margins smaller")
    told: list[Message] = list(brought.findings)
    strands, frame = brought.strands, brought.frame
    centre = UPRIGHT if brought.centre is None else brought.centre
    if half != "whole":
        whole = mirrored(strands, half=half, centre=centre)
        strands = whole.strands
        told += whole.findings
        frame = None if frame is None else _both_sides(frame, half, centre)
    elif field.even:
        told += _asymmetry(strands, brought.centre)
    if place == "as drawn":
        if brought.sheet and brought.centre is not None and field.centre is not None:
            strands = _carried(strands, brought.centre, field.centre)
        return Placement(strands, 1.0, 1.0, 1.0, (*told, *sticking_out(strands, field)))
    # In the frame of the field's centre line: x across it, y along it.
    across = _matrix(field.centre)
    upright = strands if half == "whole" and brought.centre is None else _turned(strands, _matrix(centre).T)
    outer = frame if frame is None or upright is strands else frame @ _matrix(centre)
    box = _box(np.concatenate([one.points for one in upright]) if outer is None else outer)
    if half != "whole" or brought.centre is not None:
        # The box is widened to lie evenly about the centre line.
        middle = float((centre @ _matrix(centre))[0, 0]) if upright is not strands else 0.0
        reach = max(box[2] - middle, middle - box[0])
        box = (middle - reach, box[1], middle + reach, box[3])
    target = shapely.transform(field.region.shape, lambda points: points @ across)
    low = _field_box(target, field, across)
    target = shapely.buffer(target, -room, join_style="mitre") if room else target
    if shapely.is_empty(target):
        raise OrnamentError(f"the field has no room for lines {room:g} mm from its edge; make the bands narrower")
    if place == "fitted":
        found = fitted(upright, box, target, axis=low[0] if field.even else None)
        lines = _turned(found.strands, across)
        told.append(
            message("placing.fitted", least=found.least, greatest=found.greatest, skew=found.skew, bend=found.bend)
        )
        return Placement(lines, found.scale, found.least, found.greatest, tuple(told))
    middle_of = np.array([0.5 * (box[0] + box[2]), 0.5 * (box[1] + box[3])])
    cos, sin = math.cos(math.radians(turn)), math.sin(math.radians(turn))
    rotation = np.array([[cos, -sin], [sin, cos]])
    about = tuple(Strand((one.points - middle_of) @ rotation.T, one.closed) for one in upright)
    onto = np.array(low) + by
    scale = 1.0 if place == "centred" else _largest(about, target, onto)
    lines = tuple(Strand((scale * one.points + onto) @ across.T, one.closed) for one in about)
    if place == "scaled":
        told.append(message("placing.scaled", scale=scale))
    return Placement(lines, scale, scale, scale, (*told, *sticking_out(lines, field)))


def sticking_out(strands: Sequence[Strand], field: Field) -> tuple[Message, ...]:
    """What of the strands lies outside the field's outline by more than OUT: its length, and where it lies furthest."""
    outline = shapely.union_all([shapely.Polygon(part.exterior) for part in shapely.get_parts(field.region.shape)])
    beyond = shapely.difference(shapely.union_all([_line(one) for one in strands]), outline.buffer(OUT))
    if beyond.length <= OUT:
        return ()
    corners = shapely.get_coordinates(beyond)
    off = np.asarray(shapely.distance(shapely.points(corners), outline))
    worst = int(np.argmax(off))
    x, y = corners[worst].tolist()
    return (finding("placing.out", "look", length=float(beyond.length), off=float(off.max()), x=x, y=y),)


def _largest(strands: Sequence[Strand], target: shapely.Geometry, onto: Floats) -> float:
    """The largest scale about the drawing's middle at which all its strands lie in the field's outline."""
    outline = shapely.union_all([shapely.Polygon(part.exterior) for part in shapely.get_parts(target)])
    lines = shapely.union_all([_line(one) for one in strands])
    inner = outline.buffer(0.5 * OUT)
    shapely.prepare(inner)

    def fits(scale: float) -> bool:
        return bool(shapely.covers(inner, shapely.transform(lines, lambda points: scale * points + onto)))

    x0, y0, x1, y1 = shapely.bounds(outline).tolist()
    high = math.hypot(x1 - x0, y1 - y0) / max(float(np.ptp(shapely.get_coordinates(lines), axis=0).max()), OUT)
    # From above, as fits() need not hold for all smaller ones where the outline is hollow.
    steps = np.geomspace(high, high / 100.0, 400)
    first = next((k for k, scale in enumerate(steps.tolist()) if fits(scale)), None)
    if first is None:
        raise OrnamentError(
            "the drawing fits the field at no size about its middle; move it with 'by', or have it 'fitted'"
        )
    low, top = float(steps[first]), float(steps[max(first - 1, 0)])
    while top - low > _FINENESS * low:
        tried = 0.5 * (low + top)
        low, top = (tried, top) if fits(tried) else (low, tried)
    return low


def _asymmetry(strands: Sequence[Strand], centre: Floats | None) -> tuple[Message, ...]:
    """How far a whole drawing is from its mirror image, where that is seen: about its centre line, or its middle."""
    if centre is None:
        x0, _, x1, _ = _box(np.concatenate([one.points for one in strands]))
        centre = UPRIGHT + np.array([0.5 * (x0 + x1), 0.0])
    found = symmetry(strands, centre=centre)
    if found.off <= UNEVEN:
        return ()
    return (finding("placing.uneven", "note", off=found.off, x=float(found.at[0]), y=float(found.at[1])),)


def _both_sides(frame: Floats, half: str, centre: Floats) -> Floats:
    """The outline of a half's frame with its mirror image."""
    other = mirrored([Strand(frame, closed=True)], half=half, centre=centre).strands
    joined = shapely.union_all([shapely.Polygon(one.points).buffer(OUT, join_style="mitre") for one in other])
    shape = joined.buffer(-OUT, join_style="mitre")
    if not isinstance(shape, shapely.Polygon):
        raise OrnamentError("the line on the layer FRAME does not reach the centre line; draw it up to it")
    return shapely.get_coordinates(shapely.geometry.polygon.orient(shape).exterior)[:-1]


def _field_box(target: shapely.Geometry, field: Field, across: Floats) -> tuple[float, float]:
    """The middle of the field's box; of an even field on its centre line."""
    x0, y0, x1, y1 = shapely.bounds(target).tolist()
    middle = 0.5 * (x0 + x1)
    if field.centre is not None and field.even:
        middle = float((field.centre @ across)[0, 0])
    return middle, 0.5 * (y0 + y1)


def _matrix(centre: Floats | None) -> Floats:
    """The axes across a centre line and along it, as columns (2,2)."""
    if centre is None:
        return np.eye(2)
    along = (centre[1] - centre[0]) / np.hypot(*(centre[1] - centre[0]))
    return np.array([[along[1], along[0]], [-along[0], along[1]]])


def _carried(strands: Sequence[Strand], start: Floats, to: Floats) -> tuple[Strand, ...]:
    """Strands moved and turned as their centre line (2,2) goes to another, its lower end to the lower end."""
    to = to if to[1, 1] > to[0, 1] else to[::-1]
    turn = _matrix(to) @ _matrix(start).T
    return tuple(Strand((one.points - start[0]) @ turn.T + to[0], one.closed) for one in strands)


def _turned(strands: Sequence[Strand], matrix: Floats) -> tuple[Strand, ...]:
    return tuple(Strand(one.points @ matrix.T, one.closed) for one in strands)


def _box(points: Floats) -> tuple[float, float, float, float]:
    (x0, y0), (x1, y1) = points.min(axis=0).tolist(), points.max(axis=0).tolist()
    return x0, y0, x1, y1


def _line(strand: Strand) -> shapely.Geometry:
    return shapely.LinearRing(strand.points) if strand.closed else shapely.LineString(strand.points)
