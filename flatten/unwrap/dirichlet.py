"""The most isometric flat map: projected Newton steps on the symmetric Dirichlet energy, never flipping a face."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from flatten.mesh.gradient import Complexes, FaceGradients, jacobian_determinants
from flatten.mesh.surface import Floats
from flatten.unwrap.model import UnwrapError
from flatten.unwrap.place import farthest_pair
from flatten.unwrap.system import Factor, MeshSystem, element_entries

GAP = 1e-10
"""Share of the distortion energy: a step that promises to take off less has arrived. The stretch is then wrong by
about the root of GAP · energy, below 1e-6, and an outline of 300 mm by less than 1e-3 mm."""

DEVELOPED = 1e-20
"""Distortion energy (mean square of 2·(stretch − 1)) below which a map is an isometry up to rounding."""

STEPS = 300
"""Newton steps after which a map counts as not arrived; from a conformal start it takes 3 to 6, from a disc 60."""

MEMORY = 8
"""Steps that correct a used Hessian; more bring no further gain here."""

SERVICE = 3
"""Steps that a factorised Hessian serves at least; factorising costs as much as this many, or more."""

SLOW = 0.25
"""Share of the last promised decrease above which a Hessian that has served is made anew."""

MUCH = 0.8
"""A step to less than this share of the energy has gone so far that its Hessian is made anew."""

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


def face_modes(p: Complexes, q: Complexes) -> FaceModes:
    """The singular values and directions of a map with turning and stretching parts (F,), its faces not flipped."""
    turning, flipping = np.abs(p), np.abs(q)
    flip = np.divide(q, flipping, out=np.ones_like(q), where=flipping > 0)
    return FaceModes(turning + flipping, turning - flipping, p / turning, flip)


def distortion(gradients: FaceGradients, flat: Complexes) -> float:
    """Symmetric Dirichlet energy less 4: area mean of (s − 1/s)² over both singular values; needs no flipped face."""
    return distortion_at(gradients.share, *gradients.parts(flat))


def distortion_at(share: Floats, p: Complexes, q: Complexes) -> float:
    """The same from a map's turning and stretching part (F,)."""
    large, small = np.abs(p) + np.abs(q), np.abs(p) - np.abs(q)
    return float(np.sum(share * ((large - 1 / large) ** 2 + (small - 1 / small) ** 2)))


def gradient_of(gradients: FaceGradients, modes: FaceModes, large: Floats, small: Floats) -> Complexes:
    """Gradient (V,) of an energy whose derivatives by the singular values are `large` and `small` (F,)."""
    turning = 0.5 * (large + small) * modes.turn
    flipping = 0.5 * (large - small) * modes.flip
    return gradients.spread_to_vertices(turning * gradients.hats + flipping * gradients.hats.conj())


def flip_free_step(gradients: FaceGradients, flat: Complexes, step: Complexes) -> float:
    """The least length of `step` at which a face loses its area; infinite where none does."""
    return first_flip(*gradients.parts(flat), *gradients.parts(step))


def first_flip(p: Complexes, q: Complexes, dp: Complexes, dq: Complexes) -> float:
    """The same from the turning and stretching parts (F,) of map and step.

    The first positive root of each face's area, a quadratic (Smith & Schaefer 2015, "Bijective parameterization
    with free boundaries", sec. 3.3).
    """
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


def slope_of(gradients: FaceGradients, flat: Complexes) -> Complexes:
    """Gradient (V,) of the symmetric Dirichlet energy at a map."""
    modes = face_modes(*gradients.parts(flat))
    large, small, share = modes.large, modes.small, gradients.share
    return gradient_of(gradients, modes, share * 2 * (large - large**-3), share * 2 * (small - small**-3))


def newton_factor(gradients: FaceGradients, system: MeshSystem, flat: Complexes) -> Factor:
    """The factorised Hessian of the symmetric Dirichlet energy at a map, projected to be positive definite."""
    # What it takes to build the matrix is let go of before the factor, by far the largest thing of all, is made.
    return system.factor(_hessian(gradients, system, flat))


def _hessian(gradients: FaceGradients, system: MeshSystem, flat: Complexes) -> Floats:
    """The sums of the projected Hessian; only the twist can be negative: the flip's quotient is a sum of positives."""
    modes = face_modes(*gradients.parts(flat))
    large, small, share = modes.large, modes.small, gradients.share
    twist = share * 2 * np.maximum(large - large**-3 + small - small**-3, 0.0) / (large + small)
    weights = share * (2 + 6 * large**-4), share * (2 + 6 * small**-4), twist, share * flip_curvature(modes)
    first, second = modes.vectors(gradients, 0), modes.vectors(gradients, 1)
    sums = system.sums(element_entries(list(zip(weights, first, second, strict=True))))
    hold(system, sums, flat)
    return sums


def flip_curvature(modes: FaceModes) -> Floats:
    """Difference quotient (F,) of the symmetric Dirichlet energy's derivative between the two singular values."""
    large, small = modes.large, modes.small
    return 2 * (1 + (large**2 + large * small + small**2) / (large * small) ** 3)


def most_isometric(gradients: FaceGradients, system: MeshSystem, flat: Complexes) -> Arrival:
    """The map of least symmetric Dirichlet energy from a map (V,) without flipped faces.

    Each step stays short of the first flip and must lower the energy. A factorised Hessian serves for several steps,
    corrected by what the gradients have told since (limited-memory BFGS over it): that also makes up for the twist
    that the projection takes away. It is factorised anew after a step that was cut short or changed much, or when
    the promised decrease no longer falls quickly.

    Raises UnwrapError where no step length lowers the energy: rounding then hides the descent.
    """
    excess = distortion(gradients, flat)
    slope = slope_of(gradients, flat)
    factor: Factor | None = None
    memory: list[tuple[Complexes, Complexes]] = []
    before, served = np.inf, 0
    for step_count in range(STEPS):
        if factor is None:
            factor, before, served = newton_factor(gradients, system, flat), np.inf, 0
        step = -_corrected(factor, memory, slope)
        promised = -_dot(slope, step)
        if 0.5 * abs(promised) <= GAP * excess or excess <= DEVELOPED:
            return Arrival(flat, excess, step_count, True)
        moved = _descend(gradients, flat, step, excess, promised) if promised > 0 else None
        if moved is None:
            if not (served or memory):
                raise UnwrapError(
                    f"the flat panel stopped at a distortion energy of {4 + excess:.6g}: no step lowers it; "
                    "mesh the panel again without thin faces"
                )
            factor, memory = None, []
            continue
        tried, found, length = moved
        steeper = slope_of(gradients, tried)
        memory = _remembered(memory, tried - flat, steeper - slope)
        if length < 1.0 or found < MUCH * excess:
            factor, memory = None, []
        elif served >= SERVICE and promised > SLOW * before:
            factor = None
        flat, excess, slope, before, served = tried, found, steeper, promised, served + 1
    return Arrival(flat, excess, STEPS, False)


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
    gradients: FaceGradients, flat: Complexes, step: Complexes, excess: float, promised: float
) -> tuple[Complexes, float, float] | None:
    """Map, energy and share of the step after as much of it as lowers the energy enough; None where nothing does."""
    length = min(1.0, FLIP_MARGIN * flip_free_step(gradients, flat, step))
    while length > np.finfo(np.float64).eps:
        tried = flat + length * step
        if jacobian_determinants(gradients, tried).min() > 0:
            found = distortion(gradients, tried)
            if found <= excess - SUFFICIENT * length * promised:
                return tried, found, length
        length /= 2
    return None
