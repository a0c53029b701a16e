import numpy as np
import pytest
import shapely
from scipy.special import fresnel

from flatten.pattern.curve import deviation, smooth_path
from flatten.pattern.model import Path, PatternError
from flatten.pattern.path import circle_of, length, polyline, spans

TOLERANCE = 0.1


def wave(amplitude=20.0, spacing=3.0, width=400.0):
    x = np.linspace(0, width, int(width / spacing) + 1)
    return np.stack([x, amplitude * np.cos(x / width * 4 * np.pi)], axis=1)


def clothoid(first, last, count=120, scale=300.0):
    sine, cosine = fresnel(np.linspace(first, last, count))
    return scale * np.stack([cosine, sine], axis=1)


def inflections(path):
    bends = path.bulges[:-1][np.abs(path.bulges[:-1]) > 1e-9]
    return int((np.diff(np.sign(bends)) != 0).sum())


def kinks(path):
    start, end, bulge = spans(path)
    heading, half = np.arctan2(*(end - start).T[::-1]), 2 * np.arctan(bulge)
    turn = (heading - half)[1:] - (heading + half)[:-1]
    return np.abs(np.mod(turn + np.pi, 2 * np.pi) - np.pi)


def hausdorff(path, points):
    """Hausdorff distance by an independent library, from samples every 0.2 mm both ways."""
    lines = shapely.LineString(polyline(path, 1e-4)), shapely.LineString(points)
    samples = [shapely.get_coordinates(shapely.segmentize(line, 0.2)) for line in lines]
    shapely.prepare(list(lines))
    return max(shapely.distance(lines[i], shapely.points(samples[1 - i])).max() for i in (0, 1))


def test_a_straight_boundary_is_one_line():
    points = np.linspace([5, 7], [205, 107], 70)
    path = smooth_path(points, TOLERANCE)
    np.testing.assert_array_equal(path.points, points[[0, -1]])
    assert not path.bulges.any()


@pytest.mark.parametrize("turn", [0.4, 2.0, -3.0, 5.5])
def test_a_circular_boundary_is_one_arc_of_its_radius(turn):
    angle = np.linspace(0, turn, 140)
    points = 80 * np.stack([np.cos(angle), np.sin(angle)], axis=1) + [3, -400]
    path = smooth_path(points, TOLERANCE)
    assert len(path.points) == 2
    centre, radius = circle_of(path.points[0], path.points[1], path.bulges[0])
    # Least squares over points that lie on the circle to rounding: the bulge is good to about 1e-9 of itself.
    assert radius == pytest.approx(80, rel=1e-7)
    np.testing.assert_allclose(centre, [3, -400], atol=1e-5)
    assert length(path) == pytest.approx(80 * abs(turn), rel=1e-7)


@pytest.mark.parametrize(("first", "last", "bends"), [(0.0, 1.2, 0), (-1.0, 1.3, 1), (1.2, 0.0, 0)])
def test_a_clothoid_keeps_its_inflections_and_lies_within_the_tolerance(first, last, bends):
    points = clothoid(first, last)
    path = smooth_path(points, TOLERANCE)
    assert inflections(path) == bends
    assert hausdorff(path, clothoid(first, last, count=5000)) <= TOLERANCE
    # A clothoid of parameter span T is scale·T long; a curve within 0.1 mm that bends alike differs in second order.
    assert length(path) == pytest.approx(300 * abs(last - first), abs=0.2)


def test_a_wave_has_the_inflections_of_a_wave():
    path = smooth_path(wave(), TOLERANCE)
    assert inflections(path) == 4


def test_noise_within_the_tolerance_adds_no_inflection():
    points = wave()
    points[1:-1, 1] += np.random.default_rng(3).uniform(-0.03, 0.03, len(points) - 2)
    assert inflections(smooth_path(points, TOLERANCE)) == 4


def test_a_line_that_runs_into_an_arc_bends_one_way_only():
    angle = np.linspace(0, 1, 35)[1:]
    straight = np.stack([np.linspace(0, 200, 67), np.zeros(67)], axis=1)
    bend = np.stack([200 + 100 * np.sin(angle), 100 - 100 * np.cos(angle)], axis=1)
    path = smooth_path(np.concatenate([straight, bend]), TOLERANCE)
    assert (path.bulges >= 0).all()
    assert path.bulges.any()


@pytest.mark.parametrize("seed", range(6))
def test_no_kink_and_within_the_tolerance_both_ways_on_random_boundaries(seed):
    rng = np.random.default_rng(seed)
    x = np.linspace(0, 350, 120)
    y = sum(a * np.sin(k * np.pi * x / 350 + p) for k, (a, p) in enumerate(rng.uniform(-1, 1, (6, 2)) * [14, 3]))
    turn = rng.uniform(0, 2 * np.pi)
    points = np.stack([x, y], axis=1) @ [[np.cos(turn), np.sin(turn)], [-np.sin(turn), np.cos(turn)]]
    path = smooth_path(points, TOLERANCE)
    assert kinks(path).max(initial=0) < 1e-9
    off = deviation(path, points)
    assert off <= TOLERANCE
    # The bound is the radial one; what the library measures by points lies just below it.
    assert off - 0.005 <= hausdorff(path, points) <= off + 1e-4


def test_a_coarse_boundary_is_followed_at_its_vertices():
    points = wave(amplitude=30.0, spacing=8.0, width=300.0)
    path = smooth_path(points, TOLERANCE)
    line = shapely.LineString(polyline(path, 1e-4))
    assert shapely.distance(line, shapely.points(points)).max() <= TOLERANCE / 2
    assert hausdorff(path, wave(amplitude=30.0, spacing=0.1, width=300.0)) <= TOLERANCE


def test_deviation_of_a_chord_is_the_sagitta():
    angle = np.linspace(0, 0.5, 400)
    points = 200 * np.stack([np.cos(angle), np.sin(angle)], axis=1)
    chord = Path(points[[0, -1]], np.zeros(2), closed=False)
    assert deviation(chord, points) == pytest.approx(200 * (1 - np.cos(0.25)), rel=1e-5)


def test_deviation_of_an_arc_from_its_polygon_is_the_polygons_sagitta():
    angle = np.linspace(0, 1.2, 9)
    points = 200 * np.stack([np.cos(angle), np.sin(angle)], axis=1)
    arc = Path(points[[0, -1]], np.array([np.tan(0.3), 0]), closed=False)
    assert deviation(arc, points) == pytest.approx(200 * (1 - np.cos(0.075)), rel=1e-9)


def test_deviation_is_infinite_where_the_polyline_runs_back():
    path = Path(np.array([[0, 0], [100, 0]]), np.zeros(2), closed=False)
    assert deviation(path, np.array([[0, 0], [60, 0.01], [50, 0.02], [100, 0]])) == np.inf


def test_the_same_boundary_the_other_way_round_is_as_good():
    points = wave()
    path = smooth_path(points[::-1], TOLERANCE)
    assert deviation(path, points[::-1]) <= TOLERANCE
    assert inflections(path) == 4


@pytest.mark.parametrize("points", [np.zeros((0, 2)), np.zeros((1, 2)), np.zeros((4, 2))])
def test_a_boundary_without_length_is_refused(points):
    with pytest.raises(PatternError, match="no length"):
        smooth_path(points, TOLERANCE)


def test_a_boundary_that_tumbles_about_is_refused_with_its_place():
    points = np.random.default_rng(0).normal(0, 20, (40, 2))
    with pytest.raises(PatternError, match=r"too sharply.*mm"):
        smooth_path(points, TOLERANCE)


@pytest.mark.parametrize("count", [2, 3, 4])
def test_a_boundary_of_few_vertices_is_drawn(count):
    points = np.array([[0.0, 0], [40, 0.3], [80, -0.2], [120, 0]])[:count]
    path = smooth_path(points, TOLERANCE)
    np.testing.assert_array_equal(path.points[[0, -1]], points[[0, -1]])
