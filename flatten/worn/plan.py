"""The place where a panel is meshed: its quadrilateral of the chart, and a nearly rigid picture of it in the plane."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

import igl
import numpy as np
from scipy.interpolate import CubicSpline, RectBivariateSpline
from scipy.spatial import cKDTree

from flatten.limb.surface.model import LimbSurface
from flatten.mesh.parametrize import conformal_map, rigid_map
from flatten.mesh.surface import Floats, Ints, Mesh
from flatten.worn.curves import Edge
from flatten.worn.panel import CutError
from flatten.worn.rise import Rise, raised_points

PLAN_SPACING = 10.0
"""mm. Grid of the plan that a panel is meshed in; the plan is a smooth spline, so coarse is enough."""

PLAN_EDGES = 2.0
"""Mesh edges that one step of the plan's grid spans, where that is more: a coarse mesh needs no finer plan."""

RIGID_PASSES = 10
"""Local-global passes that even out the plan's scale; its triangles' edge lengths then differ by a fifth."""

MET = 1e-11
"""mm. A line meets an edge this closely: a rounding matter."""

PLACED = 1e-9
"""mm. An inner point's place on the square is known this closely: a rounding matter."""

_STEPS = 60


@dataclass(frozen=True, eq=False)
class Quad:
    """The chart between two cut lines (`low`, `high`: bearing by height) and two edges, as a unit square.

    (s, t): s from the low to the high cut line, t from the bottom to the top edge. `rises` lift the leather off the
    surface, and it lies `beyond` them by so many mm, as in `raised_points`.
    """

    surface: LimbSurface
    bottom: Edge
    top: Edge
    low: CubicSpline
    high: CubicSpline
    rises: tuple[Rise, ...] = ()
    beyond: float = 0.0

    def column(self, s: Floats, height: Floats) -> Floats:
        """Bearing (N,) at share s of the way from the low to the high cut line, at `height`."""
        return (1.0 - s) * self.low(height) + s * self.high(height)

    def crossing(self, s: Floats, edge: Edge) -> Floats:
        """Height (N,) at which the column s meets `edge`."""
        s = np.asarray(s, float)
        return self.meeting(lambda height: self.column(s, height), edge, s.shape)

    def meeting(self, line: Callable[[Floats], Floats], edge: Edge, shape: tuple[int, ...] = ()) -> Floats:
        """Heights (shape) at which lines (bearings by heights) meet `edge`.

        By false position over the trusted heights; the weight of an end that stays a second time is halved (the
        Illinois rule: Dowell and Jarratt 1971, "A modified regula falsi method", from memory).
        """
        low, high = (np.full(shape, end) for end in self.surface.trusted)
        under, over = (end - edge.height(line(end)) for end in (low, high))
        before = np.zeros(shape, dtype=bool)
        for step in range(_STEPS):
            height = low + (high - low) * under / (under - over)
            value = height - edge.height(line(height))
            if np.abs(value).max(initial=0.0) < MET:
                break
            above = value > 0.0
            stays = 0.5 if step else 1.0
            weight = np.where(above == before, stays, 1.0)
            under, over = np.where(above, weight * under, value), np.where(above, value, weight * over)
            low, high = np.where(above, low, height), np.where(above, height, high)
            before = above
        return height

    def points(self, chart: Floats) -> Floats:
        """Points (N,3) of the leather's middle at chart points (N,2), limb coordinates mm."""
        return raised_points(self.surface, chart[:, 0], chart[:, 1], rises=self.rises, beyond=self.beyond)

    def square(self, chart: Floats) -> tuple[Floats, Floats]:
        """The square's coordinates s and t (N,) of chart points (N,2)."""
        height, bearing = chart.T
        low, high = self.low(height), self.high(height)
        s = (bearing - low) / (high - low)
        bottom, top = self.crossing(s, self.bottom), self.crossing(s, self.top)
        return s, (height - bottom) / (top - bottom)

    def chart(self, s: Floats, t: Floats) -> Floats:
        """Chart points (N,2), height and bearing, of the square's points (N,)."""
        bottom, top = self.crossing(s, self.bottom), self.crossing(s, self.top)
        height = bottom + t * (top - bottom)
        return np.column_stack([height, self.column(s, height)])


@dataclass(frozen=True, eq=False)
class Plan:
    """A smooth, nearly rigid picture of the quad in the plane, in mm: the place where it is meshed.

    Lengths and angles there are nearly those on the surface, so Delaunay triangles there are well shaped on
    the limb. `s`, `t` are the square's grid, `place` (n,m,2) the plane points over it.
    """

    s: Floats
    t: Floats
    place: Floats

    @cached_property
    def _splines(self) -> tuple[RectBivariateSpline, ...]:
        return tuple(RectBivariateSpline(self.s, self.t, self.place[..., k]) for k in (0, 1))

    def at(self, s: Floats, t: Floats) -> Floats:
        """Plane points (N,2) of the square's points."""
        return np.column_stack([spline.ev(s, t) for spline in self._splines])

    def inverse(self, points: Floats) -> tuple[Floats, Floats]:
        """The square's coordinates s and t (N,) of plane points (N,2) inside the picture, by Newton steps.

        Raises CutError where they are not found: the picture folds, because the panel is cut too strangely.
        """
        nearest = cKDTree(self.place.reshape(-1, 2)).query(points)[1]
        s, t = self.s[nearest // len(self.t)], self.t[nearest % len(self.t)]
        for _ in range(_STEPS):
            miss = points - self.at(s, t)
            if np.abs(miss).max(initial=0.0) < PLACED:
                return s, t
            (xs, ys), (xt, yt) = ([f.ev(s, t, *order) for f in self._splines] for order in ((1, 0), (0, 1)))
            determinant = xs * yt - xt * ys
            s = np.clip(s + (yt * miss[:, 0] - xt * miss[:, 1]) / determinant, 0.0, 1.0)
            t = np.clip(t + (xs * miss[:, 1] - ys * miss[:, 0]) / determinant, 0.0, 1.0)
        raise CutError("the panel's outline is too crooked to be meshed; draw its seams straighter or its edges calmer")


def plan_of(quad: Quad, *, edge_length: float) -> Plan:
    """The plan for a mesh of `edge_length` mm.

    It is least-squares conformal (Lévy et al. 2002), then as rigid as possible (Liu et al. 2008).
    """
    low, high = quad.surface.trusted
    girth = float(quad.surface.radius(np.full(8, 0.5 * (low + high)), np.arange(8) * np.pi / 4).mean()) * 2 * np.pi
    spacing = max(PLAN_SPACING, PLAN_EDGES * edge_length)
    n, m = (max(6, int(np.ceil(length / spacing)) + 1) for length in (girth, high - low))
    s, t = np.linspace(0.0, 1.0, n), np.linspace(0.0, 1.0, m)
    grid_s, grid_t = np.meshgrid(s, t, indexing="ij")
    chart = quad.chart(grid_s.ravel(), grid_t.ravel())
    vertices = quad.points(chart)
    faces = _grid_faces(n, m)
    pins = 0, (n - 1) * m
    apart = float(np.linalg.norm(vertices[pins[1]] - vertices[pins[0]]))
    mesh = Mesh(vertices, faces)
    flat = conformal_map(mesh, pins, max(apart, 1.0))
    worn_area = igl.doublearea(vertices, faces).sum()
    flat = flat * np.sqrt(worn_area / igl.doublearea(flat, faces).sum())
    flat = rigid_map(mesh, flat, passes=RIGID_PASSES)
    return Plan(s, t, flat.reshape(n, m, 2))


def _grid_faces(n: int, m: int) -> Ints:
    """Faces of an (n, m) grid whose first index runs to the right and second one up, counter-clockwise."""
    i, j = (x.ravel() for x in np.meshgrid(np.arange(n - 1), np.arange(m - 1), indexing="ij"))
    a, b, c, d = i * m + j, (i + 1) * m + j, (i + 1) * m + j + 1, i * m + j + 1
    return np.vstack([np.column_stack([a, b, c]), np.column_stack([a, c, d])]).astype(np.int64)
