"""Corners of a piece rounded by arcs that are tangent to both of the sides that meet there."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely

from flatten.mesh.surface import Floats
from flatten.pattern.model import Corner, Hole, Path, PatternError
from flatten.pattern.naming import holes_called, side_called
from flatten.pattern.outline import FINE, Side
from flatten.pattern.path import along, beside, length, mirrored_path, part, polyline, reversed_path
from flatten.pattern.rims import spine

USUAL_RADIUS = 6.0
"""mm. A corner of this radius neither digs in nor curls up, and a coin shows it. Common practice."""

SMALLEST_RADIUS = 1.0
"""mm. A corner of less is felt as a point, and stays one. Common practice."""

_STEP = 0.5
"""mm. Steps in which smaller radii are tried: what radius gauges and corner punches come in."""

_SHARE = 0.45
"""Share of a side that the arc at one of its ends may take: the other end's takes as much, and some side is left."""

_LEAST_TURN = 0.05
"""rad. A corner that turns by less (3°) is no corner to the touch."""

_STEPS = 60
"""Newton steps at most; a handful are needed where the sides bend much less than the arc."""

_MEET = 1e-11
"""mm. The two ways to an arc's centre meet when they are no further apart than this: rounding of a metre's figures."""

_MIRRORED = 1e-6
"""mm. Corners of symmetrical pieces are mirror images when they are no further apart than this: rounding."""


@dataclass(frozen=True, eq=False)
class Near:
    """What the arc of a corner must keep away from: a geometry, by mm from it; its kind, and what it is called."""

    geometry: shapely.Geometry
    distance: float
    kind: str
    name: str


@dataclass(frozen=True, eq=False)
class Rounded:
    """The sides of a piece cut short by the arcs at their ends, and the arc after each; None where a corner is kept."""

    sides: tuple[Path, ...]
    arcs: tuple[Path | None, ...]

    @property
    def paths(self) -> tuple[Path, ...]:
        """Sides and arcs in turn, counter-clockwise, each beginning where the one before it ends."""
        pairs = zip(self.sides, self.arcs, strict=True)
        return tuple(path for pair in pairs for path in pair if path is not None)


def near_holes(holes: Sequence[Hole], away: Sequence[float]) -> tuple[Near, ...]:
    """The holes of a piece as what its corners keep `away` from, mm each."""
    found = zip(holes, away, holes_called(holes), strict=True)
    return tuple(Near(spine(hole), mm, hole.kind, name) for hole, mm, name in found if mm > 0.0)


_SHORT = Near(shapely.Point(), 0.0, "side", "")
"""What a corner has no room for where the sides at it are too short."""


def corners_of(
    sides: tuple[Side, ...],
    *,
    name: str,
    radius: float | None,
    near: Sequence[Near],
    closed: frozenset[str],
    turned: frozenset[str] = frozenset(),
) -> tuple[Corner, ...]:
    """The corners of the piece `name` that are rounded: one for each side, where it ends; radius 0 where it is kept.

    With a `radius` (mm) all get that one; None gives USUAL_RADIUS, or where a side is too short or something `near`
    would be too close to the arc, the largest that fits in steps of half a millimetre; none below SMALLEST_RADIUS.
    Corners at seams and darts that are `closed` edge to edge stay points, for an arc there would leave a gap, and so do
    the tips of darts and slashes, which have stop holes, and the ends of edges that are `turned`, which have strips.

    Raises PatternError where a radius is asked for that has no room.
    """
    found = []
    for side, after in zip(sides, (*sides[1:], *sides[:1]), strict=True):
        corner = _corner(side, after)
        tip = side.kind in ("dart", "slash") and corner.before == corner.after
        touching = closed & {_closing_name(side), _closing_name(after)}
        strip = any(kind == "edge" and edge in turned for kind, edge in (corner.before, corner.after))
        free = not tip and not touching and not strip and abs(corner.turn) >= _LEAST_TURN
        wanted = USUAL_RADIUS if radius is None else radius
        if not free or wanted == 0.0:
            found.append(corner)
            continue
        corner, close = _fitted(replace(corner, wanted=wanted), side.path, after.path, near)
        if close is not None and radius is not None:
            raise _no_room(name, corner, close)
        found.append(corner)
    return tuple(found)


def closed_edge_to_edge(sides: tuple[Side, ...], openings: frozenset[str]) -> frozenset[str]:
    """The names of the seams and darts whose sides touch along the whole of their edges when worn.

    A slash in `openings` stays open.
    """
    touching = {side.name for side in sides if side.kind == "dart" or (side.kind == "stitched" and not side.on_seam)}
    return frozenset(touching | {side.name for side in sides if side.kind == "slash" and side.name not in openings})


def even_corners(corners: Sequence[tuple[Corner, ...]]) -> tuple[tuple[Corner, ...], ...]:
    """The corners of symmetrical pieces, mirror images rounded alike: both by the smaller of the two radii."""
    every = [corner for own in corners for corner in own]
    places = np.array([(corner.x, corner.y) for corner in every]).reshape(-1, 2)

    def evened(corner: Corner) -> Corner:
        apart = np.hypot(*(places - np.array([-corner.x, corner.y])).T)
        mates = [every[k] for k in np.flatnonzero(apart <= _MIRRORED)]
        least = min([corner, *mates], key=lambda each: each.radius)
        return replace(corner, radius=least.radius, kept_by=least.kept_by)

    return tuple(tuple(evened(corner) for corner in own) for own in corners)


def rounded(sides: tuple[Side, ...], corners: Sequence[Corner]) -> Rounded:
    """The sides of a piece with its corners rounded as `corners_of` found that they can be.

    What is each other's mirror image about x = 0 stays so, to the last bit, wherever an arc ends on another span of
    its side than the arc at the side's other end.
    """
    paths = [side.path for side in sides]
    arcs: list[Path | None] = [None] * len(sides)
    for k, corner in enumerate(corners):
        if corner.radius:
            after = (k + 1) % len(sides)
            paths[k], arcs[k], paths[after] = _rounded_corner(paths[k], paths[after], corner.radius)
    return Rounded(tuple(paths), tuple(arcs))


def _closing_name(side: Side) -> str:
    """The name of the seam or dart that a side lies along; "" for an edge, whatever a seam may be called."""
    return "" if side.kind == "edge" else side.name


def _corner(side: Side, after: Side) -> Corner:
    """The corner at the end of a side, as a point."""
    _, (arriving,) = along(side.path, np.array([length(side.path)]))
    _, (leaving,) = along(after.path, np.zeros(1))
    turn = float(np.arctan2(arriving[0] * leaving[1] - arriving[1] * leaving[0], arriving @ leaving))
    x, y = after.path.points[0]
    return Corner(float(x), float(y), (side.kind, side.name), (after.kind, after.name), turn)


def _fitted(corner: Corner, before: Path, after: Path, near: Sequence[Near]) -> tuple[Corner, Near | None]:
    """The corner with the radius that is wanted, or else the largest that has room, and what then stood in the way."""
    limits = _SHARE * length(before), _SHARE * length(after)
    smaller = np.arange(np.ceil(corner.wanted / _STEP) - 1, 0.0, -1) * _STEP
    close: Near | None = None
    for radius in (corner.wanted, *smaller[smaller >= SMALLEST_RADIUS].tolist()):
        stands = _in_the_way(before, after, radius, limits, near)
        if stands is None:
            return replace(corner, radius=radius, kept_by=close.kind if close else ""), close
        close = close or stands
    return replace(corner, kept_by=close.kind if close else ""), close


def _in_the_way(
    before: Path, after: Path, radius: float, limits: tuple[float, float], near: Sequence[Near]
) -> Near | None:
    """What stands in the way of an arc of `radius` mm between two sides, of which it may take mm each; None: nothing.

    Of several things that would be too close, that which is closest for its distance.
    """
    found = _tangent_lengths(before, after, radius)
    if found is None or found[0] > limits[0] or found[1] > limits[1]:
        return _SHORT
    _, arc, _ = _rounded_corner(before, after, radius)
    line = shapely.LineString(polyline(arc, FINE))
    spare = [float(shapely.distance(line, one.geometry)) - one.distance for one in near]
    closest = int(np.argmin(spare)) if spare else 0
    return near[closest] if spare and spare[closest] < 0.0 else None


def _no_room(name: str, corner: Corner, close: Near) -> PatternError:
    """The error that says what keeps a corner of the piece `name` from the radius that is asked for."""
    why = (
        f"{close.name} would be nearer to it than {close.distance:.1f} mm" if close.name else "its sides are too short"
    )
    most = f"{corner.radius:g} mm has room there" if corner.radius else "none has room there"
    return PatternError(
        f"the corner of piece '{name}' between {side_called(*corner.before)} and {side_called(*corner.after)} cannot "
        f"have a radius of {corner.wanted:g} mm: {why}; {most}: write corners = 'auto', or a smaller radius"
    )


def _rounded_corner(before: Path, after: Path, radius: float) -> tuple[Path, Path, Path]:
    """Two sides that meet in a corner cut short, and the arc between them.

    Precondition: `_tangent_lengths` finds the arc. A corner left of x = 0 is worked out on its mirror image, so that
    mirror images come out alike.
    """
    if after.points[0, 0] < 0.0:
        image = _rounded_corner(reversed_path(mirrored_path(after)), reversed_path(mirrored_path(before)), radius)
        first, arc, last = (reversed_path(mirrored_path(path)) for path in image)
        return last, arc, first
    found = _tangent_lengths(before, after, radius)
    if found is None:
        x, y = after.points[0]
        raise PatternError(
            f"the corner at ({x:.0f}, {y:.0f}) mm has no room for a radius of {radius:g} mm; use a smaller one"
        )
    short = part(before, 0.0, length(before) - found[0])
    rest = part(after, found[1], length(after))
    _, (arriving,) = along(before, np.array([length(before) - found[0]]))
    _, (leaving,) = along(after, np.array([found[1]]))
    turn = np.arctan2(arriving[0] * leaving[1] - arriving[1] * leaving[0], arriving @ leaving)
    arc = Path(np.stack([short.points[-1], rest.points[0]]), np.array([np.tan(0.25 * turn), 0.0]), closed=False)
    return short, arc, rest


def _tangent_lengths(before: Path, after: Path, radius: float) -> tuple[float, float] | None:
    """Arc lengths from a corner, back along the side before it and on along the one after, at which an arc touches.

    The arc's centre is `radius` mm from both sides: s and t with before(s) + r·n = after(t) + r·n are found by
    Newton's method, the first guess r·tan(turn / 2) being exact for straight sides. None where there are none within
    the sides.
    """
    back, size = reversed_path(before), (length(before), length(after))
    ways = _ways(back, after, np.zeros(2))
    turn = float(np.arctan2(ways[0, 1] * ways[1, 0] - ways[0, 0] * ways[1, 1], -(ways[0] @ ways[1])))
    offset = radius * np.sign(turn)
    places = np.full(2, radius * np.tan(0.5 * abs(turn)))
    for _ in range(_STEPS):
        if not (0.0 < places[0] < size[0] and 0.0 < places[1] < size[1]):
            return None
        gap = beside(back, places[:1], -offset)[0] - beside(after, places[1:], offset)[0]
        if np.hypot(*gap) <= _MEET:
            return float(places[0]), float(places[1])
        tangents = _ways(back, after, places)
        bends = np.array([1.0 + offset * _bend(back, places[0]), 1.0 - offset * _bend(after, places[1])])
        slopes = tangents * bends[:, None]
        across = float(slopes[0, 0] * slopes[1, 1] - slopes[0, 1] * slopes[1, 0])
        if across == 0.0 or np.any(bends <= 0.0):
            return None
        step = np.array([slopes[1, 1] * gap[0] - slopes[1, 0] * gap[1], slopes[0, 1] * gap[0] - slopes[0, 0] * gap[1]])
        places = places - step / across
    return None


def _ways(back: Path, after: Path, places: Floats) -> Floats:
    """Directions (2,2) of two paths at an arc length each."""
    pairs = zip((back, after), places, strict=True)
    return np.concatenate([along(path, np.array([place]))[1] for path, place in pairs])


def _bend(path: Path, place: float) -> float:
    """Curvature of a path at an arc length, 1/mm, positive where it bends to the left."""
    _, tangents = along(path, np.array([place, place + FINE]))
    return float(np.cross(*np.column_stack([tangents, np.zeros(2)]))[2]) / FINE
