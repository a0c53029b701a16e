"""By how much finished girths differ from what was drawn, from the rings of several jobs, and how sure that is."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from scipy.stats import t as student

from flatten.errors import CalfskinError

SURE = 0.95
"""How often the interval about a bias covers the true one: the usual share."""

FEWEST = 3
"""Jobs from which on a correction is offered: two have no scatter to speak of, and their interval is 12.7 standard
errors wide to either side."""

MOST_NEEDED = 30
"""Jobs beyond which nobody is told how many more it takes: a hobby maker does not make so many."""

Judged = Literal["none", "few", "unclear", "scattered", "clear"]
"""Whether a bias is known well enough to correct by it, and if not, what is in the way: no job at all; fewer than
FEWEST; an interval with 0 in it; jobs that differ from each other by more than the bias."""


class LearnError(CalfskinError, ValueError):
    """Readings that nothing can be learned from."""


@dataclass(frozen=True)
class Learned:
    """A maker's `bias`, a share of the leather's length round the limb, with its interval from `low` to `high`.

    `means` are those of each job. `scatter` is the standard deviation from job to job of those means, NaN for one job;
    of it `job` comes from the jobs themselves and `ring` (NaN where no job has two) from ring to ring within one.
    """

    means: tuple[float, ...]
    rings: int
    bias: float
    low: float
    high: float
    scatter: float
    job: float
    ring: float

    @property
    def jobs(self) -> int:
        """How many jobs it comes from."""
        return len(self.means)

    @property
    def judged(self) -> Judged:
        """Whether it is known well enough to correct by it, and if not why."""
        if self.jobs < FEWEST:
            return "few" if self.jobs else "none"
        if self.low <= 0.0 <= self.high:
            return "unclear"
        return "scattered" if self.scatter > abs(self.bias) else "clear"

    @property
    def correction(self) -> float:
        """The share by which leather is to be drawn otherwise, so that it comes out as it is wanted: 1/(1 + bias) − 1.

        What is drawn with the length L comes out with L (1 + bias).
        """
        return 1.0 / (1.0 + self.bias) - 1.0

    @property
    def needed(self) -> int | None:
        """Jobs in all by which such a bias with such a scatter would be clear, FEWEST at least; None where no number of
        them helps, or more than MOST_NEEDED would."""
        if self.jobs < FEWEST:
            return FEWEST
        if self.scatter > abs(self.bias):
            return None
        counts = range(self.jobs, MOST_NEEDED + 1)
        return next((n for n in counts if _reach(n) * self.scatter < abs(self.bias)), None)


def learned_from(jobs: Sequence[Sequence[float]]) -> Learned:
    """What is learned from the rings of each job: by how large a share each came out longer than it was drawn.

    Ring j of job i is μ + a_i + e_ij, with a_i from job to job and e_ij from ring to ring: a one-way random model
    (NIST/SEMATECH e-Handbook of Statistical Methods, 7.4.4), for rings of one job share its leather, its scan and its
    maker's day, and are no independent readings of the bias. So each job counts once, by the mean of its rings: their
    mean is unbiased whatever the numbers of rings, and Student's t with n − 1 degrees of freedom gives its interval
    (e-Handbook, 1.3.5.2). The variance within jobs is the ANOVA's mean square within; that between jobs is
    (MS between − MS within) / n0, at least 0, n0 = (N − Σ n_i² / N) / (n − 1) (Searle, Casella and McCulloch,
    Variance Components, 1992; from memory).

    Raises LearnError where a job has no ring, or a ring no finite share.
    """
    rows = [np.asarray(job, float) for job in jobs]
    if any(not row.size for row in rows):
        raise LearnError("a job without a ring tells nothing; leave it out")
    if any(not np.isfinite(row).all() for row in rows):
        raise LearnError("a ring's share is no finite number")
    means = np.array([row.mean() for row in rows])
    count, sizes = len(rows), np.array([row.size for row in rows])
    nan = float("nan")
    if not count:
        return Learned((), 0, nan, nan, nan, nan, nan, nan)
    free = int(sizes.sum()) - count
    within = sum(float(((row - row.mean()) ** 2).sum()) for row in rows) / free if free else nan
    bias = float(means.mean())
    kept = tuple(float(mean) for mean in means)
    if count == 1:
        return Learned(kept, int(sizes.sum()), bias, -np.inf, np.inf, nan, nan, float(np.sqrt(within)))
    scatter = float(means.std(ddof=1))
    reach = _reach(count) * scatter
    job = float(np.sqrt(max(0.0, _between(rows, means, within)))) if free else nan
    return Learned(
        kept, int(sizes.sum()), bias, bias - reach, bias + reach, scatter, job, float(np.sqrt(within)) if free else nan
    )


def _reach(count: int) -> float:
    """Half the interval about a mean of `count` means, as a multiple of their standard deviation."""
    return float(student.ppf(0.5 + 0.5 * SURE, count - 1) / np.sqrt(count))


def _between(rows: Sequence[np.ndarray], means: np.ndarray, within: float) -> float:
    """The variance from job to job by the ANOVA, below 0 where the rings' own explains more than there is."""
    sizes = np.array([row.size for row in rows], float)
    total, grand = sizes.sum(), float((sizes * means).sum() / sizes.sum())
    between = float((sizes * (means - grand) ** 2).sum()) / (len(rows) - 1)
    usual = (total - float((sizes**2).sum()) / total) / (len(rows) - 1)
    return (between - within) / usual
