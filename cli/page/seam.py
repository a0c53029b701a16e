"""A seam drawn by clicks: its line run on past both edges, as a seam must reach."""

from __future__ import annotations

import numpy as np

from flatten.errors import CalfskinError
from flatten.worn.curves import Edge, Seam

PAST_EDGE = 10.0
"""mm. A drawn seam runs on this far past the edges' outermost places, so that an edge may be dragged a little."""

ROUNDED = 0.01
"""Degrees and mm that points are rounded to: an end that misses its height by less is there."""

LEAST_CLIMB = 20.0
"""mm. Two clicks nearer in height than this do not say how a seam climbs: a slip of 1 mm would turn it by 3°."""

STRAIGHT = 1e-9
"""rad/mm². A seam's end that bends less than this is straight: rounding of its spline alone."""

Points = tuple[tuple[float, float], ...]
"""(bearing in degrees, height in mm) pairs, as a job file has them."""


class SeamError(CalfskinError, ValueError):
    """Clicked points are no line for a seam."""


def reaching(points: Points, *, bottom: Edge, top: Edge) -> Points:
    """The same line through `points`, by rising height, its ends run straight on past both edges.

    A straight end is moved along itself, a bent one gets one more point; so the line stays what it was.

    Raises SeamError where the points climb too little to be a seam.
    """
    ordered = sorted(points, key=lambda point: point[1])
    climb = ordered[-1][1] - ordered[0][1]
    if len(ordered) < 2 or climb < LEAST_CLIMB:
        raise SeamError(
            f"the points climb only {climb:.0f} mm, and a seam runs from edge to edge: set one low and one high"
        )
    heights = np.array([height for _, height in ordered])
    if (np.diff(heights) <= 0.0).any():
        raise SeamError("two points of the seam lie at one height; move one of them up or down")
    line = Seam("seam", "laced", 1.0, heights, np.unwrap(np.radians([bearing for bearing, _ in ordered])))
    around = np.linspace(0.0, 2 * np.pi, 181)
    ends = float(bottom.height(around).min()) - PAST_EDGE, float(top.height(around).max()) + PAST_EDGE
    places = list(heights)
    if places[0] > ends[0] + ROUNDED:
        _run_on(places, 0, ends[0], straight=_straight(line, 1))
    if places[-1] < ends[1] - ROUNDED:
        _run_on(places, -1, ends[1], straight=_straight(line, -2))
    bearings = np.degrees(line.bearing(np.array(places)))
    return tuple((round(float(b), 2), round(float(h), 2)) for b, h in zip(bearings, places, strict=True))


def _straight(line: Seam, inner: int) -> bool:
    return len(line.heights) == 2 or abs(float(line.bearing(line.heights[inner], nu=2))) < STRAIGHT


def _run_on(places: list[float], end: int, height: float, *, straight: bool) -> None:
    if straight:
        places[end] = height
    else:
        places.insert(0 if end == 0 else len(places), height)
