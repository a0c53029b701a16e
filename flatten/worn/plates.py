"""Plates: closed curves in the chart, and their panels on what they lie on."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.interpolate import CubicSpline

from flatten.limb.surface.model import LimbSurface
from flatten.mesh.region import Curve, mesh_region
from flatten.mesh.surface import Floats, Mesh, MeshError
from flatten.worn.curves import Edge
from flatten.worn.cut import LEAST_FACES
from flatten.worn.darts import ChartCurve
from flatten.worn.panel import Boundary, CutError, Panel
from flatten.worn.plan import Quad, plan_of

EDGES = {True: "top edge", False: "bottom edge", None: "side edge"}
"""What the sides of a plate's panel are called: those that look up, those that look down, the others."""

_AROUND = 3.0
"""mm by which the piece of the chart that a plate is meshed in is larger than the plate."""

_SAMPLES = 64
"""Places along each stretch of a plate's curve that are looked at."""


class PlateError(CutError):
    """A plate cannot lie where it is asked for."""


@dataclass(frozen=True, eq=False)
class Plate:
    """Leather of `thickness` mm inside a closed curve in the chart.

    `sides` are the curve from corner to corner, two or more, counter-clockwise seen from outside (bearing to the right,
    height up).
    """

    name: str
    thickness: float
    sides: tuple[ChartCurve, ...]

    @property
    def chart(self) -> Floats:
        """Chart points (n,2) once round the curve, the last one the first again."""
        steps = np.linspace(0.0, 1.0, _SAMPLES + 1)
        return np.concatenate([*(side(steps)[:-1] for side in self.sides), self.sides[0](steps[:1])])


def region_sides(around: tuple[float, float], heights: tuple[float, float]) -> tuple[ChartCurve, ...]:
    """The sides of the region between two bearings (rad) and two heights (mm), each given as low, high."""
    (low, high), (bottom, top) = around, heights
    return straight_sides(np.array([[bottom, low], [bottom, high], [top, high], [top, low]]))


def straight_sides(corners: Floats) -> tuple[ChartCurve, ...]:
    """The sides between corners (n,2), chart points in either order round, each straight in the chart."""

    def line(start: Floats, end: Floats) -> ChartCurve:
        return lambda u: start + np.asarray(u, float)[:, None] * (end - start)

    corners = corners if _turns_left(corners) else corners[::-1]
    return tuple(line(start, end) for start, end in zip(corners, np.roll(corners, -1, axis=0), strict=True))


def smooth_sides(points: Floats, *, radius: float) -> tuple[ChartCurve, ...]:
    """The lower and the upper half of a smooth curve through `points` (n,2), chart points in either order round.

    It is the periodic cubic spline over the points' distances on a cylinder of `radius` mm.
    """
    points = points if _turns_left(points) else points[::-1]
    closed = np.concatenate([points, points[:1]])
    spline = CubicSpline(_run(closed, radius), closed, bc_type="periodic")
    whole = float(spline.x[-1])
    dense = np.linspace(0.0, whole, _SAMPLES * len(points))
    first = float(dense[spline(dense)[:, 1].argmin()])

    def half(number: int) -> ChartCurve:
        return lambda u: spline(np.mod(first + 0.5 * whole * (number + np.asarray(u, float)), whole))

    return half(0), half(1)


def fitted_sides(stretches: Sequence[Floats], *, radius: float) -> tuple[ChartCurve, ...]:
    """The sides through stretches (n,2) of chart points, counter-clockwise, each from one corner to the next.

    Each is the cubic spline over its points' distances on a cylinder of `radius` mm; one alone is closed.
    """
    if len(stretches) == 1:
        return smooth_sides(stretches[0][:-1], radius=radius)

    def side(points: Floats) -> ChartCurve:
        spline = CubicSpline(_run(points, radius), points, bc_type="natural")
        return lambda u: spline(np.asarray(u, float) * spline.x[-1])

    return tuple(side(points) for points in stretches)


def plate_panel(surface: LimbSurface, plate: Plate, *, on: Panel, beyond: float, edge_length: float) -> Panel:
    """The panel of a plate whose neutral surface lies `beyond` mm along the normals of that of the base beneath `on`.

    `on` is the panel that it lies on, base or plate; the plate's bearings are its. Boundary vertices lie exactly on the
    plate's curve; edges are of about `edge_length` mm.

    Raises PlateError where the curve crosses itself or is too small to be meshed.
    """
    chart = plate.chart
    radius = float(surface.radius(chart[:, 0], chart[:, 1]).mean())
    (bottom, low), (top, high) = chart.min(axis=0), chart.max(axis=0)
    least, greatest = surface.trusted
    bottom, top = max(bottom - _AROUND, least), min(top + _AROUND, greatest)
    low, high = low - _AROUND / radius, high + _AROUND / radius
    quad = Quad(
        surface,
        Edge(EDGES[False], np.zeros(1), np.array([bottom])),
        Edge(EDGES[True], np.zeros(1), np.array([top])),
        _upright(surface, low),
        _upright(surface, high),
        on.rises,
        beyond,
    )
    narrow = min(top - bottom, radius * (high - low)) - 2 * _AROUND
    size = min(edge_length, narrow / LEAST_FACES)
    plan = plan_of(quad, edge_length=size)

    def in_plan(side: ChartCurve) -> Curve:
        return lambda u: plan.at(*quad.square(side(u)))

    try:
        region = mesh_region([in_plan(side) for side in plate.sides], size=size)
    except MeshError as error:
        raise PlateError(
            f"the outline of plate '{plate.name}' is no simple closed curve ({error}); give points once round it, or a "
            "larger region"
        ) from error
    placed = np.empty((len(region.points), 2))
    inner = np.ones(len(placed), dtype=bool)
    for side, found in zip(plate.sides, region.sides, strict=True):
        placed[found.vertices] = side(found.parameters)
        inner[found.vertices] = False
    placed[inner] = quad.chart(*plan.inverse(region.points[inner]))
    boundaries = tuple(
        Boundary(EDGES[_looks_up(side, radius)], "edge", "", found.vertices)
        for side, found in zip(plate.sides, region.sides, strict=True)
    )
    return Panel(
        plate.name, Mesh(quad.points(placed), region.faces), placed[:, 0], placed[:, 1], boundaries, on.rises, beyond
    )


def _looks_up(side: ChartCurve, radius: float) -> bool | None:
    """Whether a side of a curve that runs counter-clockwise looks up (True) or down (False); None where to a side."""
    (low, left), (high, right) = side(np.array([0.0, 1.0]))
    up, on = high - low, radius * (right - left)
    return None if abs(on) < abs(up) else bool(on < 0.0)


def _upright(surface: LimbSurface, bearing: float) -> CubicSpline:
    return CubicSpline(surface.trusted, [bearing, bearing])


def _turns_left(points: Floats) -> bool:
    """Whether chart points (n,2) run counter-clockwise, bearing to the right and height up."""
    height, bearing = points.T
    return bool(np.sum(bearing * np.roll(height, -1) - np.roll(bearing, -1) * height) > 0.0)


def _run(points: Floats, radius: float) -> Floats:
    """Distances (n,) from the first of chart points (n,2) along them, mm on a cylinder of `radius` mm."""
    steps = np.hypot(*(np.diff(points, axis=0) * np.array([1.0, radius])).T)
    return np.concatenate([[0.0], np.cumsum(steps)])
