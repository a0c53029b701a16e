"""How far strips spread: published factors, the coverage that they promise, and outliers."""

import math

import numpy as np
import pytest
from scipy.stats import norm

from flatten.leather.spread import grubbs_critical, outlier_of, spread_of, tolerance_factor


# The worked example of the NIST/SEMATECH e-Handbook, section 7.2.6.3 (43 wafers, 90 % covered, 99 % sure), which goes
# by an approximation: 1.8752. From memory: 6.155 and 2.355, tables of one-sided factors for 90 % covered, 95 % sure.
@pytest.mark.parametrize(
    ("count", "confidence", "factor", "within"),
    [(43, 0.99, 1.8752, 2e-3), (3, 0.95, 6.155, 5e-4), (10, 0.95, 2.355, 5e-4)],
)
def test_factors_are_those_of_tables(count, confidence, factor, within):
    assert tolerance_factor(count, covered=0.9, confidence=confidence) == pytest.approx(factor, abs=within)


@pytest.mark.parametrize("count", [2, 3, 6])
def test_the_bound_covers_nine_in_ten_in_nine_tests_of_ten(count):
    """Drawn anew 20 000 times: the share of tests whose bound leaves a tenth at most below it."""
    drawn = np.random.default_rng(7).normal(0.06, 0.01, (20_000, count))
    bound = drawn.mean(axis=1) - tolerance_factor(count) * drawn.std(axis=1, ddof=1)
    held = norm.cdf((bound - 0.06) / 0.01) <= 0.1
    # Three standard errors of a share of 0.9 among 20 000.
    assert held.mean() == pytest.approx(0.9, abs=3 * math.sqrt(0.09 / 20_000))


# Harvey, Analytical Chemistry 2.1 (LibreTexts), appendix 7: critical values of Grubbs's test, two-sided, 0.05.
@pytest.mark.parametrize(("count", "critical"), [(3, 1.155), (4, 1.481), (5, 1.715), (8, 2.126), (10, 2.290)])
def test_outliers_are_judged_by_the_published_values(count, critical):
    assert grubbs_critical(count) == pytest.approx(critical, abs=1e-3)


def test_an_outlier_is_named_and_not_dropped():
    # Tietjen and Moore's eight readings of a uranium isotope, as in the NIST/SEMATECH e-Handbook, 1.3.5.17.1: the last.
    readings = [199.31, 199.53, 200.19, 200.82, 201.92, 201.95, 202.18, 245.57]
    assert outlier_of(readings) == 7
    assert outlier_of(readings[:7]) is None
    assert outlier_of([1.0, 1.0, 1.0]) is None
    assert outlier_of([1.0, 9.0]) is None
    assert spread_of(readings).greatest == 245.57


def test_a_spread_is_that_of_the_sample():
    found = spread_of([0.05, 0.06, 0.07])
    assert (found.count, found.least, found.greatest) == (3, 0.05, 0.07)
    assert (found.mean, found.deviation) == (pytest.approx(0.06), pytest.approx(0.01))
    assert found.bound == pytest.approx(0.06 - 4.258 * 0.01, abs=1e-5)
    assert spread_of([0.05]).bound is None
    # Two strips that read the same are no surer than the ruler.
    assert spread_of([0.05, 0.05], resolved=0.004).bound == pytest.approx(0.05 - tolerance_factor(2) * 0.004)
