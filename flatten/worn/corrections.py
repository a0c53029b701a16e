"""Corrections of what lies on a limb: smooth changes of girth and of edges through what was read at single places."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from scipy.interpolate import BPoly

from flatten.mesh.surface import Floats
from flatten.worn.curves import Edge
from flatten.worn.panel import CutError

REACH = 120.0
"""mm of height over which a change that was read at one place fades to nothing, to a half in the middle: a muscle's
belly, or leather about a tight ring, is as long. From memory. Between readings it goes from the one to the next."""

NEAREST = 20.0
"""mm. Different readings of one ring must lie this far apart, for leather does not change its girth in less; equal
ones that are nearer to one another count once."""

SHARPNESS = 4
"""Power of the bump ((1 + cos)/2) by which a change at one side fades round the limb: it falls to a half at 47° from
its middle, and a side is a quarter turn."""

BUMP_MEAN = 35.0 / 128.0
"""Mean of that bump over a full turn: (2n)! / (n!² 4ⁿ) with n = SHARPNESS."""

EDGE_POINTS = 72
"""Control points of an edge that was corrected at one side: at 5° the spline through them is the sum to 1e-4 of it."""


@dataclass(frozen=True)
class GirthChange:
    """A reading: the inner girth is to change by `girth` mm at `height` mm, or, where that is None, at all heights.

    It is given all round, or, with a `bearing` (rad), at that side.
    """

    girth: float
    height: float | None = None
    bearing: float | None = None


@dataclass(frozen=True)
class EdgeChange:
    """An `edge` ("top" or "bottom") is to go `up` mm of height: all round, or about a `bearing` (rad), full there."""

    edge: str
    up: float
    bearing: float | None = None


@dataclass(frozen=True, eq=False)
class _Ring:
    """The changes of girth that are given in one way round the limb: `level` everywhere, and what is read besides."""

    bearing: float | None
    level: float
    read: BPoly | None

    def girth(self, heights: Floats) -> Floats:
        """mm (…) of girth at heights (…)."""
        heights = np.asarray(heights, float)
        if self.read is None:
            return np.full(heights.shape, self.level)
        return np.asarray(self.read(np.clip(heights, self.read.x[0], self.read.x[-1])))


@dataclass(frozen=True)
class Correction:
    """Changes of girth as one smooth change of offset: twice differentiable in height and bearing, met at all readings.

    Changes all round, and those at each side, are interpolated each by themselves and add up. Where nothing is read
    for a while a change fades, over REACH, to what was read for all heights, or to nothing. Between two readings it is
    never beyond both: a fifth-degree curve from each to the next. (Kernels about each reading, summed to meet them all,
    swing beyond them by a third where two readings differ.) Round the limb a change of girth G is an offset of G/2π; at
    a side it is a bump whose integral over the turn is G, since an offset d(bearing) lengthens a section by ∫ d.
    """

    changes: tuple[GirthChange, ...] = ()

    @property
    def is_nothing(self) -> bool:
        """Whether no reading asks for a change."""
        return all(change.girth == 0.0 for change in self.changes)

    def offset(self, heights: Floats | float, bearings: Floats | float) -> Floats:
        """mm (…) by which the surface moves outwards at heights (…) and bearings (…). Raises CutError as `girth`."""
        heights, bearings = np.broadcast_arrays(np.asarray(heights, float), np.asarray(bearings, float))
        total = np.zeros(heights.shape)
        for ring in self._rings:
            total = total + ring.girth(heights) / (2 * np.pi) * _spread(bearings, ring.bearing)
        return total

    def girth(self, heights: Floats | float) -> Floats:
        """mm (…) by which the girth changes at heights (…), all sides together.

        Raises CutError where two different readings of one ring are too near to one another.
        """
        heights = np.asarray(heights, float)
        return np.sum([np.zeros(heights.shape), *(ring.girth(heights) for ring in self._rings)], axis=0)

    @cached_property
    def _rings(self) -> tuple[_Ring, ...]:
        if self.is_nothing:
            return ()
        bearings = sorted({change.bearing for change in self.changes}, key=lambda b: -1.0 if b is None else b)
        return tuple(_ring(bearing, [c for c in self.changes if c.bearing == bearing]) for bearing in bearings)


NOTHING = Correction()
"""Nothing is corrected."""


def _ring(bearing: float | None, changes: list[GirthChange]) -> _Ring:
    levels = [change.girth for change in changes if change.height is None]
    level = levels[0] if levels else 0.0
    if any(other != level for other in levels):
        raise CutError(
            f"the girth is to change by {level:g} mm and by {next(o for o in levels if o != level):g} mm at all "
            f"heights; say one of them, or say at which height each holds"
        )
    read: list[tuple[float, float]] = []
    for height, girth in sorted((change.height, change.girth) for change in changes if change.height is not None):
        if read and height - read[-1][0] < NEAREST:
            if girth != read[-1][1]:
                raise CutError(
                    f"the girth is to change by {read[-1][1]:g} mm at height {read[-1][0]:.0f} mm and by {girth:g} mm "
                    f"only {height - read[-1][0]:.0f} mm from there; keep {NEAREST:.0f} mm between two readings, or "
                    "leave one out"
                )
            continue
        read.append((height, girth))
    if not read:
        return _Ring(bearing, level, None)
    nodes = [(read[0][0] - REACH, level)]
    for height, girth in read:
        before = nodes[-1][0]
        if height - before > 2 * REACH:
            nodes += [(before + REACH, level), (height - REACH, level)]
        nodes.append((height, girth))
    nodes.append((read[-1][0] + REACH, level))
    heights, girths = np.array(nodes).T
    slopes = _slopes(heights, girths)
    return _Ring(bearing, level, BPoly.from_derivatives(heights, np.stack([girths, slopes, 0.0 * slopes], axis=1)))


def _slopes(heights: Floats, girths: Floats) -> Floats:
    """Slopes (n,) at nodes with which a curve through them goes beyond none: 0 at both ends and where it turns, else
    the harmonic mean of the slopes beside a node.

    That is at most twice the lesser. A fifth-degree curve whose second derivative is 0 at both ends rises all the way
    where its end slopes are at most 15/7 times its mean slope: for both slopes m times that, its own is
    m + 30 t²(1 − t)²(1 − m) times it.
    """
    beside = np.diff(girths) / np.diff(heights)
    one, other = beside[:-1], beside[1:]
    on = one * other > 0.0
    mean = np.divide(2.0 * one * other, one + other, out=np.zeros_like(one), where=on)
    return np.concatenate([[0.0], mean, [0.0]])


def _spread(bearings: Floats, middle: float | None) -> Floats:
    """How a change is spread over bearings (…): 1 all round, else a bump about the `middle` with a mean of 1."""
    return np.ones(bearings.shape) if middle is None else _bump(bearings, middle) / BUMP_MEAN


def _bump(bearings: Floats, middle: float) -> Floats:
    return (0.5 + 0.5 * np.cos(bearings - middle)) ** SHARPNESS


def share_at(middle: float | None) -> float:
    """mm of girth for each mm of offset at the middle of a change: 2π all round, less at a side."""
    return 2 * np.pi * (1.0 if middle is None else BUMP_MEAN)


def moved_edge(edge: Edge, changes: Iterable[EdgeChange]) -> Edge:
    """The edge after `changes` of its own, one after the other; itself where none moves it."""
    for change in changes:
        if change.up == 0.0:
            continue
        if change.bearing is None:
            edge = replace(edge, heights=edge.heights + change.up)
            continue
        around = 2 * np.pi * np.arange(EDGE_POINTS) / EDGE_POINTS
        edge = Edge(edge.name, around, edge.height(around) + change.up * _bump(around, change.bearing))
    return edge


@dataclass(frozen=True)
class Fitting:
    """What one try-on changed: `said` is what it showed, in the maker's words, `material` and `thickness` (mm) of what.

    `converted` (mm of girth) is what the pattern that was tried lay further out than leather would with its own;
    `correction` and `edges` are the changes on the inner face and its edges.
    """

    number: int
    material: str
    thickness: float
    converted: float
    said: tuple[str, ...]
    correction: Correction
    edges: tuple[EdgeChange, ...]

    @property
    def changes_nothing(self) -> bool:
        """Whether the piece stays as it was."""
        return self.correction.is_nothing and all(change.up == 0.0 for change in self.edges)
