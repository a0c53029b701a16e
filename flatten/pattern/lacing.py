"""Eyelet holes along laced sides: mates face each other, and no hole lies too near an edge or another hole."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from flatten.mesh.surface import Floats
from flatten.pattern.model import Hole, PatternError
from flatten.pattern.outline import FINE, Side
from flatten.pattern.path import beside, length, polyline

LEAST_PITCH = 25.0
"""mm. Lacing holes stand no closer than this where the run lets them. From memory."""

GREATEST_PITCH = 40.0
"""mm. Lacing holes stand no further apart than this where the run lets them. From memory."""

LEAST_EDGE = 10.0
"""mm. No lacing hole's centre is nearer to an edge, however thin the leather. From memory."""

HOLE_FIT = 0.05
"""mm. Slack of the check of distances: a tenth of what a hand punch wanders, ten times the polylines' sagitta."""

_SEARCH = 0.5
"""mm. Step along a side in the search for the first place that is far enough from the corner's other edge."""


@dataclass(frozen=True)
class Lacing:
    """Eyelet holes: `diameter` mm, and the `pitch` mm wanted from hole to hole along the edge."""

    diameter: float = 5.0
    pitch: float = 30.0

    def __post_init__(self) -> None:
        """Raises PatternError where a hole has no size or the pitch is none that laces."""
        if not self.diameter > 0.0:
            raise PatternError(f"eyelet holes of {self.diameter} mm cannot be punched; give a diameter such as 5 mm")
        if not LEAST_PITCH <= self.pitch <= GREATEST_PITCH:
            raise PatternError(
                f"a lacing pitch of {self.pitch} mm is outside {LEAST_PITCH:.0f} to {GREATEST_PITCH:.0f} mm"
            )


def edge_distance(diameter: float, thickness: float) -> float:
    """Least distance from a lacing hole's centre to an edge or to another hole's centre, mm.

    The larger of two hole diameters and two leather thicknesses, at least 10 mm. From memory.
    """
    return max(2.0 * diameter, 2.0 * thickness, LEAST_EDGE)


def eyelets(
    pieces: Sequence[tuple[Side, ...]], *, lacing: Mapping[str, Lacing], thickness: float
) -> tuple[tuple[Hole, ...], ...]:
    """The eyelet holes of each piece, given its sides; those of one seam count upwards from the bottom edge.

    `lacing` holds what is not the usual by the seam's name.

    All laced sides of one seam, on whichever piece, get equal counts at equal fractions of their arc length, so
    that mates face each other. The end holes are as far from the corners' other edges as all holes are from their
    own. The pitch is that nearest to the wanted one that divides the run; from 50 mm of run on, it lies within
    LEAST_PITCH to GREATEST_PITCH.

    Raises PatternError where a laced side is too short for two holes.
    """
    laced = [(i, side) for i, sides in enumerate(pieces) for side in sides if side.kind == "laced"]
    holes: list[list[Hole]] = [[] for _ in pieces]
    for seam in dict.fromkeys(side.name for _, side in laced):
        mates = [(i, side) for i, side in laced if side.name == seam]
        wanted = lacing.get(seam, Lacing())
        away = edge_distance(wanted.diameter, thickness)
        runs = [_run(side, pieces[i], away) for i, side in mates]
        first, last = max(run[0] for run in runs), min(run[1] for run in runs)
        room = (last - first) * float(np.mean([length(side.path) for _, side in mates]))
        if not room >= LEAST_PITCH:
            raise PatternError(
                f"the laced seam '{seam}' has {max(room, 0.0):.0f} mm for holes, {away:.0f} mm from its ends; "
                f"lacing needs at least {LEAST_PITCH:.0f} mm: make the piece longer or close it otherwise"
            )
        fractions = np.linspace(first, last, _intervals(room, wanted.pitch) + 1)
        for i, side in mates:
            holes[i] += [
                Hole(float(x), float(y), wanted.diameter, "eyelet", side.name, side.side)
                for x, y in _hole_line(side, fractions, away)
            ]
    return tuple(tuple(found) for found in holes)


def _intervals(room: float, pitch: float) -> int:
    """How many steps from hole to hole divide `room` mm, near to the pitch wanted and within its bounds."""
    fewest, most = int(np.ceil(room / GREATEST_PITCH)), int(room / LEAST_PITCH)
    wanted = max(round(room / pitch), 1)
    # Between 40 and 50 mm no count is within the bounds; the wanted one is then the nearest.
    return min(max(wanted, fewest), most) if fewest <= most else wanted


def _hole_line(side: Side, fractions: Floats, away: float) -> Floats:
    """Points (k,2) `away` mm inside the side, at fractions of its arc length counted from the bottom edge."""
    along = fractions if side.upward else 1.0 - fractions
    return beside(side.path, along * length(side.path), away)


def _run(side: Side, sides: tuple[Side, ...], away: float) -> tuple[float, float]:
    """Fractions, from the bottom edge, between which the hole line is at least `away` mm from the other sides."""
    others = shapely.MultiLineString([polyline(other.path, FINE) for other in sides if other is not side])

    def clear(fractions: Floats) -> Floats:
        return np.asarray(shapely.distance(others, shapely.points(_hole_line(side, fractions, away)))) - away

    steps = np.linspace(0.0, 1.0, max(int(np.ceil(length(side.path) / _SEARCH)), 2) + 1)
    good = np.flatnonzero(clear(steps) >= 0.0)
    if not len(good):
        return 1.0, 0.0
    ends = []
    for inner, outer in ((good[0], max(good[0] - 1, 0)), (good[-1], min(good[-1] + 1, len(steps) - 1))):
        inside, outside = steps[inner], steps[outer]
        for _ in range(30):
            middle = 0.5 * (inside + outside)
            inside, outside = (middle, outside) if clear(np.array([middle]))[0] >= 0.0 else (inside, middle)
        ends.append(float(inside))
    return ends[0], ends[1]


def check_holes(shape: shapely.Polygon, holes: tuple[Hole, ...], *, thickness: float, name: str) -> None:
    """Raises PatternError, with the place, where a hole's centre is nearer than its distance to an edge or a hole.

    The distance is `edge_distance`; between two holes the larger one's holds.
    """
    if not holes:
        return
    centres = np.array([(hole.x, hole.y) for hole in holes])
    away = np.array([edge_distance(hole.diameter, thickness) for hole in holes])
    points = shapely.points(centres)
    to_edge = np.where(shapely.contains(shape, points), shapely.distance(shape.exterior, points), -1.0)
    worst = int(np.argmin(to_edge - away))
    if to_edge[worst] < away[worst] - HOLE_FIT:
        x, y = centres[worst]
        found = "outside the piece" if to_edge[worst] < 0.0 else f"{to_edge[worst]:.1f} mm from an edge"
        raise PatternError(
            f"a hole of piece '{name}' at ({x:.0f}, {y:.0f}) mm is {found}; it must be {away[worst]:.1f} mm inside: "
            "use smaller holes or a wider piece"
        )
    between = np.hypot(*(centres[:, None] - centres[None]).transpose(2, 0, 1))
    np.fill_diagonal(between, np.inf)
    apart = np.maximum(away[:, None], away[None])
    at = np.unravel_index(np.argmin(between - apart), between.shape)
    if between[at] < apart[at] - HOLE_FIT:
        x, y = centres[at[0]]
        raise PatternError(
            f"two holes of piece '{name}' near ({x:.0f}, {y:.0f}) mm are {between[at]:.1f} mm apart; "
            f"they must be {apart[at]:.1f} mm apart: use smaller holes, a wider pitch or a wider piece"
        )
