"""How far strips of one leather differ, and what so few of them can promise of the rest of the hide."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.stats import nct, norm, t

COVERED = 0.9
"""Share of a hide's places that a bound is told for: nine in ten."""

CONFIDENCE = 0.9
"""How often such a bound holds, over many strip tests."""

OUTLYING = 0.05
"""How often strips without an outlier are told to have one."""


@dataclass(frozen=True)
class Spread:
    """How far one figure of `count` strips spreads: shares of the first length.

    `deviation` is the sample's standard deviation and `bound` what COVERED of such strips reach at least, held with
    CONFIDENCE, if such strips are normally distributed: it may be below 0, where so few strips promise nothing. Both
    None for one strip.
    """

    count: int
    mean: float
    least: float
    greatest: float
    deviation: float | None
    bound: float | None


def spread_of(values: Sequence[float], *, resolved: float = 0.0) -> Spread:
    """The spread of the values of one strip or more.

    `resolved` is the standard deviation that reading them adds: strips that seem to agree better than they can be read
    are bounded by that.
    """
    count, mean = len(values), math.fsum(values) / len(values)
    deviation = bound = None
    if count > 1:
        deviation = float(np.std(values, ddof=1))
        bound = mean - tolerance_factor(count) * max(deviation, resolved)
    return Spread(count, mean, min(values), max(values), deviation, bound)


def tolerance_factor(count: int, *, covered: float = COVERED, confidence: float = CONFIDENCE) -> float:
    """By how many sample deviations a one-sided bound lies off the mean of `count` values, two at least.

    A share `covered` of a normal distribution lies on its side of the bound, with a `confidence`:
    t'(confidence; n − 1, z √n) / √n, of the noncentral t distribution. [published: NIST/SEMATECH e-Handbook of
    Statistical Methods, section 7.2.6.3]
    """
    root = math.sqrt(count)
    return float(nct.ppf(confidence, count - 1, float(norm.ppf(covered)) * root) / root)


def outlier_of(values: Sequence[float]) -> int | None:
    """The number of the value that is apart from the others, None where none is, or where there are fewer than three.

    Grubbs' two-sided test at the level OUTLYING. [published: NIST/SEMATECH e-Handbook, section 1.3.5.17.1]
    """
    count = len(values)
    if count < 3 or min(values) == max(values):
        return None
    off, deviation = np.abs(np.asarray(values) - math.fsum(values) / count), float(np.std(values, ddof=1))
    furthest = int(np.argmax(off))
    return furthest if off[furthest] / deviation > grubbs_critical(count) else None


def grubbs_critical(count: int, *, level: float = OUTLYING) -> float:
    """The distance from the mean, in sample deviations, that the furthest of `count` values, three at least, exceeds
    with the probability `level`."""
    square = float(t.ppf(1.0 - level / (2 * count), count - 2)) ** 2
    return (count - 1) / math.sqrt(count) * math.sqrt(square / (count - 2 + square))
