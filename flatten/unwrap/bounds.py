"""Bounds on the stretch of a flat map: how far from them each face is, and a logarithmic barrier that keeps it inside.

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
from flatten.unwrap.dirichlet import FaceModes, distortion_at, face_modes
from flatten.unwrap.model import Limits, UnwrapError
from flatten.unwrap.system import MeshSystem


@dataclass(frozen=True)
class Side:
    """One bound: `sign` +1 for the least singular value of the map scaled by (x, y), −1 for the greatest."""

    sign: int
    x: float
    y: float

    @property
    def even(self) -> bool:
        """Whether the bound is the same along and across the grain."""
        return self.x == self.y

    def scaled(self, flat: Complexes) -> Complexes:
        """The map or its derivative (…) with x and y scaled."""
        return self.x * flat.real + 1j * (self.y * flat.imag)

    def parts(self, p: Complexes, q: Complexes) -> tuple[Complexes, Complexes]:
        """The turning and the stretching part of the scaled map, from those of the map."""
        if self.even:
            return self.x * p, self.x * q
        same, other = (self.x + self.y) / 2, (self.x - self.y) / 2
        return same * p + other * q.conj(), same * q + other * p.conj()

    def seen(self, plain: FaceModes, p: Complexes, q: Complexes) -> FaceModes:
        """The modes of the scaled map, from those of the map and its parts (F,)."""
        if self.even:
            return FaceModes(self.x * plain.large, self.x * plain.small, plain.turn, plain.flip)
        return face_modes(*self.parts(p, q))


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
    return clearances_at(problem.sides, *problem.gradients.parts(flat), excess)


def clearances_at(sides: tuple[Side, Side], p: Complexes, q: Complexes, excess: float) -> Floats:
    """The same from the map's turning and stretching part (F,)."""
    out = np.empty((2, 2, len(p)))
    plain = _logs(p, q) if any(side.even for side in sides) else None
    for side, row in zip(sides, out, strict=True):
        if side.even:
            row[:] = excess + side.sign * (np.log(side.x) + plain)
        else:
            row[:] = excess + side.sign * _logs(*side.parts(p, q))
        row[1, np.isneginf(row[1]) | np.isposinf(row[1])] = -np.inf
    return out


def _logs(p: Complexes, q: Complexes) -> Floats:
    """Logarithms (2,F) of the large and the small singular value; −∞ where a face is flipped."""
    turning, flipping = np.abs(p), np.abs(q)
    small = turning - flipping
    return np.stack([np.log(turning + flipping), np.log(small, out=np.full_like(small, -np.inf), where=small > 0)])


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


def merit(problem: Problem, flat: Complexes, excess: float, aim: Aim) -> float:
    """The value that a step must lower; infinite outside the bounds."""
    return merit_at(problem, *problem.gradients.parts(flat), excess, aim)


def merit_at(problem: Problem, p: Complexes, q: Complexes, excess: float, aim: Aim) -> float:
    """The same from the map's turning and stretching part (F,)."""
    clear = clearances_at(problem.sides, p, q, excess)
    if not clear.min() > 0:
        return float("inf")
    energy = aim.isometry * distortion_at(problem.gradients.share, p, q) if aim.isometry else 0.0
    walls = -problem.weight * float(np.sum(np.log(clear)))
    return energy + aim.excess * excess + aim.mu * walls
