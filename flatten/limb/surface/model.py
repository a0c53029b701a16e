"""The limb as one smooth spline: radius over height and bearing about a smooth centre line."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from scipy.interpolate import BSpline, NdBSpline

from flatten.mesh.surface import Floats, Ints, frozen

DEGREE = 3


def bearing_knots(count: int) -> Floats:
    """Knots (count + 7,) of the periodic cubic basis over one turn that starts at bearing -π."""
    return (np.arange(count + 2 * DEGREE + 1, dtype=np.float64) - DEGREE) * (2 * np.pi / count) - np.pi


def bearing_columns(count: int) -> Ints:
    """The coefficient column (count + 3,) of each basis function over `bearing_knots`; three wrap the period."""
    return (np.arange(count + DEGREE) - DEGREE + 2 - count // 2) % count


@dataclass(frozen=True)
class Bridge:
    """A place without scan points that the surface spans: its middle, its size and the doubt there.

    `uncertainty` mm covers the error at the middle of 95 in 100 such places; `likely` is its standard deviation.
    """

    height: float
    bearing: float
    width: float
    uncertainty: float
    likely: float


@dataclass(frozen=True, eq=False)
class LimbSurface:
    """The surface p(h, b) = (c(h), h) + r(h, b)·(cos b, sin b, 0) in limb coordinates, mm and radians.

    `height_knots` (nh+4,) clamped cubic knots; `radii` (nh, nb) B-spline coefficients of r, uniform and
    periodic in bearing (nb even; column k is centred on bearing 2πk/nb); `centre` (nh, 2) coefficients of c
    over the same knots. `trusted` is the height range in which the scan carries it; `rms` and `p99` are
    distances of scan points from the surface, mm, without the `rejected_share` of them that the robust fit set
    aside (cloth, loose parts, inner walls); `bridged_share` is the share of the trusted area with no scan point
    near it. `smoothing` mm is that of the fit, and `noise_left` mm the standard deviation that the points' noise leaves
    in the surface where they are dense.
    """

    height_knots: Floats
    radii: Floats
    centre: Floats
    trusted: tuple[float, float]
    rms: float
    p99: float
    bridged_share: float
    bridges: tuple[Bridge, ...]
    rejected_share: float = 0.0
    smoothing: float = 0.0
    noise_left: float = 0.0

    def __post_init__(self) -> None:
        """Freeze the arrays."""
        for name in ("height_knots", "radii", "centre"):
            object.__setattr__(self, name, frozen(getattr(self, name)))

    @cached_property
    def _radius_spline(self) -> NdBSpline:
        count = self.radii.shape[1]
        return NdBSpline((self.height_knots, bearing_knots(count)), self.radii[:, bearing_columns(count)], DEGREE)

    @cached_property
    def centre_line(self) -> BSpline:
        """The centre c(h) as a spline: (N,) heights to (N,2) front and lateral, mm."""
        return BSpline(self.height_knots, self.centre, DEGREE)

    def radius(self, height: Floats, bearing: Floats, *, nu: tuple[int, int] = (0, 0)) -> Floats:
        """Radius (N,) mm, or its derivative of order `nu` in (height, bearing)."""
        wrapped = np.mod(np.asarray(bearing) + np.pi, 2 * np.pi) - np.pi
        return self._radius_spline(np.stack(np.broadcast_arrays(height, wrapped), axis=-1), nu=nu)

    def apart(self, points: Floats) -> tuple[Floats, Floats]:
        """Bearings (N,) of points (N,3), limb coordinates mm, and their radii less the surface's own there (N,), mm.

        Points beyond its heights are compared with its rim.
        """
        offset = points[:, :2] - self.centre_line(points[:, 2])
        bearings = np.arctan2(offset[:, 1], offset[:, 0])
        heights = np.clip(points[:, 2], self.height_knots[0], self.height_knots[-1])
        return bearings, np.hypot(*offset.T) - self.radius(heights, bearings)

    def sections(self, heights: Floats, bearings: Floats) -> tuple[Floats, Floats]:
        """Radius (m,k) at each of the heights (m,) and bearings (k,), and its derivative by bearing.

        A grid of places costs two small matrix products instead of a sum for each place.
        """
        count = self.radii.shape[1]
        along = BSpline(self.height_knots, self.radii, DEGREE)(heights)
        wrapped = np.mod(np.asarray(bearings) + np.pi, 2 * np.pi) - np.pi
        around = BSpline(bearing_knots(count), np.eye(count)[bearing_columns(count)], DEGREE)
        return along @ around(wrapped).T, along @ around(wrapped, nu=1).T

    def points(self, height: Floats, bearing: Floats) -> Floats:
        """Surface points (N,3), limb coordinates mm."""
        height, bearing = np.broadcast_arrays(np.asarray(height, float), np.asarray(bearing, float))
        radius = self.radius(height, bearing)
        centre = self.centre_line(height)
        return np.stack(
            [centre[..., 0] + radius * np.cos(bearing), centre[..., 1] + radius * np.sin(bearing), height],
            axis=-1,
        )

    def tangents(self, height: Floats, bearing: Floats) -> tuple[Floats, Floats]:
        """Derivatives of the point by height (N,3, mm/mm) and by bearing (N,3, mm/rad)."""
        height, bearing = np.broadcast_arrays(np.asarray(height, float), np.asarray(bearing, float))
        cos, sin = np.cos(bearing), np.sin(bearing)
        radius = self.radius(height, bearing)
        by_height = self.radius(height, bearing, nu=(1, 0))
        by_bearing = self.radius(height, bearing, nu=(0, 1))
        slope = self.centre_line(height, nu=1)
        along = np.stack([slope[..., 0] + by_height * cos, slope[..., 1] + by_height * sin, np.ones_like(cos)], axis=-1)
        around = np.stack(
            [by_bearing * cos - radius * sin, by_bearing * sin + radius * cos, np.zeros_like(cos)], axis=-1
        )
        return along, around

    def normals(self, height: Floats, bearing: Floats) -> Floats:
        """Unit normals (N,3), outward."""
        along, around = self.tangents(height, bearing)
        cross = np.cross(around, along)
        return cross / np.linalg.norm(cross, axis=-1, keepdims=True)

    def second_derivatives(self, height: Floats, bearing: Floats) -> tuple[Floats, Floats, Floats]:
        """Second derivatives of the point (N,3): twice by height, by height and bearing, twice by bearing."""
        height, bearing = np.broadcast_arrays(np.asarray(height, float), np.asarray(bearing, float))
        outward = np.stack([np.cos(bearing), np.sin(bearing), np.zeros_like(bearing)], axis=-1)
        sideways = np.stack([-outward[..., 1], outward[..., 0], np.zeros_like(bearing)], axis=-1)
        r, r_h, r_b, r_hh, r_hb, r_bb = (
            self.radius(height, bearing, nu=nu)[..., None] for nu in ((0, 0), (1, 0), (0, 1), (2, 0), (1, 1), (0, 2))
        )
        bend = self.centre_line(height, nu=2)
        twice_height = r_hh * outward
        twice_height[..., :2] += bend
        return twice_height, r_hb * outward + r_h * sideways, (r_bb - r) * outward + 2 * r_b * sideways


def bare_surface(height_knots: Floats, radii: Floats) -> LimbSurface:
    """A limb surface that is only its radius: about a centre at 0, trusted nowhere, without residuals."""
    nothing = np.zeros((len(radii), 2))
    low = float(height_knots[0])
    return LimbSurface(height_knots, radii, nothing, (low, low), 0.0, 0.0, 0.0, ())
