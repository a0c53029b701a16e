"""Dense polylines become few arcs that stay where the polyline was."""

import numpy as np
import pytest
import shapely

from flatten.pattern.light import LIGHT, lightened
from flatten.pattern.model import Path
from flatten.pattern.path import area, length, mirrored_path, moved, polyline, spans

ROUND = np.linspace(0.0, 2.0 * np.pi, 2000, endpoint=False)


def ring(points):
    return Path(np.asarray(points, float), np.zeros(len(points)), closed=True)


def wavy():
    radius = 150.0 + 20.0 * np.cos(3 * ROUND) + 8.0 * np.cos(7 * ROUND)
    return ring(np.stack([radius * np.cos(ROUND), 1.3 * radius * np.sin(ROUND)], axis=1))


def rounded(by):
    shape = shapely.box(0, 0, 200, 100).union(shapely.Point(200, 50).buffer(30, 64)).buffer(by)
    points = shapely.get_coordinates(shape.exterior)[:-1]
    return ring(points if shapely.is_ccw(shape.exterior) else points[::-1])


def apart(one, other):
    """The greatest distance of one path's places from the other, both ways, mm."""
    lines = [shapely.LineString(polyline(path, 1e-4)) for path in (one, other)]
    places = [shapely.points(line.segmentize(0.3).coords) for line in lines]
    return max(shapely.distance(lines[1], places[0]).max(), shapely.distance(lines[0], places[1]).max())


@pytest.mark.parametrize(
    ("path", "most"),
    [(wavy(), 130), (rounded(3.0), 36), (rounded(10.0), 36), (rounded(0.1), 48)],
    ids=["wavy", "rounded 3", "rounded 10", "rounded 0.1"],
)
def test_a_dense_outline_is_drawn_by_few_arcs_within_the_tolerance(path, most):
    light = lightened(path)
    assert len(light.points) <= most < 0.16 * len(path.points)
    # What is measured is itself measured on polylines that leave the arcs by 1e-4 mm.
    assert apart(path, light) <= LIGHT + 2e-4
    assert area(light) == pytest.approx(area(path), rel=1e-4)
    assert length(light) == pytest.approx(length(path), rel=1e-3)


def test_arcs_that_stand_for_a_smooth_line_are_tangent():
    start, end, bulge = spans(lightened(wavy()))
    heading = np.arctan2(*(end - start).T[::-1])
    leaving, arriving = heading - 2.0 * np.arctan(bulge), heading + 2.0 * np.arctan(bulge)
    kink = np.mod(np.roll(leaving, -1) - arriving + np.pi, 2.0 * np.pi) - np.pi
    assert np.abs(kink).max() < np.radians(0.5)


def test_a_circle_is_found_and_corners_stay():
    circle = lightened(ring(50.0 * np.stack([np.cos(ROUND), np.sin(ROUND)], axis=1)))
    assert len(circle.points) < 10
    assert area(circle) == pytest.approx(2500.0 * np.pi, rel=1e-5)
    box = shapely.get_coordinates(shapely.box(0, 0, 200, 100).segmentize(1.0).exterior)[:-1]
    light = lightened(ring(box))
    assert {tuple(point) for point in np.round(light.points, 9)} == {(0, 0), (0, 100), (200, 0), (200, 100)}
    assert not light.bulges.any()


def test_arcs_and_sparse_paths_stay_as_they_are():
    few = ring([(0, 0), (10, 0), (0, 5)])
    arcs = Path(few.points, np.array([0.3, -0.2, 0.1]), closed=True)
    nothing = Path(np.zeros((1, 2)), np.zeros(1), closed=False)
    for path in (few, arcs, nothing):
        light = lightened(path)
        assert light.points.tobytes() == path.points.tobytes()
        assert light.bulges.tobytes() == path.bulges.tobytes()
        assert lightened(light) is light


def test_a_light_path_is_light_wherever_it_is_moved_and_mirrored():
    """Merged once more it would lie further off than is promised."""
    path = wavy()
    for put in (lambda one: moved(one, 31.0, -7.0), mirrored_path, lambda one: mirrored_path(moved(one, 0.1, 0.2))):
        light = put(lightened(path))
        assert lightened(light) is light
        assert apart(put(path), light) <= LIGHT + 2e-4
    # Any that is made of its points by itself is none: its own runs may be merged.
    assert not Path(lightened(path).points, lightened(path).bulges, closed=True).light


def test_lines_among_arcs_are_merged_and_the_arcs_kept():
    """A slot whose straight sides were drawn by many points."""
    side = np.stack([np.arange(0.0, 41.0), np.zeros(41)], axis=1)
    points = np.concatenate([side, side[::-1] + np.array([0.0, 10.0])])
    bulges = np.zeros(82)
    bulges[[40, 81]] = 1.0
    light = lightened(Path(points, bulges, closed=True))
    assert len(light.points) == 4
    assert sorted(light.bulges) == [0.0, 0.0, 1.0, 1.0]
    assert area(light) == pytest.approx(400.0 + 25.0 * np.pi)


@pytest.mark.parametrize("way", [1, -1])
def test_an_open_line_keeps_its_ends(way):
    along = np.arange(0.0, 300.0, 0.7)
    points = np.stack([along, 30.0 * np.sin(along / 40.0)], axis=1)[::way]
    path = Path(points, np.zeros(len(points)), closed=False)
    light = lightened(path)
    assert len(light.points) < 40
    np.testing.assert_array_equal(light.points[[0, -1]], points[[0, -1]])
    assert apart(path, light) <= LIGHT + 2e-4
