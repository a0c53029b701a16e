"""Where a sheet comes to rest on the limb when some of its vertices are held: Newton steps on its energy."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

import numpy as np

from flatten.forming.errors import FormingError
from flatten.forming.sheet import Sheet, Stiffness
from flatten.mesh.surface import Flags, Floats
from flatten.unwrap.system import Factor

AT_REST = 1e-8
"""Share of the energy: where a Newton step foretells less of a decrease, the sheet is at rest. What is left of slip is
then below a hundredth of a mm."""

MOST_STEPS = 60
"""Newton steps after which a sheet counts as not coming to rest; from the foretold state it takes 3 or 4."""

SUFFICIENT = 1e-4
"""Share of the predicted decrease that a step must bring (Armijo's rule)."""

LONGEST = 5.0
"""mm that a vertex may slip in one step: a piece is not carried past a bend of the limb by one linear forecast."""

GAUGE = 1e-6
"""Share of its mean by which the diagonal is stiffened always, so that a turn of the whole that costs nothing has a
definite answer: too little to be felt in any other way of moving."""

STIFFER = 10.0
"""Factor by which it is stiffened more, each time, where the Hessian is not positive definite."""


class Holding(Protocol):
    """What acts on a sheet beside its own pull: friction, springs."""

    def energy(self, points: Floats) -> float:
        """Its energy at worn points (V,3)."""

    def slope(self, points: Floats) -> Floats:
        """Its energy's gradient (V,3) by the points."""

    def stiffness(self, points: Floats) -> Floats:
        """Its energy's second derivatives (V,3,3) by each point, positive semidefinite."""


@dataclass(frozen=True, eq=False)
class Settled:
    """A sheet at rest: `places` (V,2), the `energy` of its stretch, the Newton steps taken; `forces` (V,3) that its
    surface, and what holds it, must exert on its points; and the factorised Hessian there."""

    places: Floats
    energy: float
    steps: int
    forces: Floats
    factor: Factor


def settled(sheet: Sheet, start: Floats, *, held: Flags, holding: Holding | None = None) -> Settled:
    """The sheet at rest, from places (V,2), with the vertices that are `held` (V,) where they are.

    Raises FormingError where it does not come to rest.
    """
    places = np.array(start)
    stiffened = GAUGE
    for count in range(MOST_STEPS):
        now = Stiffness(sheet, places)
        value, slope, sums = now.energy, now.slope, now.sums
        if holding is not None:
            value, slope = _joined(sheet, now, places, holding)
        slope = np.where(held[:, None], 0.0, slope)
        sheet.system.hold(sums, held)
        factor, stiffened = _positive(sheet, sums, held, stiffened)
        step = -_solve(factor, slope)
        predicted = -float(np.sum(slope * step))
        if 0.5 * predicted <= AT_REST * value and stiffened <= GAUGE:
            return Settled(places, now.energy, count, now.forces, factor)
        moved = _moved(sheet, places, step, value, predicted, holding)
        if moved is None:
            if 0.5 * predicted <= 1e3 * AT_REST * value:
                return Settled(places, now.energy, count, now.forces, factor)
            break
        places = moved
    raise FormingError(
        f"panel '{sheet.name}' does not come to rest on the limb in {MOST_STEPS} steps; "
        "its pattern is too far from what the limb asks for"
    )


def _solve(factor: Factor, right: Floats) -> Floats:
    solved = factor.solve(right[:, 0] + 1j * right[:, 1])
    return np.stack([solved.real, solved.imag], axis=1)


def _joined(sheet: Sheet, now: Stiffness, places: Floats, holding: Holding) -> tuple[float, Floats]:
    """Energy and slope with what holds the sheet, whose stiffness is added to the sums."""
    points = sheet.points(places)
    pull = holding.slope(points)
    # The surface's bend acts on this force too; it is small, and would make the Hessian indefinite.
    stiff = np.einsum("vik,vij,vjl->vkl", now.tangents, holding.stiffness(points), now.tangents)
    for k, (i, j) in enumerate(((0, 0), (0, 1), (1, 1))):
        now.sums[k : 3 * sheet.elements.count : 3] += stiff[:, i, j]
    return now.energy + holding.energy(points), now.slope + np.einsum("vik,vi->vk", now.tangents, pull)


def _positive(sheet: Sheet, sums: Floats, held: Flags, stiffened: float) -> tuple[Factor, float]:
    """The factor of the Hessian, its diagonal stiffened by as much as makes it positive definite."""
    diagonal = sums[: 3 * sheet.elements.count].reshape(-1, 3)
    typical = float(np.mean(np.abs(diagonal[~held][:, [0, 2]])))
    more = max(stiffened / STIFFER, GAUGE)
    while True:
        tried = sums.copy()
        tried[: 3 * sheet.elements.count].reshape(-1, 3)[:, [0, 2]] += more * typical
        factor = sheet.system.factor(tried)
        if factor.least_pivot() > 0.0:
            return factor, more
        more *= STIFFER


def _moved(
    sheet: Sheet, places: Floats, step: Floats, value: float, predicted: float, holding: Holding | None
) -> Floats | None:
    length = min(1.0, LONGEST / max(float(np.hypot(*step.T).max()), LONGEST * 1e-9))
    while length > 1e-6:
        tried = places + length * step
        energy = sheet.energy(tried)
        if holding is not None:
            energy += holding.energy(sheet.points(tried))
        if energy <= value - SUFFICIENT * length * predicted:
            return tried
        length /= 2
    return None
