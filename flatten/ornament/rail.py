"""A smooth closed line inside a field, all round it at a distance: what borders run along and fillings lie within."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from itertools import product

import numpy as np
import shapely
from scipy.interpolate import CubicSpline
from scipy.ndimage import gaussian_filter1d

from flatten.mesh.surface import Floats, frozen
from flatten.ornament.model import Field, OrnamentError

STEP = 0.5
"""mm. Distance of a rail's knots: a tenth of the narrowest bend that a band of usual width can follow."""

_SMOOTHING = (1.5, 2.5, 4.0, 6.0, 9.0, 13.0, 18.0, 25.0)
"""mm. Lengths over which a rail is evened out, tried in turn until it bends nowhere too sharply."""

_BALL = 24.0
"""mm. Radius of the circle that a rail is rolled with where there is room: between eyelets 28 mm apart it dips by no
more than 5 mm, and corners are as round as a plait's inner strand can follow."""

_CLOSER = 0.02
"""mm. A rail is moved inwards again where it lies nearer to the rim than its distance by more than this."""

_PLAIN = 0.002
"""mm. Lines are told apart from the rim by so much less than their own points: a tenth of _CLOSER, and a field's rim of
three thousand points has a third of them."""

_PASSES = 20
"""Times that a rail is moved inwards before the field is said to have no room for it."""

_QUADRANT = 32
"""Segments in a quarter of an offset's round corner: they leave its arc of 30 mm by 0.01 mm."""


@dataclass(frozen=True, eq=False)
class Rail:
    """A smooth closed curve, counter-clockwise, through `knots` (n,2) mm that are evenly spaced along it.

    `even` is whether it is its own mirror image about the line through `axis` (2,2); then its first knot lies at the
    upper end of it, and its middle at the lower one.
    """

    knots: Floats
    even: bool
    axis: Floats

    def __post_init__(self) -> None:
        """Freeze the arrays."""
        object.__setattr__(self, "knots", frozen(self.knots))
        object.__setattr__(self, "axis", frozen(self.axis))

    @cached_property
    def length(self) -> float:
        """Its length, mm."""
        return float(np.hypot(*np.diff(self.knots, axis=0, append=self.knots[:1]).T).sum())

    @cached_property
    def _spline(self) -> CubicSpline:
        count = len(self.knots)
        return CubicSpline(
            np.arange(count + 1) * (self.length / count), np.vstack([self.knots, self.knots[:1]]), bc_type="periodic"
        )

    def at(self, along: Floats) -> Floats:
        """Its points (n,2) at arc lengths (n,) mm; it goes on round."""
        return np.asarray(self._spline(np.mod(along, self.length)))

    def inward(self, along: Floats) -> Floats:
        """The directions (n,2) to its left, which is inwards."""
        tangent = np.asarray(self._spline(np.mod(along, self.length), 1))
        tangent /= np.hypot(*tangent.T)[:, None]
        return np.stack([-tangent[:, 1], tangent[:, 0]], axis=1)

    def bend(self, along: Floats) -> Floats:
        """Its curvature (n,) 1/mm, positive where the field bulges."""
        first = np.asarray(self._spline(np.mod(along, self.length), 1))
        second = np.asarray(self._spline(np.mod(along, self.length), 2))
        return (first[:, 0] * second[:, 1] - first[:, 1] * second[:, 0]) / np.hypot(*first.T) ** 3

    @property
    def shape(self) -> shapely.Polygon:
        """What it encloses."""
        return shapely.Polygon(self.knots)


def rails(field: Field, distance: float, *, radius: float) -> tuple[Rail, ...]:
    """The rails `distance` mm inside a field's rims that bend no more sharply than `radius` mm, the longest first.

    One lies in each part of the field that a circle of that radius reaches. Holes that lie nearer to it than `distance`
    are gone round together with the rim; others are left within.

    Raises OrnamentError where the field has no room for one.
    """
    shape = field.region.shape
    axis = centre_of(field)
    even = field.even and field.centre is not None
    if even:
        shape = shapely.intersection(shape, mirrored(shape, axis))
    # A rail asks for a circle in the field: what has none is refused before anything dear is tried.
    _check_room(shape, distance, radius, field.piece)
    outer = shapely.union_all([shapely.Polygon(part.exterior) for part in _parts(shape)])
    holes = [shapely.Polygon(ring) for part in _parts(shape) for ring in part.interiors]
    while True:
        found = _plain_rails(outer, distance, radius, axis, even, field.piece)
        near = [min(float(shapely.distance(shapely.LinearRing(rail.knots), hole)) for rail in found) for hole in holes]
        met = [hole for hole, far in zip(holes, near, strict=True) if far < distance - _CLOSER]
        if not met:
            return found
        outer = shapely.difference(outer, shapely.union_all(met))
        holes = [hole for hole in holes if hole not in met]


def _plain_rails(
    shape: shapely.Geometry, distance: float, radius: float, axis: Floats, even: bool, piece: str
) -> tuple[Rail, ...]:
    for ball, smoothing in product((max(_BALL, radius), radius), _SMOOTHING):
        found = _moved_inwards(shape, distance, ball, smoothing, axis if even else None)
        if found is None:
            continue
        turned = [Rail(knots, alone, axis) for knots, alone in found]
        if all(np.abs(rail.bend(np.arange(0.0, rail.length, STEP))).max() * radius <= 1.0 for rail in turned):
            return tuple(sorted(turned, key=lambda rail: -rail.length))
    _check_room(shape, distance, radius, piece)
    raise OrnamentError(
        f"the rim of {piece}'s field, or of holes beside it, bends too sharply inwards for lines that keep "
        f"{distance:.1f} mm from it and bend no more sharply than a radius of {radius:.1f} mm; take narrower bands, "
        f"fewer strands or smaller margins"
    )


def _check_room(shape: shapely.Geometry, distance: float, radius: float, piece: str) -> None:
    """Raises OrnamentError where no circle of the rail's bend lies so far inside any part of the shape's outlines."""
    outlines = [shapely.Polygon(part.exterior) for part in _parts(shape)]
    widest = max((float(shapely.length(shapely.maximum_inscribed_circle(part, 0.5))) for part in outlines), default=0.0)
    if widest < distance + radius:
        raise OrnamentError(
            f"the field of {piece} has no room for lines that keep {distance:.1f} mm from its rim and bend no more "
            f"sharply than a radius of {radius:.1f} mm: that needs a circle with a radius of {distance + radius:.1f} "
            f"mm and the largest in it has {widest:.1f} mm; take narrower bands, fewer strands or smaller margins"
        )


def _parts(shape: shapely.Geometry) -> list[shapely.Polygon]:
    return [part for part in shapely.get_parts(shape).tolist() if part.area > 0.0]


def centre_of(field: Field) -> Floats:
    """A field's centre line (2,2); where it has none, the upright one through the middle of its box."""
    if field.centre is not None:
        return field.centre
    x0, y0, x1, y1 = shapely.bounds(field.region.shape)
    return np.array([[(x0 + x1) / 2, y0], [(x0 + x1) / 2, y1]])


def reflected(points: Floats, axis: Floats) -> Floats:
    """The mirror images (n,2) of points about the line through `axis` (2,2)."""
    along = (axis[1] - axis[0]) / np.hypot(*(axis[1] - axis[0]))
    from_axis = points - axis[0]
    images: Floats = axis[0] + 2.0 * (from_axis @ along)[:, None] * along - from_axis
    return images


def mirrored(shape: shapely.Geometry, axis: Floats) -> shapely.Geometry:
    """The mirror image of a geometry about the line through `axis` (2,2)."""
    return shapely.transform(shape, lambda points: reflected(points, axis))


def _moved_inwards(
    shape: shapely.Geometry, distance: float, ball: float, smoothing: float, axis: Floats | None
) -> list[tuple[Floats, bool]] | None:
    """The knots of the rails, evened out over `smoothing` mm, and whether each is even; None where there is no room."""
    rim = shapely.simplify(shapely.boundary(shape), _PLAIN)
    extra = 0.0
    for _ in range(_PASSES):
        inner = shapely.buffer(shape, -(distance + extra + ball), quad_segs=_QUADRANT)
        opened = shapely.buffer(inner, ball, quad_segs=_QUADRANT)
        rings = [part.exterior for part in _parts(opened)]
        lines = [line for ring in rings for line in _evened(ring, smoothing, axis)]
        if not lines:
            return None
        near = min(float(shapely.distance(_plain(line), rim)) for line, _ in lines)
        if distance - near <= _CLOSER:
            return lines
        extra += distance - near
    return None


def _plain(line: Floats) -> shapely.Geometry:
    return shapely.simplify(shapely.LinearRing(line), _PLAIN)


def _evened(ring: shapely.LinearRing, smoothing: float, axis: Floats | None) -> list[tuple[Floats, bool]]:
    """A ring as evenly spaced knots (n,2), evened out, counter-clockwise, and whether it is even about the axis.

    A ring beside the axis is given with its mirror image if it lies to the left of it, and not at all if to the right.
    """
    points = shapely.get_coordinates(shapely.geometry.polygon.orient(shapely.Polygon(ring)).exterior)[:-1]
    if axis is None:
        return [(_smoothed(points, smoothing), False)]
    along = (axis[1] - axis[0]) / np.hypot(*(axis[1] - axis[0]))
    place = (points - axis[0]) @ np.stack([along, [-along[1], along[0]]], axis=1)
    left = place[:, 1] > 0.0
    if left.all() or not left.any():
        if not left.any():
            return []
        knots = _smoothed(points, smoothing)
        return [(knots, False), (reflected(knots, axis)[::-1], False)]
    # The line from the highest place on the axis, down on its left side, to the lowest.
    ahead = np.roll(place, -1, axis=0)
    cuts = np.flatnonzero(left != np.roll(left, -1))
    shares = place[cuts, 1] / (place[cuts, 1] - ahead[cuts, 1])
    heights = place[cuts, 0] + shares * (ahead[cuts, 0] - place[cuts, 0])
    top, foot = cuts[heights.argmax()], cuts[heights.argmin()]
    count = (foot - top) % len(points)
    half = points[(top + 1 + np.arange(count)) % len(points)]
    ends = axis[0] + np.array([[heights.max()], [heights.min()]]) * along
    half = np.vstack([ends[:1], half, ends[1:]])
    whole = np.vstack([half, reflected(half[1:-1], axis)[::-1]])
    knots = _smoothed(whole, smoothing)
    # Rounding alone parts the halves.
    image = np.roll(reflected(knots, axis)[::-1], 1, axis=0)
    return [((knots + image) / 2.0, True)]


def _smoothed(points: Floats, smoothing: float) -> Floats:
    """A closed polyline as evenly spaced knots that begin where it does, evened out by a Gaussian."""
    even = _spaced(points)
    step = float(np.hypot(*(even[1] - even[0])))
    return _spaced(gaussian_filter1d(even, smoothing / step, axis=0, mode="wrap"))


def _spaced(points: Floats) -> Floats:
    """An even number of points (n,2) at equal arc lengths round a closed polyline, from its first one on."""
    closed = np.vstack([points, points[:1]])
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(closed, axis=0).T))])
    count = 2 * max(int(np.ceil(along[-1] / (2 * STEP))), 16)
    places = np.arange(count) * (along[-1] / count)
    return np.stack([np.interp(places, along, closed[:, 0]), np.interp(places, along, closed[:, 1])], axis=1)
