"""The lines of plates on the limb."""

from types import SimpleNamespace

import numpy as np
import pytest

from cli.page.plate import plate_lines
from flatten.job.plates import PlateSettings
from tests.limbs import cylinder

LIMB = cylinder(60.0)
TOP, BOTTOM = (SimpleNamespace(height=lambda b, h=h: h + 10.0 * np.cos(b)) for h in (300.0, 50.0))


def lines(**settings):
    found = plate_lines(LIMB, PlateSettings(name="shin plate", **settings), top=TOP, bottom=BOTTOM)
    assert {line["name"] for line in found} == {"shin plate"}
    return [np.array(line["points"]) for line in found]


def test_a_region_is_drawn_once_round_on_the_limb():
    (line,) = lines(around=[-30, 30], heights=["120 mm", "200 mm"])
    np.testing.assert_allclose(np.hypot(line[:, 0], line[:, 1]), 60.0, atol=0.01)
    assert np.degrees(np.arctan2(line[:, 1], line[:, 0])).min() == pytest.approx(-30.0, abs=0.01)
    assert set(line[:, 2]) == {120.0, 200.0}
    np.testing.assert_array_equal(line[0], line[-1])


def test_a_region_past_the_back_goes_the_way_that_bearings_rise():
    (line,) = lines(around=["outside", "inside"], heights=["120 mm", "200 mm"])
    assert line[:, 0].max() < 0.01
    assert line[:, 0].min() == pytest.approx(-60.0, abs=0.01)


def test_a_plate_as_large_as_the_leather_keeps_its_inset_from_both_edges():
    below, above = lines(inset="10 mm")
    bearings = np.arctan2(below[:, 1], below[:, 0])
    np.testing.assert_allclose(below[:, 2], BOTTOM.height(bearings) + 10.0, atol=0.02)
    np.testing.assert_allclose(above[:, 2], TOP.height(bearings) - 10.0, atol=0.02)


@pytest.mark.parametrize("corners", ["smooth", "sharp"])
def test_an_outline_goes_through_its_points(corners):
    (line,) = lines(curve=[[350, "100 mm"], [20, "100 mm"], [5, "180 mm"]], corners=corners)
    for degrees, height in ((-10.0, 100.0), (20.0, 100.0), (5.0, 180.0)):
        at = [60.0 * np.cos(np.radians(degrees)), 60.0 * np.sin(np.radians(degrees)), height]
        assert np.linalg.norm(line - at, axis=1).min() < 1.0
    assert line[:, 0].min() > 50.0
