"""What is free of a flat panel, and how near a curve comes to its boundaries."""

from dataclasses import replace

import numpy as np
import pytest

from flatten.pattern.ground import Ground, within
from flatten.pattern.model import PatternError
from tests.flat_panels import opened_frustum

RADIUS, HEIGHT, GAP = 60.0, 200.0, 25.0
HALF = np.pi * RADIUS - 0.5 * GAP
"""mm. Half of the flat width of a tube with a lacing gap."""


@pytest.fixture(scope="module")
def tube():
    flat = opened_frustum(bottom=RADIUS, top=RADIUS + 1e-6, height=HEIGHT, gap=GAP)
    # Bottom edge, high side, top edge, low side: the sides have holes whose rims reach 12.5 mm inside.
    return Ground(flat, 3.2, 0, (0.0, 12.5, 0.0, 12.5), "base")


def chart(*places):
    """Chart points of places (x along the girth, height)."""
    return np.array([[height, x / RADIUS] for x, height in places])


def test_a_bearing_is_worth_the_radius(tube):
    assert tube.radius == pytest.approx(RADIUS, abs=1e-3)
    assert tube.turned(2 * np.pi + 0.1) == pytest.approx(-2 * np.pi)
    assert tube.turned(-3.0) == 0.0


def test_what_is_free_keeps_the_inset_from_edges_and_from_the_rims_of_holes(tube):
    free = tube.free(8.0)
    np.testing.assert_allclose(free.bounds, (20.5 - HALF, 8.0, HALF - 20.5, HEIGHT - 8.0), atol=0.05)
    assert free.area == pytest.approx(2 * (HALF - 20.5) * (HEIGHT - 16.0), rel=1e-3)
    assert tube.free(120.0).is_empty
    assert within(free, (-30.0, 50.0, 30.0, 90.0)).area == pytest.approx(60.0 * 40.0)


@pytest.mark.parametrize(
    ("place", "boundary", "away", "spare"),
    [
        ((0.0, 30.0), 0, 30.0, 22.0),
        ((0.0, 195.0), 2, 5.0, -3.0),
        ((HALF - 15.0, 100.0), 1, 15.0, -5.5),
        ((30.0 - HALF, 100.0), 3, 30.0, 9.5),
        ((0.0, 207.0), 2, -7.0, -15.0),
        ((HALF + 4.0, 100.0), 1, -4.0, -24.5),
    ],
)
def test_a_place_is_told_by_the_boundary_that_it_comes_too_near_or_lies_beyond(tube, place, boundary, away, spare):
    found = tube.nearest(chart((0.0, 100.0), place), 8.0)
    assert found.boundary == boundary
    assert (found.away, found.spare) == pytest.approx((away, spare), abs=0.1)
    assert (found.height, found.bearing * RADIUS) == pytest.approx(place[::-1])


def test_leather_that_lies_over_itself_has_no_free_place_and_says_so(tube):
    uv = np.array(tube.flat.uv)
    rim = tube.panel.boundaries[1].vertices
    uv[rim[[10, 30]]] = uv[rim[[30, 10]]]
    crossed = replace(tube, flat=replace(tube.flat, uv=uv))
    with pytest.raises(PatternError, match="lies over itself when flat"):
        crossed.free(8.0)
