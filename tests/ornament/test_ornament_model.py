"""Regions come from shapely's polygons and go back to them whole."""

import pytest
import shapely

from flatten.ornament.model import Region

RING = shapely.Point(0.0, 0.0).buffer(30.0).difference(shapely.Point(5.0, 0.0).buffer(10.0))
ISLAND = shapely.Point(5.0, 0.0).buffer(4.0)
APART = shapely.box(50.0, 0.0, 60.0, 20.0)


@pytest.mark.parametrize(
    "shape", [RING, APART, shapely.union_all([RING, APART]), shapely.union_all([RING, ISLAND]), shapely.Polygon()]
)
def test_a_region_is_the_polygons_that_it_came_from(shape):
    region = Region.of(shape)
    assert shapely.area(shapely.symmetric_difference(region.shape, shape)) == pytest.approx(0.0, abs=1e-9)
    assert region.area == pytest.approx(shapely.area(shape))


def test_outer_rims_turn_left_and_holes_right():
    outer, hole = Region.of(RING).rims
    assert shapely.is_ccw(shapely.LinearRing(outer))
    assert not shapely.is_ccw(shapely.LinearRing(hole))


def test_lines_and_points_among_polygons_are_no_part_of_a_region():
    mixed = shapely.GeometryCollection([APART, shapely.LineString([(0, 0), (9, 9)]), shapely.Point(1, 1)])
    assert Region.of(mixed).area == 200.0
