"""Measures of paths of lines and arcs: length, area, bounds, places along them, polylines."""

from __future__ import annotations

import numpy as np

from flatten.mesh.surface import Floats
from flatten.pattern.model import Path

HALVINGS = 50
"""Halvings of a part of a path in which a place is sought: what is left of it is rounding."""

_SERIES = 0.01
"""Bulge below which a segment's area is taken from its series: there both forms are good to 1e-12."""


def spans(path: Path) -> tuple[Floats, Floats, Floats]:
    """Starts (m,2), ends (m,2) and bulges (m,) of the path's spans; a closed path's last span returns to its start."""
    if path.closed:
        return path.points, np.roll(path.points, -1, axis=0), path.bulges
    return path.points[:-1], path.points[1:], path.bulges[:-1]


def span_lengths(path: Path) -> Floats:
    """Arc length of each span (m,), mm: chord · (1 + b²) · atan(b) / b."""
    start, end, bulge = spans(path)
    chord = np.hypot(*(end - start).T)
    ratio = np.divide(np.arctan(bulge), bulge, out=np.ones_like(bulge), where=bulge != 0.0)
    return chord * (1.0 + bulge**2) * ratio


def length(path: Path) -> float:
    """Length of the path, mm; 0 where it has no span."""
    return float(span_lengths(path).sum())


def area(path: Path) -> float:
    """Area inside a closed path, mm², positive where it runs counter-clockwise: the polygon plus its segments."""
    start, end, b = spans(path)
    polygon = 0.5 * (start[:, 0] * end[:, 1] - start[:, 1] * end[:, 0]).sum()
    squared = ((end - start) ** 2).sum(axis=1)
    small = np.abs(b) < _SERIES
    safe = np.where(small, 1.0, b)
    exact = (np.arctan(safe) * (1.0 + safe**2) ** 2 - safe * (1.0 - safe**2)) / (8.0 * safe**2)
    segment = np.where(small, b / 3.0 + b**3 / 15.0 - b**5 / 105.0, exact)
    return float(polygon + (squared * segment).sum())


def bounds(path: Path) -> tuple[float, float, float, float]:
    """Least x, least y, greatest x, greatest y of the path, mm, exact for arcs.

    Precondition: the path has a point.
    """
    start, end, bulge = spans(path)
    arcs = np.flatnonzero(bulge)
    a, chord, t = start[arcs], (end - start)[arcs], bulge[arcs]
    left = np.stack([-chord[:, 1], chord[:, 0]], axis=1)
    centre = a + 0.5 * chord + left * ((1.0 - t**2) / (4.0 * t))[:, None]
    radius = np.hypot(*chord.T) * (1.0 + t**2) / (4.0 * np.abs(t))
    first, turn = np.arctan2(*(a - centre).T[::-1]), 4.0 * np.arctan(t)
    quarters = np.arange(4) * np.pi / 2.0
    ahead = np.mod((quarters - first[:, None]) * np.sign(turn)[:, None], 2.0 * np.pi)
    arc, quarter = np.nonzero(ahead < np.abs(turn)[:, None])
    angle = quarters[quarter]
    extremes = centre[arc] + radius[arc, None] * np.stack([np.cos(angle), np.sin(angle)], axis=1)
    points = np.concatenate([path.points, extremes])
    return float(points[:, 0].min()), float(points[:, 1].min()), float(points[:, 0].max()), float(points[:, 1].max())


def circle_of(start: Floats, end: Floats, bulge: float) -> tuple[Floats, float]:
    """Centre (2,) and radius of the circle that an arc span lies on. Precondition: the bulge is not 0."""
    chord = end - start
    left = np.array([-chord[1], chord[0]])
    centre = 0.5 * (start + end) + left * (1.0 - bulge**2) / (4.0 * bulge)
    return centre, float(np.hypot(*chord) * (1.0 + bulge**2) / (4.0 * abs(bulge)))


def along(path: Path, distances: Floats) -> tuple[Floats, Floats]:
    """Points (k,2) and unit tangents (k,2) at arc lengths (k,) from the path's start, mm.

    Lengths below 0 and beyond the path's end continue its first and last span.
    """
    start, end, bulge = spans(path)
    lengths = span_lengths(path)
    ends = np.cumsum(lengths)
    at = np.minimum(np.searchsorted(ends, distances, side="right"), len(lengths) - 1)
    share = (distances - (ends[at] - lengths[at])) / lengths[at]
    chord = end[at] - start[at]
    half = 2.0 * np.arctan(bulge[at])
    heading = np.arctan2(chord[:, 1], chord[:, 0]) - half
    # A part of an arc is a chord turned by half the part's angle; sinc keeps straight spans exact.
    reach = np.hypot(*chord.T) * share * np.sinc(half * share / np.pi) / np.sinc(half / np.pi)
    step = heading + half * share
    points = start[at] + reach[:, None] * np.stack([np.cos(step), np.sin(step)], axis=1)
    final = heading + 2.0 * half * share
    return points, np.stack([np.cos(final), np.sin(final)], axis=1)


def beside(path: Path, distances: Floats, offset: float) -> Floats:
    """Points (k,2) that lie `offset` mm to the left of the path at arc lengths (k,) from its start."""
    points, tangents = along(path, distances)
    return points + offset * np.stack([-tangents[:, 1], tangents[:, 0]], axis=1)


def polyline(path: Path, sagitta: float) -> Floats:
    """Points (n,2) on the path whose chords leave it by at most `sagitta` mm; a closed path's start ends it too."""
    start, end, bulge = spans(path)
    if not len(start):
        return path.points
    chord = np.hypot(*(end - start).T)
    radius = np.divide(chord * (1.0 + bulge**2), 4.0 * np.abs(bulge), out=np.full_like(chord, np.inf), where=bulge != 0)
    step = 4.0 * np.arcsin(np.sqrt(np.minimum(sagitta / (2.0 * radius), 0.5)))
    counts = np.ones(len(chord), dtype=int)
    arcs = bulge != 0.0
    counts[arcs] = np.maximum(np.ceil(4.0 * np.arctan(np.abs(bulge[arcs])) / step[arcs]), 1).astype(int)
    lengths = span_lengths(path)
    begins = np.cumsum(lengths) - lengths
    own = np.repeat(np.arange(len(counts)), counts)
    steps = np.arange(len(own)) - (np.cumsum(counts) - counts)[own]
    inner, _ = along(path, begins[own] + steps * (lengths / counts)[own])
    # Corners are taken as they are written, so that no rounding parts a piece from its neighbour.
    inner[np.cumsum(counts) - counts] = start
    return np.concatenate([inner, end[-1:]])


def part(path: Path, first: float, last: float) -> Path:
    """The open path along a path from one of its arc lengths to a greater one, mm."""
    lengths = span_lengths(path)
    ends = np.cumsum(lengths)
    begins = ends - lengths
    kept = np.flatnonzero((ends > first) & (begins < last))
    low, high = np.maximum(begins[kept], first), np.minimum(ends[kept], last)
    places, _ = along(path, np.array([first, last]))
    points = np.concatenate([places[:1], path.points[kept[1:]], places[1:]])
    # A part of an arc turns by its share of the arc's angle, which is four times the bulge's arc tangent.
    shares = np.tan(np.arctan(path.bulges[kept]) * (high - low) / lengths[kept])
    whole = (low == begins[kept]) & (high == ends[kept])
    return Path(points, np.append(np.where(whole, path.bulges[kept], shares), 0.0), closed=False)


def moved(path: Path, dx: float, dy: float) -> Path:
    """The path moved by (dx, dy) mm."""
    return Path(path.points + np.array([dx, dy]), path.bulges, path.closed, path.light)


def mirrored_path(path: Path) -> Path:
    """The path's mirror image, x negated."""
    return Path(path.points * np.array([-1.0, 1.0]), -path.bulges, path.closed, path.light)


def reversed_path(path: Path) -> Path:
    """The open path gone along the other way."""
    return Path(path.points[::-1], np.append(-path.bulges[-2::-1], 0.0), path.closed)


def joined(sides: tuple[Path, ...]) -> Path:
    """The closed path that runs through open sides, each of which starts where the one before it ends."""
    points = np.concatenate([side.points[:-1] for side in sides])
    bulges = np.concatenate([side.bulges[:-1] for side in sides])
    return Path(points, bulges, closed=True)


def segment(*points: tuple[float, float]) -> Path:
    """The open path of straight spans through `points`."""
    return Path(np.array(points), np.zeros(len(points)), closed=False)
