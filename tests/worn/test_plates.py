"""A plate's curve and its panel: which way its sides look, and on which side of the leather it lies."""

import numpy as np
import pytest

from flatten.mesh.surface import Mesh
from flatten.worn.panel import Panel
from flatten.worn.plates import Plate, fitted_sides, plate_panel, region_sides, smooth_sides, straight_sides
from flatten.worn.rise import raised_normals, raised_points
from tests.limbs import cylinder

SLOPE, RADIUS = 0.2, 60.0


BASE = Panel("whole", Mesh(np.zeros((0, 3)), np.zeros((0, 3), int)), np.zeros(0), np.zeros(0), ())
"""The base, of which a plate's panel takes its rises: it has none."""


class Ramp:
    """A rise that grows evenly with the height, so that a cylinder becomes a cone."""

    def height(self, heights, bearings):
        return SLOPE * heights


def test_normals_of_a_raised_cylinder_are_a_cones():
    heights, bearings = np.array([50.0, 120.0]), np.array([0.0, np.pi / 3])
    surface, lean = cylinder(RADIUS), np.sqrt(1 + SLOPE**2)
    found = raised_normals(surface, heights, bearings, rises=(Ramp(),))
    meant = np.column_stack([np.cos(bearings), np.sin(bearings), np.full(2, -SLOPE)]) / lean
    np.testing.assert_allclose(found, meant, atol=1e-6)
    np.testing.assert_allclose(
        raised_points(surface, heights, bearings, rises=(Ramp(),), beyond=3.0)
        - raised_points(surface, heights, bearings, rises=(Ramp(),)),
        3.0 * meant,
        atol=1e-5,
    )
    np.testing.assert_array_equal(
        raised_normals(surface, heights, bearings, rises=()), surface.normals(heights, bearings)
    )


@pytest.mark.parametrize("order", [1, -1])
def test_sides_run_counter_clockwise_however_the_points_are_given(order):
    corners = np.array([[100.0, -0.5], [100.0, 0.5], [200.0, 0.5], [200.0, -0.5]])[::order]
    for sides in (straight_sides(corners), smooth_sides(corners, radius=RADIUS)):
        chart = Plate("badge", 3.2, sides).chart
        height, bearing = chart.T
        assert np.sum(bearing[:-1] * np.diff(height) - height[:-1] * np.diff(bearing)) > 0.0
        np.testing.assert_allclose(chart[0], chart[-1])


@pytest.mark.parametrize("beyond", [0.0, 3.2, 8.0])
def test_a_plates_panel_lies_so_far_outside_and_its_sides_are_called_by_the_way_they_look(beyond):
    surface = cylinder(RADIUS)
    plate = Plate("badge", 3.2, region_sides((-0.5, 0.5), (100.0, 180.0)))
    panel = plate_panel(surface, plate, on=BASE, beyond=beyond, edge_length=10.0)
    np.testing.assert_allclose(np.hypot(*panel.mesh.vertices[:, :2].T), RADIUS + beyond, atol=1e-6)
    mean = {b.name: [] for b in panel.boundaries}
    for boundary in panel.boundaries:
        mean[boundary.name].append(panel.heights[boundary.vertices].mean())
    assert mean["bottom edge"] == [100.0]
    assert mean["top edge"] == [180.0]
    assert mean["side edge"] == pytest.approx([140.0, 140.0])


def test_the_lower_half_of_a_smooth_curve_is_its_bottom_edge():
    turn = np.radians(np.arange(0, 360, 45))
    points = np.column_stack([150.0 + 40.0 * np.sin(turn), 0.6 * np.cos(turn)])
    panel = plate_panel(
        cylinder(RADIUS),
        Plate("disc", 3.2, smooth_sides(points, radius=RADIUS)),
        on=BASE,
        beyond=1.0,
        edge_length=8.0,
    )
    lower, upper = panel.boundaries
    assert (lower.name, upper.name) == ("bottom edge", "top edge")
    assert panel.heights[lower.vertices].mean() < 150.0 < panel.heights[upper.vertices].mean()


def test_fitted_sides_go_through_their_points():
    stretches = [
        np.array([[100.0, -0.5], [98.0, 0.0], [100.0, 0.5]]),
        np.array([[100.0, 0.5], [190.0, 0.0], [100.0, -0.5]]),
    ]
    for side, points in zip(fitted_sides(stretches, radius=RADIUS), stretches, strict=True):
        np.testing.assert_allclose(side(np.array([0.0, 1.0])), points[[0, -1]])
        dense = side(np.linspace(0.0, 1.0, 2000))
        assert np.abs(dense - points[1]).sum(axis=1).min() < 0.2
