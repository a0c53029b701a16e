"""The field: the area of a piece that is free for ornament, with its centre line."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import shapely
import shapely.ops

from flatten.mesh.surface import Floats
from flatten.ornament.model import Field, OrnamentError, Region
from flatten.pattern.isoline import isolines
from flatten.pattern.model import Hole, Mark, Piece
from flatten.pattern.outline import FINE, shape_of
from flatten.pattern.path import polyline
from flatten.pattern.rims import spine
from flatten.pattern.sizes import flange_of
from flatten.pattern.zones import ground_of
from flatten.unwrap.model import FlatPanel

LEAST_WIDTH = 12.0
"""mm. An island of a field in which no disc of this size lies is left out: two narrow strands crossing once need it."""

LEAST_AREA = 400.0
"""mm². So is one that is smaller than a thumb's print: nobody carves there."""

ROUNDED = 2.0
"""mm. A field has no tongues narrower than twice this: nothing is carved in them."""

SAME_ROW = 15.0
"""mm. Stitch holes of one row that are no further apart than this have thread between them, which is no place for
ornament: the longest stitch of a saddler is shorter."""

SAME_HOLES = 60.0
"""mm. Holes of one row, for laces, rivets or straps, that are no further apart than this bar the ground between them: a
border runs inside the row, and not in and out of it. Twice the usual pitch of 30 mm."""

MIRROR_MET = 0.02
"""mm. A piece whose outline is so near to its mirror image is the same on both sides: symmetrical pieces are exact,
and polylines that stand for their arcs are off by FINE."""

STRAIGHT = 0.05
"""mm. A centre line that leaves the straight line along it by less is straight, and the piece may be symmetrical about
it: a piece's own is drawn within a fraction of a pen's width."""

ROUNDING = 1e-6
"""mm. So near to 0 is 0."""

_LINES = ("fold", "skive", "overlap")
"""The kinds of marks that are lines at which leather is bent, tapers, or goes beneath other leather."""

_ROWS = ("stitch line",)
"""The kinds of marks that thread lies along."""

_SMOOTH = 16
"""Segments of a quarter of the rounds that margins are drawn with: at 6 mm they are off by 0.01 mm."""


@dataclass(frozen=True)
class Margins:
    """What ornament keeps clear of, mm: of the finished `edge`, what is covered counting as beyond it; of the rims of
    holes and slots and of what is set into them (`hole`); of `stitch` lines; of lines of a `bend`, an overlap or a
    taper, and of zones that are not to be tooled (`bend`)."""

    edge: float = 6.0
    hole: float = 4.0
    stitch: float = 3.0
    bend: float = 5.0

    def __post_init__(self) -> None:
        """Raises OrnamentError where one is negative or no number."""
        for name in ("edge", "hole", "stitch", "bend"):
            if not (np.isfinite(getattr(self, name)) and getattr(self, name) >= 0.0):
                raise OrnamentError(f"the margin '{name}' of a field is {getattr(self, name):g} mm; give 0 mm or more")


USUAL = Margins()
"""What nobody says otherwise. Common practice, from memory."""


@dataclass(frozen=True)
class Size:
    """How large a field is: its `width` across its centre line (the piece's x without one) and its `height` along it,
    mm, and its `area`, mm², of `islands` parts."""

    width: float
    height: float
    area: float
    islands: int


@dataclass(frozen=True, eq=False)
class Free:
    """What of a piece is free for ornament: what is `kept` of it, and islands too small to hold any (`left`)."""

    kept: Region
    left: Region


def free_of(piece: Piece, *, margins: Margins = USUAL, covered: shapely.Geometry | None = None) -> Free:
    """What of a piece lies clear, by `margins`, of all that ornament keeps clear of; `covered` lies beneath other
    leather (`beneath_layers`, `beneath_parts`).

    An island is kept where it has LEAST_AREA and a disc of LEAST_WIDTH lies in it. Kept islands are ordered from the
    largest to the smallest.
    """
    inside = shapely.buffer(_finished(piece, covered), -margins.edge, quad_segs=_SMOOTH)
    free = shapely.difference(inside, _barred(piece, margins))
    return _sorted_out(shapely.buffer(shapely.buffer(free, -ROUNDED, quad_segs=_SMOOTH), ROUNDED, quad_segs=_SMOOTH))


def _sorted_out(free: shapely.Geometry) -> Free:
    islands = sorted(_polygons(free), key=lambda part: (-round(part.area, 3), part.bounds))
    holds = [part.area >= LEAST_AREA and not part.buffer(-0.5 * LEAST_WIDTH).is_empty for part in islands]
    kept, left = (
        Region.of(shapely.MultiPolygon([part for part, yes in zip(islands, holds, strict=True) if yes == wanted]))
        for wanted in (True, False)
    )
    return Free(kept, left)


def field_of(
    piece: Piece,
    *,
    margins: Margins = USUAL,
    covered: shapely.Geometry | None = None,
    centre: Floats | None = None,
) -> Field:
    """The field of a piece: what `free_of` keeps, and its centre line.

    That is the piece's mark of it, where it has one, or else `centre` (2,2) mm, such as `halving_line` gives; a bent
    one gives way to the straight line that fits it best. Where the piece's outline is its own mirror image about it,
    the field is made so too: what is barred on one side is on both.

    Raises OrnamentError where nothing is free.
    """
    name = piece.name
    shape = _finished(piece, covered)
    line = _marked(piece)
    straight = line is not None and _bent(line) < STRAIGHT
    region = free_of(piece, margins=margins, covered=covered).kept
    axis = centre if line is None else _fitted(line)
    even = False
    if axis is not None and (straight or line is None):
        outline = shapely.LinearRing(polyline(piece.outline, FINE))
        even = bool(shapely.hausdorff_distance(outline, _reflected(outline, axis)) < MIRROR_MET)
    if even and axis is not None:
        region = _sorted_out(shapely.intersection(region.shape, _reflected(region.shape, axis))).kept
    if not region.rims:
        room = ", ".join(
            f"{getattr(margins, key):g} mm {words}"
            for key, words in (
                ("edge", "from edges and what is covered"),
                ("hole", "from holes"),
                ("stitch", "from stitches"),
                ("bend", "from bends and what is not to be tooled"),
            )
        )
        raise OrnamentError(
            f"the piece '{name}' has no place for ornament: of {shapely.area(shape) / 100:.0f} cm² nothing that a disc "
            f"of {LEAST_WIDTH:g} mm lies in is left {room}; make these margins smaller under [ornament], or choose "
            "another piece"
        )
    return Field(name, region, None if axis is None else _spanned(axis, region.shape), even)


def size_of(field: Field) -> Size:
    """How large a field is."""
    way = np.array([0.0, 1.0])
    if field.centre is not None:
        way = (field.centre[1] - field.centre[0]) / np.hypot(*(field.centre[1] - field.centre[0]))
    points = np.concatenate(field.region.rims)
    width, height = (float(np.ptp(points @ axis)) for axis in (np.array([way[1], -way[0]]), way))
    return Size(width, height, field.region.area, len(_polygons(field.region.shape)))


def halving_line(flat: FlatPanel, uv: Floats) -> Floats | None:
    """The straight line (2,2) that fits best where a panel's middle bearing lies on its piece, at `uv` (V,2) mm, from
    the lower end to the upper one; None where the panel has no line of that bearing."""
    panel = flat.panel
    lines = isolines(uv, panel.mesh.faces, panel.bearings, 0.5 * float(panel.bearings.min() + panel.bearings.max()))
    return _fitted(np.concatenate(lines)) if lines else None


def _finished(piece: Piece, covered: shapely.Geometry | None) -> shapely.Geometry:
    """What of a piece is seen when it is finished and worn: without allowances, turned strips, what a binding covers
    and what lies beneath other leather."""
    trims = [shape_of(mark.path) for mark in piece.marks if mark.kind == "trim"]
    shape = trims[0] if trims else shape_of(piece.outline)
    gone: list[shapely.Geometry] = [] if covered is None else [covered]
    for finish in piece.finished:
        if finish.kind == "turned":
            # The fold runs counter-clockwise with the outline: its strip lies on its right.
            width = -(finish.width + ROUNDED)
            folds = [mark for mark in piece.marks if mark.kind == "fold"]
            gone += [shapely.buffer(_line(mark), width, single_sided=True) for mark in folds]
        else:
            cover = 0.5 * (finish.width - 0.5 * np.pi * (piece.thickness + finish.thickness))
            cover += finish.thickness + 0.5 * piece.thickness
            gone += [shapely.buffer(side, cover) for side in _edges(piece, finish.edge)]
    return shapely.difference(shape, shapely.union_all(gone)) if gone else shape


def _edges(piece: Piece, name: str) -> list[shapely.Geometry]:
    """The parts of a piece's outline that belong to an edge."""
    ring = shapely.LinearRing(polyline(piece.outline, FINE))
    whole = ring.length
    corners = sorted(piece.corners, key=lambda corner: ring.project(shapely.Point(corner.x, corner.y)))
    if not corners:
        return [shapely.LineString(ring)]
    twice = shapely.LineString(np.concatenate([ring.coords[:-1], ring.coords]))
    found: list[shapely.Geometry] = []
    for corner, following in zip(corners, (*corners[1:], corners[0]), strict=True):
        if corner.after == ("edge", name):
            start, end = (ring.project(shapely.Point(each.x, each.y)) for each in (corner, following))
            found.append(shapely.ops.substring(twice, start, end if end > start else end + whole))
    return found


def _barred(piece: Piece, margins: Margins) -> shapely.Geometry:
    """What ornament keeps clear of inside a piece's edges, with its margins."""
    punched = [hole for hole in piece.holes if hole.kind != "stitch"]
    barred = [shapely.buffer(spine(hole), 0.5 * _width(hole) + margins.hole, quad_segs=_SMOOTH) for hole in punched]
    for one, other in _neighbours(punched):
        between = shapely.LineString([(one.x, one.y), (other.x, other.y)])
        reach = 0.5 * min(_width(one), _width(other)) + margins.hole
        barred += [shapely.buffer(between, reach, quad_segs=_SMOOTH)]
    rows: list[shapely.Geometry] = [_line(mark) for mark in piece.marks if mark.kind in _ROWS]
    for row in _stitch_rows(piece.holes):
        rows += [shapely.buffer(row, 0.5 * max(hole.diameter for hole in piece.holes if hole.kind == "stitch"))]
    barred += [shapely.buffer(row, margins.stitch, quad_segs=_SMOOTH) for row in rows]
    lines = [_line(mark) for mark in piece.marks if mark.kind in _LINES]
    zones = [ground_of(zone) for zone in piece.untooled]
    barred += [shapely.buffer(each, margins.bend, quad_segs=_SMOOTH) for each in (*lines, *zones)]
    return shapely.union_all(barred)


def _neighbours(holes: Sequence[Hole]) -> list[tuple[Hole, Hole]]:
    """Holes that follow each other in a row, of one side of a seam or of one part, and are near enough to bar what lies
    between them."""
    rows: dict[tuple[str, str, str], list[Hole]] = {}
    for hole in holes:
        rows.setdefault((hole.kind, hole.seam, hole.side), []).append(hole)
    pairs = [pair for row in rows.values() for pair in (*pairwise(row), *([(row[-1], row[0])] if len(row) > 2 else []))]
    return [(one, other) for one, other in pairs if np.hypot(one.x - other.x, one.y - other.y) <= SAME_HOLES]


def _width(hole: Hole) -> float:
    """The width of a hole, or of what is set into it where that covers more."""
    return max(hole.diameter, flange_of(hole.kind, hole.diameter))


def _stitch_rows(holes: Sequence[Hole]) -> list[shapely.Geometry]:
    """The threads through stitch holes, as lines; a hole that stands alone is a point."""
    rows: dict[tuple[str, str], list[tuple[float, float]]] = {}
    for hole in holes:
        if hole.kind == "stitch":
            rows.setdefault((hole.seam, hole.side), []).append((hole.x, hole.y))
    found: list[shapely.Geometry] = []
    for places in rows.values():
        found += [shapely.Point(place) for place in places]
        found += [shapely.LineString(pair) for pair in pairwise(places) if np.hypot(*np.subtract(*pair)) <= SAME_ROW]
    return found


def _line(mark: Mark) -> shapely.LineString:
    return shapely.LineString(polyline(mark.path, FINE))


def _marked(piece: Piece) -> Floats | None:
    """The points (n,2) of a piece's centre line as it is drawn on it, in however many parts; None without one."""
    lines = [polyline(mark.path, FINE) for mark in piece.marks if mark.kind == "centre line"]
    return np.concatenate(lines) if lines else None


def _fitted(points: Floats) -> Floats:
    """The straight line (2,2) through points (n,2), by least squares of their distances, from its lower end up."""
    middle = points.mean(axis=0)
    way = np.linalg.svd(points - middle)[2][0]
    way = way if (way[1], way[0]) > (0.0, 0.0) else -way
    reach = (points - middle) @ way
    ends = middle + np.array([[reach.min()], [reach.max()]]) * way
    # A symmetrical piece's own lies on x = 0, and rounding shall not move it.
    return np.where(np.abs(ends) < ROUNDING, 0.0, ends)


def _bent(points: Floats) -> float:
    """How far (mm) points (n,2) leave the straight line that fits them best."""
    start, end = _fitted(points)
    way = (end - start) / np.hypot(*(end - start))
    return float(np.abs((points - start) @ np.array([-way[1], way[0]])).max())


def _reflected(shape: shapely.Geometry, axis: Floats) -> shapely.Geometry:
    """A shape's mirror image about a line (2,2)."""
    way = axis[1] - axis[0]
    way = way / np.hypot(*way)
    turn = 2.0 * np.outer(way, way) - np.eye(2)
    return shapely.transform(shape, lambda points: axis[0] + (points - axis[0]) @ turn)


def _spanned(axis: Floats, shape: shapely.Geometry) -> Floats:
    """A line (2,2) from where the extent of a shape begins along it to where it ends."""
    way = (axis[1] - axis[0]) / np.hypot(*(axis[1] - axis[0]))
    reach = (shapely.get_coordinates(shape) - axis[0]) @ way
    return axis[0] + np.array([[reach.min()], [reach.max()]]) * way


def _polygons(shape: shapely.Geometry) -> list[shapely.Polygon]:
    return [part for part in shapely.get_parts(shape).tolist() if isinstance(part, shapely.Polygon) and part.area > 0.0]
