"""Half a drawing and its mirror image become a whole one, its strands joined where they meet the centre line."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from flatten.findings import Finding, finding
from flatten.mesh.surface import Floats
from flatten.ornament.chaining import End, both_ways, chained, groups, outward, turning
from flatten.ornament.model import OrnamentError, Strand
from flatten.threads import one_thread

MEETS = 0.5
"""mm. An end that lies no further from the centre line is meant to lie on it: a pencil's width."""

SHORT = 5.0
"""mm. An end that lies no further from the centre line, but does not meet it, was perhaps meant to."""

ON = 0.1
"""mm. A strand that leaves the centre line nowhere by more lies on it; ends on the line no further apart are one."""

KINKED = np.radians(20.0)
"""rad. A strand that turns by more where it meets its image is told: the eye sees a corner."""

_STEP = 1.0
"""mm. Steps along strands at which their distance to the mirror image is taken."""

UPRIGHT = np.array([[0.0, 0.0], [0.0, 1.0]])
"""The centre line x = 0, upwards."""


@dataclass(frozen=True, eq=False)
class Mirrored:
    """A whole drawing: its `strands`; how many of their places lie on the centre line, `joined`; and what was seen."""

    strands: tuple[Strand, ...]
    joined: int
    findings: tuple[Finding, ...]


@dataclass(frozen=True, eq=False)
class Symmetry:
    """How far a whole drawing is from its mirror image at worst, `off` mm, and `at` (2,) where."""

    off: float
    at: Floats


@one_thread
def mirrored(strands: Sequence[Strand], *, half: str, centre: Floats = UPRIGHT) -> Mirrored:
    """The whole drawing of which strands on the "left" or "right" of a line through `centre` (2,2) are one half.

    An end within MEETS of the line is led on to it, or cut there, along its own direction. Where one strand ends on the
    line it goes on in its own image, where several do the straightest ways on are joined, the same on both sides. A
    strand that lies on the line is there once; one that has no length there is left out. Images are exact: about x = 0
    but for signs, else to rounding.

    Raises OrnamentError where a strand crosses the line.
    """
    to, back = _frame(centre, half)
    lines: list[Floats] = []
    rings: list[Strand] = []
    on_line: list[Strand] = []
    told: list[Finding] = []
    for strand in strands:
        points = to(strand.points)
        if np.abs(points[:, 0]).max() <= ON:
            if np.ptp(points[:, 1]) == 0.0:
                continue  # a dot
            on_line.append(Strand(np.column_stack([np.zeros(len(points)), points[:, 1]]), strand.closed))
            continue
        if not strand.closed:
            points = _led(_led(points, 0), -1)
        _check_side(points, strand.points, back, half)
        # What lies over the line by a hair touches it.
        points[:, 0] = np.minimum(points[:, 0], 0.0)
        if strand.closed:
            rings.append(Strand(points, closed=True))
        else:
            lines.append(points)
            told += _short(points, back)
    pairs, joints = _joints(lines)
    for turn, height in joints:
        if turn > KINKED:
            x, y = _xy(back(np.array([[0.0, height]])))
            told.append(finding("mirror.kinked", "look", turn=turn, x=x, y=y))
    both = [each for points in lines for each in (points, _image(points))]
    whole = [*chained(both, both_ways(pairs)), *rings, *(Strand(_image(one.points), closed=True) for one in rings)]
    found = tuple(Strand(back(one.points), one.closed) for one in (*whole, *on_line))
    return Mirrored(found, len(joints), tuple(told))


def symmetry(strands: Sequence[Strand], *, centre: Floats = UPRIGHT) -> Symmetry:
    """How far a whole drawing's strands are from their mirror image about a line through `centre` (2,2)."""
    to, back = _frame(centre, "left")
    shapes = [shapely.LinearRing(one.points) if one.closed else shapely.LineString(one.points) for one in strands]
    every = shapely.get_coordinates(shapely.segmentize(shapes, _STEP))
    image = back(_image(to(every)))
    tree = shapely.STRtree(shapes)
    points = shapely.points(image)
    _, off = tree.query_nearest(points, return_distance=True, all_matches=False)
    worst = int(np.argmax(off))
    return Symmetry(float(off[worst]), every[worst])


def _image(points: Floats) -> Floats:
    # Not times −1, which would make −0 of what lies on the line.
    return np.column_stack([0.0 - points[:, 0], points[:, 1]])


def _frame(centre: Floats, half: str) -> tuple[_Carry, _Carry]:
    """To the frame whose x = 0 is the centre line and whose drawn half has x < 0, and back."""
    along = centre[1] - centre[0]
    length = float(np.hypot(*along))
    if not length > 0.0:
        raise OrnamentError("the centre line has no length; draw it from its lower end to its upper one")
    up = along / length
    right = np.array([up[1], -up[0]]) * (1.0 if half == "left" else -1.0)
    matrix = np.stack([right, up])
    # A line along an axis goes through no products that round.
    origin = np.where(np.abs(along) == 0.0, centre[0], 0.0) if (along == 0.0).any() else centre[0]
    return _Carry(matrix, origin, forth=True), _Carry(matrix, origin, forth=False)


@dataclass(frozen=True, eq=False)
class _Carry:
    """Points (n,2) carried into a frame with axes `matrix` at `origin`, or `forth` not: out of it."""

    matrix: Floats
    origin: Floats
    forth: bool

    def __call__(self, points: Floats) -> Floats:
        carried = (points - self.origin) @ self.matrix.T if self.forth else points @ self.matrix + self.origin
        return np.asarray(carried + 0.0)


def _led(points: Floats, end: int) -> Floats:
    """The line with that end, 0 or −1, on the centre line where it lies within MEETS of it."""
    ordered = points if end == -1 else points[::-1]
    if abs(ordered[-1, 0]) > MEETS:
        return points
    if ordered[-1, 0] > 0.0:
        # Cut where it first goes over for good.
        last = int(np.flatnonzero(ordered[:, 0] <= 0.0)[-1]) if (ordered[:, 0] <= 0.0).any() else len(ordered)
        if last == len(ordered):
            return points
        one, other = ordered[last], ordered[last + 1]
        share = one[0] / (one[0] - other[0])
        ordered = np.concatenate([ordered[: last + 1], [one + share * (other - one)]])
    elif ordered[-1, 0] < 0.0:
        way = outward(ordered, -1)
        # A line that runs nearly along the centre line meets it far off: then straight across.
        reach = -ordered[-1, 0] / way[0] if way[0] > 0.5 else -ordered[-1, 0]
        step = reach * way if way[0] > 0.5 else np.array([reach, 0.0])
        ordered = np.concatenate([ordered, [ordered[-1] + step]])
    ordered = np.array(ordered)
    ordered[-1, 0] = 0.0
    if len(ordered) > 2 and np.hypot(*(ordered[-1] - ordered[-2])) < 1e-9:
        ordered = np.delete(ordered, -2, axis=0)
    return ordered if end == -1 else ordered[::-1]


def _check_side(points: Floats, drawn: Floats, back: _Carry, half: str) -> None:
    over = float(points[:, 0].max())
    if over <= ON:
        return
    worst = back(points[[int(np.argmax(points[:, 0]))]])[0]
    other = "right" if half == "left" else "left"
    raise OrnamentError(
        f"a strand of the {half} half lies {over:.3g} mm over the centre line, to the {other}, at "
        f"({worst[0]:.4g}, {worst[1]:.4g}) mm; end it on the line, or say half = 'whole' for a whole drawing"
    )


def _short(points: Floats, back: _Carry) -> list[Finding]:
    """Ends that nearly meet the centre line."""
    near = [(*_xy(back(end[None])), -float(end[0])) for end in points[[0, -1]] if 0.0 < -end[0] <= SHORT]
    return [finding("mirror.short", "look", off=off, x=x, y=y) for x, y, off in near]


def _xy(point: Floats) -> tuple[float, float]:
    return float(point[0, 0]), float(point[0, 1])


def _joints(lines: list[Floats]) -> tuple[list[tuple[End, End]], list[tuple[float, float]]]:
    """Pairs of ends that go on in each other on the line, and of each joint its turn, rad, and its y.

    Line k is number 2k and its image 2k + 1. Ends that meet are set to their middle.
    """
    ends: list[End] = [(k, end) for k in range(len(lines)) for end in (0, -1) if lines[k][end][0] == 0.0]
    pairs: list[tuple[End, End]] = []
    joints: list[tuple[float, float]] = []
    for group in groups(np.array([lines[k][end] for k, end in ends]).reshape(-1, 2), ON):
        met = [ends[at] for at in group]
        y = float(np.mean([lines[k][end][1] for k, end in met]))
        ways = {each: outward(lines[each[0]], each[1]) for each in met}
        for k, end in met:
            lines[k][end] = (0.0, y)
        ranked = sorted(
            (turning(ways[one], ways[other] * (-1.0, 1.0)), one, other)
            for one, other in itertools.combinations_with_replacement(met, 2)
        )
        taken: set[End] = set()
        for turn, one, other in ranked:
            if one in taken or other in taken:
                continue
            taken |= {one, other}
            pairs.append(((2 * one[0], one[1]), (2 * other[0] + 1, other[1])))
            if one != other:
                pairs.append(((2 * other[0], other[1]), (2 * one[0] + 1, one[1])))
            joints.append((turn, y))
    return pairs, joints
