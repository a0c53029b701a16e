"""A drawing's rectangle is mapped to a field's outline, smoothly and one to one, and its strands with it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import shapely
from scipy.interpolate import CloughTocher2DInterpolator
from scipy.sparse import coo_array
from scipy.sparse.linalg import splu

from flatten.mesh.angles import corner_angles
from flatten.mesh.region import Curve, mesh_region
from flatten.mesh.surface import Floats, Ints, MeshError
from flatten.ornament.model import OrnamentError, Strand
from flatten.threads import one_thread

Box = tuple[float, float, float, float]
"""Least x, least y, greatest x and greatest y of an upright rectangle, mm."""

FACES = 6000.0
"""Triangles of a field's mesh, about: their edges are then a 50th of its width, 3 mm on a shin guard. The rim is
followed at the mesh's vertices, so that sharp corners between them are cut by a third of that at most."""

STEP = 0.5
"""mm. Points of strands are no further apart before they are mapped: the chord of an arc of 50 mm radius leaves it by
0.0006 mm."""

_APART = 1e-3
"""mm. Steps of the differences that tell how the map stretches: rounding is then below 1e-9."""

_HAIR = 1e-9
"""Share of the way to the middle by which points are read inside the rim: less than 1e-6 mm."""

ONE_SIDE = 0.01
"""mm. An even field's two sides may differ by as much, and its halves are still taken as one another's image."""


@dataclass(frozen=True, eq=False)
class Fitted:
    """A drawing's strands on a field. Along them lengths grew by `least` to `greatest` times, in any direction, and
    areas by `scale`² on average; right angles of the drawing are off by at most `skew` rad, and a straight line turns
    by at most `bend` rad a mm of the field."""

    strands: tuple[Strand, ...]
    scale: float
    least: float
    greatest: float
    skew: float
    bend: float


class OutlineMap:
    """The map of a rectangle to a field; kept because its mesh is costly to make.

    The field, meshed, is mapped to the rectangle by mean-value coordinates with its border held, corner to corner and
    in between by arc length. A rectangle is convex and the weights are positive, so no face is folded (Floater 1997,
    "Parametrization and smooth approximation of surface triangulations", section 4, after Tutte 1963); that is checked
    as well. The map itself is that one's inverse at the mesh's vertices, and between them the C¹ cubic of Clough and
    Tocher.
    """

    def __init__(self, box: Box, field: shapely.Geometry, *, axis: float | None = None) -> None:
        """Map the rectangle to the outer outline of `field`; where it is even about x = `axis`, so is the map.

        Raises OrnamentError where the field is in several parts or its outline cannot be meshed.
        """
        self._box = np.array(box).reshape(2, 2)
        if not (np.diff(self._box, axis=0) > 0.0).all():
            raise OrnamentError("the drawing is a straight line, which no outline can be fitted to; draw its FRAME too")
        parts = [part for part in shapely.get_parts(field).tolist() if part.area > 0.0]
        if len(parts) != 1:
            raise OrnamentError(f"the field is in {len(parts)} parts; have the drawing centred or scaled, not fitted")
        outline = shapely.get_coordinates(shapely.geometry.polygon.orient(parts[0]).exterior)[:-1]
        points, faces, border, turns = _even_mesh(outline, axis) if axis is not None else _mesh(outline)
        self.points, self.faces = _without_chords(points, faces, border)
        self.flat = _embedded(self.points, self.faces, border, self._side_points(turns))
        if min(_areas(self.flat, self.faces).min(), _areas(self.points, self.faces).min()) <= 0.0:
            raise OrnamentError("the field's outline is too fine for a drawing to be fitted to it; have it scaled")
        self._axis = axis
        self._middle = float(self._box[:, 0].mean())
        # Interpolated as the way that vertices go: constant and linear maps are then exact to rounding.
        self._inner = CloughTocher2DInterpolator(self.flat, self.points)

    def __call__(self, points: Floats) -> Floats:
        """Where points (n,2) of the rectangle go; what lies outside of it by rounding lies on its rim."""
        inside = np.clip(points, *self._box)
        if self._axis is None:
            return self._read(inside)
        # The interpolation's own triangles need not be even: the mean with the image of the image is.
        image = self._read(np.clip(inside * (-1.0, 1.0) + (2.0 * self._middle, 0.0), *self._box))
        image = image * (-1.0, 1.0) + (2.0 * self._axis, 0.0)
        return np.asarray(0.5 * (self._read(inside) + image))

    def stretches(self, points: Floats) -> Floats:
        """The derivatives (n,2,2) of the map at points of the rectangle: [:, :, k] is that along its axis k."""
        inside = np.clip(points, self._box[0] + 2.0 * _APART, self._box[1] - 2.0 * _APART)
        columns = [(self(inside + axis) - self(inside - axis)) / (2.0 * _APART) for axis in np.eye(2) * _APART]
        return np.stack(columns, axis=-1)

    def _read(self, points: Floats) -> Floats:
        # On the rim rounding may lie outside of every triangle, and all are searched then: a hair inwards lies in one.
        middle = self._box.mean(axis=0)
        return np.asarray(self._inner(middle + (1.0 - _HAIR) * (points - middle)))

    def _side_points(self, turns: Floats) -> Floats:
        """The rim's points at `turns` (n,) in [0, 4), counted in sides from its lower left corner onwards."""
        (x0, y0), (x1, y1) = self._box
        corners = np.array([[x0, y0], [x1, y0], [x1, y1], [x0, y1], [x0, y0]])
        side = np.minimum(turns.astype(int), 3)
        share = (turns - side)[:, None]
        # In this form points of a side have its x, or y, to the last digit.
        return np.asarray(corners[side] + share * (corners[side + 1] - corners[side]))


@one_thread
def fitted(strands: Sequence[Strand], box: Box, field: shapely.Geometry, *, axis: float | None = None) -> Fitted:
    """Strands of a drawing whose rectangle is mapped to the outer outline of a field (`OutlineMap`).

    Raises OrnamentError as that does, where a strand leaves the rectangle, and where the map is folded at a strand.
    """
    fine = [
        shapely.get_coordinates(shapely.segmentize(
            shapely.LinearRing(one.points) if one.closed else shapely.LineString(one.points), STEP
        ))
        for one in strands
    ]  # fmt: skip
    every = np.concatenate(fine)
    low, high = np.array(box[:2]), np.array(box[2:])
    out = np.maximum(low - every, every - high).max(axis=1)
    if out.max() > ONE_SIDE:
        x, y = every[int(np.argmax(out))]
        raise OrnamentError(
            f"a strand lies {out.max():.3g} mm outside the drawing's frame at ({x:.4g}, {y:.4g}) mm; draw the frame "
            "round all of the drawing"
        )
    mapping = OutlineMap(box, field, axis=axis)
    mapped = tuple(
        Strand(mapping(points[:-1] if one.closed else points), one.closed)
        for points, one in zip(fine, strands, strict=True)
    )
    parts = mapping.stretches(every)
    sizes = np.linalg.svd(parts, compute_uv=False)
    turned = np.linalg.det(parts)
    if turned.min() <= 0.0:
        x, y = every[int(np.argmin(turned))]
        raise OrnamentError(
            f"fitted to the field the drawing would fold at ({x:.4g}, {y:.4g}) mm of it; have it scaled instead"
        )
    along, up = parts[:, :, 0], parts[:, :, 1]
    cosine = (along * up).sum(axis=1) / (np.linalg.norm(along, axis=1) * np.linalg.norm(up, axis=1))
    return Fitted(
        mapped,
        float(np.sqrt(turned.mean())),
        float(sizes[:, 1].min()),
        float(sizes[:, 0].max()),
        float(np.arcsin(np.clip(np.abs(cosine), 0.0, 1.0)).max()),
        _bend(mapping, every),
    )


def _bend(mapping: OutlineMap, points: Floats) -> float:
    """The greatest turn, rad a mm of theirs, of the images of level and upright lines through points, over STEP each
    way: the curvature of the circle that they follow."""
    most = 0.0
    for step in np.eye(2) * STEP:
        before, at, after = (mapping(points + k * step) for k in (-1.0, 0.0, 1.0))
        one, other = at - before, after - at
        lengths = np.linalg.norm(one, axis=1), np.linalg.norm(other, axis=1)
        # At the rim a step is cut short.
        whole = np.minimum(*lengths) > 0.05 * STEP
        turn = np.abs(np.arctan2(one[:, 0] * other[:, 1] - one[:, 1] * other[:, 0], (one * other).sum(axis=1)))
        if whole.any():
            most = max(most, float((2.0 * turn / sum(lengths))[whole].max()))
    return most


def corners_of(outline: Floats) -> Ints:
    """The points (4,) of an outline (n,2) that lie furthest to the lower left, lower right, upper right, upper left, x
    and y measured in its width and height. Raises OrnamentError where two of them are one."""
    size = np.ptp(outline, axis=0)
    found = [int(np.argmax((outline / size) @ way)) for way in ((-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0))]
    if len(set(found)) < 4:
        raise OrnamentError("the field's outline has no four corners for a drawing to be fitted to; have it scaled")
    return np.array(found)


def _mesh(outline: Floats) -> tuple[Floats, Ints, Ints, Floats]:
    """A mesh of the outline's inside: points, faces, the border's vertices, and their places on the rim (0 to 4)."""
    first, *others = corners_of(outline).tolist()
    turned = np.roll(outline, -first, axis=0)
    at = [0, *((other - first) % len(outline) for other in others), len(outline)]
    closed = np.concatenate([turned, turned[:1]])
    sides = [closed[one : other + 1] for one, other in pairwise(at)]
    points, faces, along = _meshed(sides, outline)
    border = np.concatenate([vertices[:-1] for vertices, _ in along])
    turns = np.concatenate([k + parameters[:-1] for k, (_, parameters) in enumerate(along)])
    return points, faces, border, turns


def _even_mesh(outline: Floats, axis: float) -> tuple[Floats, Ints, Ints, Floats]:
    """The same of an outline that is even about x = axis, and the mesh as well: its right half, and its image."""
    (x0, y0), (x1, y1) = outline.min(axis=0).tolist(), outline.max(axis=0).tolist()
    shape = shapely.Polygon(outline)
    image = shapely.transform(shape, lambda points: points * (-1.0, 1.0) + (2.0 * axis, 0.0))
    if shapely.hausdorff_distance(shape.exterior, image.exterior) > ONE_SIDE:
        return _mesh(outline)
    half = shape.intersection(shapely.box(axis, y0 - 1.0, x1 + 1.0, y1 + 1.0))
    if not isinstance(half, shapely.Polygon) or x0 >= axis:
        return _mesh(outline)
    right = shapely.get_coordinates(shapely.geometry.polygon.orient(half).exterior)[:-1]
    on = np.flatnonzero(np.abs(right[:, 0] - axis) < 1e-9)
    if len(on) != 2:
        return _mesh(outline)
    size = np.ptp(outline, axis=0)
    low, high = on[np.argsort(right[on, 1])].tolist()
    lower, upper = (int(np.argmax((right / size) @ way)) for way in ((1.0, -1.0), (1.0, 1.0)))
    turned = np.roll(right, -low, axis=0)
    at = [0, *((other - low) % len(right) for other in (lower, upper, high)), len(right)]
    if sorted(set(at)) != at:
        return _mesh(outline)
    closed = np.concatenate([turned, turned[:1]])
    sides = [closed[one : other + 1] for one, other in pairwise(at)]
    points, faces, along = _meshed(sides, outline)
    # The image's vertices: those on the axis are the same.
    points = points.copy()
    middle = along[3][0]
    points[middle, 0] = axis
    other = len(points) + np.arange(len(points))
    other[middle] = middle
    every = np.concatenate([points, points * (-1.0, 1.0) + (2.0 * axis, 0.0)])
    both = np.concatenate([faces, other[faces[:, ::-1]]])
    used, both = np.unique(both, return_inverse=True)
    number = np.zeros(len(every), dtype=np.int64)
    number[used] = np.arange(len(used))
    (bottom, b), (side, s), (top, t) = along[:3]
    border = np.concatenate([bottom, side[1:], top[1:], other[top[::-1]][1:], other[side[::-1]][1:],
                             other[bottom[::-1]][1:-1]])  # fmt: skip
    # The right half's bottom is the second half of the rim's first side, and so on round.
    turns = np.concatenate([0.5 + 0.5 * b, 1.0 + s[1:], 2.0 + 0.5 * t[1:], 2.5 + 0.5 * (1.0 - t[::-1][1:]),
                            3.0 + (1.0 - s[::-1][1:]), 0.5 * (1.0 - b[::-1][1:-1])])  # fmt: skip
    return every[used], both.reshape(-1, 3), number[border], turns


def _without_chords(points: Floats, faces: Ints, border: Ints) -> tuple[Floats, Ints]:
    """The mesh with each inner edge between two vertices of the border halved: on a straight side of the rectangle the
    face that such an edge cuts off would have no area (Floater 1997, section 4: no dividing edge)."""
    on = set(border.tolist())
    rim = {frozenset(edge) for edge in zip(border.tolist(), np.roll(border, -1).tolist(), strict=True)}
    triangles = [tuple(face) for face in faces.tolist()]
    places = list(points)
    waiting = [k for k, face in enumerate(triangles) if sum(corner in on for corner in face) > 1]
    owners: dict[frozenset[int], list[int]] = {}
    for k in waiting:
        for one, other in zip(triangles[k], np.roll(triangles[k], -1).tolist(), strict=True):
            owners.setdefault(frozenset((one, other)), []).append(k)
    for chord in [edge for edge in owners if edge <= on and edge not in rim]:
        one, other = sorted(chord)
        middle = len(places)
        places.append(0.5 * (points[one] + points[other]))
        for k in owners[chord]:
            # The half with `other` keeps the face's number only where it keeps its other chords.
            face = triangles[k]
            far = next(corner for corner in face if corner not in chord)
            keeps = tuple(middle if corner == other else corner for corner in face)
            added = tuple(middle if corner == one else corner for corner in face)
            triangles[k] = keeps
            triangles.append(added)
            moved = frozenset((other, far))
            if moved in owners:
                owners[moved] = [len(triangles) - 1 if owner == k else owner for owner in owners[moved]]
    return np.array(places), np.array(triangles)


def _meshed(sides: Sequence[Floats], outline: Floats) -> tuple[Floats, Ints, list[tuple[Ints, Floats]]]:
    size = float(np.sqrt(shapely.Polygon(outline).area / FACES / 0.433))
    try:
        mesh = mesh_region([_curve(side) for side in sides], size=size)
    except MeshError as error:
        raise OrnamentError(f"the field cannot be fitted to: {error}; have the drawing scaled") from None
    along = [(side.vertices, side.parameters) for side in mesh.sides]
    return mesh.points, mesh.faces, along


def _curve(points: Floats) -> Curve:
    """A polyline by its share of length."""
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))])
    return lambda at: np.column_stack([np.interp(at * along[-1], along, points[:, k]) for k in (0, 1)])


def _embedded(points: Floats, faces: Ints, border: Ints, held: Floats) -> Floats:
    """The places (V,2) with the border held, each inner vertex at the mean-value mean of its neighbours (Floater 2003,
    "Mean value coordinates", equation 2.1)."""
    tangents = np.tan(0.5 * corner_angles(np.column_stack([points, np.zeros(len(points))]), faces))
    rows, columns, weights = [], [], []
    for corner in range(3):
        for other in (faces[:, (corner + 1) % 3], faces[:, (corner + 2) % 3]):
            rows.append(faces[:, corner])
            columns.append(other)
            weights.append(tangents[:, corner] / np.hypot(*(points[other] - points[faces[:, corner]]).T))
    row, column, weight = np.concatenate(rows), np.concatenate(columns), np.concatenate(weights)
    count = len(points)
    total = np.bincount(row, weights=weight, minlength=count)
    matrix = coo_array((weight / total[row], (row, column)), shape=(count, count)).tocsr()
    inner = np.ones(count, dtype=bool)
    inner[border] = False
    places = np.zeros((count, 2))
    places[border] = held
    if inner.any():
        own = matrix[inner]
        identity = coo_array(
            (np.ones(inner.sum()), (np.arange(inner.sum()), np.arange(inner.sum()))), shape=(inner.sum(), inner.sum())
        ).tocsc()
        places[inner] = splu((identity - own[:, inner]).tocsc()).solve(np.asarray(own[:, ~inner] @ places[~inner]))
    return places


def _areas(points: Floats, faces: Ints) -> Floats:
    a, b, c = (points[faces[:, k]] for k in range(3))
    one, other = b - a, c - a
    return np.asarray(0.5 * (one[:, 0] * other[:, 1] - one[:, 1] * other[:, 0]))
