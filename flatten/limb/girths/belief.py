"""Which girths by tape are believed, by each other, by the unit of the scan, and by what bodies are like."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from flatten.limb.girths.taping import TAPE_ERROR, WARP
from flatten.scan.scale import FACTORS

SURE = 2.0
"""Standard deviations within which 19 of 20 readings lie."""

LOUD_SCALE = 0.10
"""Share of size by which a tape may contradict a unit that is known before one of the two is doubted: twice the 5 %
that is a limit of acceptance for scans of legs [published: Farhan et al., Prosthet. Orthot. Int. 47(6), 625–632, 2023,
abstract]."""

Why = Literal["alone", "unit", "most", "body", "unit alone", "usual"]
"""Why these were believed: there was no other; they agree with the unit; they are most; bodies are like that; none
agrees with the unit, and the unit is believed; nothing tells, and they make the more usual body."""


@dataclass(frozen=True)
class Reading:
    """A girth by tape, mm, laid `at` a landmark or a height, and the `factor` that it alone asks the scan for."""

    at: str | float
    girth: float
    factor: float

    @property
    def sigma(self) -> float:
        """Standard deviation of the factor, as a share, by the reading alone."""
        return TAPE_ERROR / self.girth


@dataclass(frozen=True)
class Belief:
    """Which readings are believed, by number, in their order; all of them where none contradicts another."""

    kept: tuple[int, ...]
    why: Why
    apart: float
    """Share by which the readings that cannot both be true are apart at most; 0 where all can."""


def believed(readings: Sequence[Reading], *, unit: bool, body: Callable[[float], float]) -> Belief:
    """The readings that are believed of those that were given.

    Two cannot both be true where their factors are farther apart than SURE standard deviations of their readings and
    of what a scan's scale drifts by between two places. Then a group of readings that can all be true is believed: one
    that makes a body (`body(factor)` > 0, a likelihood) before one that makes none, then by how many agree, the unit
    that is known (`unit`) counting as one of them. Where two groups are as good, none is believed but the unit; without
    a unit, the one with the likelier body.
    """
    groups = _groups(readings)
    if len(groups) == 1:
        return Belief(tuple(range(len(readings))), "alone", 0.0)
    factors = [float(np.exp(np.mean([np.log(readings[number].factor) for number in group]))) for group in groups]
    apart = float(max(r.factor for r in readings) / min(r.factor for r in readings) - 1.0)
    by_unit = [unit and agrees_with_unit(factor) for factor in factors]
    bodies = [body(factor) if believable(factor) or not unit else 0.0 for factor in factors]
    ranks = [(by > 0.0, len(group) + of) for by, group, of in zip(bodies, groups, by_unit, strict=True)]
    best = [number for number, rank in enumerate(ranks) if rank == max(ranks)]
    doubtful = len(best) > 1 or not ranks[best[0]][0]
    if unit and doubtful and not any(by_unit[number] for number in best):
        return Belief((), "unit alone", apart)
    chosen = max(best, key=lambda number: (by_unit[number], bodies[number]))
    return Belief(groups[chosen], _why(chosen, best, groups, by_unit, bodies), apart)


def _why(
    chosen: int,
    best: Sequence[int],
    groups: Sequence[tuple[int, ...]],
    by_unit: Sequence[bool],
    bodies: Sequence[float],
) -> Why:
    if by_unit[chosen]:
        return "unit"
    if len(best) > 1:
        return "usual"
    others = [number for number in range(len(groups)) if number != chosen]
    if all(len(groups[chosen]) > len(groups[number]) for number in others):
        return "most"
    return "body" if any(bodies[number] == 0.0 for number in others) else "most"


def agrees_with_unit(factor: float) -> bool:
    """Whether a scan in a known unit may well be off by this factor."""
    return bool(abs(np.log(factor)) <= np.log(1.0 + LOUD_SCALE))


def believable(factor: float) -> bool:
    """Whether any scan in a known unit has been off by so much (FACTORS)."""
    return FACTORS[0] <= factor <= FACTORS[1]


def _groups(readings: Sequence[Reading]) -> list[tuple[int, ...]]:
    """The largest groups of readings that can all be true: runs of their sorted factors."""
    order = sorted(range(len(readings)), key=lambda number: readings[number].factor)
    runs: list[tuple[int, ...]] = []
    for first in range(len(order)):
        end = first + 1
        while end < len(order) and all(_agree(readings[order[end]], readings[n]) for n in order[first:end]):
            end += 1
        if not runs or not set(order[first:end]) <= set(runs[-1]):
            runs.append(tuple(order[first:end]))
    return [tuple(sorted(run)) for run in runs]


def _agree(one: Reading, other: Reading) -> bool:
    spread = float(np.sqrt(one.sigma**2 + other.sigma**2 + WARP**2))
    return bool(abs(np.log(one.factor / other.factor)) <= SURE * spread)
