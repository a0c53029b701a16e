"""The most isometric flat map: projected Newton steps on the symmetric Dirichlet energy, never flipping a face."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from flatten.mesh.gradient import Complexes, FaceGradients
from flatten.mesh.surface import Floats
from flatten.unwrap.model import UnwrapError
from flatten.unwrap.start import farthest_pair, flat_areas
from flatten.unwrap.system import Factor, MeshSystem, element_entries

GAP = 1e-7
"""Share of the distortion energy: a step that promises to take off less has arrived (outlines then move < 1e-3 mm)."""

DEVELOPED = 1e-20
"""Distortion energy (mean square of 2·(stretch − 1)) below which a map is an isometry up to rounding."""

STEPS = 300
"""Newton steps after which a map counts as not arrived; from a conformal start it takes 3 to 6, from a disc 60."""

FLIP_MARGIN = 0.9
"""Share of the way to the first flipped face that a step may go."""

SUFFICIENT = 1e-4
"""Share of the promised decrease that a step must bring (Armijo's rule)."""

GAUGE = 1e-6
"""Share by which one entry is stiffened so that a rigid turn, which costs nothing, has a definite answer."""


@dataclass(frozen=True, eq=False)
class Arrival:
    """A map (V,) and how it was reached: `excess` is its energy over 4, `converged` whether the last step was small."""

    flat: Complexes
    excess: float
    steps: int
    converged: bool


@dataclass(frozen=True, eq=False)
class FaceModes:
    """Singular values (F,) of the faces of a map, and unit turns of p and q (1 where q is 0)."""

    large: Floats
    small: Floats
    turn: Complexes
    flip: Complexes

    def vectors(self, gradients: FaceGradients, corner: int) -> tuple[Complexes, Complexes, Complexes, Complexes]:
        """Derivatives (F,) by the corner's place: of the two singular values, and of the unit twist and flip.

        Closed-form eigenvectors of any isotropic energy's Hessian (Smith, de Goes, Kim 2019, "Analytic eigensystems
        for isotropic distortion energies", sec. 4, for the plane).
        """
        hat = gradients.hats[corner]
        turning, flipping = self.turn * hat, self.flip * hat.conj()
        root = np.sqrt(0.5)
        return 0.5 * (turning + flipping), 0.5 * (turning - flipping), 1j * root * turning, 1j * root * flipping


def face_modes(gradients: FaceGradients, flat: Complexes) -> FaceModes:
    """The singular values and directions of a map whose faces are not flipped."""
    p, q = gradients.parts(flat)
    turning, flipping = np.abs(p), np.abs(q)
    flip = np.divide(q, flipping, out=np.ones_like(q), where=flipping > 0)
    return FaceModes(turning + flipping, turning - flipping, p / turning, flip)


def energy_excess(gradients: FaceGradients, flat: Complexes) -> float:
    """Symmetric Dirichlet energy less 4: area mean of (s − 1/s)² over both singular values; needs no flipped face."""
    p, q = gradients.parts(flat)
    large, small = np.abs(p) + np.abs(q), np.abs(p) - np.abs(q)
    return float(np.sum(gradients.share * ((large - 1 / large) ** 2 + (small - 1 / small) ** 2)))


def gradient_of(gradients: FaceGradients, modes: FaceModes, large: Floats, small: Floats) -> Complexes:
    """Gradient (V,) of an energy whose derivatives by the singular values are `large` and `small` (F,)."""
    turning = 0.5 * (large + small) * modes.turn
    flipping = 0.5 * (large - small) * modes.flip
    corners = turning * gradients.hats + flipping * gradients.hats.conj()
    at = gradients.faces.T.ravel()
    real = np.bincount(at, weights=corners.real.ravel(), minlength=gradients.count)
    return real + 1j * np.bincount(at, weights=corners.imag.ravel(), minlength=gradients.count)


def flip_free_step(gradients: FaceGradients, flat: Complexes, step: Complexes) -> float:
    """The least length of `step` at which a face loses its area; infinite where none does.

    The first positive root of each face's area, a quadratic (Smith & Schaefer 2015, "Bijective parameterization
    with free boundaries", sec. 3.3).
    """
    p, q = gradients.parts(flat)
    dp, dq = gradients.parts(step)
    a = (dp * dp.conj() - dq * dq.conj()).real
    b = 2 * (p * dp.conj() - q * dq.conj()).real
    c = (p * p.conj() - q * q.conj()).real
    root = np.sqrt(np.maximum(b * b - 4 * a * c, 0.0))
    # c > 0, so the first positive root is 2c / (−b + root), written so that nothing cancels.
    below = np.where((b * b >= 4 * a * c) & (root - b > 0), root - b, 0.0)
    return float(np.min(np.divide(2 * c, below, out=np.full_like(c, np.inf), where=below > 0)))


def hold(system: MeshSystem, sums: Floats, flat: Complexes) -> None:
    """Stiffen two vertices of `sums` in place so that shifts and turns of the whole map have a definite answer."""
    first, second = farthest_pair(np.stack([flat.real, flat.imag], axis=1))
    system.diagonal(sums, first)[[0, 2]] *= 2.0
    along = flat[second] - flat[first]
    across = 1j * along / abs(along)
    block = system.diagonal(sums, second)
    block += GAUGE * (block[0] + block[2]) * np.array([across.real**2, across.real * across.imag, across.imag**2])


def newton_system(gradients: FaceGradients, system: MeshSystem, flat: Complexes) -> tuple[Complexes, Factor]:
    """Gradient and factorised positive definite Hessian of the symmetric Dirichlet energy at a map."""
    modes = face_modes(gradients, flat)
    large, small, share = modes.large, modes.small, gradients.share
    slope_large, slope_small = share * 2 * (large - large**-3), share * 2 * (small - small**-3)
    # Only the twist can be negative: the flip's divided difference is a sum of positive terms.
    twist = np.maximum(slope_large + slope_small, 0.0) / (large + small)
    flip = share * 2 * (1 + (large**2 + large * small + small**2) / (large * small) ** 3)
    weights = share * (2 + 6 * large**-4), share * (2 + 6 * small**-4), twist, flip
    first, second = modes.vectors(gradients, 0), modes.vectors(gradients, 1)
    sums = system.sums(element_entries(list(zip(weights, first, second, strict=True))))
    hold(system, sums, flat)
    return gradient_of(gradients, modes, slope_large, slope_small), system.factor(sums)


def most_isometric(gradients: FaceGradients, system: MeshSystem, flat: Complexes) -> Arrival:
    """The map of least symmetric Dirichlet energy from a map (V,) without flipped faces.

    Each step takes a Hessian projected to be positive definite, stays short of the first flip, and must lower the
    energy. Raises UnwrapError where no step length does: rounding then hides the descent.
    """
    excess = energy_excess(gradients, flat)
    for step_count in range(STEPS):
        slope, factor = newton_system(gradients, system, flat)
        step = -factor.solve(slope)
        promised = -float(np.sum((slope.conj() * step).real))
        if 0.5 * promised <= GAP * excess or excess <= DEVELOPED:
            return Arrival(flat, excess, step_count, True)
        flat, excess = _descend(gradients, flat, step, excess, promised)
    return Arrival(flat, excess, STEPS, False)


def _descend(
    gradients: FaceGradients, flat: Complexes, step: Complexes, excess: float, promised: float
) -> tuple[Complexes, float]:
    length = min(1.0, FLIP_MARGIN * flip_free_step(gradients, flat, step))
    while length > np.finfo(np.float64).eps:
        tried = flat + length * step
        if flat_areas(gradients, tried).min() > 0:
            found = energy_excess(gradients, tried)
            if found <= excess - SUFFICIENT * length * promised:
                return tried, found
        length /= 2
    raise UnwrapError(
        f"the flat panel stopped at a distortion energy of {4 + excess:.6g}: no step lowers it; "
        "mesh the panel again without thin faces"
    )
