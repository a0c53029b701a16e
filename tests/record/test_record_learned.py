"""What is learned over several jobs, against scipy, closed forms, and many made-up makers whose bias is known."""

import numpy as np
import pytest
from scipy import stats

from flatten.record.learned import FEWEST, LearnError, learned_from

BALANCED = [[0.010, 0.012, 0.011], [0.016, 0.013, 0.015], [0.008, 0.012, 0.009], [0.014, 0.015, 0.016]]
UNEVEN = [[0.010, 0.012], [0.016], [0.008, 0.012, 0.009, 0.013], [0.014, 0.015, 0.016]]


def makers(seed, *, bias=0.012, job=0.005, ring=0.004, number=400):
    """Made-up makers: 3 to 8 jobs each, 2 to 5 rings a job, drawn from the random model."""
    chance = np.random.default_rng(seed)
    for _ in range(number):
        jobs = chance.integers(3, 9)
        yield [bias + chance.normal(0, job) + chance.normal(0, ring, chance.integers(2, 6)) for _ in range(jobs)]


@pytest.mark.parametrize("jobs", [BALANCED, UNEVEN])
def test_the_interval_is_students_about_the_jobs_means(jobs):
    found = learned_from(jobs)
    means = [np.mean(job) for job in jobs]
    low, high = stats.ttest_1samp(means, 0.0).confidence_interval(0.95)
    assert (found.bias, found.low, found.high) == pytest.approx((np.mean(means), low, high), rel=1e-12)
    assert found.jobs == 4
    assert found.rings == sum(map(len, jobs))


@pytest.mark.parametrize("jobs", [BALANCED, UNEVEN])
def test_the_variances_are_those_of_the_one_way_analysis(jobs):
    """F = MS between / MS within, and MS between = within + n0 · between."""
    found = learned_from(jobs)
    sizes = np.array([len(job) for job in jobs])
    usual = (sizes.sum() - (sizes**2).sum() / sizes.sum()) / (len(jobs) - 1)
    ratio = stats.f_oneway(*jobs).statistic
    assert (found.ring**2 + usual * found.job**2) / found.ring**2 == pytest.approx(ratio, rel=1e-9)
    pooled = np.average([np.var(job, ddof=1) for job in jobs if len(job) > 1], weights=[n - 1 for n in sizes if n > 1])
    assert found.ring**2 == pytest.approx(pooled, rel=1e-12)


def test_where_rings_explain_all_of_it_nothing_is_left_from_job_to_job():
    assert learned_from([[-0.01, 0.01], [0.009, -0.009], [0.011, -0.012]]).job == 0.0


def covered(seeds, number):
    hit = [
        found.low <= 0.012 <= found.high for seed in seeds for found in map(learned_from, makers(seed, number=number))
    ]
    return np.mean(hit), np.sqrt(0.95 * 0.05 / len(hit))


def test_the_interval_covers_a_known_bias_as_often_as_it_says():
    """By chance the share is off by a standard deviation of 1.1 %; three of them are allowed."""
    share, sigma = covered([1], 400)
    assert abs(share - 0.95) < 3 * sigma


@pytest.mark.full
def test_the_interval_covers_a_known_bias_of_many_makers():
    share, sigma = covered(range(10), 1000)
    assert abs(share - 0.95) < 3 * sigma + 0.005


def test_rings_of_one_job_do_not_make_it_surer():
    """Ten readings of what one day's leather did are still one day's leather."""
    few, many = learned_from(UNEVEN), learned_from([list(np.repeat(np.mean(job), 10)) for job in UNEVEN])
    assert (many.low, many.high) == pytest.approx((few.low, few.high))


def test_what_is_drawn_with_the_correction_comes_out_as_wanted():
    found = learned_from(BALANCED)
    assert (1 + found.correction) * (1 + found.bias) == pytest.approx(1.0, abs=1e-15)
    assert found.correction < 0.0 < found.bias


@pytest.mark.parametrize(
    ("jobs", "judged"),
    [
        ([], "none"),
        ([[0.012, 0.013]], "few"),
        ([[0.012], [0.012]], "few"),
        ([[0.012], [0.011], [0.013]], "clear"),
        ([[-0.012], [-0.011], [-0.013]], "clear"),
        ([[0.012], [-0.011], [0.013]], "unclear"),
        ([[0.0], [0.0], [0.0]], "unclear"),
        # Of ten jobs the mean is surely above 0, and the next one is as likely to be off by it as not.
        ([[0.029], [-0.001]] * 5, "scattered"),
    ],
)
def test_a_correction_is_offered_only_from_enough_jobs_that_agree(jobs, judged):
    assert learned_from(jobs).judged == judged


def test_how_many_jobs_are_needed_is_where_the_interval_first_leaves_0():
    found = learned_from([[0.004], [0.012], [0.014]])
    assert found.judged == "unclear"
    spread = [stats.t.ppf(0.975, n - 1) * found.scatter / np.sqrt(n) for n in (found.needed - 1, found.needed)]
    assert spread[0] >= found.bias > spread[1]
    assert learned_from([]).needed == learned_from([[0.01]]).needed == FEWEST
    assert learned_from([[0.01], [-0.02], [0.012]]).needed is None


def test_a_job_without_rings_and_a_share_that_is_none_are_refused():
    with pytest.raises(LearnError, match="without a ring"):
        learned_from([[0.01], []])
    with pytest.raises(LearnError, match="finite"):
        learned_from([[0.01, float("nan")]])
