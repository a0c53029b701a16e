"""Friction that holds leather on the limb: a pull back to where it was laid, bounded by what presses it on."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from flatten.mesh.surface import Floats

SOFT = 0.05
"""mm over which friction grows to its whole: a tenth of what would be seen."""


@dataclass(frozen=True, eq=False)
class Friction:
    """Coulomb friction about worn points `laid` (V,3): energy Σ most · (√(|x − laid|² + SOFT²) − SOFT).

    `most` (V,), E·t·mm, is what each point can be held with at most: the coefficient times the force that presses it
    on the limb.
    """

    laid: Floats
    most: Floats

    def energy(self, points: Floats) -> float:
        """Its energy at worn points (V,3)."""
        return float(np.sum(self.most * (self._length(points) - SOFT)))

    def slope(self, points: Floats) -> Floats:
        """Its energy's gradient (V,3) by the points."""
        return (self.most / self._length(points))[:, None] * (points - self.laid)

    def stiffness(self, points: Floats) -> Floats:
        """Its energy's second derivatives (V,3,3) by each point."""
        length, away = self._length(points), points - self.laid
        ways = away / length[:, None]
        plane = np.eye(3) - ways[:, :, None] * ways[:, None, :]
        return (self.most / length)[:, None, None] * plane

    def _length(self, points: Floats) -> Floats:
        return np.sqrt(np.sum((points - self.laid) ** 2, axis=1) + SOFT**2)
