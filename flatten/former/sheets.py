"""Ribs and spines as pieces to be cut from board: outlines with what is marked and written on them."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import product

import numpy as np
import shapely

from flatten.findings import message
from flatten.former.face import Face
from flatten.former.model import FormerPlan, Ribs
from flatten.former.ribs import Frame, Spine, frame_of, outline, rib_path, spine_path
from flatten.pattern.lettering import BESIDE, text_box, text_width
from flatten.pattern.marks import ARROW_HEAD, arrow
from flatten.pattern.model import Inscription, Label, Mark, Path, Piece
from flatten.pattern.path import polyline, segment
from flatten.pattern.placing import free_place, rectangle
from flatten.pattern.writing import Written, block_of, with_lines
from flatten.words import say
from flatten.words.language import Language

TEXTS = (5.0, 4.0, 3.0, 2.5, 2.0)
"""mm. Heights of what is written on a board; the first that has room is taken. The last is that of small print."""

LYING = (0.0, 0.5 * np.pi)
"""rad. Texts stand straight, or turned by a quarter where they have no room so."""

TRIED = 20.0
"""Places for a text that are tried across a board, but not closer than a mm, nor farther apart than four."""

TICK = 8.0
"""mm. Length of the line that shows a rib's front."""

AT_TICK = 20.0
"""mm from a rib's front to the far side of the front's name, at most."""

ARROW = 12.0
"""mm. Length of the arrow upwards on a spine."""

FROM_EDGE = 1.0
"""mm. Texts stay this far from a board's edges and from each other."""

_FINE = 0.05
"""mm. Outlines are looked at as polygons that leave them by this at most."""


def ribs_of(
    face: Face, plan: FormerPlan, *, opening: float, side: str, front: str, mirrored: bool, language: Language
) -> Ribs:
    """Ribs and spines of a former for the wearer's `side`, seen from above, the front (called `front`) upwards.

    Slots open towards the bearing `opening`. Raises FormerError where the ribs have no room for a spine in common,
    PatternError where a section cannot be drawn.
    """
    frame = frame_of(face, plan, opening=opening, mirrored=mirrored)
    ribs = tuple(
        _rib(face, plan, frame, number, side=side, front=front, mirrored=mirrored, language=language)
        for number in range(1, len(frame.heights) + 1)
    )
    spines = tuple(
        _spine(spine, number, frame, plan, side=side, language=language) for number, spine in enumerate(frame.spines, 1)
    )
    return Ribs(tuple(float(height) for height in frame.heights), ribs, spines)


def _rib(
    face: Face,
    plan: FormerPlan,
    frame: Frame,
    number: int,
    *,
    side: str,
    front: str,
    mirrored: bool,
    language: Language,
) -> Piece:
    """A rib with its number, height, side and front on it."""
    height = float(frame.heights[number - 1])
    path = _front_up(rib_path(face, plan, height, frame.spines, mirrored=mirrored))
    foot = outline(face, plan, height, np.zeros(1), mirrored=mirrored)[0]
    x, y = -float(foot[1]), float(foot[0])
    tick = segment((x, y), (x, y - TICK))
    free = shapely.difference(_inside(path), shapely.LineString(tick.points).buffer(FROM_EDGE))
    name = say.text(message("former.rib", number=number), language)
    lines = (
        name,
        say.text(message("former.rib height", height=height), language),
        say.text(message("former.rib up", side=side), language),
    )
    # The front's name says something only where it stands at the tick.
    front_name = say.text(message("former.rib front", side=front), language)
    at_tick = shapely.intersection(free, shapely.box(x - 300.0, y - AT_TICK, x + 300.0, y))
    labels = list(_block(at_tick, (front_name,), near=(x, y - 1.5 * TICK), sizes=TEXTS[1:]).labels)
    free = shapely.difference(free, _covered(labels))
    block = _block(free, lines, near=(x, y - 2.0 * TICK))
    labels += block.labels
    for line in () if block.labels else lines:
        alone = _block(free, (line,), near=(x, y - 2.0 * TICK), sizes=TEXTS[2:], angles=LYING).labels
        labels += alone
        free = shapely.difference(free, _covered(alone))
    marks = (Mark("front", tick),)
    return Piece(name, side, path, (), marks, tuple(labels), plan.board, "rib", inscriptions=block.inscriptions)


def _spine(spine: Spine, number: int, frame: Frame, plan: FormerPlan, *, side: str, language: Language) -> Piece:
    """A spine with the ribs' numbers beside their slots, its own number, its side, and an arrow upwards."""
    path = spine_path(spine, frame.heights, plan)
    numbers = tuple(_beside(spine, k, float(height)) for k, height in enumerate(frame.heights, 1))
    free = shapely.difference(_inside(path), _covered(numbers))
    middle = 0.5 * (spine.near + spine.far), 0.5 * (spine.low + spine.high)
    place = free_place(free, 0.8 * ARROW_HEAD, ARROW, angle=0.0, near=middle, grid=_grid(free))
    marks = () if place is None else arrow(*place, ARROW, 0.5 * np.pi, kind="up")
    if place is not None:
        free = shapely.difference(free, shapely.buffer(shapely.Point(place), 0.5 * ARROW + FROM_EDGE))
    name = say.text(message("former.spine", number=number), language)
    labels: list[Label] = []
    inscriptions: list[Inscription] = []
    if place is not None:
        upwards = rectangle(*place, ARROW, 0.8 * ARROW_HEAD, 0.5 * np.pi)
        inscriptions.append(Inscription("way", upwards))
    for text in (name, say.text(message("former.side", side=side), language)):
        found = _block(free, (text,), near=middle, angles=LYING)
        labels += found.labels
        inscriptions += found.inscriptions
        free = shapely.difference(free, _covered(found.labels))
    written = (*numbers, *labels)
    return Piece(name, side, path, (), marks, written, plan.board, "spine", inscriptions=tuple(inscriptions))


def _beside(spine: Spine, number: int, height: float) -> Label:
    """A rib's number on a spine, right beside the end of its slot."""
    text = str(number)
    room = spine.far - spine.middle - 2.0 * FROM_EDGE
    tall = next((size for size in TEXTS if text_width(text, size) <= room), TEXTS[-1])
    return Label(spine.middle + FROM_EDGE + BESIDE * tall, height - 0.5 * tall, tall, 0.0, text)


def _front_up(path: Path) -> Path:
    """A plan path, front to the right and left upwards, turned so that the front is up."""
    return Path(np.stack([-path.points[:, 1], path.points[:, 0]], axis=1), path.bulges, path.closed)


def _inside(path: Path) -> shapely.Geometry:
    """Where a board may be written on."""
    return shapely.Polygon(polyline(path, _FINE)).buffer(-FROM_EDGE)


def _block(
    free: shapely.Geometry,
    lines: Sequence[str],
    *,
    near: tuple[float, float],
    sizes: Sequence[float] = TEXTS,
    angles: Sequence[float] = (0.0,),
) -> Written:
    """Lines of text, one beneath the other, as large as `free` has room for and next to a place; none without room."""
    for height, angle in product(sizes, angles):
        block = block_of([(line, height) for line in lines])
        place = free_place(free, block.width, block.height, angle=angle, near=near, grid=_grid(free))
        if place is not None:
            return with_lines(Written((), (), free), block, place, angle, kind="name")
    return Written((), (), free)


def _grid(free: shapely.Geometry) -> float:
    """mm between places that are tried."""
    if shapely.is_empty(free):
        return 1.0
    x0, y0, x1, y1 = shapely.bounds(free)
    return float(np.clip(min(x1 - x0, y1 - y0) / TRIED, 1.0, 4.0))


def _covered(labels: Sequence[Label]) -> shapely.Geometry:
    """What labels cover, and a little about them."""
    boxes = [shapely.buffer(shapely.Polygon(text_box(label)), FROM_EDGE) for label in labels]
    return shapely.union_all(boxes)
