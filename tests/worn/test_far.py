"""A foot or hand seen from its joint: distances by slice and step, and what is bridged between them."""

import numpy as np
import pytest

from flatten.worn.far import ASIDE, BRIDGED, LEAST_REACH, ROUND, far_of

STEPS = round(2 * np.pi / ROUND)
BELOW = -np.pi + (np.arange(STEPS // 2) + 0.5) * ROUND
"""rad. The middles of the steps round the joint that lie beyond it."""


def away(angle, aside):
    """Distance of an invented foot from its joint's axis: longer ahead, wider in each slice aside."""
    return 90.0 + 20.0 * np.cos(angle) + aside


def seen(angles):
    """The part beyond a joint from points at the angles (n,) in three slices, ten of each."""
    a, y = (grid.repeat(10) for grid in np.meshgrid(angles, [1.0, 7.0, 13.0]))
    return far_of(away(a, y) * np.cos(a), y, -away(a, y) * np.sin(a))


def test_a_place_is_as_far_as_the_point_that_lies_there_and_between_two_as_their_mean():
    far = seen(BELOW)
    # The last step's other neighbour, on the way back over the joint, is not seen.
    angles = BELOW[:-1]
    np.testing.assert_allclose(far.distance(np.full(len(angles), 8.0), angles), away(angles, 7.0), rtol=1e-12)
    between = angles + 0.5 * ROUND
    mean = 0.5 * (away(BELOW[:-1], 13.0) + away(BELOW[1:], 13.0))
    np.testing.assert_allclose(far.distance(np.full(len(between), 14.0), between), mean, rtol=1e-12)
    # A turn more is the same place.
    again = far.distance(np.full(len(angles), 8.0), angles + 2 * np.pi)
    np.testing.assert_allclose(again, away(angles, 7.0), rtol=1e-9)


def test_nothing_is_seen_beside_the_slices_and_before_the_joint():
    far = seen(BELOW)
    assert far.distance(np.array([0.9, 1.0 + 3 * ASIDE, 8.0]), np.array([-1.5, -1.5, 1.5])).tolist() == [0, 0, 0]


@pytest.mark.parametrize("steps", [BRIDGED, BRIDGED + 1])
def test_a_small_hole_is_bridged_straight_across_and_a_large_one_is_none_of_the_foot(steps):
    hole = slice(20, 20 + steps)
    far = seen(np.delete(BELOW, hole))
    found = far.distance(np.full(steps, 8.0), BELOW[hole])
    across = np.linspace(away(BELOW[19], 7.0), away(BELOW[20 + steps], 7.0), steps + 2)[1:-1]
    np.testing.assert_allclose(found, across if steps == BRIDGED else 0.0, rtol=1e-12)


def test_what_reaches_too_little_or_has_too_few_points_is_no_foot():
    short = np.linspace(0.0, LEAST_REACH - 1.0, 400)
    assert far_of(np.zeros(400), np.zeros(400), short + 0.5) is None
    assert far_of(np.zeros(400), np.zeros(400), -10.0 * short) is None
    assert far_of(np.zeros(100), np.zeros(100), np.linspace(1.0, 200.0, 100)) is None
    assert far_of(np.zeros(400), np.zeros(400), short + 2.0) is not None
