import numpy as np
import pytest

from flatten.pattern.model import Path
from flatten.pattern.path import along, area, beside, bounds, joined, length, moved, polyline, segment


def ring(*corners, closed=True):
    """A path from (x, y, bulge) triples."""
    spans = np.array(corners, dtype=float)
    return Path(spans[:, :2], spans[:, 2], closed)


def sector(inner, outer, angle):
    """The opened side of a frustum: two arcs about the origin, counter-clockwise from the x axis."""
    cos, sin, bulge = np.cos(angle), np.sin(angle), np.tan(angle / 4)
    return ring((inner, 0, 0), (outer, 0, bulge), (outer * cos, outer * sin, 0), (inner * cos, inner * sin, -bulge))


def test_two_half_circles_are_a_circle():
    circle = ring((60, 0, 1), (-60, 0, 1))
    assert length(circle) == pytest.approx(2 * np.pi * 60, rel=1e-14)
    assert area(circle) == pytest.approx(np.pi * 60**2, rel=1e-14)
    assert bounds(circle) == pytest.approx((-60, -60, 60, 60), abs=1e-12)


def test_a_clockwise_path_has_the_negative_area():
    assert area(ring((60, 0, -1), (-60, 0, -1))) == pytest.approx(-np.pi * 60**2, rel=1e-14)


def test_sector_of_arc_14_and_radius_7_has_49_square_inches():
    # Longfield, Sheet Metal Drafting, p. 82.
    angle = 14 / 7
    fan = ring((0, 0, 0), (7, 0, np.tan(angle / 4)), (7 * np.cos(angle), 7 * np.sin(angle), 0))
    assert area(fan) == pytest.approx(49, rel=1e-14)
    assert length(fan) == pytest.approx(14 + 2 * 7, rel=1e-14)


def test_net_of_a_frustum_has_the_published_radii_and_angle():
    # ceemrr Geometry 2, "NeighbourGraph of a frustum": Ø 8 and Ø 5, height 4 (in): radii 7.12 and 11.39, 126.4°.
    # Recomputed 7.1200 / 11.3920 / 126.404°, area 87.236.
    slant = np.hypot(4, 1.5)
    inner, outer = 2.5 * slant / 1.5, 4 * slant / 1.5
    net = sector(inner, outer, 2 * np.pi * 4 / outer)
    assert (inner, outer) == pytest.approx((7.12, 11.39), abs=0.005)
    assert np.degrees(4 * np.arctan(net.bulges[1])) == pytest.approx(126.4, abs=0.05)
    assert area(net) == pytest.approx(87.236, abs=0.0005)
    assert length(net) == pytest.approx(8 * np.pi + 5 * np.pi + 2 * slant, rel=1e-14)


@pytest.mark.parametrize("bulge", [1e-3, 9.9e-3, 1.01e-2, 0.3, 2.5])
def test_segment_area_is_that_of_circle_sector_less_triangle(bulge):
    turn, chord = 4 * np.arctan(bulge), 80.0
    radius = chord / 2 / np.sin(turn / 2)
    cap = area(ring((0, 0, bulge), (chord, 0, 0)))
    # The closed form loses turn³ / turn = 1e-5 of 16 digits at the smallest bulge.
    assert cap == pytest.approx(radius**2 / 2 * (turn - np.sin(turn)), rel=1e-9)


def test_an_almost_straight_arc_is_as_long_as_its_chord():
    assert length(ring((0, 0, 1e-12), (100, 0, 0), closed=False)) == pytest.approx(100, rel=1e-15)


@pytest.mark.parametrize(("radius", "chord"), [(5, 1.411), (50, 4.471), (300, 10.954)])
def test_polyline_takes_the_longest_chords_that_the_sagitta_allows(radius, chord):
    # Chord of an arc of radius R with sagitta 0.05: 2√(2Rs−s²), computed from the formula.
    points = polyline(ring((radius, 0, 1), (-radius, 0, 1)), 0.05)
    steps = np.hypot(*np.diff(points, axis=0).T)
    middles = 0.5 * (points[1:] + points[:-1])
    assert (radius - np.hypot(*middles.T)).max() <= 0.05 + 1e-12
    assert steps.max() <= chord + 0.0005
    assert len(steps) <= 2 * (np.ceil(np.pi * radius / chord) + 1)


def test_bounds_hold_only_the_quarter_points_that_an_arc_passes():
    quarter = ring((10, 0, np.tan(np.pi / 8)), (0, 10, 0), closed=False)
    assert bounds(quarter) == pytest.approx((0, 0, 10, 10), abs=1e-12)
    other_way = ring((10, 0, -np.tan(3 * np.pi / 8)), (0, 10, 0), closed=False)
    assert bounds(other_way) == pytest.approx((-10, -10, 10, 10), abs=1e-12)


def test_places_along_a_path_are_at_their_arc_length():
    path = ring((0, 0, 0), (30, 0, 1), (30, 40, 0), (0, 40, 0), closed=False)
    points, tangents = along(path, np.array([0.0, 15.0, 30.0 + 10 * np.pi, 30.0 + 20 * np.pi + 15.0]))
    np.testing.assert_allclose(points, [[0, 0], [15, 0], [50, 20], [15, 40]], atol=1e-12)
    np.testing.assert_allclose(tangents, [[1, 0], [1, 0], [0, 1], [-1, 0]], atol=1e-12)


def test_a_place_beside_lies_to_the_left():
    circle = ring((60, 0, 1), (-60, 0, 1))
    points = beside(circle, np.linspace(0, 300, 7), 10.0)
    np.testing.assert_allclose(np.hypot(*points.T), 50, rtol=1e-13)


def test_moving_keeps_length_and_area():
    net = sector(50, 90, 2.0)
    assert (length(moved(net, 7, -9)), area(moved(net, 7, -9))) == pytest.approx((length(net), area(net)), rel=1e-12)


def test_joined_sides_close():
    square = joined((segment((0, 0), (10, 0)), segment((10, 0), (10, 10), (0, 10)), segment((0, 10), (0, 0))))
    assert square.closed
    assert (len(square.points), area(square), length(square)) == (4, 100, 40)


def test_a_single_point_has_no_length():
    point = ring((3, 4, 0), closed=False)
    assert length(point) == 0
    assert bounds(point) == (3, 4, 3, 4)
    np.testing.assert_array_equal(polyline(point, 0.1), [[3, 4]])
