"""The robust penalised spline r(height, bearing) through points about a centre, smoothed as their noise asks."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from flatten.limb.surface.cells import Cells, Polar, averaged, freed_of_curvature
from flatten.limb.surface.centre import cell_medians
from flatten.limb.surface.model import bare_surface
from flatten.limb.surface.noise import Modes, noise_density
from flatten.limb.surface.spline import (
    Basis,
    banded_product,
    bending_energy,
    factorised,
    normal_matrix,
    normal_right,
    solve,
    tensor_basis,
)
from flatten.mesh.surface import Floats

SMOOTHINGS = (1.0, 1.25, 1.6, 2.0, 2.5)
"""mm. Smoothings to choose from. Of a ripple of wavelength Λ the fit keeps 1 − (1 − k)², k = 1/(1 + (2π·L/Λ)⁴): at
1 mm all that knots of 6 mm can show, at 2.5 mm three quarters at 16 mm and all but 5e-5 at 55 mm. The risk that judges
them asks for more on noisy scans; but noise cancels round a girth and bias adds up: 3.2 mm takes 0.7 mm off an ankle's
girth, 4 mm takes 1.7."""

START = 1.6
"""mm. The smoothing of the robust passes, and the first that is judged: the middle of SMOOTHINGS."""

SCATTER_FLOOR = 0.5
"""mm. Scatter that is always allowed for: on an exact scan the spline's own misfit at a tendon's edge must not make
points outliers; cloth and loose parts stand off by more than BISQUARE_CUT times this."""

BISQUARE_CUT = 4.685
"""Bisquare cut in robust standard deviations: 95 % efficiency on clean normal noise (Tukey; Holland & Welsch 1977)."""

PASSES = 3
"""Robust passes at the most after the medians' start; the last step reweights once more, by less than a percent."""

SETTLED = 0.002
"""Mean change of the weights below which a further pass moves the surface by less than that share of its residuals."""


@dataclass(frozen=True, eq=False)
class Fit:
    """A fitted spline over `knots`, with what its sigmas are reckoned from.

    `coefficients` (nh, nb); `weights` (N,) robust, 0 to 1, of the cells; `cut` mm beyond which a point counts nothing;
    `area` mm² that each point stands for; `smoothing` mm; `noise` mm⁴, the variance of a mean of points times the area
    that they are spread over; `factor` of the normal equations; `modes` of the patch.
    """

    knots: Floats
    coefficients: Floats
    cells: Cells
    basis: Basis
    weights: Floats
    cut: float
    area: float
    smoothing: float
    noise: float
    factor: Floats
    modes: Modes

    @cached_property
    def noise_left(self) -> float:
        """Standard deviation, mm, that the points' noise leaves in the surface."""
        return float(np.sqrt(self.noise * self.modes.power(self.smoothing)))

    def sigmas(self, height: float, bearing: float) -> tuple[float, float]:
        """Standard deviations of the radius at a place: by the points' noise, mm, and by a limb of unit bend.

        A limb of unit bend is a Gaussian field whose |D²r| is white with 1 mm² times (1/mm)² of power: the prior to
        which the penalty belongs (Wahba, J. R. Statist. Soc. B 40(3), 1978). With z = M⁻¹b, M = N + P, the variances
        are noise · zᵀNz and smoothing⁴ · zᵀPz.
        """
        place = tensor_basis(
            np.array([height]), np.array([bearing]), knots=self.knots, count=self.coefficients.shape[1]
        )
        row = normal_right(place, np.ones(1))
        answer = solve(self.factor, row)
        seen = float(np.sum(self.area * self.cells.counts * self.weights * self.basis.at_points(answer) ** 2))
        unseen = max(0.0, float(row @ answer) - seen)
        return float(np.sqrt(self.noise * seen)), float(np.sqrt(self.smoothing**4 * unseen))


def fitted(points: Polar, *, knots: Floats, columns: int, smoothing: float | None) -> Fit:
    """The robust fit; without a `smoothing` the one of SMOOTHINGS with the least unbiased estimate of its error."""
    cells = averaged(points)
    basis = tensor_basis(cells.heights, cells.bearings, knots=knots, count=columns)
    medians, ring = _medians(cells, basis)
    radius, length = float(ring.mean()), float(knots[-1] - knots[0])
    area = 2 * np.pi * radius * length / cells.counts.sum()
    modes = Modes(length, radius, basis.shape)
    energy = bending_energy(knots, columns, ring)
    coefficients = _start(cells, basis, medians, knots=knots, energy=energy, radius=radius)
    weights = np.zeros(len(cells.counts))
    for turn in range(PASSES):
        error = cells.radii - basis.at_points(coefficients)
        scatter = max(SCATTER_FLOOR, 1.4826 * float(np.median(np.abs(error))))
        # The first pass looks from medians a cell apart: twice the width, lest it leaves out what they blurred.
        cut = BISQUARE_CUT * scatter * (2.0 if turn == 0 else 1.0)
        latest = np.maximum(0.0, 1.0 - (error / cut) ** 2) ** 2
        if np.mean(np.abs(latest - weights)) < SETTLED:
            # The weights stay those of the normal equations.
            break
        weights = latest
        normal = normal_matrix(basis, area * cells.counts * weights)
        factor = factorised(normal + (smoothing or START) ** 4 * energy)
        coefficients = solve(factor, normal_right(basis, area * cells.counts * weights * cells.radii))
    rough = bare_surface(knots, coefficients.reshape(basis.shape))
    at_cells = basis.at_points(coefficients)
    at_points = rough.radius(points.heights, points.bearings)
    cells = freed_of_curvature(cells, points, at_points=at_points, at_cells=at_cells)
    noise = noise_density(cells, rough, fit=at_cells, radius=radius)
    heavy = area * cells.counts * weights
    right = normal_right(basis, heavy * cells.radii)
    if smoothing is None:
        left = float(np.sum(heavy * (cells.radii - at_cells) ** 2))
        smoothing, factor, coefficients = _least_error(
            right, normal, energy, near=coefficients, left=left, noise=noise, modes=modes
        )
    else:
        coefficients = solve(factor, right)
    error = cells.radii - basis.at_points(coefficients)
    weights = np.maximum(0.0, 1.0 - (error / cut) ** 2) ** 2
    # Twicing (Tukey, Exploratory Data Analysis, 1977): what was smoothed away is smoothed once more and given back,
    # which leaves a bias of the eighth power of a ripple's wave number instead of the fourth.
    coefficients = coefficients + solve(factor, normal_right(basis, area * cells.counts * weights * error))
    return Fit(
        knots, coefficients.reshape(basis.shape), cells, basis, weights, cut, area, smoothing, noise, factor, modes
    )


def _medians(cells: Cells, basis: Basis) -> tuple[Floats, Floats]:
    """Median radius (n,) in each cell of the basis, nan without points, and the limb's mean radius (m,) by height."""
    medians = cell_medians(basis.cells, cells.radii, len(basis.columns))
    rows = medians.reshape(-1, basis.shape[1])
    ring = np.array([np.nanmedian(row) if np.isfinite(row).any() else np.nan for row in rows])
    seen = np.isfinite(ring)
    return medians, np.interp(np.arange(len(ring)), np.flatnonzero(seen), ring[seen])


def _start(cells: Cells, basis: Basis, medians: Floats, *, knots: Floats, energy: Floats, radius: float) -> Floats:
    """A first fit (n,), to the medians of the basis' cells at the mean places of their points."""
    count, columns = len(basis.columns), basis.shape[1]
    held = np.bincount(basis.cells, minlength=count)
    filled = held > 0
    heights, bearings = (
        np.bincount(basis.cells, each, count)[filled] / held[filled] for each in (cells.heights, cells.bearings)
    )
    coarse = tensor_basis(heights, bearings, knots=knots, count=columns)
    weights = np.full(len(heights), 2 * np.pi * radius * (knots[-1] - knots[0]) / count)
    factor = factorised(normal_matrix(coarse, weights) + START**4 * energy)
    return solve(factor, normal_right(coarse, weights * medians[filled]))


def _least_error(
    right: Floats, normal: Floats, energy: Floats, *, near: Floats, left: float, noise: float, modes: Modes
) -> tuple[float, Floats, Floats]:
    """The smoothing whose fit has the least unbiased estimate of its risk, with its factor and its single fit.

    Σ w (r − S)² + 2 · noise · degrees of freedom is the expected squared error but for a constant (Mallows,
    Technometrics 15(4), 1973; the same as Stein's estimate for a linear smoother). It is walked down both ways from
    START, which may lie on a ridge: a clean place asks for less smoothing, noise elsewhere for more. `right` (n,) and
    `normal` are those of the normal equations; `near` (n,) is some fit and `left` its Σ w (r − S)², from which the
    others' follow.
    """
    slope = right - banded_product(normal, near)
    tried: dict[int, tuple[float, Floats, Floats]] = {}

    def risk(at: int) -> float:
        if at not in tried:
            factor = factorised(normal + SMOOTHINGS[at] ** 4 * energy)
            single = solve(factor, right)
            step = single + solve(factor, right - banded_product(normal, single)) - near
            squares = left - 2 * float(step @ slope) + float(step @ banded_product(normal, step))
            tried[at] = squares + 2 * noise * modes.freedom(SMOOTHINGS[at]), factor, single
        return tried[at][0]

    start = SMOOTHINGS.index(START)
    risk(start)
    for step in (-1, 1):
        at = start
        while 0 <= at + step < len(SMOOTHINGS) and risk(at + step) < risk(at):
            at += step
    best = min(tried, key=risk)
    return SMOOTHINGS[best], *tried[best][1:]
