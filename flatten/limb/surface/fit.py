"""The limb surface through scan points: centre, robust fit, and what it is worth."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from scipy.interpolate import BSpline

from flatten.limb.model import LimbError
from flatten.limb.surface.bridge import bridges_in
from flatten.limb.surface.cells import Polar
from flatten.limb.surface.centre import centre_coefficients, projected
from flatten.limb.surface.coverage import Mask, coverage_of, trusted_range
from flatten.limb.surface.model import LimbSurface
from flatten.limb.surface.penalty import Fit, fitted
from flatten.limb.surface.spline import clamped_knots
from flatten.mesh.surface import Floats

SPACING = 8.0
"""mm. Height between knots: a fifth of the shortest bulge of a limb (the ankle's and wrist's, 40 mm)."""

BEARINGS = 36
"""Bearing columns: 5–12 mm, and the ten harmonics that a section of a limb holds with three and a half each."""

FINE_SPACING = 6.0
"""mm. Height between knots where the points are so exact that the least smoothings are chosen: a girth at the ankle of
a clean scan is then met to 0.06 mm instead of 0.1."""

FINE_BEARINGS = 48
"""Bearing columns with FINE_SPACING: as many more."""

FINE_BELOW = 1.5
"""mm. Smoothing below which the finer knots pay; above it they only follow the noise."""

LEAST_WIDTH = 10.0
"""mm. Nothing narrower is fitted as a limb: a child's wrist is 35 mm wide, and a radius needs a centre."""

JUDGED_POINTS = 20_000
"""Points whose distances from the surface are told: their rms is then good to half a percent."""

LINE_POINTS = 20_000
"""Points for the centre line: some hundreds in each slab of 10 mm."""


def fit_surface(
    points: Floats,
    *,
    heights: tuple[float, float],
    needed: tuple[float, float] | None = None,
    centre: BSpline | None = None,
    smoothing: float | None = None,
    spacing: float | None = None,
    bearings: int | None = None,
) -> LimbSurface:
    """The smooth limb surface through points (N,3), limb coordinates mm, over a range of heights.

    Minimises Σ w (r − S)² · (area per point) + smoothing⁴ ∫ |D²S|² dA over tensor-product cubic splines S, twice:
    the second time over what the first left. The weights w are Tukey's bisquare in a few passes that start from cell
    medians (penalised splines: Eilers & Marx, Statist. Sci. 11(2), 1996). Points should be about evenly dense. The
    penalty bridges holes as a bent plate would. Points outside `heights` are not looked at.

    `centre` is a centre line to keep (`LimbSurface.centre_line` of the surface that these points were offset from);
    without it one is fitted first. `spacing` is the height between knots in mm, `bearings` the even number of columns.
    Without a `smoothing`, in mm, it is chosen by the noise that the points show, and without a `spacing` the knots are
    finer where the points are exact.

    The surface is trusted where at least half of the section is seen, where its points lie on one outline (the
    limb is star-shaped about its centre) and where |dr/dh| ≤ 1. Raises LimbError, with the height, where that
    leaves out a part of `needed` (by default all of `heights`), where the range holds too few points, or where an
    argument has no sense.
    """
    low, high = heights
    columns = bearings or BEARINGS
    _check(points, heights, smoothing, spacing or SPACING, columns)
    inside = points[(points[:, 2] >= low) & (points[:, 2] <= high)]
    if len(inside) < 4 * columns:
        raise LimbError(
            f"only {len(inside)} scan points lie between heights {low:.0f} and {high:.0f} mm, "
            f"{4 * columns} are needed; check the scan's unit and which limb it shows"
        )
    _check_extent(inside, heights)
    knots = clamped_knots(low, high, spacing or SPACING)
    # Every so many points are enough for a line of medians.
    some = inside[:: 1 + len(inside) // LINE_POINTS]
    line = BSpline(knots, centre_coefficients(some, knots) if centre is None else projected(centre, knots), 3)
    polar = _about(inside, line)
    fit = fitted(polar, knots=knots, columns=columns, smoothing=smoothing)
    if spacing is None and bearings is None and smoothing is None and fit.smoothing < FINE_BELOW:
        knots, columns = clamped_knots(low, high, FINE_SPACING), FINE_BEARINGS
        line = BSpline(knots, projected(line, knots), 3)
        polar = _about(inside, line)
        fit = fitted(polar, knots=knots, columns=columns, smoothing=fit.smoothing)
    return _judged(fit, line, polar, heights, needed or heights)


def _check(
    points: Floats, heights: tuple[float, float], smoothing: float | None, spacing: float, bearings: int
) -> None:
    if points.ndim != 2 or points.shape[1] != 3 or not np.isfinite(points).all():
        raise LimbError(f"limb points must be finite and (N,3), found {points.shape}")
    if not (spacing > 0 and (smoothing is None or smoothing > 0) and heights[1] - heights[0] >= 2 * spacing):
        raise LimbError(
            f"a limb surface needs a height range of two knot spacings or more and a smoothing above 0 mm, found "
            f"{heights[0]:.1f} to {heights[1]:.1f} mm with spacing {spacing} mm and smoothing {smoothing} mm"
        )
    if bearings < 8 or bearings % 2:
        raise LimbError(f"a limb surface needs an even number of bearings, 8 or more, found {bearings}")


def _check_extent(inside: Floats, heights: tuple[float, float]) -> None:
    """LimbError where the points are not spread along the range and round it."""
    tenths = np.histogram(inside[:, 2], bins=10, range=heights)[0]
    if np.count_nonzero(tenths) < 5 or not np.ptp(inside[:, :2], axis=0).min() > LEAST_WIDTH:
        raise LimbError(
            f"the points between heights {heights[0]:.0f} and {heights[1]:.0f} mm fill only {np.count_nonzero(tenths)} "
            f"tenths of that range, {np.ptp(inside[:, 0]):.0f} by {np.ptp(inside[:, 1]):.0f} mm wide: that is no limb; "
            "check the scan's unit and which limb it shows"
        )


def _about(points: Floats, line: BSpline) -> Polar:
    offset = points[:, :2] - line(points[:, 2])
    bearings = np.arctan2(offset[:, 1], offset[:, 0])
    # Bearing π is −π, the same place.
    bearings = np.where(bearings < np.pi, bearings, -np.pi)
    return Polar(points[:, 2], bearings, np.hypot(offset[:, 0], offset[:, 1]))


def _judged(
    fit: Fit, line: BSpline, polar: Polar, heights: tuple[float, float], needed: tuple[float, float]
) -> LimbSurface:
    """The surface with what it is worth: trusted range, residuals, bridges."""
    surface = LimbSurface(
        fit.knots, fit.coefficients, line.c, heights, 0.0, 0.0, 0.0, (), 0.0, fit.smoothing, fit.noise_left
    )
    error = polar.radii - surface.radius(polar.heights, polar.bearings)
    kept = np.abs(error) < fit.cut
    coverage = coverage_of(surface, polar.heights, polar.bearings, kept=kept)
    trusted = trusted_range(surface, coverage, needed=needed)
    inside = (polar.heights >= trusted[0]) & (polar.heights <= trusted[1])
    counted = inside & kept
    some = np.flatnonzero(counted)[:: 1 + np.count_nonzero(counted) // JUDGED_POINTS]
    distance = _distances(surface, polar.heights[some], polar.bearings[some], error[some])
    rows = (coverage.heights >= trusted[0]) & (coverage.heights <= trusted[1])
    surface = replace(
        surface,
        trusted=trusted,
        rms=float(np.sqrt(np.mean(distance**2))),
        p99=float(np.quantile(distance, 0.99)),
        bridged_share=float(1 - coverage.covered[rows].mean()),
        rejected_share=float(1 - np.count_nonzero(counted) / np.count_nonzero(inside)),
    )
    points = _placed(polar, line, kept)
    return replace(surface, bridges=bridges_in(surface, coverage, points, between=trusted, sigmas=fit.sigmas))


def _placed(polar: Polar, line: BSpline, kept: Mask) -> Floats:
    """The kept points (M,3) in limb coordinates."""
    turn, radius = polar.bearings[kept], polar.radii[kept]
    across = line(polar.heights[kept]) + np.stack([radius * np.cos(turn), radius * np.sin(turn)], axis=1)
    return np.column_stack([across, polar.heights[kept]])


def _distances(surface: LimbSurface, heights: Floats, bearings: Floats, error: Floats) -> Floats:
    """First-order distance (N,) of points from the surface: the radial error times the normal's radial part."""
    normals = surface.normals(heights, bearings)
    return np.abs(error * (normals[:, 0] * np.cos(bearings) + normals[:, 1] * np.sin(bearings)))
