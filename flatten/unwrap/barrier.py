"""Primal-dual Newton steps on a flat map that a logarithmic barrier keeps inside bounds on its stretch.

Each bound has a slack c and a multiplier λ of its own; at the barrier's centre their complementarity λ·c is μ/faces.
The Hessian takes λ/c for the stiffness that the barrier alone would give as μ/c²: after μ has fallen that is what the
bound will be like, and not what it was. Correctors then aim at what complementarity the step would really leave.
What is bounded, the log-excess that all bounds share, and the order of the arrays are told in `bounds`.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from flatten.mesh.gradient import Complexes
from flatten.mesh.surface import Floats
from flatten.unwrap.bounds import Bound, Objective, Problem, merit_at, slacks_at
from flatten.unwrap.dirichlet import (
    FLIP_MARGIN,
    SUFFICIENT,
    FaceModes,
    face_modes,
    first_flip,
    flip_curvature,
    slope_by_values,
)
from flatten.unwrap.system import Factor, Mode, element_entries

TO_BOUNDARY = 0.99
"""Share of the way to the boundary, where a slack or a multiplier is 0, that one step may go."""

SHORTEST_STEP = 1e-8
"""Share of a step below which no step is taken: its change then drowns in rounding."""

MERIT_ROUNDING = 1e-6
"""Share of the barrier's weight to which merits are compared: at a centre no step lowers one by more, and rounding
would cut short what is taken whole."""

CORRECTORS = 2
"""Most correctors computed with the same factor: more bring fewer steps but no less time."""

ENLARGED = 0.3
"""How much farther than it may go a step is looked at for its corrector, as a share of the whole step."""

CORRECTOR_GAIN = 1.1
"""A corrected step is taken where its maximum step is this many times that of the one before."""

CENTRALITY = 10.0
"""Complementarity within this factor of its target is left alone by a corrector, and beyond it asks for no more."""

MULTIPLIER_RANGE = 1e4
"""A multiplier is kept within this factor of what the barrier alone would give it, or it would be forgotten there."""

NEAR_EQUAL = 1e-6
"""Relative difference of two singular values below which a difference quotient is taken as the derivative."""


@dataclass(frozen=True, eq=False)
class LocalModel:
    """The merit near a map: its slope (V,), slacks and multipliers (2,2,F), and factorised Hessian.

    `objective_slope` (V,) is the slope without the barrier, `column` (V,) the Hessian's column of the excess, `modes`
    those of the map as each bound scales it.
    """

    slope: Complexes
    objective_slope: Complexes
    column: Complexes
    factor: Factor
    slack: Floats
    multiplier: Floats
    modes: list[FaceModes]


def local_model(
    problem: Problem, flat: Complexes, excess: float, objective: Objective, multiplier: Floats | None = None
) -> LocalModel:
    """The merit near a map (V,) and an excess inside the bounds; without multipliers (2,2,F), the barrier's own."""
    gradients, share = problem.gradients, problem.gradients.share
    f_z, f_zbar = gradients.derivatives(flat)
    slack = slacks_at(problem.bounds, f_z, f_zbar, excess)
    barrier = objective.mu * problem.weight / slack
    if multiplier is None:
        multiplier = barrier
    plain = face_modes(f_z, f_zbar)
    modes = [bound.modes(plain, f_z, f_zbar) for bound in problem.bounds]
    weight = 2 * objective.isometry * share
    objective_slope = slope_by_values(
        gradients, plain, *(weight * (value - value**-3) for value in (plain.large, plain.small))
    )
    sums = problem.system.sums(_hessian(problem, objective, plain, modes, slack, multiplier))
    problem.system.fix_gauge(sums, flat)
    return LocalModel(
        slope=objective_slope - _slack_slope(problem, modes, barrier),
        objective_slope=objective_slope,
        column=_slack_slope(problem, modes, multiplier / slack),
        factor=problem.system.factor(sums),
        slack=slack,
        multiplier=multiplier,
        modes=modes,
    )


def _hessian(
    problem: Problem,
    objective: Objective,
    plain: FaceModes,
    scaled: list[FaceModes],
    slack: Floats,
    multiplier: Floats,
) -> Floats:
    """The merit's Hessian as the entries (21,F) of its faces' matrices.

    It keeps the Gauss–Newton part of each bound, and of the curvature what is not negative: exact for limits that are
    equal along and across, else but for the twist, which is taken in the unscaled map.
    """
    gradients = problem.gradients
    large, small, weight = plain.large, plain.small, objective.isometry * gradients.share
    twist = 2 * weight * (large - large**-3 + small - small**-3) / (large + small)
    own = np.stack([2 + 6 * large**-4, 2 + 6 * small**-4, flip_curvature(plain)]) * weight
    first, second = plain.vectors(gradients, 0), plain.vectors(gradients, 1)
    entries: list[Mode] = []
    for bound, modes, room, held in zip(problem.bounds, scaled, slack, multiplier, strict=True):
        curved = (held / room + max(bound.sign, 0) * held) / np.stack([modes.large, modes.small]) ** 2
        weights = np.concatenate([curved, [_flip_quotient(held, room, bound, modes)]])
        outward = -bound.sign * (held[0] / modes.large + held[1] / modes.small)
        twist = twist + bound.x * bound.y * outward / (modes.large + modes.small)
        if bound.isotropic:
            own = own + bound.x**2 * weights
        else:
            one, other = (modes.vectors(gradients, corner) for corner in (0, 1))
            pairs = (one.large, other.large), (one.small, other.small), (one.flip, other.flip)
            entries += [(w, bound.scaled(a), bound.scaled(b)) for w, (a, b) in zip(weights, pairs, strict=True)]
    pairs = (first.large, second.large), (first.small, second.small), (first.flip, second.flip)
    entries += [(each, a, b) for each, (a, b) in zip(own, pairs, strict=True)]
    entries.append((np.maximum(twist, 0.0), first.twist, second.twist))
    return element_entries(entries)


def _flip_quotient(multiplier: Floats, slack: Floats, bound: Bound, modes: FaceModes) -> Floats:
    """Difference quotient of the barrier's derivative between a face's two singular values, multipliers (2,F)."""
    difference = modes.large - modes.small
    equal = difference <= NEAR_EQUAL * modes.large
    quotient = np.divide(np.log(modes.large / modes.small), difference, out=1 / modes.large, where=~equal)
    stiffness = np.sqrt(multiplier[0] * multiplier[1] / (slack[0] * slack[1]))
    return stiffness * quotient / modes.large + max(bound.sign, 0) * multiplier[1] / (modes.large * modes.small)


def _slack_slope(problem: Problem, scaled: list[FaceModes], weights: Floats) -> Complexes:
    """Gradient (V,) of the sum of the slacks, each times its entry of `weights` (2,2,F)."""
    sum_z, sum_zbar = np.zeros((2, len(problem.gradients.share)), dtype=np.complex128)
    for bound, modes, weight in zip(problem.bounds, scaled, weights, strict=True):
        by_large, by_small = bound.sign * weight[0] / modes.large, bound.sign * weight[1] / modes.small
        # Scaling is symmetric: what takes a map's derivatives to the scaled map's takes slopes the other way.
        by_z, by_zbar = bound.derivatives(
            0.5 * (by_large + by_small) * modes.phase_z, 0.5 * (by_large - by_small) * modes.phase_zbar
        )
        sum_z += by_z
        sum_zbar += by_zbar
    hats = problem.gradients.hats
    return problem.gradients.vertex_sums(sum_z * hats + sum_zbar * hats.conj())


def slack_change(problem: Problem, scaled: list[FaceModes], step: Complexes, excess: float) -> Floats:
    """Linear change (2,2,F) of the slacks under a step (V,) of the map and a change of the excess."""
    return _slack_change(problem.bounds, scaled, *problem.gradients.derivatives(step), excess)


def _slack_change(
    bounds: tuple[Bound, Bound], scaled: list[FaceModes], step_z: Complexes, step_zbar: Complexes, excess: float
) -> Floats:
    out = np.empty((2, 2, len(step_z)))
    for row, bound, modes in zip(out, bounds, scaled, strict=True):
        by_z, by_zbar = bound.derivatives(step_z, step_zbar)
        along_z, along_zbar = (modes.phase_z.conj() * by_z).real, (modes.phase_zbar.conj() * by_zbar).real
        row[0] = excess + bound.sign * (along_z + along_zbar) / modes.large
        row[1] = excess + bound.sign * (along_z - along_zbar) / modes.small
    return out


def _dot(a: Complexes, b: Complexes) -> float:
    return float(np.sum((a.conj() * b).real))


@dataclass(frozen=True, eq=False)
class _Curve:
    """A curve of maps that sets out along a Newton step, straight but for a rotation of the whole by θ radians.

    At the share s of the step the map f has become exp(iθs)·(f + s·(δ − iθ·f)), with δ the Newton step; `step` (V,) is
    δ − iθ·f and `derivatives` (F,) are its own. On a straight line a face that turns by ω swells by ω²/2, more than one
    pressed against its bound has room for; along the circle none swells that turns with the whole, and only limits that
    differ by direction see it move. So θ is the mean turn of the faces, Im(δ_z/f_z) each, that leaves least of
    Σ (λ/c)·(ω − θ)²: each face weighs by the stiffness of its bounds. `excess` is the excess's change.
    """

    step: Complexes
    derivatives: tuple[Complexes, Complexes]
    rotation: float
    excess: float


@dataclass(frozen=True, eq=False)
class _Direction:
    """A Newton step: its curve of maps, and the changes (2,2,F) of multipliers and (linear) of slacks.

    `predicted_decrease` is what all of it would take off the merit by its slope. `maximum_step` is the share of it, at
    most 1, that stays inside the bounds and before the first flip, `maximum_multiplier_step` the share that keeps the
    multipliers positive.
    """

    curve: _Curve
    multiplier: Floats
    slack: Floats
    predicted_decrease: float
    maximum_step: float
    maximum_multiplier_step: float


class _NewtonSystem:
    """The Newton system at a map; kept while several right-hand sides use its factor."""

    def __init__(
        self, problem: Problem, flat: Complexes, excess: float, objective: Objective, multiplier: Floats | None
    ) -> None:
        self.problem, self.flat, self.excess, self.objective = problem, flat, excess, objective
        self.model = local_model(problem, flat, excess, objective, multiplier)
        self.derivatives = problem.gradients.derivatives(flat)
        stiffness = self.model.multiplier / self.model.slack
        self.target = np.broadcast_to(objective.mu * problem.weight, stiffness.shape)
        self._excess_stiffness = float(np.sum(stiffness))
        face_stiffness = np.sum(stiffness, axis=(0, 1))
        self._rotation_weight = face_stiffness / face_stiffness.sum()
        # A turn along a circle leaves the condition on turns by its square; the next step takes that back.
        self._turn_residual = _dot(problem.turn, flat)
        columns = np.stack([self.model.column, problem.turn], axis=1)
        self._by_excess, self._by_turn = self.model.factor.solve(columns).T

    def direction(self, complementarity: Floats) -> _Direction:
        """The Newton step towards multipliers whose complementarity λ·c is the given one (2,2,F)."""
        problem, model, objective = self.problem, self.model, self.objective
        target_multiplier = complementarity / model.slack
        step, change = self._bordered(target_multiplier)
        (f_z, f_zbar), (step_z, step_zbar) = self.derivatives, problem.gradients.derivatives(step)
        slack = _slack_change(problem.bounds, model.modes, step_z, step_zbar, change)
        rotation = float(np.sum(self._rotation_weight * (step_z / f_z).imag)) if problem.turns else 0.0
        derivatives = step_z - 1j * rotation * f_z, step_zbar - 1j * rotation * f_zbar
        curve = _Curve(step - 1j * rotation * self.flat, derivatives, rotation, change)
        multiplier = target_multiplier - model.multiplier / model.slack * slack - model.multiplier
        excess_slope = objective.excess - float(np.sum(self.target / model.slack))
        falling = float(np.max(-multiplier / model.multiplier))
        return _Direction(
            curve=curve,
            multiplier=multiplier,
            slack=slack,
            predicted_decrease=-_dot(model.slope, step) - excess_slope * change,
            maximum_step=self._maximum_step(curve, slack),
            maximum_multiplier_step=TO_BOUNDARY / falling if falling > TO_BOUNDARY else 1.0,
        )

    def _bordered(self, target_multiplier: Floats) -> tuple[Complexes, float]:
        """Step (V,) and change of the excess for the multipliers (2,2,F) aimed at, by block elimination.

        The map's own system is bordered by the excess, where that is free, and by the condition that it does not turn.
        """
        model, turn = self.model, self.problem.turn
        step = model.factor.solve(_slack_slope(self.problem, model.modes, target_multiplier) - model.objective_slope)
        if not self.objective.excess > 0:
            miss = _dot(turn, step) + self._turn_residual
            return step - self._by_turn * (miss / _dot(turn, self._by_turn)), 0.0
        matrix = np.array(
            [
                [self._excess_stiffness - _dot(model.column, self._by_excess), -_dot(model.column, self._by_turn)],
                [-_dot(turn, self._by_excess), -_dot(turn, self._by_turn)],
            ]
        )
        slope = self.objective.excess - float(np.sum(target_multiplier))
        right = [-slope - _dot(model.column, step), -self._turn_residual - _dot(turn, step)]
        change, torque = np.linalg.solve(matrix, right)
        return step - change * self._by_excess - torque * self._by_turn, float(change)

    def map_at(self, curve: _Curve, length: float) -> Complexes:
        """The map (V,) a share of the way along a curve."""
        return np.exp(1j * curve.rotation * length) * (self.flat + length * curve.step)

    def at(self, curve: _Curve, length: float) -> tuple[Complexes, Complexes, float]:
        """Its derivatives (F,) and the excess."""
        (f_z, f_zbar), (step_z, step_zbar) = self.derivatives, curve.derivatives
        turn = np.exp(1j * curve.rotation * length)
        return turn * (f_z + length * step_z), turn * (f_zbar + length * step_zbar), self.excess + length * curve.excess

    def _maximum_step(self, curve: _Curve, change: Floats) -> float:
        """The share that leaves (1 − TO_BOUNDARY) of each slack, whose slope is `change` (2,2,F).

        Each slack is all but a quadratic along the curve.
        """
        before = self.model.slack
        length = min(1.0, FLIP_MARGIN * first_flip(*self.derivatives, *curve.derivatives))
        while length > SHORTEST_STEP:
            tried = slacks_at(self.problem.bounds, *self.at(curve, length))
            # Only those that are passed are worth a closer look: few, where the slacks are many.
            passed = tried < (1 - TO_BOUNDARY) * before
            if not passed.any():
                return length
            at, start, slope = tried[passed], before[passed], change[passed]
            bend = (at - start - length * slope) / length**2
            length = min(0.95 * length, 0.999 * _first_root(bend, slope, TO_BOUNDARY * start))
        return 0.0

    def corrected(self, direction: _Direction, complementarity: Floats) -> Floats:
        """The complementarity (2,2,F) to aim at so that what the direction would really leave is less uneven.

        Gondzio 1996, "Multiple centrality corrections in a primal-dual method for linear programming", sec. 3, with
        the true slacks, so that it makes up for their curvature too.
        """
        goal = self.target[0, 0, 0]
        step = min(1.0, direction.maximum_step + ENLARGED)
        multiplier_step = min(1.0, direction.maximum_multiplier_step + ENLARGED)
        slack = slacks_at(self.problem.bounds, *self.at(direction.curve, step))
        slack = np.where(np.isfinite(slack), slack, (1 - step) * self.model.slack)
        left = slack * (self.model.multiplier + multiplier_step * direction.multiplier)
        term = np.clip(left, goal / CENTRALITY, CENTRALITY * goal) - left
        return complementarity + np.maximum(term, -CENTRALITY * goal)


def _first_root(square: Floats, linear: Floats, constant: Floats) -> float:
    """The least positive root of any constant + linear·x + square·x², the constants positive; infinite without one."""
    root = np.sqrt(np.maximum(linear * linear - 4 * square * constant, 0.0))
    below = np.where((linear * linear >= 4 * square * constant) & (root > linear), root - linear, 0.0)
    return float(np.min(np.divide(2 * constant, below, out=np.full_like(constant, np.inf), where=below > 0)))


@dataclass(frozen=True, eq=False)
class Iterate:
    """Map (V,), excess and multipliers (2,2,F) after a step, and the share of it taken (0: none lowers the merit).

    `predicted_decrease` is that of the step without correctors, `gap` the sum of the complementarities: where the
    multipliers are in balance no map inside the bounds is better by more (of maps near this one).
    """

    flat: Complexes
    excess: float
    multiplier: Floats
    length: float
    predicted_decrease: float
    gap: float


def newton_step(
    problem: Problem, flat: Complexes, excess: float, objective: Objective, multiplier: Floats | None
) -> Iterate:
    """One step from a map (V,) and an excess inside the bounds, with multipliers (2,2,F), towards less of the merit."""
    system = _NewtonSystem(problem, flat, excess, objective, multiplier)
    model, complementarity = system.model, system.target
    direction = system.direction(complementarity)
    predicted = direction.predicted_decrease
    for _ in range(CORRECTORS):
        if direction.maximum_step > TO_BOUNDARY / CORRECTOR_GAIN:
            break
        complementarity = system.corrected(direction, complementarity)
        corrected = system.direction(complementarity)
        if corrected.maximum_step < CORRECTOR_GAIN * direction.maximum_step or corrected.predicted_decrease <= 0:
            break
        direction = corrected
    now, length = merit_at(problem, *system.derivatives, excess, objective), direction.maximum_step
    while length > SHORTEST_STEP:
        f_z, f_zbar, changed = system.at(direction.curve, length)
        enough = now - SUFFICIENT * length * direction.predicted_decrease + MERIT_ROUNDING * objective.mu
        if merit_at(problem, f_z, f_zbar, changed, objective) <= enough:
            break
        length /= 2
    else:
        return Iterate(flat, excess, model.multiplier, 0.0, predicted, float(np.sum(model.multiplier * model.slack)))
    slack = slacks_at(problem.bounds, f_z, f_zbar, changed)
    barrier = objective.mu * problem.weight / slack
    moved = model.multiplier + direction.maximum_multiplier_step * direction.multiplier
    held = np.clip(moved, barrier / MULTIPLIER_RANGE, barrier * MULTIPLIER_RANGE)
    gap = float(np.sum(held * slack))
    return Iterate(system.map_at(direction.curve, length), changed, held, length, predicted, gap)
