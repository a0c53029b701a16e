"""What mock-ups are made of: how thick, where it keeps its length in a bend, and what it gives."""

from __future__ import annotations

from dataclasses import dataclass

from flatten.leather.model import LeatherLimits
from flatten.unwrap.model import Limits


@dataclass(frozen=True)
class Material:
    """A sheet for a mock-up: its usual `thickness` (mm), the share `neutral` of it inside its neutral surface, and what
    it `gives` either way before it no longer closes or throws folds, as a share of its length."""

    name: str
    thickness: float
    neutral: float
    gives: float

    @property
    def limits(self) -> LeatherLimits:
        """What it gives, as limits: the same dry as wet, and both ways of its sheet."""
        limits = Limits(self.gives, self.gives, self.gives, self.gives, self.name)
        return LeatherLimits(dry=limits, cased=limits, in_force=limits)


MATERIALS = {
    material.name: material
    for material in (
        # Paper of 80 to 160 g is 0.1 to 0.2 mm thick and hardly gives. Felt, foam and cloth give a little; cloth on the
        # slant more. All from memory: opinions.
        Material("paper", 0.2, 0.5, 0.005),
        Material("felt", 3.0, 0.5, 0.03),
        Material("foam", 5.0, 0.5, 0.04),
        Material("cloth", 0.5, 0.5, 0.02),
    )
}
"""Every material that a mock-up can be made of, by the name in a job file."""
