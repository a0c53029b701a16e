"""Whether all that is on a piece keeps its distance; an error names the two things that are too near."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from numpy.typing import NDArray

from flatten.mesh.surface import Floats
from flatten.pattern.corners import Rounded
from flatten.pattern.fastening import BETWEEN_FLANGES, edge_distance, hole_distance, stitch_distance
from flatten.pattern.model import Hole, PatternError
from flatten.pattern.naming import EDGE_STITCH, holes_called, side_called
from flatten.pattern.outline import FINE, Side
from flatten.pattern.path import polyline
from flatten.pattern.rims import spine
from flatten.pattern.sizes import flange_of

HOLE_FIT = 0.05
"""mm. Slack of the check of distances: a tenth of what a hand punch wanders, ten times the polylines' sagitta."""

Rims = Sequence[tuple[shapely.Geometry, tuple[str, ...]]]
"""The parts of a piece's outline, and what each is called: a side by its name, a corner's arc by both its sides."""


def rims_of(sides: tuple[Side, ...], cut: Rounded) -> list[tuple[shapely.Geometry, tuple[str, ...]]]:
    """The sides of a piece and the arcs between them as what holes keep away from."""
    found: list[tuple[shapely.Geometry, tuple[str, ...]]] = []
    for k, (side, arc) in enumerate(zip(sides, cut.arcs, strict=True)):
        called, after = (side_called(one.kind, one.name) for one in (side, sides[(k + 1) % len(sides)]))
        found.append((shapely.LineString(polyline(cut.sides[k], FINE)), (called,)))
        if arc is not None:
            found.append((shapely.LineString(polyline(arc, FINE)), (called, after)))
    return found


def check_holes(shape: shapely.Polygon, holes: Sequence[Hole], *, thickness: float, name: str, rims: Rims = ()) -> None:
    """Raises PatternError, with both things and the place, where a hole's centre is too near an edge or another hole.

    The distances are `edge_distance` and `hole_distance`; between two holes the larger one's holds, and from a stop
    hole the other's beyond its rim. What is set into holes keeps BETWEEN_FLANGES from what is set into others. `rims`
    are the parts of the outline by their names; without, each is "an edge". Stitches of edges keep `stitch_distance`.
    """
    if not holes:
        return
    spines = np.array([spine(hole) for hole in holes])
    away = np.array([edge_distance(hole.kind, hole.diameter, thickness) for hole in holes])
    _check_edges(shape, holes, spines, away, name, rims)
    between = shapely.distance(spines[:, None], spines[None])
    np.fill_diagonal(between, np.inf)
    own = np.array([hole_distance(hole.kind, hole.diameter, thickness) for hole in holes])
    stop = np.array([hole.kind == "stop" for hole in holes])
    apart = np.where(stop[:, None] | stop[None], own[:, None] + own[None], np.maximum(own[:, None], own[None]))
    half = np.array([0.5 * flange_of(hole.kind, hole.diameter) for hole in holes])
    covered = (half[:, None] > 0.0) & (half[None] > 0.0)
    apart = np.maximum(apart, np.where(covered, half[:, None] + half[None] + BETWEEN_FLANGES, 0.0))
    stitch = np.array([hole.side == EDGE_STITCH for hole in holes])
    beside = np.array([stitch_distance(hole.kind, hole.diameter) for hole in holes])
    apart = np.where(stitch[:, None] & ~stitch[None], beside[None], apart)
    apart = np.where(~stitch[:, None] & stitch[None], beside[:, None], apart)
    i, j = (int(k) for k in np.unravel_index(np.argmin(between - apart), between.shape))
    if between[i, j] < apart[i, j] - HOLE_FIT:
        called, hole = holes_called(holes), holes[i]
        raise PatternError(
            f"{called[i]} and {called[j]} of piece '{name}', near ({hole.x:.0f}, {hole.y:.0f}) mm, are "
            f"{between[i, j]:.1f} mm apart, wanted {apart[i, j]:.1f} mm: use smaller holes, a wider pitch or a wider "
            "piece, or move one of the two"
        )


def _check_edges(
    shape: shapely.Polygon, holes: Sequence[Hole], spines: NDArray[np.object_], away: Floats, name: str, rims: Rims
) -> None:
    inside = shapely.contains(shape, spines) | np.array([hole.kind == "stop" for hole in holes])
    to_edge = np.where(inside, shapely.distance(shape.exterior, spines), -1.0)
    worst = int(np.argmin(to_edge - away))
    if to_edge[worst] >= away[worst] - HOLE_FIT:
        return
    hole, called = holes[worst], holes_called(holes)[worst]
    near = min(rims, key=lambda rim: float(shapely.distance(rim[0], spines[worst])))[1] if rims else ("an edge",)
    edge = f"{'the corner of ' if len(near) > 1 else ''}{' and '.join(near)}"
    found = f"outside the piece, past {edge}" if to_edge[worst] < 0.0 else f"{to_edge[worst]:.1f} mm from {edge}"
    raise PatternError(
        f"{called} of piece '{name}', at ({hole.x:.0f}, {hole.y:.0f}) mm, is {found}, wanted {away[worst]:.1f} mm "
        "inside: use smaller holes, a wider overlap or a wider piece, or move one of the two"
    )
