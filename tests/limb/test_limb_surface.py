"""A limb's surface beside points, and its widest place, where both have a formula."""

import numpy as np
import pytest
from limb_shapes import arc, calf, points_of

from flatten.limb.anatomy.landmarks import widest_height
from flatten.limb.surface.fit import fit_surface
from tests.limbs import limb_of


def test_points_are_set_beside_a_surface_about_its_own_centre():
    skin = fit_surface(points_of(calf, centre=arc), heights=(0.0, 300.0))
    heights, bearings = np.array([20.0, 120.0, 280.0]), np.array([-3.0, 0.4, 2.0])
    outward = np.column_stack([np.cos(bearings), np.sin(bearings), np.zeros(3)])
    away = np.array([1.5, -2.0, 4.0])
    found, told = skin.apart(skin.points(heights, bearings) + away[:, None] * outward)
    np.testing.assert_allclose(found, bearings, atol=1e-9)
    np.testing.assert_allclose(told, away, atol=1e-9)


@pytest.mark.parametrize("peak", [200.0, 201.0, 203.3, 204.6, 206.9])
def test_the_widest_place_is_found_wherever_it_lies_between_the_steps(peak):
    # By the vertex of a parabola, whose sections are circles.
    skin = limb_of(lambda h, b: 60.0 - ((h - peak) / 100.0) ** 2 + 0.0 * b, nodes=421)
    assert widest_height(skin, 0.0, None) == pytest.approx(peak, abs=0.05)
