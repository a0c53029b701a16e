"""A field's frame as the image of a rectangle, smooth and without a fold: rows run along the frame's sides."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial

import numpy as np
from scipy.interpolate import PchipInterpolator, RectBivariateSpline

from flatten.mesh.parametrize import convex_embedding
from flatten.mesh.places import located
from flatten.mesh.region import mesh_region
from flatten.mesh.surface import Floats, Mesh
from flatten.ornament.model import OrnamentError
from flatten.ornament.rail import Rail, reflected

_FACES_ACROSS = 60
"""Mesh edges across the square root of a frame's area: half of the distance of the chart's knots."""

_KNOTS = 33
"""Knots of a chart each way: a smooth curve through them cannot follow the steps from one face to the next."""

_CHECKED = 121
"""Places each way where a chart is seen not to fold."""


@dataclass(frozen=True, eq=False)
class Chart:
    """A smooth map of [0, 1] × [0, 1] into a frame, the first from left to right, the second upwards; (x, y) mm."""

    x: RectBivariateSpline
    y: RectBivariateSpline

    def at(self, across: Floats, up: Floats) -> Floats:
        """Points (n,2) mm of parameters (n,) each."""
        return np.stack([self.x.ev(across, up), self.y.ev(across, up)], axis=1)

    def rim(self) -> Floats:
        """Points (n,2) mm all along its four sides."""
        along = np.linspace(0.0, 1.0, 401)
        low, high = np.zeros_like(along), np.ones_like(along)
        sides = ((along, low), (high, along), (along, high), (low, along))
        return np.concatenate([self.at(*side) for side in sides])

    def scales(self, across: Floats, up: Floats) -> tuple[Floats, Floats, Floats]:
        """At parameters (n,) the derivatives' lengths (n,) mm, across and up, and the angle (n,) rad from the first to
        the second."""
        x1, y1 = self.x.ev(across, up, dx=1), self.y.ev(across, up, dx=1)
        x2, y2 = self.x.ev(across, up, dy=1), self.y.ev(across, up, dy=1)
        return np.hypot(x1, y1), np.hypot(x2, y2), np.arctan2(x1 * y2 - y1 * x2, x1 * x2 + y1 * y2)


def chart_of(rail: Rail, piece: str) -> Chart:
    """The chart of what a rail encloses, whose corners are the rail's points farthest out between the four sides.

    Each side takes equal lengths of the rail for equal steps. Inside, the inverse is harmonic with mean-value weights:
    a map onto a convex region is one to one then (Floater 1997, "Parametrization and smooth approximation of surface
    triangulations"). A tensor spline through places on it makes it smooth; of an even rail the chart is even, to
    rounding.

    Raises OrnamentError where the frame is so crooked that the smooth map folds.
    """
    corners = corners_of(rail)
    lengths = np.diff(corners, append=corners[0] + rail.length)
    # Counter-clockwise: left side down, bottom, right side up, top back to the left.
    curves = [partial(_side, rail, begin, size) for begin, size in zip(corners, lengths, strict=True)]
    size = np.sqrt(rail.shape.area) / _FACES_ACROSS
    mesh = mesh_region(curves, size=size)
    squares = [(0.0, 1.0), (0.0, 0.0), (1.0, 0.0), (1.0, 1.0)]
    boundary, images = [], []
    for k, side in enumerate(mesh.sides):
        start, end = complex(*squares[k]), complex(*squares[(k + 1) % 4])
        boundary.append(side.vertices[:-1])
        images.append(start + (end - start) * side.parameters[:-1])
    inner = convex_embedding(
        Mesh(np.column_stack([mesh.points, np.zeros(len(mesh.points))]), mesh.faces),
        np.concatenate(boundary),
        np.concatenate(images),
    )
    knots = np.linspace(0.0, 1.0, _KNOTS)
    u, v = (grid.ravel() for grid in np.meshgrid(knots, knots, indexing="ij"))
    places = located(np.stack([inner.real, inner.imag], axis=1), mesh.faces, np.stack([u, v], axis=1))
    points = places.on(mesh.points, mesh.faces).reshape(_KNOTS, _KNOTS, 2)
    points[0], points[-1] = curves[0](knots)[::-1], curves[2](knots)
    points[:, 0], points[:, -1] = curves[1](knots), curves[3](knots)[::-1]
    if rail.even:
        images_of = reflected(points[::-1].reshape(-1, 2), rail.axis).reshape(points.shape)
        points = (points + images_of) / 2.0
    chart = _through(points)
    chart = _through(_evened(chart, knots, rail.even))
    checked = np.linspace(0.0, 1.0, _CHECKED)[1:-1]
    turns = chart.scales(*(grid.ravel() for grid in np.meshgrid(checked, checked, indexing="ij")))[2]
    if turns.min() <= 0.0:
        raise OrnamentError(
            f"the field of {piece} is too crooked for a filling: its rows would fold; fill a plainer part of it, or "
            f"draw a border"
        )
    return chart


def _through(points: Floats) -> Chart:
    knots = np.linspace(0.0, 1.0, len(points))
    return Chart(RectBivariateSpline(knots, knots, points[..., 0]), RectBivariateSpline(knots, knots, points[..., 1]))


def _evened(chart: Chart, knots: Floats, even: bool) -> Floats:
    """Points (k,k,2) at knots moved so that rows and columns are on average equally far apart: the map stays one to
    one, as each parameter is only told anew by a growing function of itself."""
    fine = np.linspace(0.0, 1.0, _CHECKED)
    across, up, _ = chart.scales(*(grid.ravel() for grid in np.meshgrid(fine, fine, indexing="ij")))
    widths = across.reshape(_CHECKED, _CHECKED).mean(axis=1)
    heights = up.reshape(_CHECKED, _CHECKED).mean(axis=0)
    if even:
        widths = (widths + widths[::-1]) / 2.0
    told = []
    for sizes in (widths, heights):
        sums = np.concatenate([[0.0], np.cumsum((sizes[1:] + sizes[:-1]) / 2.0)])
        told.append(PchipInterpolator(sums / sums[-1], fine)(knots))
    if even:
        told[0] = (told[0] + 1.0 - told[0][::-1]) / 2.0
    return chart.at(*(grid.ravel() for grid in np.meshgrid(*told, indexing="ij"))).reshape(len(knots), len(knots), 2)


def _side(rail: Rail, begin: float, size: float, share: Floats) -> Floats:
    return rail.at(begin + size * share)


def corners_of(rail: Rail) -> Floats:
    """Arc lengths (4,) of the corners, counter-clockwise from the upper left one."""
    up = (rail.axis[1] - rail.axis[0]) / np.hypot(*(rail.axis[1] - rail.axis[0]))
    turned = (rail.knots - rail.knots.mean(axis=0)) @ np.stack([[up[1], -up[0]], up], axis=1)
    box = (turned - turned.min(axis=0)) / np.ptp(turned, axis=0)
    count = len(turned)
    step = rail.length / count
    if rail.even:
        half = box[: count // 2]
        upper, lower = (half @ [-1.0, 1.0]).argmax(), (half @ [-1.0, -1.0]).argmax()
        places = np.array([upper, lower, count - lower, count - upper])
    else:
        places = np.array([(box @ sign).argmax() for sign in ([-1.0, 1.0], [-1.0, -1.0], [1.0, -1.0], [1.0, 1.0])])
        places[1:] = places[0] + np.mod(places[1:] - places[0], count)
    return places * step
