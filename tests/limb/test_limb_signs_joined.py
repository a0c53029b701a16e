"""Signs joined by their densities: means of normal laws, outliers, rivals, floors."""

import numpy as np
import pytest

from flatten.limb.anatomy.joint import Hint, Sign, joined, proportion


def normal(at, sigma, weight=1.0, nothing=0.0):
    return Sign((Hint(at, sigma, weight),), nothing)


def test_two_normal_laws_give_the_mean_weighted_by_their_precision():
    joint = joined((normal(100.0, 10.0), normal(130.0, 20.0)), low=0.0, high=300.0, least=1.0)
    assert joint.along == pytest.approx((100 / 10**2 + 130 / 20**2) / (1 / 10**2 + 1 / 20**2), abs=0.1)
    assert joint.sigma == pytest.approx((1 / 10**2 + 1 / 20**2) ** -0.5, abs=0.1)
    assert joint.others == ()


def test_a_density_is_one_over_the_whole_line():
    along = np.arange(-200.0, 600.0, 0.5)
    for sign in (normal(150.0, 20.0, 3.0, 1.0), proportion(200.0, 25.0), Sign((), 1.0)):
        assert np.exp(sign.log_density(along)).sum() * 0.5 == pytest.approx(1.0, abs=0.01)


def test_two_agreeing_signs_outvote_one_that_may_say_nothing():
    signs = (proportion(200.0, 20.0), normal(210.0, 15.0, 4.0, 1.0), normal(90.0, 15.0, 4.0, 1.0))
    joint = joined(signs, low=0.0, high=400.0, least=10.0)
    assert joint.along == pytest.approx(206.0, abs=3.0)
    assert joint.sigma < 25.0


def test_signs_that_are_divided_tell_both_places_and_a_sigma_that_spans_them():
    signs = (normal(100.0, 8.0, 1.0, 0.5), normal(200.0, 8.0, 0.9, 0.5))
    joint = joined(signs, low=0.0, high=300.0, least=10.0)
    assert joint.along == pytest.approx(100.0, abs=2.0)
    assert joint.others[0] == pytest.approx(200.0, abs=2.0)
    assert joint.sigma > 40.0


def test_no_sign_at_all_is_told_by_its_sigma():
    joint = joined((Sign((), 1.0),), low=0.0, high=300.0, least=10.0)
    # At the least that of an even law over its whole length, 300/√12.
    assert joint.sigma >= 300 / np.sqrt(12) - 1


def test_sigma_has_a_floor():
    assert joined((normal(100.0, 2.0),), low=0.0, high=300.0, least=12.0).sigma == 12.0
