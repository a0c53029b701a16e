"""Thighs and upper arms with formulas: their height 0 by kneecap and crease, and where they spread into the trunk."""

import numpy as np
import pytest
from limb_shapes import points_of

from flatten.limb.anatomy.proximal import KNEECAP_RADII, RUN, SPREAD, STEP, estimate_proximal_axis, zero_height
from flatten.limb.kind import THIGH, UPPER_ARM, kind_named
from flatten.limb.model import LimbError
from flatten.words.say import text
from tests.limbs import limb_of


def in_front(b):
    """1 at the front, falling off over half a radian."""
    return np.exp(-((np.mod(b + np.pi, 2 * np.pi) - np.pi) ** 2) / 0.25)


def thigh(*, fall, slope, top=80.0):
    """A cone with a kneecap that ends at `top`: there the front falls back by `fall` against the cone."""
    return limb_of(lambda h, b: 52.0 + slope * h + in_front(b) * 32.0 * fall / (1 + np.exp((h - top) / 8.0)), nodes=211)


def upper_arm(*, hollow, at=12.0):
    """A tube with a hollow in front, `hollow` mm deep."""
    return limb_of(lambda h, b: 42.0 - in_front(b) * hollow * np.exp(-(((h - at) / 15.0) ** 2)), low=-60.0, nodes=231)


@pytest.mark.parametrize("slope", [0.0, 0.12])
def test_the_kneecap_s_top_is_where_the_front_falls_back_fastest_however_the_thigh_widens(slope):
    height, findings = zero_height(thigh(fall=0.12, slope=slope), kind=THIGH, shown=True)
    assert height == pytest.approx(80.0, abs=STEP)
    assert findings == ()


def test_a_thigh_that_hardly_shows_its_kneecap_is_told_where_it_is_taken():
    skin = thigh(fall=0.03, slope=0.05)
    height, (found,) = zero_height(skin, kind=THIGH, shown=True)
    assert height == pytest.approx(KNEECAP_RADII * float(skin.radius(np.zeros(1), np.zeros(1))[0]))
    assert f"hardly shows the kneecap: its top is taken {height:.0f} mm above the narrowest place of the knee" in text(
        found
    )


def test_the_crease_of_the_elbow_is_where_its_hollow_is_deepest():
    assert zero_height(upper_arm(hollow=3.0), kind=UPPER_ARM, shown=True) == (pytest.approx(12.0, abs=STEP), ())
    height, (found,) = zero_height(upper_arm(hollow=0.5), kind=UPPER_ARM, shown=True)
    assert height == 0.0
    assert "hardly shows the hollow of its elbow: its crease is taken at the narrowest place of the elbow" in text(
        found
    )


@pytest.mark.parametrize(
    ("kind", "skin", "joint"),
    [("thigh", thigh(fall=0.0, slope=0.1), "knee"), ("upper arm", upper_arm(hollow=0.0), "elbow")],
)
def test_without_joint_and_without_its_shape_no_height_can_be_told(kind, skin, joint):
    with pytest.raises(LimbError, match=f"the scan ends at the {joint} and does not show it"):
        zero_height(skin, kind=kind_named(kind), shown=False)


@pytest.mark.parametrize("slope", [0.3, 0.9])
def test_a_limb_is_followed_until_it_spreads_faster_than_a_limb_does(slope):
    """It widens by `slope` from 350 mm on; the slabs are 10 mm tall, and three of them tell it."""
    points = points_of(lambda h, b: 45.0 + 0.05 * h + (slope - 0.05) * np.clip(h - 350.0, 0.0, None), length=450.0)
    estimate = estimate_proximal_axis(points[:, [2, 0, 1]], kind=THIGH)
    followed = estimate.profile.heights[estimate.top] - estimate.profile.heights[estimate.waist]
    reach = 10.0 * RUN
    # So much of the reach must lie beyond 350 mm for the mean slope over it to be SPREAD.
    end = 350.0 - reach + (SPREAD - 0.05) / (slope - 0.05) * reach if slope > SPREAD else 450.0
    assert followed == pytest.approx(end, abs=15.0)
