"""Bounds on the stretch of a flat map: each face's slack to them, and a logarithmic barrier that keeps it inside.

With D = diag(1 + stretch across, 1 + stretch along), K = diag(1 − squeeze across, 1 − squeeze along), the grain
along +y and J the Jacobian flat / worn, a face keeps to its limits in every direction exactly where both singular
values of D·J are at least 1 and both of K·J at most 1. Beyond that by the log-excess t, its four slacks
c = t + log s(D·J) and t − log s(K·J) must be positive. The barrier is −μ · (mean over the faces of Σ log c). Every
face weighs the same: weighed by its area a sliver's bound is held so weakly that it blocks the way unseen.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from flatten.mesh.gradient import Complexes, FaceGradients
from flatten.mesh.surface import Floats
from flatten.unwrap.dirichlet import FaceModes, distortion_at, face_modes
from flatten.unwrap.model import Limits, UnwrapError
from flatten.unwrap.system import MeshSystem


@dataclass(frozen=True)
class Bound:
    """A bound on the map scaled by (x, y): `sign` +1 on its least singular value, −1 on its greatest."""

    sign: int
    x: float
    y: float

    @property
    def isotropic(self) -> bool:
        """Whether the bound is the same along and across the grain."""
        return self.x == self.y

    def scaled(self, flat: Complexes) -> Complexes:
        """The map or its derivative (…) with x and y scaled."""
        return self.x * flat.real + 1j * (self.y * flat.imag)

    def derivatives(self, f_z: Complexes, f_zbar: Complexes) -> tuple[Complexes, Complexes]:
        """The derivatives of the scaled map, from those of the map."""
        if self.isotropic:
            return self.x * f_z, self.x * f_zbar
        same, other = (self.x + self.y) / 2, (self.x - self.y) / 2
        return same * f_z + other * f_zbar.conj(), same * f_zbar + other * f_z.conj()

    def modes(self, plain: FaceModes, f_z: Complexes, f_zbar: Complexes) -> FaceModes:
        """The modes of the scaled map, from those of the map and its derivatives (F,)."""
        if self.isotropic:
            return FaceModes(self.x * plain.large, self.x * plain.small, plain.phase_z, plain.phase_zbar)
        return face_modes(*self.derivatives(f_z, f_zbar))


def bounds_of(limits: Limits) -> tuple[Bound, Bound]:
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
        Bound(1, 1 + limits.stretch_across, 1 + limits.stretch_along),
        Bound(-1, 1 - limits.squeeze_across, 1 - limits.squeeze_along),
    )


@dataclass(frozen=True, eq=False)
class Problem:
    """A mesh and its bounds: `turn` (V,) is the gradient of what must stay 0 so that the map does not turn.

    `turns` is whether it could: a map that is its own mirror image about a line cannot, and then `turn` is that of what
    must stay 0 so that the map does not shift.
    """

    gradients: FaceGradients
    system: MeshSystem
    bounds: tuple[Bound, Bound]
    turn: Complexes
    turns: bool = True

    @property
    def weight(self) -> float:
        """Weight of one face's barrier."""
        return 1 / len(self.gradients.share)


def slacks(problem: Problem, flat: Complexes, excess: float) -> Floats:
    """Slack (2,2,F) to each bound: by bound, large and small singular value, face; all positive inside.

    A flipped face counts as −∞.
    """
    return slacks_at(problem.bounds, *problem.gradients.derivatives(flat), excess)


def slacks_at(bounds: tuple[Bound, Bound], f_z: Complexes, f_zbar: Complexes, excess: float) -> Floats:
    """The same from the map's derivatives (F,)."""
    out = np.empty((2, 2, len(f_z)))
    plain = _logs(f_z, f_zbar) if any(bound.isotropic for bound in bounds) else None
    for bound, row in zip(bounds, out, strict=True):
        if bound.isotropic:
            row[:] = excess + bound.sign * (np.log(bound.x) + plain)
        else:
            row[:] = excess + bound.sign * _logs(*bound.derivatives(f_z, f_zbar))
        row[1, np.isinf(row[1])] = -np.inf
    return out


def _logs(f_z: Complexes, f_zbar: Complexes) -> Floats:
    """Logarithms (2,F) of the large and the small singular value; −∞ where a face is flipped."""
    size_z, size_zbar = np.abs(f_z), np.abs(f_zbar)
    small = size_z - size_zbar
    return np.stack([np.log(size_z + size_zbar), np.log(small, out=np.full_like(small, -np.inf), where=small > 0)])


def least_fitting_excess(problem: Problem, flat: Complexes) -> float:
    """The least log-excess that a map (V,) needs: negative where it lies inside the limits everywhere."""
    return -float(slacks(problem, flat, 0.0).min())


@dataclass(frozen=True)
class Objective:
    """What is lowered: isometry · (symmetric Dirichlet energy − 4) + excess · (log-excess) + mu · barrier.

    With `excess` 0 the log-excess is held.
    """

    mu: float
    isometry: float = 0.0
    excess: float = 0.0


def merit(problem: Problem, flat: Complexes, excess: float, objective: Objective) -> float:
    """The objective's value at a map (V,) and a log-excess; infinite outside the bounds."""
    return merit_at(problem, *problem.gradients.derivatives(flat), excess, objective)


def merit_at(problem: Problem, f_z: Complexes, f_zbar: Complexes, excess: float, objective: Objective) -> float:
    """The same from the map's derivatives (F,)."""
    slack = slacks_at(problem.bounds, f_z, f_zbar, excess)
    if not slack.min() > 0:
        return float("inf")
    energy = objective.isometry * distortion_at(problem.gradients.share, f_z, f_zbar) if objective.isometry else 0.0
    barrier = -problem.weight * float(np.sum(np.log(slack)))
    return energy + objective.excess * excess + objective.mu * barrier
