"""The narrowest place of a limb above its foot or hand, from which front and joint are looked for."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from flatten.limb.anatomy.midline import Midline
from flatten.limb.anatomy.narrow import Extreme, ankle_of, wrist_of
from flatten.limb.kind import FarEnd
from flatten.mesh.surface import Floats, frozen

STRAIGHT_RADII = 4.0
"""A limb runs straight within this many of its own radii above ankle or wrist, where it is bone and sinew; the bellies
of the muscles above bend the line of the centres by 2–3°."""

LEAST: dict[FarEnd, Callable[[Midline], Extreme]] = {"foot": ankle_of, "hand": wrist_of}
"""How the narrowest place above each far end is found."""


@dataclass(frozen=True, eq=False)
class Waist:
    """The least girth above a foot or a hand: its middle `place` (3,) mm, the unit `axis` (3,) there towards the body.

    `extreme` is its place along the limb's line.
    """

    extreme: Extreme
    place: Floats
    axis: Floats

    def __post_init__(self) -> None:
        """Freeze the arrays."""
        object.__setattr__(self, "place", frozen(self.place))
        object.__setattr__(self, "axis", frozen(self.axis))

    @property
    def radius(self) -> float:
        """The radius of the circle as long as its girth, mm."""
        return self.extreme.girth / (2 * np.pi)

    @property
    def straight_to(self) -> float:
        """The place along the line up to which the limb runs straight, mm."""
        return self.extreme.along + STRAIGHT_RADII * self.radius


def waist_of(line: Midline, end: FarEnd) -> Waist:
    """The waist above a foot or a hand. Raises LimbError where the scan shows nothing above that."""
    least = LEAST[end](line)
    above = least.along + STRAIGHT_RADII * least.girth / (2 * np.pi)
    return Waist(least, line.place(least.along), line.direction(least.along, above))
