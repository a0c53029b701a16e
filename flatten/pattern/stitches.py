"""Marks of a line of stitches along an edge: even, with one in each corner, a full pitch from ends and other holes."""

from __future__ import annotations

import itertools
from collections.abc import Sequence

import numpy as np
import shapely

from flatten.mesh.surface import Floats
from flatten.pattern.model import Hole, Path
from flatten.pattern.path import along, length, span_lengths, spans
from flatten.pattern.rims import spine

_CORNER = 0.35
"""rad. A line that turns by more than this (20°) in one place has a corner there, which gets a stitch of its own."""

_CORNER_RADIUS = 15.0
"""mm. An arc of at most this radius is a rounded corner, a wider one a bend that stitches follow."""

_FEWEST = 0.75
"""Share of a pitch below which a stretch between corners or holes gets no stitches of its own."""

_STEP = 0.25
"""mm. Step along a line in the search for where holes let stitches be; they wander by less than a hand's awl."""


def stitch_places(path: Path, pitch: float, holes: Sequence[Hole], away: Sequence[float]) -> Floats:
    """Arc lengths (k,) along a line at which stitches stand, about `pitch` mm apart.

    Between two corners, or where a hole parts the line, they are even, the pitch made a little larger or smaller; a
    corner has a stitch in it. An end of an open line is a full pitch away, and so is each of the other `holes`, or
    `away` mm (one for each) where that is more.
    """
    whole = length(path)
    corners = _corners(path)
    if not path.closed:
        stations = np.array([0.0, *corners, whole])
    elif len(corners):
        stations = np.append(corners, corners[0] + whole)
    else:
        stations = np.array([0.0, whole])
    places: list[float] = []
    for number, (first, last) in enumerate(itertools.pairwise(stations)):
        low = first + pitch if not path.closed and number == 0 else first
        high = last - pitch if not path.closed and number == len(stations) - 2 else last
        for start, end in _free(path, low, high, pitch, holes, away):
            if end - start >= _FEWEST * pitch:
                places += np.linspace(start, end, max(round((end - start) / pitch), 1) + 1).tolist()
    found = np.sort(np.mod(places, whole) if path.closed else np.array(places))
    # Two stretches that share a corner share its stitch.
    doubled = np.diff(found, append=found[:1] + whole) < 0.5 * _FEWEST * pitch
    return found[~doubled] if len(found) > 1 else found


def _corners(path: Path) -> Floats:
    """Arc lengths at which a line has its corners: kinks, and the middles of small arcs."""
    start, end, bulge = spans(path)
    sizes = span_lengths(path)
    ends = np.cumsum(sizes)
    turn = 4.0 * np.arctan(bulge)
    small = (np.abs(turn) > _CORNER) & (sizes < _CORNER_RADIUS * np.abs(turn))
    chord = end - start
    heading = np.arctan2(chord[:, 1], chord[:, 0])
    kink = np.roll(heading - 0.5 * turn, -1) - (heading + 0.5 * turn)
    sharp = np.abs(np.mod(kink + np.pi, 2.0 * np.pi) - np.pi) > _CORNER
    if not path.closed:
        sharp[-1] = False
    return np.sort(np.concatenate([(ends - 0.5 * sizes)[small], ends[sharp]]))


def _free(
    path: Path, low: float, high: float, pitch: float, holes: Sequence[Hole], away: Sequence[float]
) -> list[tuple[float, float]]:
    """The stretches of a line between two arc lengths that are far enough from all holes."""
    if high - low < _FEWEST * pitch:
        return []
    steps = np.linspace(low, high, int(np.ceil((high - low) / _STEP)) + 1)
    if not holes:
        return [(low, high)]
    points = np.array(shapely.points(along(path, np.mod(steps, length(path)) if path.closed else steps)[0]))
    spines = np.array([spine(hole) for hole in holes])
    wanted = np.maximum(np.asarray(away), pitch)
    good = (shapely.distance(points[:, None], spines[None]) >= wanted[None]).all(axis=1)
    edges = np.flatnonzero(np.diff(np.concatenate([[0], good.astype(int), [0]])))
    return [(float(steps[a]), float(steps[b - 1])) for a, b in zip(edges[::2], edges[1::2], strict=True)]
