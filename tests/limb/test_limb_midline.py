"""The middle line of tubes with a formula: place, direction, girth, which end is the body's, holes, and too little."""

from dataclasses import replace

import numpy as np
import pytest
from bent_tubes import Tube, bump, turned

from flatten.limb.anatomy.midline import Midline, midline_of
from flatten.limb.model import LimbError


def calf(along, bearings):
    return 38 + 0.02 * along + 14 * bump(along, 180.0, 60.0)


STRAIGHT = Tube(calf)
BENT = Tube(calf, bend=np.radians(50.0))


@pytest.mark.parametrize("tube", [STRAIGHT, BENT, replace(BENT, bend=np.radians(-25.0))])
def test_the_line_runs_through_the_middles_whatever_the_bend(tube):
    line = midline_of(tube.points())
    along = np.arange(60.0, 400.0, 20.0)
    truth = tube.line(along)[0]
    at = line.nearest(truth)
    off = np.array([line.place(each) for each in at]) - truth
    # Smoothed by 18 mm a line leaves a bend of 50° within 40 mm, radius 46 mm, by 18²/2/46 = 3.5 mm.
    assert np.linalg.norm(off, axis=1).max() < 4.0
    assert np.all(np.diff(at) > 0)
    steps = np.linalg.norm(np.diff(line.places, axis=0), axis=1)
    np.testing.assert_allclose(steps, np.diff(line.along), rtol=1e-9)


def test_girths_and_outlines_of_a_straight_tube_are_those_of_its_circles():
    line = midline_of(STRAIGHT.points())
    heights = line.places[:, 2]
    among = line.within(80.0, 400.0)
    radii = calf(heights[among], None)
    # Medians over sections of 4 mm and a 36-gon: half a percent.
    np.testing.assert_allclose(line.girths[among], 2 * np.pi * radii, rtol=0.006)
    middles = line.outlines()[among].mean(axis=1) - line.places[among]
    assert np.abs(middles).max() < 1.0
    np.testing.assert_allclose(line.radii[among].mean(axis=1), radii, rtol=0.006)
    assert line.radius(200.0) == pytest.approx(line.girth(200.0) / 2 / np.pi)


def test_directions_turn_by_the_bend():
    line = midline_of(BENT.points())
    low, high = line.nearest(BENT.line(np.array([200.0, 390.0]))[0])
    bend = np.degrees(np.arccos(line.direction(low - 60, low) @ line.direction(high - 20, high)))
    assert bend == pytest.approx(50.0, abs=3.0)
    np.testing.assert_allclose(line.direction(low), [0, 0, 1], atol=0.03)


def test_sections_stand_square_to_the_line_and_turn_no_more_than_it():
    line = midline_of(turned(BENT.points(), 3))
    for units in (line.rows, line.columns):
        np.testing.assert_allclose(np.einsum("ij,ij->i", units, line.directions), 0.0, atol=1e-9)
    np.testing.assert_allclose(np.cross(line.rows, line.columns), line.directions, atol=1e-9)
    # Parallel transport: the row's change lies along the direction alone.
    change = np.diff(line.rows, axis=0)
    assert np.abs(np.einsum("ij,ij->i", change, line.columns[1:])).max() < 2e-3
    away = line.outlines() - line.places[:, None]
    np.testing.assert_allclose(np.einsum("kij,kj->ki", away, line.directions), 0.0, atol=1e-9)
    np.testing.assert_allclose(np.linalg.norm(away, axis=2), line.radii)


def test_reach_is_the_radius_in_the_direction_that_is_asked_for():
    front = Tube(lambda along, bearings: 40 + 6 * np.cos(bearings))
    line = midline_of(front.points())
    among = line.within(80.0, 400.0)
    # About the centroid, 6 mm in front of the formula's line, the curve r = 40 + 6 cos b reaches 40 to both sides.
    assert np.mean(line.reach(np.array([1.0, 0, 0]))[among]) == pytest.approx(40.0, abs=0.8)
    flat = Tube(lambda along, bearings: 40 + 6 * np.cos(2 * bearings))
    line = midline_of(flat.points())
    across = [np.mean(line.reach(np.array(way))[among]) for way in ((1.0, 0, 0), (0, 1.0, 0), (0, -1.0, 0.2))]
    np.testing.assert_allclose(across, [46.0, 34.0, 34.0], atol=0.5)


@pytest.mark.parametrize("scale", [0.5, 1.0, 1.3])
@pytest.mark.parametrize("seed", range(3))
def test_the_line_runs_to_the_open_end_of_a_limb_in_any_pose(seed, scale):
    fist = Tube(lambda along, bearings: 34 + 0.004 * along + 9 * bump(along, 0.0, 30.0), length=400.0, bend=0.6)
    line = midline_of(turned(scale * fist.points(), seed))
    assert line.opened == (False, True)
    rounder = line.radii.mean(axis=1)
    assert rounder[line.along < 50 * scale].max() > rounder[line.within(150 * scale, 1000)].max() + 2 * scale


def test_what_is_much_thicker_at_one_end_has_the_body_there_though_it_is_open_at_the_other():
    flap = Tube(lambda along, bearings: 45 - 0.05 * along)
    line = midline_of(flap.points())
    assert line.opened == (True, False)
    assert line.girths[-20] > line.girths[20] * 1.1


def test_where_both_ends_are_open_the_thicker_is_the_bodys():
    cone = Tube(lambda along, bearings: 35 + 0.05 * along, closed=False)
    for points in (cone.points(), cone.points()[:, [0, 2, 1]] * [1, -1, 1]):
        line = midline_of(points)
        assert line.opened == (True, True)
        assert line.girths[-20] > line.girths[20] * 1.1


def test_holes_are_bridged():
    points = BENT.points()
    hole = BENT.skin(np.array([150.0]), np.array([2.0]))[0]
    line = midline_of(points[np.linalg.norm(points - hole, axis=1) > 35.0])
    whole = midline_of(points)
    assert line.along[-1] == pytest.approx(whole.along[-1], abs=8.0)
    middles = np.array([line.place(at) for at in line.nearest(BENT.line(np.arange(100.0, 220.0, 10))[0])])
    assert np.linalg.norm(middles - BENT.line(np.arange(100.0, 220.0, 10))[0], axis=1).max() < 5.0
    at = int(np.argmin(np.abs(line.along - line.nearest(hole[None])[0])))
    assert line.seen[at] < 0.9
    assert line.radii[at].min() > 0.8 * line.radii[at].max()


def test_the_trusted_stretch_ends_inside_a_ragged_rim():
    points = STRAIGHT.points()
    ragged = points[points[:, 2] < 380.0 + 40 * np.cos(np.arctan2(points[:, 1], points[:, 0]))]
    line = midline_of(ragged)
    assert line.place(line.trusted[1])[2] < 340.0
    assert line.seen[line.within(0.0, 1000.0)].min() > 0.9


@pytest.mark.parametrize("times", [2, 12])
def test_points_that_lie_in_one_place_do_not_part_the_line(times):
    """Of 12 all neighbours that a point is linked to lie in its own place, at no distance."""
    points = STRAIGHT.points(6000)
    some = np.arange(0, len(points), 50)
    again, once = midline_of(np.concatenate([points, *[points[some]] * (times - 1)])), midline_of(points)
    assert again.along[-1] == pytest.approx(once.along[-1], abs=8.0)
    assert again.trusted == pytest.approx(once.trusted, abs=8.0)


def test_arrays_are_frozen():
    line = midline_of(STRAIGHT.points())
    assert isinstance(line, Midline)
    with pytest.raises(ValueError, match="read-only"):
        line.girths[0] = 1.0


def test_what_is_no_limb_is_refused():
    with pytest.raises(LimbError, match="check the scan's unit"):
        midline_of(0.05 * STRAIGHT.points())
    half = STRAIGHT.points()
    with pytest.raises(LimbError, match="from all sides"):
        midline_of(half[half[:, 0] > 15.0])
