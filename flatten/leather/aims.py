"""What is sought among the lines of a flat panel: those that grow or shrink most, against what their leather takes."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from flatten.mesh.surface import Floats
from flatten.unwrap.model import Limits


@dataclass(frozen=True)
class Aim:
    """The line that grows most (`sign` +1) or shrinks most (−1), beside a growth of |diag(along, across)·d|.

    d is a line's direction in the grain's frame, a unit vector.
    """

    sign: int
    along: float = 1.0
    across: float = 1.0

    @property
    def alike(self) -> Aim:
        """The aim that the same line is the worst for, and that allows a growth of 1 across the grain."""
        return Aim(self.sign, self.along / self.across)

    def allowed(self, steps: Floats) -> Floats:
        """The length (…) that flat steps (…,2) in the grain's frame, mm, would have with the growth aimed at."""
        return np.hypot(self.along * steps[..., 0], self.across * steps[..., 1])


MOST, LEAST = Aim(1), Aim(-1)
"""The line that grows most and the one that shrinks most, whatever its direction."""


def limit_aims(limits: Limits) -> tuple[Aim, Aim]:
    """The line furthest beyond the limits of stretch, and the one furthest beyond those of squeeze.

    The limit in a direction d is |Dd|, or |Kd| from below, as `log_excess` has them and as the solver keeps them.
    """
    return (
        Aim(1, 1.0 + limits.stretch_along, 1.0 + limits.stretch_across),
        Aim(-1, 1.0 - limits.squeeze_along, 1.0 - limits.squeeze_across),
    )


@dataclass(frozen=True)
class Line:
    """A line of the flat leather: its growth (worn / flat length), and the face that its middle lies on.

    `beyond` is the logarithm by which it exceeds what its aim allows (<= 0: within).
    """

    growth: float
    beyond: float
    face: int

    def against(self, aim: Aim) -> Line:
        """The same line, sought as `aim.alike`, held against what the aim itself allows."""
        return Line(self.growth, self.beyond - aim.sign * float(np.log(aim.across)), self.face)


Found = dict[Aim, Line]
"""The worst line for each aim; empty where the panel has no line."""


def found_for(aims: Iterable[Aim], alike: Found) -> Found:
    """The worst line for each aim, from those of the aims that they are alike to."""
    return {aim: alike[aim.alike].against(aim) for aim in aims if aim.alike in alike}
