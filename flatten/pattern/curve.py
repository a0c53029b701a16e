"""The smoothest run of lines and tangent arcs that stays within a tolerance of a polyline."""

from __future__ import annotations

import itertools
from collections.abc import Callable
from functools import cache

import numpy as np

from flatten.mesh.surface import Floats
from flatten.pattern.model import Path, PatternError
from flatten.pattern.path import circle_of, spans
from flatten.pattern.smoothing import Smoothed, refined, smoothed

_BUDGET = 0.6
"""Share of the tolerance that smoothing may use; the rest is for the arcs that replace the smoothed line."""

_STEEPEST = np.pi / 3.0
"""rad. The most that one arc may turn: beyond it a pair of arcs leaves the curve that it stands for."""

_FLAT = 1e-9
"""Bulge below which an arc is a line: its rise is below a millionth of a millimetre over a metre."""

_STEP = 1e-6
"""Share of the bulge by which its derivative is taken: the square root of rounding, and some more."""

_LEAST_POINTS = 8
"""Points that smoothing needs to have something to move; a shorter polyline is halved until it has them."""


def smooth_path(points: Floats, tolerance: float) -> Path:
    """The open path of lines and tangent arcs from the first to the last of `points` (n,2), mm.

    Tangent-continuous, and nowhere further than `tolerance` mm from the polyline, both ways (see `deviation`), if
    that cuts its curve's bends short by less than half of it (3 mm edges: bends from 23 mm radius at 0.1 mm).
    From a coarser polyline it is within half the tolerance of the spline through the vertices, so of each vertex.
    It is a line where one will do, else one arc, else the displaced polyline of least total variation of
    curvature (see `smoothed`), drawn as pairs of tangent arcs, as few as will do.

    Raises PatternError where there are fewer than 2 distinct points or where the polyline turns too sharply.
    """
    if len(points):
        apart = np.hypot(*np.diff(points, axis=0).T) > 0.0
        points = points[np.concatenate([[True], apart])]
    if len(points) < 2 or np.array_equal(points[0], points[-1]):
        raise PatternError("a side of the piece has no length; its two corners must be apart")
    for single in (_line, _arc):
        path = single(points)
        if deviation(path, points) <= tolerance:
            return path
    while len(points) < _LEAST_POINTS:
        middles = 0.5 * (points[:-1] + points[1:])
        points = np.insert(points, np.arange(1, len(points)), middles, axis=0)
    points, offsets = refined(points, tolerance)
    room = tolerance - min(float(offsets.max(initial=0.0)), 0.5 * tolerance)
    path = _arcs_through(smoothed(points, _BUDGET * room), points, room)
    off = deviation(path, points)
    if off > room:
        x, y = points[len(points) // 2]
        raise PatternError(
            f"the side through ({x:.0f}, {y:.0f}) mm turns too sharply for its mesh: a smooth line would be "
            f"{off:.2f} mm off where {room:.2f} mm is allowed; use a finer mesh or a rounder edge"
        )
    return path


def deviation(path: Path, line: Floats) -> float:
    """Greatest distance between an open path and a polyline (n,2) with the same ends, mm, both ways.

    The normals at the path's joints cut the polyline into the parts that face each span. From a line, the
    distance of a part is greatest at its vertices; from a circle, it is convex along each edge, so that vertices
    and feet of perpendiculars decide. So the value is exact where it is the radial one, and an upper bound of
    both one-sided distances in any case. Infinite where a part does not face its span, or runs back along it.
    """
    start, end, bulge = spans(path)
    cuts = _cuts(path, line)
    if cuts is None:
        return float("inf")
    places, points = cuts
    worst = 0.0
    for i in range(len(start)):
        inside = line[int(np.floor(places[i])) + 1 : int(np.ceil(places[i + 1]))]
        part = np.concatenate([points[i : i + 1], inside, points[i + 1 : i + 2]])
        worst = max(worst, _from_span(start[i], end[i], float(bulge[i]), part))
    return worst


def _cuts(path: Path, line: Floats) -> tuple[Floats, Floats] | None:
    """Where the normals at the path's joints meet the polyline: places (m+1,) in vertices, points (m+1,2)."""
    start, end, bulge = spans(path)
    chord = end - start
    heading = np.arctan2(chord[:, 1], chord[:, 0]) - 2.0 * np.arctan(bulge)
    facing = [_facing(line, joint, float(angle)) for joint, angle in zip(start[1:], heading[1:], strict=True)]
    places = np.array([0.0, *(place for place, _ in facing), len(line) - 1.0])
    points = np.array([line[0], *(point for _, point in facing), line[-1]])
    return (places, points) if np.all(np.diff(places) > 0.0) else None


def _facing(line: Floats, joint: Floats, angle: float) -> tuple[float, Floats]:
    """Where the polyline crosses, forwards and nearest, the normal at `joint` of a path heading for `angle`.

    As (place, point): the place counts vertices and fractions of edges, and is NaN where it never crosses.
    """
    ahead = (line - joint) @ np.array([np.cos(angle), np.sin(angle)])
    edges = np.flatnonzero((ahead[:-1] < 0.0) & (ahead[1:] >= 0.0))
    if not len(edges):
        return float("nan"), joint
    share = ahead[edges] / (ahead[edges] - ahead[edges + 1])
    met = line[edges] + share[:, None] * (line[edges + 1] - line[edges])
    nearest = int(np.argmin(np.hypot(*(met - joint).T)))
    return float(edges[nearest] + share[nearest]), met[nearest]


def _from_span(start: Floats, end: Floats, bulge: float, part: Floats) -> float:
    """Greatest distance of a polyline part from the span that it faces, mm; infinite where it runs back."""
    chord = end - start
    size = float(np.hypot(*chord))
    if bulge == 0.0:
        across = (part - start) @ np.array([-chord[1], chord[0]]) / size
        return float(np.abs(across).max()) if np.all(np.diff(part @ chord) >= 0.0) else float("inf")
    centre, radius = circle_of(start, end, bulge)
    arm = part - centre
    turn = np.arctan2(arm[:-1, 0] * arm[1:, 1] - arm[:-1, 1] * arm[1:, 0], (arm[:-1] * arm[1:]).sum(axis=1))
    if np.any(turn * np.sign(bulge) < 0.0):
        return float("inf")
    edge = np.diff(part, axis=0)
    squared = (edge**2).sum(axis=1)
    foot = np.divide(-(arm[:-1] * edge).sum(axis=1), squared, out=np.zeros_like(squared), where=squared > 0.0)
    feet = arm[:-1] + np.clip(foot, 0.0, 1.0)[:, None] * edge
    return float(np.abs(np.hypot(*np.concatenate([arm, feet]).T) - radius).max())


def _line(points: Floats) -> Path:
    """The straight path from the first point to the last."""
    return Path(points[[0, -1]], np.zeros(2), closed=False)


def _arc(points: Floats) -> Path:
    """The arc between the first and the last point that lies best, by least squares, among the others.

    Found by Gauss-Newton steps on the signed distances, from the arc through the middle point. The line where
    that point lies on the chord, so that no arc shows which way to go.
    """
    start, end, inner = points[0], points[-1], points[1:-1]
    if not len(inner):
        return _line(points)
    to_start, to_end = start - inner[len(inner) // 2], end - inner[len(inner) // 2]
    # The inscribed angle is pi - 2·atan(b); a counter-clockwise arc passes to the right of its chord.
    seen = np.arctan2(to_start[1] * to_end[0] - to_start[0] * to_end[1], to_start @ to_end)
    bulge = float(np.tan(0.5 * (np.pi - np.mod(seen, 2.0 * np.pi))))
    for _ in range(12):
        if abs(bulge) < _FLAT:
            return _line(points)
        value = _outside(start, end, bulge, inner)
        slope = (_outside(start, end, bulge * (1.0 + _STEP), inner) - value) / (bulge * _STEP)
        change = -float(slope @ value) / float(slope @ slope)
        bulge += change
        if abs(change) < 1e-13 * abs(bulge):
            break
    return Path(points[[0, -1]], np.array([bulge, 0.0]), closed=False)


def _outside(start: Floats, end: Floats, bulge: float, points: Floats) -> Floats:
    """Signed distances (k,) of points from the circle of a span, positive to the right of the span."""
    centre, radius = circle_of(start, end, bulge)
    return np.sign(bulge) * (np.hypot(*(points - centre).T) - radius)


def _arcs_through(line: Smoothed, original: Floats, tolerance: float) -> Path:
    """The path of straight spans where the line is straight, and of pairs of arcs where it bends one way.

    Its nodes are the two ends and the middles of the edges between, its tangents the edges: so between two nodes
    of a run that bends one way, a pair of arcs bends that way too, and nowhere is there a kink.
    """
    edge = np.diff(line.points, axis=0)
    tangents = np.arctan2(edge[:, 1], edge[:, 0])
    nodes = np.concatenate([line.points[:1], (line.points[:-1] + 0.5 * edge)[1:-1], line.points[-1:]])
    tangents = np.concatenate([tangents[:1], tangents[1:-1], tangents[-1:]])
    facing = [_facing(original, node, angle) for node, angle in zip(nodes[1:-1], tangents[1:-1], strict=True)]
    places = np.array([0.0, *(place for place, _ in facing), len(original) - 1.0])
    feet = np.array([original[0], *(foot for _, foot in facing), original[-1]])

    @cache
    def off(first: int, last: int) -> float:
        pair = _pair(nodes[first], nodes[last], tangents[first], tangents[last])
        if pair is None or not places[first] < places[last]:
            return float("inf")
        inside = original[int(np.floor(places[first])) + 1 : int(np.ceil(places[last]))]
        return deviation(pair, np.concatenate([feet[first : first + 1], inside, feet[last : last + 1]]))

    points, bulges = [nodes[:1]], [np.zeros(0)]
    starts = np.concatenate([[0], 1 + np.flatnonzero(np.diff(line.signs)), [len(line.signs)]])
    for first, last in itertools.pairwise(starts):
        stations = [first, last] if line.signs[first] == 0.0 else _stations(off, first, last, tolerance)
        for a, b in itertools.pairwise(stations):
            pair = _pair(nodes[a], nodes[b], tangents[a], tangents[b]) or _line(nodes[[a, b]])
            points.append(pair.points[1:])
            bulges.append(pair.bulges[:-1])
    return Path(np.concatenate(points), np.concatenate([*bulges, np.zeros(1)]), closed=False)


def _stations(off: Callable[[int, int], float], first: int, last: int, tolerance: float) -> list[int]:
    """Nodes from `first` to `last` between which pairs of arcs are drawn: as few as the tolerance lets.

    Each pair reaches as far as it may; then the tolerance is tightened as long as their number stays the same,
    so that they share the work and the last is no stub.
    """
    best = _reach(off, first, last, tolerance)
    low, high = 0.0, tolerance
    for _ in range(5):
        tried = _reach(off, first, last, 0.5 * (low + high))
        if len(tried) == len(best):
            best, high = tried, 0.5 * (low + high)
        else:
            low = 0.5 * (low + high)
    return best


def _reach(off: Callable[[int, int], float], first: int, last: int, tolerance: float) -> list[int]:
    """Nodes from `first` to `last`, each as far from the one before as the tolerance lets, one step at least."""
    stations = [first]
    while stations[-1] < last:
        at, good, step = stations[-1], stations[-1] + 1, 2
        while at + step <= last and off(at, at + step) <= tolerance:
            good, step = at + step, 2 * step
        bad = min(at + step, last + 1)
        while bad - good > 1:
            middle = (good + bad) // 2
            good, bad = (middle, bad) if off(at, middle) <= tolerance else (good, middle)
        stations.append(good)
    return stations


def _pair(start: Floats, end: Floats, leaving: float, arriving: float) -> Path | None:
    """Two tangent arcs between points with given directions (radians), both bending one way; None where none do.

    They meet in the incentre of the triangle of chord and tangents, where they run along the chord: the joint
    for which both arcs bend as the tangents do, whatever their angles.
    """
    chord = end - start
    size = float(np.hypot(*chord))
    heading = float(np.arctan2(chord[1], chord[0]))
    first = float(np.mod(heading - leaving + np.pi, 2.0 * np.pi) - np.pi)
    second = float(np.mod(arriving - heading + np.pi, 2.0 * np.pi) - np.pi)
    if first * second <= 0.0 or max(abs(first), abs(second)) > _STEEPEST:
        return None
    near, far = np.tan(0.5 * first), np.tan(0.5 * second)
    reach = far / (near + far)
    along = chord / size
    joint = start + size * reach * (along - near * np.array([-along[1], along[0]]))
    bulges = np.array([np.tan(0.25 * first), np.tan(0.25 * second), 0.0])
    return Path(np.stack([start, joint, end]), bulges, closed=False)
