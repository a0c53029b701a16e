"""What is carved of a weave in a field: bands, broken where they pass under, their edges and the background."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any, NamedTuple, TypeAlias

import numpy as np
import shapely

from flatten.mesh.surface import Floats
from flatten.ornament.beside import beside, tight_bends
from flatten.ornament.crossings import MEETING, RIM, lengths_along, open_ends
from flatten.ornament.model import Bevel, Carving, OrnamentError, Region, Strand, Weave
from flatten.ornament.trouble import Kind, Trouble, TroubleError

FLAT = np.radians(25.0)
"""rad. Where bands that cross more flatly have no room, it is the angle that is to blame: what they hide of each other
is then more than twice as long as of bands at right angles."""

FLATTEST = np.radians(10.0)
"""rad. Bands that cross more flatly lie on each other for more than ten widths: an eye no longer sees which is over."""

SLIVER = 1e-6
"""mm². Areas below are what is left of rounding."""


@dataclass(frozen=True, eq=False)
class _Course:
    """A strand drawn on past the rim, by its points `line` (n,2) with a closed one's first repeated, and how far along
    it they lie, counted from the strand's own first point; its band's edges, and the lines `apart` beyond them."""

    line: Floats
    along: Floats
    closed: bool
    edges: tuple[Floats, Floats]
    beyond: tuple[Floats, Floats]


@dataclass(frozen=True, eq=False)
class _Span:
    """A stretch of a strand's band about one visit, or about none: its edges, the lines `apart` beyond them, and where
    it ends; `visit` is the number of its crossing and whether it passes over there."""

    strand: int
    visit: tuple[int, bool] | None
    left: Floats
    right: Floats
    far_left: Floats
    far_right: Floats

    @property
    def ring(self) -> Floats:
        """Its outline."""
        return np.concatenate([self.left, self.right[::-1]])

    @property
    def wide(self) -> Floats:
        """The outline of it with what lies `apart` beside it."""
        return np.concatenate([self.far_left, self.far_right[::-1]])


class _Break(NamedTuple):
    """What of a band is hidden where it passes under, and the shape that hides it."""

    hidden: shapely.Geometry
    over: shapely.Geometry


Shapes: TypeAlias = "np.ndarray[Any, np.dtype[np.object_]]"


def carved(weave: Weave, *, width: float, apart: float, field: Region) -> Carving:
    """What is carved of a weave in a field: bands `width` mm wide, broken `apart` mm (0 or more) before those they pass
    under.

    Edges are at half the width from the strand everywhere, corners are mitred. They are carved; the ends at a break
    and the field's rim are not. Each carved line runs as its strand does, and is bevelled on the side away from its
    band: against the background, and at a crossing on the strand that passes under. An open strand is drawn straight on
    past the rim, so that its band is full there.

    Raises OrnamentError where a measure is not one, TroubleError where a strand ends in the field, bends too tightly
    for its band, or bands lie on each other beside their crossings.
    """
    check_measures(width, apart)
    ground = field.shape
    shapely.prepare(ground)
    courses = [_course(strand, width=width, apart=apart, ground=ground) for strand in weave.strands]
    troubles = open_ends(weave.strands, field)
    troubles += [
        Trouble("tight", float(course.line[at, 0]), float(course.line[at, 1]), (number,), width)
        for number, course in enumerate(courses)
        for at in tight_bends(course.line, closed=course.closed, half=0.5 * width).tolist()
        if shapely.contains_xy(ground, *course.line[at])
    ]
    if troubles:
        raise TroubleError(troubles)
    angles = _angles(weave, courses)
    rooms = _rooms(angles, 0.5 * width, apart)
    spans = [span for number, course in enumerate(courses) for span in _spans(number, course, weave, rooms)]
    bands, troubles = _polygons([span.ring for span in spans], spans, width, ground)
    if troubles:
        raise TroubleError(troubles)
    breaks, distances, troubles = _breaks(weave, angles, spans, bands, width, ground)
    troubles += _lying(spans, bands, width, ground)
    if troubles:
        raise TroubleError(troubles)
    lines = [_edges(spans, breaks, number, ground) for number in range(len(courses))]
    seen = np.array(
        [band if cut is None else shapely.difference(band, cut.hidden) for band, cut in zip(bands, breaks, strict=True)]
    )
    owner = np.array([span.strand for span in spans], dtype=np.int64)
    inside = _clipped(seen, ground)
    return Carving(
        width=width,
        apart=apart,
        bands=tuple(Region.of(shapely.union_all(inside[owner == number])) for number in range(len(courses))),
        distances=Region.of(shapely.union_all(_clipped(distances, ground))),
        background=Region.of(shapely.difference(ground, shapely.union_all(bands))),
        lines=tuple(line for own in lines for both in own for line in both),
        bevels=tuple(
            Bevel(_whole(line), side)
            for own in lines
            for both, side in zip(own, ("left", "right"), strict=True)
            for line in both
        ),
    )


def check_measures(width: float, apart: float) -> None:
    """Refuse measures of bands that are none. Raises OrnamentError."""
    if not (np.isfinite(width) and width > 0.0 and np.isfinite(apart) and apart >= 0.0):
        raise OrnamentError(
            f"bands are {width:g} mm wide and broken {apart:g} mm before others; give a width above 0 and 0 or more"
        )


def _whole(line: Strand) -> Floats:
    return np.concatenate([line.points, line.points[:1]]) if line.closed else line.points


def _course(strand: Strand, *, width: float, apart: float, ground: shapely.Geometry) -> _Course:
    """A strand's course."""
    along = lengths_along(strand)
    line = _whole(strand)
    kept = np.diff(along, prepend=-1.0) > 0.0
    line, along = line[kept], along[kept]
    if not strand.closed:
        first, last = _past(line[1], line[0], width, ground), _past(line[-2], line[-1], width, ground)
        line = np.concatenate([first[None], line, last[None]])
        before, after = np.hypot(*(line[1] - line[0])), np.hypot(*(line[-1] - line[-2]))
        along = np.concatenate([[-before], along, [along[-1] + after]])
    half = 0.5 * width
    edges = (beside(line, closed=strand.closed, distance=half), beside(line, closed=strand.closed, distance=-half))
    if apart == 0.0:
        return _Course(line, along, strand.closed, edges, edges)
    far = half + apart
    beyond = (beside(line, closed=strand.closed, distance=far), beside(line, closed=strand.closed, distance=-far))
    return _Course(line, along, strand.closed, edges, beyond)


def _past(before: Floats, end: Floats, width: float, ground: shapely.Geometry) -> Floats:
    """Where a strand that ends at the rim is drawn on to: two widths, or half way to where it would come back in."""
    way = (end - before) / np.hypot(*(end - before))
    reach = 2.0 * width
    inside = shapely.intersection(shapely.LineString([end, end + reach * way]), ground)
    starts = [
        float(np.hypot(*(shapely.get_coordinates(part) - end).T).min())
        for part in shapely.get_parts(inside).tolist()
        if not part.is_empty
    ]
    back = [start for start in starts if start > RIM]
    return end + (min([reach, *(0.5 * each for each in back)])) * way


def _angles(weave: Weave, courses: Sequence[_Course]) -> Floats:
    """The angle (rad), a right one at most, of each crossing."""
    ways = []
    for each in weave.crossings:
        for visit in (each.over, each.under):
            course = courses[visit.strand]
            after = int(np.clip(np.searchsorted(course.along, visit.along), 1, len(course.line) - 1))
            ways.append(course.line[after] - course.line[after - 1])
    one, other = np.array(ways).reshape(-1, 2, 2).transpose(1, 0, 2)
    across = one[:, 0] * other[:, 1] - one[:, 1] * other[:, 0]
    return np.arctan2(np.abs(across), np.abs((one * other).sum(axis=1)))


def _rooms(angles: Floats, half: float, apart: float) -> Floats:
    """How far (C,2) from each crossing straight bands hide each other, along the one beneath and the one above.

    Within half + apart of the upper axis and `half` of the lower one: a parallelogram, whose far corners these are.
    """
    steep = np.maximum(np.sin(angles), np.sin(FLATTEST))
    beneath, above = half + apart + half * np.cos(angles), half + (half + apart) * np.cos(angles)
    return np.stack([beneath, above], axis=1) / steep[:, None]


def _spans(number: int, course: _Course, weave: Weave, rooms: Floats) -> list[_Span]:
    """The spans that a strand's band falls into, each about one visit, cut between visits so that what is left beyond
    the `rooms` (C,2) that they take is the same for both."""
    visits = sorted(
        (visit.along, at, over)
        for at, each in enumerate(weave.crossings)
        for visit, over in ((each.over, True), (each.under, False))
        if visit.strand == number
    )
    start, end = float(course.along[0]), float(course.along[-1])

    def cut(one: tuple[float, int, bool], other: tuple[float, int, bool], turn: float = 0.0) -> float:
        gap = other[0] + turn - one[0]
        middle = 0.5 * (gap + rooms[one[1], int(one[2])] - rooms[other[1], int(other[2])])
        return one[0] + float(np.clip(middle, 0.1 * gap, 0.9 * gap))

    middles = [cut(one, other) for one, other in pairwise(visits)]
    if not course.closed:
        cuts = [start, *middles, end]
    elif visits:
        last = cut(visits[-1], visits[0], end)
        cuts = [last - end, *middles, last]
    else:
        # A ring without a crossing is cut so that each part has an outline.
        cuts = np.linspace(start, end, 4).tolist()
    marks: list[tuple[int, bool] | None] = [(at, over) for _, at, over in visits]
    marks = marks or [None] * (len(cuts) - 1)
    return [_span(number, course, one, other, mark) for one, other, mark in zip(cuts, cuts[1:], marks, strict=False)]


def _span(number: int, course: _Course, start: float, end: float, visit: tuple[int, bool] | None) -> _Span:
    return _Span(number, visit, *(_piece(course, line, start, end) for line in (*course.edges, *course.beyond)))


def _piece(course: _Course, line: Floats, start: float, end: float) -> Floats:
    """A line beside a course from one place along it to another; round a closed one the first may be negative."""
    along = course.along
    if start < along[0]:
        line = np.concatenate([line[:-1], line])
        along = np.concatenate([along[:-1] - along[-1], along])
    elif end > along[-1]:
        line = np.concatenate([line[:-1], line])
        along = np.concatenate([along[:-1], along + along[-1]])
    first, last = int(np.searchsorted(along, start, "right")), int(np.searchsorted(along, end, "left"))
    points = np.concatenate(
        [[_between(along, line, start, first)], line[first:last], [_between(along, line, end, last)]]
    )
    kept = np.ones(len(points), dtype=bool)
    kept[1:] = (np.diff(points, axis=0) != 0.0).any(axis=1)
    return points[kept]


def _between(along: Floats, line: Floats, at: float, after: int) -> Floats:
    """The point of a line at a place before its point numbered `after`."""
    after = min(max(after, 1), len(along) - 1)
    share = (at - along[after - 1]) / (along[after] - along[after - 1])
    return (1.0 - share) * line[after - 1] + share * line[after]


def _polygons(
    rings: Sequence[Floats], spans: Sequence[_Span], width: float, ground: shapely.Geometry
) -> tuple[Shapes, list[Trouble]]:
    """Rings as polygons, and a trouble for each that crosses itself in the field."""
    shapes = np.array([shapely.Polygon(ring) for ring in rings], dtype=object)
    troubles = []
    for at in np.flatnonzero(~shapely.is_valid(shapes)).tolist():
        # The reason ends in the place: "Self-intersection[12.5 40.2]".
        x, y = map(float, shapely.is_valid_reason(shapes[at]).rpartition("[")[2].rstrip("]").split())
        if shapely.contains_xy(ground, x, y):
            troubles.append(Trouble("near", x, y, (spans[at].strand,), width))
        shapes[at] = shapely.make_valid(shapes[at])
    return shapes, troubles


def _breaks(
    weave: Weave, angles: Floats, spans: Sequence[_Span], bands: Shapes, width: float, ground: shapely.Geometry
) -> tuple[list[_Break | None], Shapes, list[Trouble]]:
    """What breaks each span, None where it passes over; what lies between bands at each crossing; and a trouble for
    each crossing in the field that does not fit between the ends of its spans."""
    over, under = np.zeros((2, len(weave.crossings)), dtype=np.int64)
    for number, span in enumerate(spans):
        if span.visit is not None:
            (over if span.visit[1] else under)[span.visit[0]] = number
    wide = np.array([shapely.Polygon(spans[at].wide) for at in over.tolist()], dtype=object)
    wide = shapely.make_valid(wide)
    common = shapely.intersection(bands[under], wide)
    breaks: list[_Break | None] = [None] * len(spans)
    troubles = []
    for number, each in enumerate(weave.crossings):
        one, other = spans[under[number]], spans[over[number]]
        parts = [part for part in shapely.get_parts(common[number]).tolist() if shapely.area(part) > SLIVER]
        place = shapely.Point(each.x, each.y)
        own = [part for part in parts if shapely.distance(part, place) <= MEETING]
        common[number] = shapely.union_all(own)
        breaks[under[number]] = _Break(common[number], wide[number])
        stray = [part for part in parts if shapely.distance(part, place) > MEETING]
        caps = shapely.MultiLineString([*_caps(one.left, one.right), *_caps(other.far_left, other.far_right)])
        angle = angles[number]
        # Where what is hidden reaches the end of a span it runs into the next crossing.
        crowded = _in_field(shapely.intersection(caps, common[number]), ground)
        if crowded or (angle < FLATTEST and _in_field(place, ground)):
            kind: Kind = "flat" if angle < FLAT else "near"
            troubles.append(Trouble(kind, each.x, each.y, (other.strand, one.strand), width))
        for part in stray:
            if _in_field(part, ground):
                x, y = shapely.get_coordinates(shapely.point_on_surface(part))[0].tolist()
                troubles.append(Trouble("near", x, y, (other.strand, one.strand), width))
    between = shapely.get_parts(shapely.difference(common, bands[over]))
    return breaks, between[shapely.area(between) > SLIVER], troubles


def _in_field(shape: shapely.Geometry, ground: shapely.Geometry) -> bool:
    return bool(shapely.intersects(ground, shape))


def _caps(left: Floats, right: Floats) -> list[Floats]:
    """The two ends of a span."""
    return [np.stack([left[at], right[at]]) for at in (0, -1)]


def _lying(spans: Sequence[_Span], bands: Shapes, width: float, ground: shapely.Geometry) -> list[Trouble]:
    """A trouble for each place in the field where bands lie on each other without crossing."""
    i, j = shapely.STRtree(bands).query(bands, predicate="intersects")
    crossing = np.array([-1 if span.visit is None else span.visit[0] for span in spans])
    apart = (i < j) & ((crossing[i] != crossing[j]) | (crossing[i] < 0))
    i, j = i[apart], j[apart]
    common = shapely.intersection(bands[i], bands[j])
    troubles = []
    for at in np.flatnonzero(shapely.area(common) > SLIVER).tolist():
        inside = shapely.intersection(common[at], ground)
        if shapely.area(inside) > SLIVER:
            x, y = shapely.get_coordinates(shapely.point_on_surface(inside))[0].tolist()
            troubles.append(Trouble("near", x, y, tuple(sorted({spans[i[at]].strand, spans[j[at]].strand})), width))
    return troubles


def _clipped(shapes: Shapes, ground: shapely.Geometry) -> Shapes:
    """Shapes within the field; those that lie in it as they are."""
    shapes = shapes.copy()
    across = ~shapely.contains_properly(ground, shapes)
    shapes[across] = shapely.intersection(shapes[across], ground)
    return shapes


def _edges(
    spans: Sequence[_Span], breaks: Sequence[_Break | None], strand: int, ground: shapely.Geometry
) -> tuple[list[Strand], list[Strand]]:
    """What is carved of a strand's left and of its right edge, in pieces as long as they can be."""
    return _edge(spans, breaks, strand, ground, 0), _edge(spans, breaks, strand, ground, 1)


def _edge(
    spans: Sequence[_Span], breaks: Sequence[_Break | None], strand: int, ground: shapely.Geometry, side: int
) -> list[Strand]:
    numbers = [at for at, span in enumerate(spans) if span.strand == strand]
    whole = np.array([shapely.LineString((spans[at].left, spans[at].right)[side]) for at in numbers], dtype=object)
    kept = whole.copy()
    for at, number in enumerate(numbers):
        cut = breaks[number]
        if cut is not None:
            kept[at] = shapely.difference(whole[at], cut.over)
    kept = _clipped(kept, ground)
    pieces = []
    for own, line in zip(whole.tolist(), kept.tolist(), strict=True):
        for part in shapely.get_parts(line).tolist():
            if not isinstance(part, shapely.LineString) or part.is_empty:
                continue
            first, last = shapely.line_locate_point(own, shapely.points(shapely.get_coordinates(part)[[0, -1]]))
            pieces.append(part if first <= last else shapely.reverse(part))
    return [
        _line(part)
        for part in shapely.get_parts(shapely.line_merge(shapely.MultiLineString(pieces), directed=True)).tolist()
    ]


def _line(part: shapely.Geometry) -> Strand:
    points = shapely.get_coordinates(part)
    closed = bool((points[0] == points[-1]).all())
    return Strand(points[:-1] if closed else points, closed)
