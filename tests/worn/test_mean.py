"""The mean of two limbs."""

from dataclasses import replace

import numpy as np
import pytest

from flatten.limb.model import Frame, Landmark, Limb, LimbError
from flatten.worn.mean import mean_of
from tests.limbs import calf, cone, cylinder, limb_of

FRAME = Frame(np.zeros(3), np.eye(3))


def leg(side="left", *, knee=350.0, widest=240.0):
    marks = (Landmark("ankle", 0.0), Landmark("widest", widest), Landmark("knee", knee))
    return Limb("lower leg", side, FRAME, marks, "given")


def test_the_mean_of_two_cones_is_the_cone_between_them():
    found = mean_of((leg(), cone(40.0, 0.10)), (leg("right", knee=360.0), cone(44.0, 0.12)))
    heights, bearings = np.linspace(0.0, 380.0, 50), np.linspace(-3.0, 3.0, 50)
    np.testing.assert_allclose(found.skin.radius(heights, bearings), 42.0 + 0.11 * heights, atol=1e-9)
    assert found.limb.height_of("knee") == 355.0
    assert found.limb.side == "left"
    # The cones part upwards: 4 mm + 0.02 · 400 mm at the upper end.
    assert found.apart == pytest.approx(12.0, abs=1e-6)
    assert found.height == pytest.approx(400.0)
    assert found.widest == pytest.approx((2 * np.pi * 64.0, 2 * np.pi * 72.8), abs=0.02)


def test_a_limb_and_itself_have_that_limb_for_their_mean():
    skin = limb_of(calf)
    found = mean_of((leg(), skin), (leg("right"), skin))
    heights, bearings = np.linspace(0.0, 380.0, 40), np.linspace(0.0, 6.0, 40)
    # Two splines over nodes of 5 mm on a bump of 35 mm half-width: (5/35)^4/384 of 4 mm.
    np.testing.assert_allclose(found.skin.radius(heights, bearings), skin.radius(heights, bearings), atol=1e-2)
    assert found.apart == 0.0


def test_the_order_of_the_two_changes_only_whose_frame_it_is():
    one, other = cone(40.0, 0.10), limb_of(calf)
    first, second = mean_of((leg(), one), (leg("right"), other)), mean_of((leg("right"), other), (leg(), one))
    np.testing.assert_allclose(first.skin.radii, second.skin.radii, atol=1e-12)
    assert (first.limb.side, second.limb.side) == ("left", "right")
    assert first.widest == second.widest[::-1]


def test_only_what_both_scans_show_has_a_mean():
    found = mean_of((leg(), cylinder(50.0, low=20.0)), (leg("right"), cylinder(54.0, high=330.0)))
    assert found.skin.trusted == (20.0, 330.0)
    with pytest.raises(LimbError, match="only 100 mm of the lower leg in common"):
        mean_of((leg(), cylinder(50.0, low=230.0)), (leg("right"), cylinder(54.0, high=330.0)))


def test_the_worse_residuals_are_told():
    fine, rough = replace(cylinder(50.0), p99=0.2), replace(cylinder(50.0), p99=0.9)
    assert mean_of((leg(), fine), (leg("right"), rough)).skin.p99 == 0.9
