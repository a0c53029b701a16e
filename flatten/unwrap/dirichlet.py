"""The most isometric flat map: projected Newton steps on the symmetric Dirichlet energy, never flipping a face."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from flatten.mesh.gradient import Complexes, FaceGradients, jacobian_determinants
from flatten.mesh.surface import Floats
from flatten.unwrap.model import UnwrapError
from flatten.unwrap.system import Factor, MeshSystem, element_entries

CONVERGENCE = 1e-10
"""Share of the distortion: an iterate whose predicted decrease is less has converged. The stretch is then wrong by
about the root of CONVERGENCE · distortion, below 1e-6, and an outline of 300 mm by less than 1e-3 mm."""

ISOMETRY = 1e-20
"""Distortion (mean square of 2·(stretch − 1)) below which a map is an isometry up to rounding."""

MOST_STEPS = 300
"""Newton steps after which a map counts as not converged; a conformal start takes 3 to 6, one on a disc 60."""

MEMORY = 8
"""Steps that correct a used Hessian; more bring no further gain here."""

REUSES = 3
"""Steps that a factorised Hessian serves at least; factorising costs as much as this many, or more."""

SLOW = 0.25
"""Share of the last predicted decrease above which a Hessian that has served so often is made anew."""

MUCH = 0.8
"""A step to less than this share of the distortion has gone so far that its Hessian is made anew."""

FLIP_MARGIN = 0.9
"""Share of the way to the first flipped face that a step may go."""

SUFFICIENT = 1e-4
"""Share of the predicted decrease that a step must bring (Armijo's rule)."""


@dataclass(frozen=True, eq=False)
class IsometricResult:
    """The map (V,) found, its distortion, the steps taken, and whether the last predicted decrease was small enough."""

    flat: Complexes
    distortion: float
    steps: int
    converged: bool


@dataclass(frozen=True, eq=False)
class FaceModes:
    """Singular values (F,) of the faces of a map, and the phases of f_z and f_z̄ (1 where f_z̄ is 0)."""

    large: Floats
    small: Floats
    phase_z: Complexes
    phase_zbar: Complexes

    def vectors(self, gradients: FaceGradients, corner: int) -> ModeVectors:
        """Derivatives by the place of each face's corner of that number.

        Closed-form eigenvectors of any isotropic energy's Hessian (Smith, de Goes, Kim 2019, "Analytic eigensystems
        for isotropic distortion energies", sec. 4, for the plane).
        """
        hat = gradients.hats[corner]
        by_z, by_zbar = self.phase_z * hat, self.phase_zbar * hat.conj()
        root = np.sqrt(0.5)
        return ModeVectors(0.5 * (by_z + by_zbar), 0.5 * (by_z - by_zbar), 1j * root * by_z, 1j * root * by_zbar)


class ModeVectors(NamedTuple):
    """Derivatives (F,) by one corner's place: of the large and the small singular value, of the unit twist and flip."""

    large: Complexes
    small: Complexes
    twist: Complexes
    flip: Complexes


def face_modes(f_z: Complexes, f_zbar: Complexes) -> FaceModes:
    """The modes of a map with derivatives (F,), its faces not flipped."""
    size_z, size_zbar = np.abs(f_z), np.abs(f_zbar)
    phase_zbar = np.divide(f_zbar, size_zbar, out=np.ones_like(f_zbar), where=size_zbar > 0)
    return FaceModes(size_z + size_zbar, size_z - size_zbar, f_z / size_z, phase_zbar)


def distortion(gradients: FaceGradients, flat: Complexes) -> float:
    """Symmetric Dirichlet energy less 4: area mean of (s − 1/s)² over both singular values; needs no flipped face."""
    return distortion_at(gradients.share, *gradients.derivatives(flat))


def distortion_at(share: Floats, f_z: Complexes, f_zbar: Complexes) -> float:
    """The same from the map's derivatives (F,)."""
    large, small = np.abs(f_z) + np.abs(f_zbar), np.abs(f_z) - np.abs(f_zbar)
    return float(np.sum(share * ((large - 1 / large) ** 2 + (small - 1 / small) ** 2)))


def slope_by_values(gradients: FaceGradients, modes: FaceModes, large: Floats, small: Floats) -> Complexes:
    """Gradient (V,) of an energy whose derivatives by the singular values are `large` and `small` (F,)."""
    by_z = 0.5 * (large + small) * modes.phase_z
    by_zbar = 0.5 * (large - small) * modes.phase_zbar
    return gradients.vertex_sums(by_z * gradients.hats + by_zbar * gradients.hats.conj())


def flip_free_step(gradients: FaceGradients, flat: Complexes, step: Complexes) -> float:
    """The least length of `step` at which a face loses its area; infinite where none does."""
    return first_flip(*gradients.derivatives(flat), *gradients.derivatives(step))


def first_flip(f_z: Complexes, f_zbar: Complexes, step_z: Complexes, step_zbar: Complexes) -> float:
    """The same from the derivatives (F,) of map and step.

    The first positive root of each face's area, a quadratic (Smith & Schaefer 2015, "Bijective parameterization
    with free boundaries", sec. 3.3).
    """
    a = (step_z * step_z.conj() - step_zbar * step_zbar.conj()).real
    b = 2 * (f_z * step_z.conj() - f_zbar * step_zbar.conj()).real
    c = (f_z * f_z.conj() - f_zbar * f_zbar.conj()).real
    root = np.sqrt(np.maximum(b * b - 4 * a * c, 0.0))
    # c > 0, so the first positive root is 2c / (−b + root), written so that nothing cancels.
    below = np.where((b * b >= 4 * a * c) & (root - b > 0), root - b, 0.0)
    return float(np.min(np.divide(2 * c, below, out=np.full_like(c, np.inf), where=below > 0)))


def slope_of(gradients: FaceGradients, flat: Complexes) -> Complexes:
    """Gradient (V,) of the symmetric Dirichlet energy at a map."""
    modes = face_modes(*gradients.derivatives(flat))
    large, small, share = modes.large, modes.small, gradients.share
    return slope_by_values(gradients, modes, share * 2 * (large - large**-3), share * 2 * (small - small**-3))


def newton_factor(gradients: FaceGradients, system: MeshSystem, flat: Complexes) -> Factor:
    """The factorised Hessian of the symmetric Dirichlet energy at a map, projected to be positive definite."""
    # What it takes to build the matrix is let go of before the factor, by far the largest thing of all, is made.
    return system.factor(_hessian(gradients, system, flat))


def _hessian(gradients: FaceGradients, system: MeshSystem, flat: Complexes) -> Floats:
    """The sums of the projected Hessian; only the twist can be negative: the flip's quotient is a sum of positives."""
    modes = face_modes(*gradients.derivatives(flat))
    large, small, share = modes.large, modes.small, gradients.share
    twist = share * 2 * np.maximum(large - large**-3 + small - small**-3, 0.0) / (large + small)
    weights = share * (2 + 6 * large**-4), share * (2 + 6 * small**-4), twist, share * flip_curvature(modes)
    first, second = modes.vectors(gradients, 0), modes.vectors(gradients, 1)
    sums = system.sums(element_entries(list(zip(weights, first, second, strict=True))))
    system.fix_gauge(sums, flat)
    return sums


def flip_curvature(modes: FaceModes) -> Floats:
    """Difference quotient (F,) of the symmetric Dirichlet energy's derivative between the two singular values."""
    large, small = modes.large, modes.small
    return 2 * (1 + (large**2 + large * small + small**2) / (large * small) ** 3)


def most_isometric(gradients: FaceGradients, system: MeshSystem, flat: Complexes) -> IsometricResult:
    """The map of least symmetric Dirichlet energy from a map (V,) without flipped faces.

    Each step stays short of the first flip and must lower the energy. A factorised Hessian serves for several steps,
    corrected by the changes of the slope since (limited-memory BFGS over it): that also makes up for the twist that
    the projection takes away. It is factorised anew after a step that was cut short or changed much, or when the
    predicted decrease no longer falls quickly.

    Raises UnwrapError where no step length lowers the energy: rounding then hides the descent.
    """
    value, slope = distortion(gradients, flat), slope_of(gradients, flat)
    factor: Factor | None = None
    memory: list[tuple[Complexes, Complexes]] = []
    before, uses = np.inf, 0
    for step_count in range(MOST_STEPS):
        if factor is None:
            factor, before, uses = newton_factor(gradients, system, flat), np.inf, 0
        step = -_corrected(factor, memory, slope)
        predicted = -_dot(slope, step)
        if 0.5 * abs(predicted) <= CONVERGENCE * value or value <= ISOMETRY:
            return IsometricResult(flat, value, step_count, True)
        moved = _descend(gradients, flat, step, value, predicted) if predicted > 0 else None
        if moved is None:
            if not (uses or memory):
                raise UnwrapError(
                    f"the flat panel stopped at a distortion energy of {4 + value:.6g}: no step lowers it; "
                    "mesh the panel again without thin faces"
                )
            factor, memory = None, []
            continue
        tried, lower, length = moved
        steeper = slope_of(gradients, tried)
        memory = _remembered(memory, tried - flat, steeper - slope)
        if length < 1.0 or lower < MUCH * value:
            factor, memory = None, []
        elif uses >= REUSES and predicted > SLOW * before:
            factor = None
        flat, value, slope, before, uses = tried, lower, steeper, predicted, uses + 1
    return IsometricResult(flat, value, MOST_STEPS, False)


def _dot(a: Complexes, b: Complexes) -> float:
    return float(np.sum((a.conj() * b).real))


def _remembered(
    memory: list[tuple[Complexes, Complexes]], step: Complexes, change: Complexes
) -> list[tuple[Complexes, Complexes]]:
    """The last steps with their changes of gradient, those of positive curvature only."""
    if _dot(step, change) <= 0.0:
        return memory
    return [*memory, (step, change)][-MEMORY:]


def _corrected(factor: Factor, memory: list[tuple[Complexes, Complexes]], slope: Complexes) -> Complexes:
    """The inverse Hessian times `slope`: BFGS over the factor (Nocedal & Wright, Numerical Optimization, alg. 7.4)."""
    rest = slope
    shares = []
    for step, change in reversed(memory):
        share = _dot(step, rest) / _dot(step, change)
        rest = rest - share * change
        shares.append(share)
    solved = factor.solve(rest)
    for (step, change), share in zip(memory, reversed(shares), strict=True):
        solved = solved + (share - _dot(change, solved) / _dot(step, change)) * step
    return solved


def _descend(
    gradients: FaceGradients, flat: Complexes, step: Complexes, value: float, predicted: float
) -> tuple[Complexes, float, float] | None:
    """Map, distortion and share of the step after as much of it as lowers that enough; None where nothing does."""
    length = min(1.0, FLIP_MARGIN * flip_free_step(gradients, flat, step))
    while length > np.finfo(np.float64).eps:
        tried = flat + length * step
        if jacobian_determinants(gradients, tried).min() > 0:
            lower = distortion(gradients, tried)
            if lower <= value - SUFFICIENT * length * predicted:
                return tried, lower, length
        length /= 2
    return None
