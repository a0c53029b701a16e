"""Newton steps on a flat map that is held inside bounds on its stretch by a logarithmic barrier.

With D = diag(1 + stretch across, 1 + stretch along), K = diag(1 − squeeze across, 1 − squeeze along), the grain
along +y and J the Jacobian flat / worn, a face keeps to its limits in every direction exactly where both singular
values of D·J are at least 1 and both of K·J at most 1. Beyond that by the log-excess t, its four clearances
c = t + log s(D·J) and t − log s(K·J) must be positive. The barrier is −μ · (mean over the faces of Σ log c). Every
face weighs the same: weighed by its area a sliver's bound is held so weakly that it blocks the way unseen.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from flatten.mesh.gradient import Complexes, FaceGradients
from flatten.mesh.surface import Floats
from flatten.unwrap.dirichlet import (
    FLIP_MARGIN,
    SUFFICIENT,
    FaceModes,
    energy_excess,
    face_modes,
    flip_curvature,
    flip_free_step,
    gradient_of,
    hold,
)
from flatten.unwrap.model import Limits, UnwrapError
from flatten.unwrap.system import Factor, MeshSystem, element_entries

BOUNDARY = 0.9
"""Share of a clearance that one step may use up, by its linear forecast and then in truth: a face that stands all but
at its bound makes every later step short."""

SHORTEST = 1e-8
"""Share of a step below which no step is taken: its change then drowns in rounding."""

NEAR_EQUAL = 1e-6
"""Relative difference of two singular values below which a difference quotient is taken as the derivative."""


@dataclass(frozen=True)
class Side:
    """One bound: `sign` +1 for the least singular value of the map scaled by (x, y), −1 for the greatest."""

    sign: int
    x: float
    y: float

    def scaled(self, flat: Complexes) -> Complexes:
        """The map or its derivative (…) with x and y scaled."""
        return self.x * flat.real + 1j * (self.y * flat.imag)


def sides_of(limits: Limits) -> tuple[Side, Side]:
    """The bounds of stretch and of squeeze that a leather's limits set, its grain along +y.

    Raises UnwrapError where a squeeze is not less than 1 or a stretch and its squeeze leave no room between them.
    """
    for way in ("along", "across"):
        stretch, squeeze = getattr(limits, f"stretch_{way}"), getattr(limits, f"squeeze_{way}")
        if not (squeeze < 1 and 1 + stretch > 1 - squeeze and np.isfinite(stretch)):
            raise UnwrapError(
                f"limits of stretch {stretch:g} and squeeze {squeeze:g} {way} the grain leave no room; "
                "give shares such as 0.05 and 0.03"
            )
    return (
        Side(1, 1 + limits.stretch_across, 1 + limits.stretch_along),
        Side(-1, 1 - limits.squeeze_across, 1 - limits.squeeze_along),
    )


@dataclass(frozen=True, eq=False)
class Problem:
    """A mesh with its limits: `turn` (V,) is the gradient of what must stay 0 so that the map does not turn."""

    gradients: FaceGradients
    system: MeshSystem
    sides: tuple[Side, Side]
    turn: Complexes

    @property
    def weight(self) -> float:
        """Weight of one face's barrier."""
        return 1 / len(self.gradients.share)


def clearances(problem: Problem, flat: Complexes, excess: float) -> Floats:
    """Clearance (2,2,F) of each bound: by side, large and small singular value, face; all positive inside.

    A flipped face counts as −∞.
    """
    out = np.empty((2, 2, len(problem.gradients.share)))
    for side, row in zip(problem.sides, out, strict=True):
        p, q = problem.gradients.parts(side.scaled(flat))
        turning, flipping = np.abs(p), np.abs(q)
        small = turning - flipping
        row[0] = excess + side.sign * np.log(turning + flipping)
        row[1] = excess + side.sign * np.log(small, out=np.full_like(small, -np.inf), where=small > 0)
        row[1, small <= 0] = -np.inf
    return out


def least_fitting_excess(problem: Problem, flat: Complexes) -> float:
    """The least log-excess that a map (V,) needs: negative where it lies inside the limits everywhere."""
    return -float(clearances(problem, flat, 0.0).min())


@dataclass(frozen=True)
class Aim:
    """What is lowered: isometry · (symmetric Dirichlet energy − 4) + excess · (log-excess) + mu · barrier.

    With `excess` 0 the log-excess is held.
    """

    mu: float
    isometry: float = 0.0
    excess: float = 0.0


@dataclass(frozen=True, eq=False)
class Step:
    """A Newton step of map (V,) and excess, its forecast change (2,2,F) of the clearances and promised decrease."""

    flat: Complexes
    excess: float
    clear: Floats
    promised: float


def _slopes(values: Floats, sign: int, modes: FaceModes) -> tuple[Floats, Floats]:
    """Derivatives by the large and the small singular value, of clearances weighted by `values` (2,F)."""
    return sign * values[0] / modes.large, sign * values[1] / modes.small


def _flip_quotient(value: float, clear: Floats, side: Side, modes: FaceModes) -> Floats:
    """Difference quotient of the barrier's derivative between a face's two singular values."""
    large, small = -side.sign * value / clear[0] / modes.large, -side.sign * value / clear[1] / modes.small
    apart = modes.large - modes.small
    equal = apart <= NEAR_EQUAL * modes.large
    limit = value * (1 / clear[0] ** 2 + side.sign / clear[0]) / modes.large**2
    return np.where(equal, limit, np.divide(large - small, apart, out=np.zeros_like(apart), where=~equal))


@dataclass(frozen=True, eq=False)
class Local:
    """The merit near a map: its slope (V,), clearances (2,2,F) and factorised Hessian.

    `column` (V,) is the Hessian's column of the excess, `scaled` the modes of the map as each side sees it.
    """

    slope: Complexes
    column: Complexes
    factor: Factor
    clear: Floats
    scaled: list[FaceModes]


def newton_step(problem: Problem, flat: Complexes, excess: float, aim: Aim) -> Step:
    """The step from a map (V,) and an excess inside the bounds towards less of the aim's merit."""
    near = local(problem, flat, excess, aim)
    solved = near.factor.solve(np.stack([-near.slope, near.column, problem.turn], axis=1))
    force = aim.mu * problem.weight
    stiff = force * float(np.sum(1 / near.clear**2))
    slope_excess = aim.excess - force * float(np.sum(1 / near.clear))
    moved, change = _bordered(solved, near.column, problem.turn, stiff, slope_excess, free=aim.excess > 0)
    promised = -float(np.sum((near.slope.conj() * moved).real)) - slope_excess * change
    return Step(moved, change, forecast(problem, near.scaled, moved, change), promised)


def local(problem: Problem, flat: Complexes, excess: float, aim: Aim) -> Local:
    """The aim's merit near a map (V,) and an excess inside the bounds.

    The Hessian keeps the Gauss–Newton part of each bound, and of the curvature what is not negative: exact for
    limits that are equal along and across, else but for the twist, which is taken in the unscaled map.
    """
    gradients, share, weight = problem.gradients, problem.gradients.share, problem.weight
    clear = clearances(problem, flat, excess)
    plain = face_modes(gradients, flat)
    first, second = plain.vectors(gradients, 0), plain.vectors(gradients, 1)
    large, small = plain.large, plain.small
    by_large, by_small = aim.isometry * share * 2 * (large - large**-3), aim.isometry * share * 2 * (small - small**-3)
    slope = gradient_of(gradients, plain, by_large, by_small)
    column = np.zeros_like(slope)
    twist = (by_large + by_small) / (large + small)
    modes = []
    if aim.isometry:
        stretch = [aim.isometry * share * (2 + 6 * value**-4) for value in (large, small)]
        weights = [*stretch, aim.isometry * flip_curvature(share, plain)]
        modes += [(each, first[i], second[i]) for each, i in zip(weights, (0, 1, 3), strict=True)]
    scaled = [face_modes(gradients, side.scaled(flat)) for side in problem.sides]
    for side, own, room in zip(problem.sides, scaled, clear, strict=True):
        pressure, stiffness = aim.mu * weight / room, aim.mu * weight / room**2
        outward = _slopes(-pressure, side.sign, own)
        slope += side.scaled(gradient_of(gradients, own, *outward))
        column += side.scaled(gradient_of(gradients, own, *_slopes(stiffness, side.sign, own)))
        curved = (stiffness + max(side.sign, 0) * pressure) / np.stack([own.large, own.small]) ** 2
        weights = [*curved, _flip_quotient(aim.mu * weight, room, side, own)]
        ends = [[side.scaled(vector) for vector in own.vectors(gradients, corner)] for corner in (0, 1)]
        modes += [(each, ends[0][i], ends[1][i]) for each, i in zip(weights, (0, 1, 3), strict=True)]
        twist = twist + side.x * side.y * sum(outward) / (own.large + own.small)
    modes.append((np.maximum(twist, 0.0), first[2], second[2]))
    sums = problem.system.sums(element_entries(modes))
    hold(problem.system, sums, flat)
    return Local(slope, column, problem.system.factor(sums), clear, scaled)


def forecast(problem: Problem, scaled: list[FaceModes], flat: Complexes, change: float) -> Floats:
    """Linear change (2,2,F) of the clearances under a displacement (V,) and a change of the excess."""
    out = np.empty((2, 2, len(problem.gradients.share)))
    for row, side, own in zip(out, problem.sides, scaled, strict=True):
        dp, dq = problem.gradients.parts(side.scaled(flat))
        turning, flipping = (own.turn.conj() * dp).real, (own.flip.conj() * dq).real
        row[0] = change + side.sign * (turning + flipping) / own.large
        row[1] = change + side.sign * (turning - flipping) / own.small
    return out


def _bordered(
    solved: Complexes, column: Complexes, turn: Complexes, stiff: float, slope: float, *, free: bool
) -> tuple[Complexes, float]:
    """Block elimination of the excess and of the condition that the map does not turn."""

    def dot(a: Complexes, b: Complexes) -> float:
        return float(np.sum((a.conj() * b).real))

    straight, by_excess, by_turn = solved.T
    if not free:
        return straight - by_turn * (dot(turn, straight) / dot(turn, by_turn)), 0.0
    matrix = np.array(
        [
            [stiff - dot(column, by_excess), -dot(column, by_turn)],
            [-dot(turn, by_excess), -dot(turn, by_turn)],
        ]
    )
    change, force = np.linalg.solve(matrix, [-slope - dot(column, straight), -dot(turn, straight)])
    return straight - change * by_excess - force * by_turn, float(change)


def merit(problem: Problem, flat: Complexes, excess: float, aim: Aim) -> float:
    """The value that a step must lower; infinite outside the bounds."""
    clear = clearances(problem, flat, excess)
    if not clear.min() > 0:
        return float("inf")
    energy = aim.isometry * energy_excess(problem.gradients, flat) if aim.isometry else 0.0
    walls = -problem.weight * float(np.sum(np.log(clear)))
    return energy + aim.excess * excess + aim.mu * walls


def take(problem: Problem, flat: Complexes, excess: float, step: Step, aim: Aim) -> tuple[Complexes, float, float]:
    """Map and excess after as much of `step` as lowers the merit enough, and that share; 0 where nothing does."""
    clear = clearances(problem, flat, excess)
    closing = float(np.max(-step.clear / clear))
    length = min(1.0, FLIP_MARGIN * flip_free_step(problem.gradients, flat, step.flat))
    if closing > 0:
        length = min(length, BOUNDARY / closing)
    now = merit(problem, flat, excess, aim)
    while length > SHORTEST:
        moved, changed = flat + length * step.flat, excess + length * step.excess
        if np.all(clearances(problem, moved, changed) >= (1 - BOUNDARY) * clear):
            found = merit(problem, moved, changed, aim)
            if found <= now - SUFFICIENT * length * step.promised:
                return moved, changed, length
        length /= 2
    return flat, excess, 0.0
