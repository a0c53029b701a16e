"""An edge told in another way, or through another point: it stays where it is as near as the way lets it."""

from __future__ import annotations

from typing import Any, Final, Literal, get_args

import numpy as np

from flatten.errors import CalfskinError
from flatten.job.settings import EdgeHeights, Job
from flatten.limb.kind import QUARTERS, quarter_bearing
from flatten.worn.curves import Edge

EdgeName = Literal["top", "bottom"]
EDGE_NAMES: Final[tuple[EdgeName, ...]] = get_args(EdgeName)

WAYS = ("auto", "straight", "swept", "arched", "heights", "points")
"""The ways to tell an edge: as is usual on the limb, by a shape of the trade, by the heights at its four sides, or
through points of its own."""

LEAST_POINTS = 2
"""Points that an edge of its own has at least, as the job file wants them."""

LEAST_TURN = 2.0
"""Degrees between two points of an edge: nearer ones can hardly be told apart on a limb, and make the edge swing."""

LEAST_BY = 1.0
"""mm by which an edge is swept or arched at least, as the job file wants it."""


class EdgeError(CalfskinError, ValueError):
    """An edge cannot be told so."""


def edge_told(job: Job, name: str, way: str, *, edge: Edge) -> Job:
    """The job with its edge `name` told in one of the WAYS, at the heights that it has as `edge`.

    Raises EdgeError where there is no such edge or way.
    """
    front, outside, back, inside = heights = [float(edge.height(quarter_bearing(quarter))) for quarter in QUARTERS]
    sides = 0.5 * (outside + inside)
    match way:
        case "auto":
            given: dict[str, Any] = {}
        case "straight":
            given = {"shape": way, "height": _mm(sum(heights) / len(heights))}
        case "swept":
            given = {"shape": way, "height": _mm(front), "by": _by(front - back)}
        case "arched":
            given = {"shape": way, "height": _mm(sides), "by": _by(0.5 * (front + back) - sides)}
        case "heights":
            given = {quarter: _mm(height) for quarter, height in zip(QUARTERS, heights, strict=True)}
        case "points":
            given = {"points": _points_of(edge)}
        case _:
            raise EdgeError(f"an edge is not told by '{way}'; it is by {', '.join(WAYS)}")
    return _with_edge(job, name, given)


def edge_raised(job: Job, name: str, by: float, *, edge: Edge) -> Job:
    """The job with its edge `name`, now `edge`, higher by `by` mm all round (lower, where that is negative), told as it
    was; by its heights where it was as is usual.

    Raises EdgeError where there is no such edge.
    """
    given = _given(job, name)
    own = any(getattr(given, quarter) is not None for quarter in QUARTERS)
    way = "points" if given.points else "heights" if own or given.shape == "auto" else given.shape
    return edge_told(job, name, way, edge=Edge(edge.name, edge.bearings, edge.heights + by))


def point_added(job: Job, name: str, *, bearing: float, height: float, edge: Edge) -> Job:
    """The job whose edge `name`, now `edge`, goes through one more point: degrees from the front, mm up the limb.

    An edge that had no points of its own keeps its heights at the four sides as points.

    Raises EdgeError where a point is there already.
    """
    points = _points_of(edge)
    for other, _ in points:
        if abs((bearing - other + 180.0) % 360.0 - 180.0) < LEAST_TURN:
            raise EdgeError("the edge has a point there already; move that one up or down")
    return _with_edge(job, name, {"points": [*points, [round(bearing % 360.0, 2), _mm(height)]]})


def point_removed(job: Job, name: str, number: int) -> Job:
    """The job whose edge `name` goes through one point less, counted from 0 round the limb.

    Raises EdgeError where there is no such point, or only so many as must stay.
    """
    points = _given(job, name).model_dump(mode="json")["points"]
    if not 0 <= number < len(points):
        raise EdgeError(f"the edge has no point {number + 1}")
    if len(points) <= LEAST_POINTS:
        raise EdgeError("two points must stay; tell the edge in another way to be rid of them")
    return _with_edge(job, name, {"points": points[:number] + points[number + 1 :]})


def _points_of(edge: Edge) -> list[list[Any]]:
    """The points that shape an edge, as a job file has them."""
    degrees = np.degrees(edge.bearings).tolist()
    return [[round(turn, 2), _mm(height)] for turn, height in zip(degrees, edge.heights.tolist(), strict=True)]


def _given(job: Job, name: str) -> EdgeHeights:
    if name not in EDGE_NAMES:
        raise EdgeError(f"there is no {name} edge; there is a {' and a '.join(EDGE_NAMES)}")
    found: EdgeHeights = getattr(job.edges, name)
    return found


def _with_edge(job: Job, name: str, given: dict[str, Any]) -> Job:
    _given(job, name)
    edges = job.edges.model_copy(update={name: EdgeHeights.model_validate(given)})
    return job.model_copy(update={"edges": edges})


def _mm(height: float) -> str:
    """A height to a tenth of a mm, as finely as a maker draws an edge."""
    return f"{round(height, 1):g} mm"


def _by(amount: float) -> str:
    """What an edge is swept or arched by; as is usual, where it now runs level or the other way."""
    return _mm(amount) if amount >= LEAST_BY else "auto"
