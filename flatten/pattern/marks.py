"""Lines that are drawn on a piece and not cut: centre line, girth rings, notches, grain arrow, check line."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely

from flatten.mesh.surface import Floats
from flatten.pattern.curve import smooth_path
from flatten.pattern.model import Hole, Mark, PatternError, Zone
from flatten.pattern.outline import FINE, Side
from flatten.pattern.path import along, length, polyline, segment
from flatten.pattern.rims import spine

MARK_LINE = 0.3
"""mm. A drawn line that is not cut may lie this far from the computed one: a pen's width."""

NOTCH = 4.0
"""mm. Length of the tick that shows where a girth ring meets a side: it ends before rivets and eyelets begin."""

_NOTCH_FROM_HOLE = 0.5
"""mm. A notch ends this far before the rim of a hole, so that a pen does not run into it."""

CHECK = 100.0
"""mm. Length of the line that shows whether the sheet is at true size."""

SHORT_CHECK = 50.0
"""mm. Length of the check line where a piece does not hold the long one."""

ARROW_HEAD = 10.0
"""mm. Length of the grain arrow's head."""

CHECK_TICK = 6.0
"""mm. Length of the ticks at the ends of a check line."""

_RESAMPLE = 3.0
"""mm. Step at which traced lines are taken up: the edge length of the finest mesh."""

_SHORTEST = 10.0
"""mm. A part of a traced line shorter than this is left out: a stub between two holes says nothing."""

_FROM_HOLE = 2.0
"""mm. Lines and texts stay this far from the rim of a hole: an eyelet's flange is about as wide."""

_FROM_EDGE = 0.5
"""mm. Lines end this far inside the cut line, so that none is cut through."""

_RING_FROM_EDGE = 5.0
"""mm. A girth ring that runs nearer to the top or bottom edge is left out there: it would read as the edge."""


_RING_FROM_NOTCH = 3.0
"""mm. A girth ring ends this far before the notch that shows where it meets a side."""


def clear_of(shape: shapely.Polygon, holes: tuple[Hole, ...], *, edge: float) -> shapely.Geometry:
    """What of a piece lies more than `edge` mm inside its outline and clear of its holes."""
    discs = [shapely.buffer(spine(hole), 0.5 * hole.diameter + _FROM_HOLE) for hole in holes]
    return shapely.difference(shape.buffer(-edge), shapely.union_all(discs))


def line_region(shape: shapely.Polygon, holes: tuple[Hole, ...]) -> shapely.Geometry:
    """Where lines may be drawn on a piece: inside the cut line and off the holes."""
    return clear_of(shape, holes, edge=_FROM_EDGE)


def ring_region(region: shapely.Geometry, sides: tuple[Side, ...]) -> shapely.Geometry:
    """Where girth rings may be drawn: not close to an edge that runs like a ring itself, and not on the notches."""
    curves = [(side.kind, shapely.LineString(polyline(side.path, FINE))) for side in sides]
    near = [curve.buffer(_RING_FROM_EDGE if kind == "edge" else NOTCH + _RING_FROM_NOTCH) for kind, curve in curves]
    return shapely.difference(region, shapely.union_all(near))


def traced(kind: str, lines: tuple[Floats, ...], region: shapely.Geometry) -> tuple[Mark, ...]:
    """The parts of traced polylines (k,2) inside `region`, as smooth marks within MARK_LINE of them."""
    kept = shapely.intersection(shapely.MultiLineString(list(lines)), region)
    # Parts come in the order of the geometry library; sorted by place, the drawing is the same everywhere.
    parts = sorted(
        (shapely.get_coordinates(part) for part in shapely.get_parts(kept) if part.length >= _SHORTEST),
        key=lambda part: (round(float(part[0, 0]), 6), round(float(part[0, 1]), 6)),
    )
    marks = []
    for part in parts:
        line = shapely.LineString(part)
        steps = np.linspace(0.0, line.length, max(round(line.length / _RESAMPLE), 1) + 1)
        points = shapely.get_coordinates(shapely.line_interpolate_point(line, steps))
        marks.append(Mark(kind, smooth_path(points, MARK_LINE)))
    return tuple(marks)


def zone_marks(zones: Sequence[Zone], region: shapely.Geometry, *, calm: bool) -> list[tuple[Mark, ...]]:
    """The rims of zones that are not to be tooled, or of `calm` ones that alone are, as marks, each zone's together.

    They are closed lines, or where holes or the strip along the edges part them, what lies inside `region`.
    """
    found, kind = [], "tooling" if calm else "no tooling"
    for zone in zones:
        marks: list[Mark] = []
        for rim in zone.rims:
            points = polyline(rim, FINE)
            if shapely.contains(region, shapely.LineString(points)):
                marks.append(Mark(kind, rim))
                continue
            # Begun outside the region, no part of it is cut in two where the rim happens to begin.
            outside = np.flatnonzero(~shapely.contains_xy(region, *points[:-1].T))
            turned = np.roll(points[:-1], -int(outside[0]) if len(outside) else 0, axis=0)
            marks += traced(kind, (np.vstack([turned, turned[:1]]),), region)
        found.append(tuple(marks))
    return found


def notches(lines: tuple[Floats, ...], sides: tuple[Side, ...], holes: tuple[Hole, ...]) -> tuple[Mark, ...]:
    """A tick square to the cut line wherever an end of the traced lines lies on a side that is no edge.

    It ends before a hole that it would run into: stitches stand nearer to the edge.
    """
    rims = kept_clear(holes)
    found = []
    for side, at in meetings(lines, sides):
        if side.kind != "edge":
            (point,), (ahead,) = along(side.path, np.array([at]))
            found.append(tick(point, np.array([-ahead[1], ahead[0]]), rims, kind="notch"))
    return tuple(mark for mark in found if mark is not None)


def meetings(lines: Sequence[Floats], sides: tuple[Side, ...]) -> tuple[tuple[Side, float], ...]:
    """The sides that ends of traced lines lie on, each with the arc length there from its path's start, mm."""
    curves = [shapely.LineString(polyline(side.path, FINE)) for side in sides]
    found = []
    for end in (end for line in lines for end in (line[0], line[-1])):
        point = shapely.Point(end)
        nearest = int(np.argmin([curve.distance(point) for curve in curves]))
        share = curves[nearest].project(point, normalized=True)
        found.append((sides[nearest], share * length(sides[nearest].path)))
    return tuple(found)


def kept_clear(holes: tuple[Hole, ...]) -> shapely.Geometry:
    """The holes with what ticks keep from their rims."""
    return shapely.union_all([shapely.buffer(spine(hole), 0.5 * hole.diameter + _NOTCH_FROM_HOLE) for hole in holes])


def tick(point: Floats, inward: Floats, rims: shapely.Geometry, *, kind: str) -> Mark | None:
    """A tick from a point (2,) of a line inwards (2,), NOTCH mm less what is left free beside the line.

    It ends before `rims` that it would run into; None where they lie at its start.
    """
    outer, inner = point + _FROM_EDGE * inward, point + NOTCH * inward
    line = shapely.get_parts(shapely.difference(shapely.LineString([outer, inner]), rims))
    if not len(line) or shapely.distance(line[0], shapely.Point(outer)) > 0.0:
        return None
    return Mark(kind, segment(*(tuple(place) for place in shapely.get_coordinates(line[0])[[0, -1]])))


def arrow(x: float, y: float, size: float, angle: float, *, kind: str) -> tuple[Mark, ...]:
    """An arrow of length `size` mm, centred on (x, y), pointing along `angle` radians."""
    ahead = np.array([np.cos(angle), np.sin(angle)])
    across = np.array([-ahead[1], ahead[0]])
    middle = np.array([x, y])
    tail, tip = middle - 0.5 * size * ahead, middle + 0.5 * size * ahead
    barbs = tip - ARROW_HEAD * ahead + 0.4 * ARROW_HEAD * across, tip - ARROW_HEAD * ahead - 0.4 * ARROW_HEAD * across
    return (
        Mark(kind, segment(tuple(tail), tuple(tip))),
        Mark(kind, segment(tuple(barbs[0]), tuple(tip), tuple(barbs[1]))),
    )


def check_line(x: float, y: float, size: float, angle: float) -> tuple[Mark, ...]:
    """A line of exactly `size` mm, centred on (x, y), with a tick at each end, turned by `angle` radians."""
    ahead = np.array([np.cos(angle), np.sin(angle)])
    across = np.array([-ahead[1], ahead[0]])
    ends = np.array([x, y]) - 0.5 * size * ahead, np.array([x, y]) + 0.5 * size * ahead
    ticks = [segment(tuple(end - 0.5 * CHECK_TICK * across), tuple(end + 0.5 * CHECK_TICK * across)) for end in ends]
    return tuple(Mark("check line", path) for path in (segment(tuple(ends[0]), tuple(ends[1])), *ticks))


class NoRoomError(PatternError):
    """A piece has no free place left for something that must stand on it."""


def no_room(name: str, what: str, width: float, height: float) -> NoRoomError:
    """The error that says what does not fit on the piece `name`, and how large it is."""
    return NoRoomError(
        f"the piece '{name}' has no free place of {width:.0f} × {height:.0f} mm for {what}; "
        "make the piece larger, or its holes and lines fewer"
    )
