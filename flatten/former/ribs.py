"""Ribs and spines of a former as outlines: sections of its face, and boards that they slide on, with slots for both."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from scipy.optimize import brentq

from flatten.former.face import Face, section
from flatten.former.model import FormerError, FormerPlan
from flatten.mesh.surface import Floats
from flatten.pattern.curve import smooth_path
from flatten.pattern.model import Path
from flatten.pattern.path import joined, segment
from flatten.tolerances import CUT_LINE

ROUND = 720
"""Places round a section in which slots are sought: half a mm apart on a girth of 400 mm."""

POINT_STEP = 2.0
"""mm between the places that a rib's outline is drawn through: chords leave a bend of 30 mm radius by 0.02 mm."""

WEB = 8.0
"""mm of board that stay between a slot and any edge beside it: plywood and foam board break through below."""

WIDEST_SPINE = 80.0
"""mm. A spine needs to be no wider: it then holds a rib on 40 mm of slot."""

LEAST_SPINE = 20.0
"""mm. A narrower spine holds ribs on slots of less than 10 mm, which lets them rock."""

LEAST_WING = 12.0
"""mm. The boards that cross a spine reach at least so far from it: they hold it upright, and it holds the ribs."""

BEYOND = 15.0
"""mm by which a spine runs on past the first and the last rib, so that their slots are closed all round, and it can be
clamped."""


@dataclass(frozen=True, eq=False)
class Spine:
    """An upright board in the plane through `foot` (2,) along `way` (2,): from `near` to `far` mm along it.

    Its slots for the ribs reach from `near` to `middle`; the ribs' own go on from there. `low` and `high` are the
    heights of its ends.
    """

    foot: Floats
    way: Floats
    near: float
    middle: float
    far: float
    low: float
    high: float


@dataclass(frozen=True, eq=False)
class Frame:
    """Ribs at `heights` (n,) and the spines that they are put on; plan coordinates front and left of it as the limb
    itself is, seen from above, mm."""

    heights: Floats
    spines: tuple[Spine, ...]


def frame_of(face: Face, plan: FormerPlan, *, opening: float, mirrored: bool) -> Frame:
    """Where ribs and spines are; slots open towards the quarter of the limb next to the bearing `opening`.

    Ribs stand evenly from end to end. The main spine lies in the plane up that quarter, as
    wide as all the ribs together let it; two more boards, from its middle to both sides, cross it where two spines are
    asked for: they are slid in last, from the sides, and lock it.

    Raises FormerError where the ribs have no room for a spine in common.
    """
    heights = rib_heights(face, plan)
    around = np.linspace(0.0, 2.0 * np.pi, ROUND, endpoint=False)
    outlines = [shapely.Polygon(outline(face, plan, height, around, mirrored=mirrored)) for height in heights]
    common = shapely.intersection_all(outlines).buffer(-WEB)
    if common.is_empty:
        raise _no_room()
    (foot,) = shapely.get_coordinates(shapely.maximum_inscribed_circle(common))[:1]
    turn = np.round(opening / (0.5 * np.pi)) * (0.5 * np.pi) * (-1.0 if mirrored else 1.0)
    way = np.round([np.cos(turn), np.sin(turn)])
    low, high = float(heights[0]) - 0.5 * plan.board - BEYOND, float(heights[-1]) + 0.5 * plan.board + BEYOND
    near, far = _reach(common, foot, way)
    spines = [Spine(foot, way, near, 0.5 * (near + far), far, low, high)]
    if plan.spines == 2:
        start = foot + spines[0].middle * way
        for aside in (np.array([-way[1], way[0]]), np.array([way[1], -way[0]])):
            _, end = _reach(common, start, aside)
            first = 0.5 * (plan.board + plan.play)
            if end - first < LEAST_WING:
                raise _no_room()
            spines.append(Spine(start, aside, first, 0.5 * (first + end), end, low, high))
    return Frame(heights, tuple(spines))


def rib_heights(face: Face, plan: FormerPlan) -> Floats:
    """Heights (n,) of the ribs' middles, evenly from end to end, at most `plan.every` apart; the end ribs lie flush."""
    low, high = face.low + 0.5 * plan.board, face.high - 0.5 * plan.board
    return np.linspace(low, high, int(np.ceil((high - low) / plan.every)) + 1)


def outline(face: Face, plan: FormerPlan, height: float, turns: Floats, *, mirrored: bool) -> Floats:
    """Points (n,2) of the section at a height, at angles (n,) from the front to the left, seen from above, mm."""
    hand = -1.0 if mirrored else 1.0
    return section(face.surface, height, hand * turns, inset=plan.cover) * np.array([1.0, hand])


def rib_path(face: Face, plan: FormerPlan, height: float, spines: Sequence[Spine], *, mirrored: bool) -> Path:
    """The closed outline of a rib, counter-clockwise seen from above: its section within half of CUT_LINE, and slots.

    Raises PatternError where the section turns too sharply to be drawn.
    """
    half = 0.5 * (plan.board + plan.play)
    mouths: list[tuple[float, float, Spine]] = []
    for spine in spines:
        before, after = (_mouth(face, plan, height, spine, aside, mirrored=mirrored) for aside in (-half, half))
        mouths.append((before, after, spine))
    mouths.sort(key=lambda mouth: mouth[:2])
    sides: list[Path] = []
    for k, (before, after, spine) in enumerate(mouths):
        left = np.array([-spine.way[1], spine.way[0]])
        inner = spine.foot + spine.middle * spine.way
        (enter, leave) = outline(face, plan, height, np.array([before, after]), mirrored=mirrored)
        corners = (enter, inner - half * left, inner + half * left, leave)
        sides.append(segment(*((float(x), float(y)) for x, y in corners)))
        until = mouths[(k + 1) % len(mouths)][0]
        until += 2.0 * np.pi if until <= after else 0.0
        sides.append(_along(face, plan, height, after, until, mirrored=mirrored))
    return joined(tuple(sides))


def spine_path(spine: Spine, heights: Floats, plan: FormerPlan) -> Path:
    """The closed outline of a spine, counter-clockwise: mm along its way to the right, height up."""
    half = 0.5 * (plan.board + plan.play)
    corners = [(spine.near, spine.low), (spine.far, spine.low), (spine.far, spine.high), (spine.near, spine.high)]
    for height in heights[::-1]:
        for x, y in ((spine.near, half), (spine.middle, half), (spine.middle, -half), (spine.near, -half)):
            corners.append((x, float(height) + y))
    return Path(np.array(corners), np.zeros(len(corners)), closed=True)


def _no_room() -> FormerError:
    return FormerError(
        f"the former's ribs have no room in common for straight spines at least {LEAST_SPINE:.0f} mm wide; ask for one "
        "spine, thinner board or less cover under [former], or print the former"
    )


def _reach(common: shapely.Geometry, foot: Floats, way: Floats) -> tuple[float, float]:
    """From where to where, mm, a line through `foot` along `way` lies in a region: WIDEST_SPINE at most.

    Raises FormerError where that is less than LEAST_SPINE.
    """
    far = 1000.0
    line = shapely.LineString([foot - far * way, foot + far * way])
    parts = shapely.get_parts(shapely.intersection(common, line))
    own = min(parts, key=lambda part: shapely.distance(part, shapely.Point(foot)))
    near, end = sorted(float((np.array(point) - foot) @ way) for point in (own.coords[0], own.coords[-1]))
    if end - near < LEAST_SPINE:
        raise _no_room()
    spare = max(0.0, end - near - WIDEST_SPINE)
    return near + 0.5 * spare, end - 0.5 * spare


def _mouth(face: Face, plan: FormerPlan, height: float, spine: Spine, aside: float, *, mirrored: bool) -> float:
    """The angle at which a line `aside` mm to the left of a slot's plane leaves the section, along its way."""
    left = np.array([-spine.way[1], spine.way[0]])

    def off(turn: Floats) -> Floats:
        return (outline(face, plan, height, np.atleast_1d(turn), mirrored=mirrored) - spine.foot) @ left - aside

    middle = float(np.arctan2(spine.way[1], spine.way[0]))
    turns = middle + np.linspace(-np.pi, np.pi, ROUND)
    away = off(turns)
    crossed = np.flatnonzero((away[:-1] < 0.0) & (away[1:] >= 0.0))
    k = int(crossed[int(np.argmin(np.abs(turns[crossed] - middle)))])
    return float(brentq(lambda turn: float(off(np.array(turn))[0]), turns[k], turns[k + 1], xtol=1e-12))


def _along(face: Face, plan: FormerPlan, height: float, start: float, end: float, *, mirrored: bool) -> Path:
    """The section from one angle on to another, as lines and tangent arcs."""
    rough = outline(face, plan, height, np.linspace(start, end, ROUND), mirrored=mirrored)
    ways = np.append(0.0, np.cumsum(np.hypot(*np.diff(rough, axis=0).T)))
    steps = np.linspace(0.0, ways[-1], max(9, int(np.ceil(ways[-1] / POINT_STEP)) + 1))
    turns = np.interp(steps, ways, np.linspace(start, end, ROUND))
    return smooth_path(outline(face, plan, height, turns, mirrored=mirrored), 0.5 * CUT_LINE)
