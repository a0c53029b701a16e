"""The grid of a field: true squares, symmetrical about the centre line, nothing outside."""

import numpy as np
import pytest
import shapely

from flatten.ornament.model import Field, Region
from flatten.ornament.squares import axes_of, squares_of

BOX = shapely.box(-43.0, 10.0, 43.0, 111.0)
MIDDLE = np.array([[0.0, 10.0], [0.0, 111.0]])


def field(shape, centre=None):
    return Field("guard", Region.of(shape), centre, centre is not None)


def test_lines_are_so_many_sizes_from_the_centre_line_and_the_lower_end():
    lines = squares_of(field(BOX, MIDDLE), 10.0)
    upright = {line.number: line.ends for line in lines if line.upright}
    level = {line.number: line.ends for line in lines if not line.upright}
    assert sorted(upright) == list(range(-4, 5))
    assert sorted(level) == list(range(11))
    for number, ends in upright.items():
        np.testing.assert_allclose(ends[:, 0], 10.0 * number, atol=1e-12)
        np.testing.assert_allclose(sorted(ends[:, 1]), [10.0, 111.0])
    np.testing.assert_allclose(level[5][:, 1], 60.0)
    assert {line.number for line in lines if line.counted and line.upright} == {0}


@pytest.mark.parametrize("angle", [0.0, 0.4, -1.1])
def test_a_grid_turns_with_its_centre_line(angle):
    turn = np.array([[np.cos(angle), -np.sin(angle)], [np.sin(angle), np.cos(angle)]])
    shape = shapely.transform(BOX, lambda points: points @ turn.T)
    lines = squares_of(field(shape, MIDDLE @ turn.T), 10.0)
    for line in squares_of(field(BOX, MIDDLE), 10.0):
        if line.number == 0 and not line.upright:
            continue  # on the rim itself, where rounding decides
        mate = next(one for one in lines if (one.number, one.upright) == (line.number, line.upright))
        got, wanted = (ends[np.argsort(ends.sum(axis=1))] for ends in (mate.ends @ turn, line.ends))
        np.testing.assert_allclose(got, wanted, atol=1e-9)


def test_a_hole_parts_its_lines_and_none_lies_outside():
    shape = BOX.difference(shapely.Point(0.0, 60.0).buffer(12.0))
    lines = squares_of(field(shape, MIDDLE), 5.0)
    assert sum(line.upright and line.number == 0 for line in lines) == 2
    near = shape.buffer(1e-9)
    assert all(near.covers(shapely.LineString(line.ends)) for line in lines)


def test_a_symmetrical_field_has_a_symmetrical_grid():
    ends = {line.number: line.ends[:, 0] for line in squares_of(field(BOX, MIDDLE), 7.0) if line.upright}
    assert sorted(ends) == sorted(-number for number in ends)
    for number, x in ends.items():
        np.testing.assert_array_equal(x, -ends[-number])


def test_without_a_centre_line_the_grid_is_upright_about_the_middle():
    origin, right, up = axes_of(field(BOX))
    np.testing.assert_array_equal([origin, right, up], [[0.0, 10.0], [1.0, 0.0], [0.0, 1.0]])
