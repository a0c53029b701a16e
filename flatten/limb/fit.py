"""The robust penalised fit of a limb surface r(height, bearing) to scan points."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from scipy.interpolate import BSpline

from flatten.limb.centre import cell_medians, centre_coefficients, projected
from flatten.limb.coverage import Coverage, Mask, bridges_in, coverage_of, longest_run
from flatten.limb.model import LimbError
from flatten.limb.spline import (
    Basis,
    bending_energy,
    clamped_knots,
    factorised,
    normal_matrix,
    normal_right,
    solve,
    tensor_basis,
)
from flatten.limb.surface import LimbSurface
from flatten.mesh.surface import Floats

SPACING = 8.0
"""mm. Height between knots: a fifth of the shortest bulge of a limb (the ankle's and wrist's, 40 mm)."""

BEARINGS = 36
"""Bearing columns: 5–12 mm, and the ten harmonics that a section of a limb holds with three and a half each."""

SMOOTHING = 2.5
"""mm. Of a ripple of wavelength Λ the fit keeps 1 − (1 − k)², k = 1/(1 + (2π·SMOOTHING/Λ)⁴): three quarters at 16 mm
(most of a scanner's vertex noise is shorter), all but 5e-5 at 55 mm. Stronger smoothing shrank the ankle's girth by
more than 0.3 mm on a clean scan."""

SCATTER_FLOOR = 0.5
"""mm. Scatter that is always allowed for: on an exact scan the spline's own misfit at a tendon's edge must not make
points doubtful; cloth and loose parts stand off by more than DOUBT times this."""

DOUBT = 4.685
"""Bisquare cut in robust standard deviations: 95 % efficiency on clean normal noise (Tukey; Holland & Welsch 1977)."""

PASSES = 3
"""Robust passes after the medians' start; weights then change by less than a percent."""

LEAST_WIDTH = 10.0
"""mm. Nothing narrower is fitted as a limb: a child's wrist is 35 mm wide, and a radius needs a centre."""

MOST_POINTS = 60_000
"""More points than this are averaged in cells of an eighth of a knot spacing, each as heavy as what it holds."""


@dataclass(frozen=True, eq=False)
class _Polar:
    """Points about the centre: heights, bearings, radii and how many points each stands for, (N,) each."""

    heights: Floats
    bearings: Floats
    radii: Floats
    counts: Floats


def fit_surface(
    points: Floats,
    *,
    heights: tuple[float, float],
    needed: tuple[float, float] | None = None,
    centre: BSpline | None = None,
    smoothing: float = SMOOTHING,
    spacing: float = SPACING,
    bearings: int = BEARINGS,
) -> LimbSurface:
    """The smooth limb surface through points (N,3), limb coordinates mm, over a range of heights.

    Minimises Σ w (r − S)² · (area per point) + smoothing⁴ ∫ |D²S|² dA over tensor-product cubic splines S, twice:
    the second time over what the first left. The weights w are Tukey's bisquare in a few passes that start from cell
    medians (penalised splines: Eilers & Marx, Statist. Sci. 11(2), 1996). Points should be about evenly dense. The
    penalty bridges holes as a bent plate would. Points outside `heights` are not looked at.

    `centre` is a centre line to keep (`LimbSurface.centre_line` of the surface that these points were offset from);
    without it one is fitted first. `spacing` is the height between knots in mm, `bearings` the even number of columns.

    The surface is trusted where at least half of the section is seen, where its points lie on one outline (the
    limb is star-shaped about its centre) and where |dr/dh| ≤ 1. Raises LimbError, with the height, where that
    leaves out a part of `needed` (by default all of `heights`), where the range holds too few points, or where an
    argument has no sense.
    """
    low, high = heights
    _check(points, heights, smoothing, spacing, bearings)
    inside = points[(points[:, 2] >= low) & (points[:, 2] <= high)]
    if len(inside) < 4 * bearings:
        raise LimbError(
            f"only {len(inside)} scan points lie between heights {low:.0f} and {high:.0f} mm, "
            f"{4 * bearings} are needed; check the scan's unit and which limb it shows"
        )
    _check_extent(inside, heights)
    knots = clamped_knots(low, high, spacing)
    # Every so many points are enough for a line of medians.
    some = inside[:: 1 + len(inside) // MOST_POINTS]
    middle = centre_coefficients(some, knots) if centre is None else projected(centre, knots)
    polar = _polar(inside, BSpline(knots, middle, 3), spacing, bearings)
    basis = tensor_basis(polar.heights, polar.bearings, knots=knots, count=bearings)
    radii, weights = _robust_fit(polar, basis, knots, smoothing)
    surface = LimbSurface(knots, radii, middle, (low, high), 0.0, 0.0, 0.0, (), 0.0)
    return _judged(surface, polar, basis, weights, needed or heights)


def _check(points: Floats, heights: tuple[float, float], smoothing: float, spacing: float, bearings: int) -> None:
    if points.ndim != 2 or points.shape[1] != 3 or not np.isfinite(points).all():
        raise LimbError(f"limb points must be finite and (N,3), found {points.shape}")
    if not (spacing > 0 and smoothing > 0 and heights[1] - heights[0] >= 2 * spacing):
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


def _polar(points: Floats, line: BSpline, spacing: float, bearings: int) -> _Polar:
    offset = points[:, :2] - line(points[:, 2])
    polar = _Polar(
        points[:, 2], np.arctan2(offset[:, 1], offset[:, 0]), np.hypot(offset[:, 0], offset[:, 1]), np.ones(len(points))
    )
    if len(points) <= MOST_POINTS:
        return polar
    # Cells are thin in radius too, so that cloth and skin at one place are never averaged with each other.
    low = polar.heights.min()
    keys = np.floor((polar.heights - low) / (spacing / 8)).astype(np.int64)
    keys = keys * (8 * bearings) + np.floor((polar.bearings / (2 * np.pi) + 0.5) * 8 * bearings).astype(np.int64)
    keys = keys * 4096 + np.minimum(np.floor(polar.radii / 2.0).astype(np.int64), 4095)
    _, cells = np.unique(keys, return_inverse=True)
    counts = np.bincount(cells).astype(float)
    heights, turns, radii = (np.bincount(cells, each) / counts for each in (polar.heights, polar.bearings, polar.radii))
    return _Polar(heights, turns, radii, counts)


def _robust_fit(polar: _Polar, basis: Basis, knots: Floats, smoothing: float) -> tuple[Floats, Floats]:
    """Coefficients (nh, nb) and the robust weights (N,) in 0 to 1."""
    count = basis.shape[1]
    medians = cell_medians(basis.cells, polar.radii, len(basis.columns))
    rows = medians.reshape(-1, count)
    ring = np.array([np.nanmedian(row) if np.isfinite(row).any() else np.nan for row in rows])
    seen = np.isfinite(ring)
    ring = np.interp(np.arange(len(ring)), np.flatnonzero(seen), ring[seen])
    area = 2 * np.pi * float(ring.mean()) * (knots[-1] - knots[0]) / polar.counts.sum()
    penalty = smoothing**4 * bending_energy(knots, count, ring)

    def factor(weights: Floats) -> Floats:
        return factorised(normal_matrix(basis, area * polar.counts * weights) + penalty)

    def fitted(values: Floats, weights: Floats, by: Floats) -> Floats:
        return solve(by, normal_right(basis, area * polar.counts * weights * values))

    weights = np.ones(len(polar.radii))
    coefficients = fitted(medians[basis.cells], weights, by := factor(weights))
    for turn in range(PASSES):
        error = polar.radii - basis.at_points(coefficients)
        scatter = max(SCATTER_FLOOR, 1.4826 * float(np.median(np.abs(error))))
        # The first pass looks from medians a cell apart: twice the width, lest it doubts what they blurred.
        cut = DOUBT * scatter * (2.0 if turn == 0 else 1.0)
        weights = np.maximum(0.0, 1.0 - (error / cut) ** 2) ** 2
        coefficients = fitted(polar.radii, weights, by := factor(weights))
    # Twicing (Tukey, Exploratory Data Analysis, 1977): what was smoothed away is smoothed once more and given back,
    # which leaves a bias of the eighth power of a ripple's wave number instead of the fourth.
    coefficients = coefficients + fitted(polar.radii - basis.at_points(coefficients), weights, by)
    return coefficients.reshape(basis.shape), weights


def _judged(
    surface: LimbSurface, polar: _Polar, basis: Basis, weights: Floats, needed: tuple[float, float]
) -> LimbSurface:
    """The surface with what it is worth: trusted range, residuals, bridges."""
    kept = weights > 0
    coverage = coverage_of(surface, polar.heights, polar.bearings, counts=polar.counts, kept=kept)
    trusted = _trusted(surface, coverage, needed)
    inside = (polar.heights >= trusted[0]) & (polar.heights <= trusted[1])
    distance = _distances(surface, polar, basis)[inside & kept]
    counts = polar.counts[inside & kept]
    order = np.argsort(distance)
    share = np.cumsum(counts[order]) / counts.sum()
    rows = (coverage.heights >= trusted[0]) & (coverage.heights <= trusted[1])
    surface = replace(
        surface,
        trusted=trusted,
        rms=float(np.sqrt(np.average(distance**2, weights=counts))),
        p99=float(distance[order][np.searchsorted(share, 0.99)]),
        bridged_share=float(1 - coverage.covered[rows].mean()),
        rejected_share=float(1 - counts.sum() / polar.counts[inside].sum()),
    )
    points = _placed(polar, surface.centre_line, kept)
    return replace(surface, bridges=bridges_in(surface, coverage, points, between=trusted))


def _placed(polar: _Polar, line: BSpline, kept: Mask) -> Floats:
    """The kept points (M,3) in limb coordinates."""
    turn, radius = polar.bearings[kept], polar.radii[kept]
    across = line(polar.heights[kept]) + np.stack([radius * np.cos(turn), radius * np.sin(turn)], axis=1)
    return np.column_stack([across, polar.heights[kept]])


def _distances(surface: LimbSurface, polar: _Polar, basis: Basis) -> Floats:
    """First-order distance (N,) of points from the surface: the radial error times the normal's radial part."""
    error = np.abs(polar.radii - basis.at_points(surface.radii))
    normals = surface.normals(polar.heights, polar.bearings)
    return error * np.abs(normals[:, 0] * np.cos(polar.bearings) + normals[:, 1] * np.sin(polar.bearings))


def _trusted(surface: LimbSurface, coverage: Coverage, needed: tuple[float, float]) -> tuple[float, float]:
    good: Mask = coverage.good()
    low, high = float(surface.height_knots[0]), float(surface.height_knots[-1])
    wanted = (coverage.heights >= needed[0]) & (coverage.heights <= needed[1])
    bad = np.flatnonzero(wanted & ~good)
    if bad.size:
        raise LimbError(
            f"the limb cannot be followed at height {coverage.heights[bad[0]]:.0f} mm: {coverage.complaint(bad[0])}; "
            f"it is needed from {needed[0]:.0f} to {needed[1]:.0f} mm"
        )
    middle = int(np.argmin(np.abs(coverage.heights - (needed[0] + needed[1]) / 2)))
    first, last = longest_run(good, middle) or (middle, middle)
    half = (coverage.heights[1] - coverage.heights[0]) / 2
    return (
        low if first == 0 else float(coverage.heights[first] - half),
        high if last == len(good) - 1 else float(coverage.heights[last] + half),
    )
