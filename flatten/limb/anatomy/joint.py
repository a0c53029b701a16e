"""Where along a limb's line a joint is, from several signs of which each may be wrong."""

from __future__ import annotations

from dataclasses import dataclass
from functools import reduce

import numpy as np

from flatten.mesh.surface import Floats

STEP = 2.0
"""mm between the places that are weighed: a fifth of the best sigma."""

TAIL_SHARE = 0.1
"""Share of bodies whose proportions are beyond what the normal law says."""

TAIL = 3.0
"""By how many times their proportions vary more."""

RIVAL = 30.0
"""mm. Places that far apart are different answers: a joint's own length."""

RIVAL_SHARE = 0.1
"""Probability from which a second place is told beside the first."""


@dataclass(frozen=True)
class Joint:
    """A joint `along` a line, mm, its `sigma`, mm, and the `others` where else it may be, likeliest first."""

    along: float
    sigma: float
    others: tuple[float, ...]


@dataclass(frozen=True)
class Hint:
    """One reading of a sign: the joint is `at` along the line within `sigma`, mm; `weight` is against its others."""

    at: float
    sigma: float
    weight: float


@dataclass(frozen=True)
class Sign:
    """The readings of one sign, and the weight of its saying `nothing`, so that the joint may be anywhere."""

    hints: tuple[Hint, ...]
    nothing: float

    def log_density(self, along: Floats) -> Floats:
        """Logarithms (K,) of the probability per mm of places along a line, evenly over all in question."""
        parts = [
            np.log(hint.weight) - 0.5 * ((along - hint.at) / hint.sigma) ** 2 - np.log(hint.sigma * np.sqrt(2 * np.pi))
            for hint in self.hints
            if hint.weight > 0
        ]
        if self.nothing > 0:
            parts.append(np.full_like(along, np.log(self.nothing / (along[-1] - along[0]))))
        whole = self.nothing + sum(hint.weight for hint in self.hints)
        return np.asarray(np.logaddexp.reduce(parts) - np.log(whole))


def proportion(at: float, sigma: float) -> Sign:
    """The sign that a limb's proportion gives, which holds for nearly all bodies and roughly for the rest."""
    return Sign((Hint(at, sigma, 1 - TAIL_SHARE), Hint(at, TAIL * sigma, TAIL_SHARE)), 0.0)


def joined(signs: tuple[Sign, ...], *, low: float, high: float, least: float) -> Joint:
    """The joint between `low` and `high` along a line by all signs, as if independent: a product of densities.

    A sign that stands alone is outvoted by its own chance to say nothing; two places between which signs are divided
    are both told, and the sigma, that of the whole distribution about the likelier one, spans them. `least` mm is the
    floor of sigma: signs share errors that a product does not know.
    """
    along = np.arange(low, max(high, low + RIVAL), STEP)
    logs = reduce(np.add, (sign.log_density(along) for sign in signs), np.zeros_like(along))
    shares = np.exp(logs - logs.max())
    shares /= shares.sum()
    places: list[float] = []
    rest = shares.copy()
    while not places or rest.max() > 0:
        top = along[int(np.argmax(rest))]
        near = np.abs(along - top) < RIVAL
        share = float(rest[near].sum())
        if places and share < RIVAL_SHARE:
            break
        places.append(float(rest[near] @ along[near]) / share)
        rest = np.where(near, 0.0, rest)
    sigma = float(np.sqrt(shares @ (along - places[0]) ** 2))
    return Joint(places[0], max(sigma, least), tuple(places[1:]))
