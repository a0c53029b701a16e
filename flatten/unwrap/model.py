"""What flattening needs and what it gives: bounds on the stretch, and the flat panel."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from flatten.errors import CalfskinError
from flatten.mesh.surface import Floats, frozen
from flatten.worn.panel import Panel


class UnwrapError(CalfskinError, ArithmeticError):
    """A panel cannot be flattened: it is no disk, it folds, or the solver does not converge."""


@dataclass(frozen=True)
class Limits:
    """What a leather takes, as shares of the flat length, along and across the grain.

    Stretch 0.05 lets a length grow to 1.05 of its flat length, squeeze 0.03 lets it shrink to 0.97.
    `source` says where the numbers come from: a preset's name, "strip test" or "given".
    """

    stretch_along: float
    stretch_across: float
    squeeze_along: float
    squeeze_across: float
    source: str


@dataclass(frozen=True)
class Attainable:
    """The least that any map of a panel needs: log-excess over the limits (<= 0: fits) and spread; NaN: not known."""

    excess: float
    spread: float

    def at_most(self, found: Attainable) -> Attainable:
        """This, but nowhere more than what was `found` to be possible; what is not known stays so."""
        return Attainable(float(np.minimum(self.excess, found.excess)), float(np.minimum(self.spread, found.spread)))


UNSOUGHT = Attainable(float("nan"), float("nan"))
"""Nothing is known of what can be reached, and it need not be found out where the limits can be kept to."""


@dataclass(frozen=True, eq=False)
class FlatPanel:
    """A panel laid flat: `uv` (V,2) mm, x growing with bearing, y towards the body, no face flipped.

    `grain_angle` (radians, counter-clockwise from +x) is the grain's direction in uv.
    `energy` is the area mean of s1² + s2² + 1/s1² + 1/s2² (4: no distortion); `steps` the Newton steps taken.
    `converged`: the last predicted decrease towards the most isometric map was less than 1e-10 of the distortion, and
    with limits the multipliers of all bounds are in balance at the end, so that their duality gap bounds what is left
    to gain: 0.4 % of half the spread for the least excess, 4 % of the distortion for the map that is cut (eight and
    four times that in a preview).

    `spread` is log(max stretch / min stretch) over faces.
    `spread_reachable` is what the limits solver reached when it looked at nothing else, on this mesh or on the coarser
    one that was laid flat before it, `excess` the least common log-excess over the limits (<= 0: fits), found with it;
    both are NaN without limits, and where the limits can be kept to and nobody asked. `allowed` is the log-excess that
    the map was held to: below 0 by the room that it leaves to its limits, NaN without limits.
    `halves` is not None where the boundary was held to be its own or its mate's mirror image: how far (mm) from that of
    the most isometric map it had to be moved before, at most and on average.
    `overlaps` counts the boundary segments of the flat piece beside which two layers lie, and the pairs that cross.
    """

    panel: Panel
    uv: Floats
    grain_angle: float
    energy: float
    steps: int
    converged: bool
    spread: float
    spread_reachable: float
    excess: float
    overlaps: int
    allowed: float = float("nan")
    halves: tuple[float, float] | None = None

    def __post_init__(self) -> None:
        """Freeze the array."""
        object.__setattr__(self, "uv", frozen(self.uv))

    @property
    def attainable(self) -> Attainable:
        """What any map of the panel needs at the least, as far as it was found."""
        return Attainable(self.excess, self.spread_reachable)
