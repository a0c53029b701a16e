import numpy as np
import pytest

from flatten.pattern.isoline import isolines
from tests.flat_panels import grid_faces


def grid(columns=7, rows=5):
    _, faces = grid_faces(columns, rows)
    x, y = np.meshgrid(np.linspace(0, 70, columns + 1), np.linspace(0, 50, rows + 1))
    return np.stack([x.ravel(), y.ravel()], axis=1), faces


@pytest.mark.parametrize("level", [13.0, 20.0, 49.999])
def test_isoline_of_a_linear_value_is_the_straight_line_across(level):
    uv, faces = grid()
    (line,) = isolines(uv, faces, uv[:, 1] + 0.1 * uv[:, 0], level)
    np.testing.assert_allclose(line[:, 1] + 0.1 * line[:, 0], level, atol=1e-11)
    assert sorted((line[0, 0], line[-1, 0])) == pytest.approx((max(0, 10 * (level - 50)), min(70, 10 * level)))


def test_values_above_the_level_lie_on_the_right():
    uv, faces = grid()
    (line,) = isolines(uv, faces, uv[:, 1], 23.0)
    assert line[-1, 0] < line[0, 0]


def test_a_line_through_vertices_has_each_point_once():
    uv, faces = grid()
    (line,) = isolines(uv, faces, uv[:, 0], 30.0)
    assert np.hypot(*np.diff(line, axis=0).T).min() > 0
    np.testing.assert_array_equal(line[:, 0], 30.0)


def test_round_a_peak_the_line_closes():
    uv, faces = grid()
    (line,) = isolines(uv, faces, -np.hypot(*(uv - [40, 20]).T), -15.0)
    np.testing.assert_array_equal(line[0], line[-1])


def test_a_saddle_has_two_lines():
    uv, faces = grid()
    assert len(isolines(uv, faces, (uv[:, 0] - 33) * (uv[:, 1] - 27), 100.0)) == 2


def test_outside_the_values_there_is_no_line():
    uv, faces = grid()
    assert isolines(uv, faces, uv[:, 1], 51.0) == ()
    assert isolines(uv, faces[:0], uv[:, 1], 20.0) == ()
