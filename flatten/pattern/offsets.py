"""Lines at a distance inside a piece's edges: exact offsets of its lines and arcs, cut where they meet."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
import shapely

from flatten.mesh.surface import Flags, Floats
from flatten.pattern.model import Path
from flatten.pattern.path import HALVINGS, along, circle_of, length, part, spans

OFFSET_FIT = 1e-6
"""mm. A line at a distance is nowhere nearer to the edges than that by more than this: rounding, and some more."""

_STEP = 0.5
"""mm. Step along an offset span in the search for where it comes too near to another part of the edges."""

_JOINED = 1e-4
"""mm. Ends of offset spans that are no further apart than this are one point: what a search by halves leaves."""

_SHORTEST = 5.0
"""mm. A line shorter than this is left out: a stub between two corners says nothing."""


def inside_lines(rim: Sequence[tuple[Path, bool]], distance: float, *, shape: shapely.Polygon) -> tuple[Path, ...]:
    """The lines `distance` mm inside the parts of a closed, counter-clockwise outline that are marked so.

    `rim` are its paths in turn. A span moved along its normals is a span again: an arc keeps its angle and centre. So
    lines are exact; each ends where it would come nearer than `distance` to another marked part, and is joined to what
    goes on from there. At corners of a smaller radius than the distance that makes a corner. Unmarked parts are no
    edges: a line ends on them, or at the marked part's own normal. `shape` is the outline's polygon.
    """
    marked = [path for path, drawn in rim if drawn]
    pieces: list[Path] = []
    for path in marked:
        for start, end, bulge in zip(*spans(path), strict=True):
            span = _moved(start, end, float(bulge), distance)
            if span is not None:
                pieces += _clear(span, marked, distance, shape)
    return tuple(line for line in _chained(pieces) if length(line) >= _SHORTEST)


def offset(path: Path, distance: float) -> Path | None:
    """An open path without kinks moved to its left by `distance` mm, exactly; None where it bends too sharply."""
    moved = [_moved(start, end, float(bulge), distance) for start, end, bulge in zip(*spans(path), strict=True)]
    whole = [span for span in moved if span is not None]
    return _one(whole, closed=False) if len(whole) == len(moved) else None


def _moved(start: Floats, end: Floats, bulge: float, distance: float) -> Path | None:
    """A span moved to its left by `distance` mm; None where an arc's radius is used up."""
    if bulge == 0.0:
        chord = end - start
        shift = distance * np.array([-chord[1], chord[0]]) / np.hypot(*chord)
        return Path(np.stack([start + shift, end + shift]), np.zeros(2), closed=False)
    centre, radius = circle_of(start, end, bulge)
    share = 1.0 - distance * np.sign(bulge) / radius
    if share * radius <= _JOINED:
        return None
    return Path(centre + share * (np.stack([start, end]) - centre), np.array([bulge, 0.0]), closed=False)


def _clear(span: Path, marked: Sequence[Path], distance: float, shape: shapely.Polygon) -> list[Path]:
    """The parts of an offset span inside the piece that are nowhere nearer than `distance` to any marked path."""

    def good(places: Floats) -> Flags:
        points = along(span, places)[0]
        far = distances_from(marked, points) >= distance - OFFSET_FIT
        return far & shapely.intersects_xy(shape, *points.T)

    return _kept(span, good)


def _kept(path: Path, good: Callable[[Floats], Flags]) -> list[Path]:
    """The parts of an open path whose places, by their arc lengths, are good."""
    size = length(path)
    steps = np.linspace(0.0, size, max(int(np.ceil(size / _STEP)), 2) + 1)
    kept = good(steps)
    changes = np.flatnonzero(np.diff(kept.astype(int)))
    ends = []
    for k in changes:
        low, high = steps[k], steps[k + 1]
        for _ in range(HALVINGS):
            middle = 0.5 * (low + high)
            low, high = (middle, high) if good(np.array([middle]))[0] == kept[k] else (low, middle)
        ends.append(float(low if kept[k] else high))
    borders = [*([0.0] if kept[0] else []), *ends, *([size] if kept[-1] else [])]
    pairs = zip(borders[::2], borders[1::2], strict=True)
    return [part(path, first, last) for first, last in pairs if last - first > _JOINED]


def parted(line: Path, spines: Sequence[shapely.Geometry], away: Sequence[float]) -> tuple[Path, ...]:
    """The parts of a line that are `away` mm or more from each of some geometries, each from its own.

    Parts below _SHORTEST are left out; the line itself where nothing is too near to it.
    """
    size = length(line)
    around, wanted = np.array(spines, dtype=object), np.asarray(away)
    steps = np.linspace(0.0, size, max(int(np.ceil(size / _STEP)), 2) + 1)

    def good(path: Path, places: Floats) -> Flags:
        points = np.array(shapely.points(along(path, places)[0]))
        far = np.asarray(shapely.distance(points[:, None], around[None])) >= wanted[None]
        return np.asarray(far.all(axis=1))

    kept = good(line, steps)
    if kept.all():
        return (line,)
    if line.closed:
        # Begun where something is near, no part of it is cut in two where the line happens to begin.
        line = _opened(line, float(steps[int(np.argmin(kept))]))
    parts = _kept(line, lambda places: good(line, places))
    return tuple(part for part in parts if length(part) >= _SHORTEST)


def _opened(line: Path, start: float) -> Path:
    """A closed line as an open one from an arc length once round."""
    ends = [part(line, start, length(line)), *([part(line, 0.0, start)] if start > 0.0 else [])]
    return _one(ends, closed=False)


def distances_from(paths: Sequence[Path], points: Floats) -> Floats:
    """Distances (k,) of points (k,2) from the nearest of some paths, mm, exact for lines and arcs."""
    nearest = np.full(len(points), np.inf)
    for path in paths:
        for start, end, bulge in zip(*spans(path), strict=True):
            nearest = np.minimum(nearest, _from_span(start, end, float(bulge), points))
    return nearest


def _from_span(start: Floats, end: Floats, bulge: float, points: Floats) -> Floats:
    to_ends = np.minimum(np.hypot(*(points - start).T), np.hypot(*(points - end).T))
    if bulge == 0.0:
        chord = end - start
        share = np.clip((points - start) @ chord / (chord @ chord), 0.0, 1.0)
        return np.hypot(*(points - start - share[:, None] * chord).T)
    centre, radius = circle_of(start, end, bulge)
    arms, first = points - centre, start - centre
    ahead = np.arctan2(first[0] * arms[:, 1] - first[1] * arms[:, 0], arms @ first) * np.sign(bulge)
    beside = np.mod(ahead, 2.0 * np.pi) <= 4.0 * np.arctan(abs(bulge))
    return np.where(beside, np.abs(np.hypot(*arms.T) - radius), to_ends)


def _chained(pieces: Sequence[Path]) -> list[Path]:
    """The paths that parts in turn make where each begins where the one before ends; closed where the last does."""
    runs: list[list[Path]] = []
    for one in pieces:
        if runs and _apart(runs[-1][-1], one) <= _JOINED:
            runs[-1].append(one)
        else:
            runs.append([one])
    if len(runs) > 1 and _apart(runs[-1][-1], runs[0][0]) <= _JOINED:
        runs[0] = runs.pop() + runs[0]
    return [_one(run, closed=_apart(run[-1], run[0]) <= _JOINED) for run in runs]


def _apart(before: Path, after: Path) -> float:
    return float(np.hypot(*(after.points[0] - before.points[-1])))


def _one(run: Sequence[Path], *, closed: bool) -> Path:
    points = np.concatenate([path.points[:-1] for path in run])
    bulges = np.concatenate([path.bulges[:-1] for path in run])
    if closed:
        return Path(points, bulges, closed=True)
    return Path(np.concatenate([points, run[-1].points[-1:]]), np.append(bulges, 0.0), closed=False)
