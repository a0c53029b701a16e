"""The mean of two limbs."""

from dataclasses import replace

import numpy as np
import pytest

from flatten.limb.kind import LOWER_LEG
from flatten.limb.model import Frame, Landmark, Limb, LimbError
from flatten.limb.surface.model import Bridge
from flatten.worn.mean import mean_of
from flatten.worn.neutral import through
from tests.limbs import calf, cone, cylinder, limb_of

FRAME = Frame(np.zeros(3), np.eye(3))


def leg(side="left", *, knee=350.0, widest=240.0):
    marks = (Landmark("ankle", 0.0), Landmark("widest", widest), Landmark("knee", knee))
    return Limb(LOWER_LEG, side, FRAME, marks, "given")


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


def test_the_mean_lies_about_the_mean_of_both_centre_lines():
    one, other = cylinder(50.0), cylinder(54.0)
    # Splines reproduce a straight line, so that both lean exactly.
    heights = np.linspace(*other.trusted, 30)
    leaning = through(
        heights, np.full((30, 60), 54.0), np.column_stack([4.0 + 0.02 * heights, -0.01 * heights]), like=other
    )
    found = mean_of((leg(), one), (leg("right"), leaning)).skin
    at = np.linspace(*found.trusted, 20)
    np.testing.assert_allclose(found.centre_line(at), np.column_stack([2.0 + 0.01 * at, -0.005 * at]), atol=1e-9)


def test_the_worse_residuals_and_all_bridges_are_told():
    places = [Bridge(height, 0.0, 30.0, 1.0, 0.5) for height in (100.0, 200.0)]
    fine = replace(cylinder(50.0), rms=0.4, p99=0.2, bridged_share=0.1, bridges=(places[0],))
    rough = replace(cylinder(50.0), rms=0.1, p99=0.9, bridged_share=0.3, bridges=(places[1],))
    for pair in ((fine, rough), (rough, fine)):
        found = mean_of((leg(), pair[0]), (leg("right"), pair[1])).skin
        assert (found.rms, found.p99, found.bridged_share) == (0.4, 0.9, 0.3)
        assert set(found.bridges) == set(places)
