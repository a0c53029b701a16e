"""A row of lames: overlapping bands that turn on pivots at the limb's sides as a joint bends, by plane geometry."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.optimize import brentq

from flatten.limb.surface.model import LimbSurface
from flatten.mesh.surface import Floats, frozen
from flatten.worn.curves import Edge
from flatten.worn.darts import ChartCurve
from flatten.worn.panel import CutError

SIDEWAYS = np.radians(170.0)
"""rad to either side of the row's middle within which its pivots are looked for."""

SLIDES = (-0.5, 0.0, 0.5)
"""Where the sliding rivets stand, as shares of the way from the row's middle to its pivots on either side."""

ENDS = 24
"""Places along a lame's edge that are turned with it."""


class LameError(CutError):
    """A row of lames cannot be where it is asked for."""


@dataclass(frozen=True)
class Hinge:
    """The axis that a joint turns about: level and square to the front, at `height` and `ahead` (mm, limb coordinates).

    The part beyond it turns by `bend` rad towards the front (`forward`) or the back.
    """

    height: float
    ahead: float
    bend: float
    forward: bool


@dataclass(frozen=True, eq=False)
class Row:
    """`count` lames of `width` mm along the limb, each overlapping its neighbour nearer to `edge` by `overlap` mm, the
    first one the base; `thickness` mm of leather each.

    The row goes up from the edge or down (`upward`), over the `front` of the limb or its back, and runs `ends` mm past
    its pivots. Rivets' holes are `rivet` mm wide and keep `away` mm from edges; slots have `play` mm.
    """

    name: str
    count: int
    width: float
    overlap: float
    thickness: float
    edge: Edge
    upward: bool
    front: bool
    hinge: Hinge
    rivet: float
    away: float
    play: float
    ends: float

    @property
    def sign(self) -> float:
        """1 where the row goes up, else -1."""
        return 1.0 if self.upward else -1.0

    @property
    def middle(self) -> float:
        """Bearing of its middle, rad."""
        return 0.0 if self.front else np.pi

    @property
    def step(self) -> float:
        """rad by which each lame turns on its neighbour: the joint's bend in equal parts."""
        return self.hinge.bend / self.count

    def near(self, number: int) -> float:
        """mm beyond the base's edge of the near edge of lame `number`, from 1."""
        return (number - 1) * (self.width - self.overlap) - self.overlap

    def heights(self, beyond: float, bearings: Floats) -> Floats:
        """Heights (n,) mm at bearings (n,) of the line `beyond` mm past the base's edge."""
        return np.asarray(self.edge.height(bearings)) + self.sign * beyond

    def turned(self, points: Floats, pivot: Floats, angle: float) -> Floats:
        """Points (n,2), mm ahead and up, turned about a pivot as the part beyond the joint turns, by `angle` rad."""
        way = self.sign * (1.0 if self.hinge.forward else -1.0)
        cos, sin = np.cos(angle), way * np.sin(angle)
        arm = points - pivot
        return pivot + np.column_stack([arm[:, 0] * cos + arm[:, 1] * sin, arm[:, 1] * cos - arm[:, 0] * sin])


@dataclass(frozen=True, eq=False)
class Slot:
    """A slot in the lower of two lames: the rivet's place on the upper one, when straight, and the slot's two ends, as
    chart points; `travel` mm is the rivet's way along its arc, and `run` from end to end of the slot's round ends."""

    rivet: Floats
    ends: Floats
    travel: float
    run: float


@dataclass(frozen=True, eq=False)
class Pair:
    """Two neighbours of a row, lame `number` on what lies nearer to the base's edge.

    `pivots` (2,2) are chart points at higher and lower bearings than the middle, `pivot` mm ahead and up where they lie
    in the side view. `least` and `most` are the overlaps (mm) when bent, wherever along the lame, and `middle` and
    `ends` those there. `tightest` is the least overlap, straight or bent, where its rivets have least room, and what
    they need there; mm of height.
    """

    number: int
    pivots: Floats
    pivot: Floats
    slots: tuple[Slot, ...]
    least: float
    most: float
    middle: float
    ends: float
    tightest: tuple[float, float]

    def __post_init__(self) -> None:
        """Freeze the arrays."""
        object.__setattr__(self, "pivots", frozen(self.pivots))
        object.__setattr__(self, "pivot", frozen(self.pivot))


def pair_of(surface: LimbSurface, row: Row, number: int, *, face: float) -> Pair:
    """Lame `number` of a row on its neighbour, which meet `face` mm above the base's neutral `surface`.

    In the side view each lame turns by an equal part of the joint's bend about the pivots that it has in its own
    overlap, as far ahead as the hinge is. A rivet at the distance ρ from them goes ρ · angle along an arc.

    Raises LameError where the overlap does not reach as far ahead or behind as the hinge lies, or the surface not as
    far as the row.
    """
    mid = row.near(number) + 0.5 * row.overlap
    bearings = [_pivot_bearing(surface, row, mid, towards, face) for towards in (1.0, -1.0)]
    pivots = np.array([[row.heights(mid, np.array([b]))[0], b] for b in bearings])
    seen = _side_view(surface, pivots, face)
    pivot = seen.mean(axis=0)
    along = np.linspace(*ends_of(surface, row, pivots)[::-1], 2 * ENDS + 1)
    edge = np.column_stack([row.heights(row.near(number), along), along])
    before = _side_view(surface, edge, face)
    bent = row.overlap - row.sign * (row.turned(before, pivot, row.step) - before)[:, 1]
    slots = tuple(
        _slot(surface, row, number, pivot, row.middle + abs(share) * (bearings[int(share < 0.0)] - row.middle), face)
        for share in SLIDES
    )
    smaller, needed = np.minimum(bent, row.overlap), 2.0 * row.away / _distance_by_height(surface, row, edge)
    worst = int(np.argmin(smaller - needed))
    return Pair(
        number,
        pivots,
        pivot,
        slots,
        least=float(bent.min()),
        most=float(bent.max()),
        middle=float(bent[ENDS]),
        ends=float(min(bent[0], bent[-1])),
        tightest=(float(smaller[worst]), float(needed[worst])),
    )


def ends_of(surface: LimbSurface, row: Row, pivots: Floats) -> tuple[float, float]:
    """The higher and the lower bearing (rad) at which a lame ends: its `ends` mm past its pivots (2,2)."""
    radii = surface.radius(pivots[:, 0], pivots[:, 1])
    return float(pivots[0, 1] + row.ends / radii[0]), float(pivots[1, 1] - row.ends / radii[1])


def lame_sides(surface: LimbSurface, row: Row, number: int, pivots: Floats) -> tuple[ChartCurve, ...]:
    """The sides of a lame's band in the chart, counter-clockwise, between its ends past all `pivots` (n,2,2) of its."""
    ends = [ends_of(surface, row, own) for own in pivots]
    high, low = max(end[0] for end in ends), min(end[1] for end in ends)
    lines = row.near(number), row.near(number) + row.width
    bottom, top = lines if row.upward else lines[::-1]

    def along(beyond: float, start: float, stop: float) -> ChartCurve:
        def line(u: Floats) -> Floats:
            bearing = start + np.asarray(u, float) * (stop - start)
            return np.column_stack([row.heights(beyond, bearing), bearing])

        return line

    def across(bearing: float, start: float, stop: float) -> ChartCurve:
        def line(u: Floats) -> Floats:
            at = np.full(np.shape(u), bearing)
            return np.column_stack(
                [row.heights(0.0, at) + row.sign * (start + np.asarray(u, float) * (stop - start)), at]
            )

        return line

    return along(bottom, low, high), across(high, bottom, top), along(top, high, low), across(low, top, bottom)


def check_reach(surface: LimbSurface, row: Row) -> None:
    """Raises LameError where a row reaches beyond the heights that the surface can be trusted in."""
    around = row.middle + np.linspace(-0.5 * np.pi, 0.5 * np.pi, 91)
    far = row.heights(row.near(row.count) + row.width, around)
    low, high = surface.trusted
    past = float(far.max() - high if row.upward else low - far.min())
    if past > 0.0:
        end, way, which = (high, "up to", "top") if row.upward else (low, "down to", "bottom")
        reach = end + row.sign * past
        raise LameError(
            f"the lames '{row.name}' reach {way} {reach:.0f} mm, and the surface can be trusted only {way} {end:.0f} "
            f"mm; make them fewer or narrower, or move the {which} edge by {past:.0f} mm, or scan more of the limb"
        )


def out_of_step(row: Row, pairs: tuple[Pair, ...], point: Floats) -> float:
    """How far (mm) the row carries a point (2,), ahead and up, of its last lame from where the joint does."""
    carried = point[None]
    for pair in reversed(pairs):
        carried = row.turned(carried, pair.pivot, row.step)
    hinge = row.hinge
    meant = row.turned(point[None], np.array([hinge.ahead, hinge.height]), hinge.bend)
    return float(np.hypot(*(carried - meant)[0]))


def _pivot_bearing(surface: LimbSurface, row: Row, beyond: float, towards: float, face: float) -> float:
    """The bearing, towards higher (1) or lower ones (-1), where a line lies as far ahead as the hinge."""

    def ahead(bearing: float) -> float:
        at = np.array([[row.heights(beyond, np.array([bearing]))[0], bearing]])
        return float(_side_view(surface, at, face)[0, 0]) - row.hinge.ahead

    steps = row.middle + towards * np.linspace(0.0, SIDEWAYS, 60)
    found = np.array([ahead(float(step)) for step in steps])
    crossed = np.flatnonzero(found[:-1] * found[1:] <= 0.0)
    if not len(crossed):
        raise LameError(
            f"the hinge of the lames '{row.name}' lies {row.hinge.ahead:.0f} mm ahead of the limb's middle line, where "
            "they do not reach; let it lie between the limb's front and back"
        )
    first = int(crossed[0])
    return float(brentq(ahead, float(steps[first]), float(steps[first + 1]), xtol=1e-10))


def _distance_by_height(surface: LimbSurface, row: Row, edge: Floats) -> Floats:
    """How far (n,) from a lame's edge, on the surface, a place lies that is 1 mm higher than its points (n,2).

    Where the edge runs aslant it is less: by the part of the way up that is square to it.
    """
    height, bearing = edge.T
    up, round_ = surface.tangents(height, bearing)
    slope = row.edge.height(bearing, nu=1)
    along = round_ + up * slope[:, None]
    return np.asarray(np.linalg.norm(np.cross(up, along), axis=1) / np.linalg.norm(along, axis=1))


def _side_view(surface: LimbSurface, chart: Floats, face: float) -> Floats:
    """Points (n,2), mm ahead and up, of chart points (n,2), `face` mm above the surface."""
    return _raised(surface, chart, face)[:, [0, 2]]


def _raised(surface: LimbSurface, chart: Floats, face: float) -> Floats:
    height, bearing = chart.T
    return surface.points(height, bearing) + face * surface.normals(height, bearing)


def _slot(surface: LimbSurface, row: Row, number: int, pivot: Floats, bearing: float, face: float) -> Slot:
    """The slot of a sliding rivet at a bearing, `away` inside the upper lame's near edge."""
    at = np.array([bearing])
    edge = np.column_stack([row.heights(row.near(number), at), at])
    inside = row.away / float(_distance_by_height(surface, row, edge)[0])
    rivet = np.array([row.heights(row.near(number) + inside, at)[0], bearing])
    start = _raised(surface, rivet[None], face)
    moved = row.turned(start[:, [0, 2]], pivot, row.step)
    travel = float(np.hypot(*(start[0, [0, 2]] - pivot)) * row.step)
    # Where it comes to lies on the surface at the same height, as seen from the limb's middle.
    centre = surface.centre_line(moved[:, 1])[0]
    end = np.array([moved[0, 1], np.arctan2(start[0, 1] - centre[1], moved[0, 0] - centre[0])])
    end[1] = bearing + np.mod(end[1] - bearing + np.pi, 2 * np.pi) - np.pi
    apart = float(np.linalg.norm(_raised(surface, end[None], face) - start))
    run = travel + row.play
    half = 0.5 * (end - rivet) * run / apart
    middle = 0.5 * (rivet + end)
    return Slot(rivet, np.array([middle - half, middle + half]), travel, run)
