"""The invented watchman: his limbs are their formulas where it is said so, and both sides are mirror images."""

import numpy as np
import pytest

from flatten.mesh.edges import half_edges
from tests.figures import PLACES, figure, parametric, watchman


def skin_of(body, low, high):
    """Points on a body's tube between two heights."""
    heights, bearings = (
        grid.ravel() for grid in np.meshgrid(np.linspace(low, high, 30), np.arange(48) * (np.pi / 24), indexing="ij")
    )
    radius = parametric.radius(body, heights, bearings)
    across = parametric.centre(body, heights) + (radius * np.stack([np.cos(bearings), np.sin(bearings)])).T
    return np.column_stack([across, heights])


@pytest.mark.parametrize("name", sorted(PLACES))
def test_a_limb_is_its_own_tube_up_to_where_it_meets_the_trunk(name):
    place = PLACES[name]
    low, end, clear = (200.0, "groin", 150.0) if "thigh" in name else (30.0, "armpit", 60.0)
    exact = skin_of(place.body, low, place.body.marks[end] - clear)
    np.testing.assert_allclose(figure.figure_field(place.to_figure(exact)), 0.0, atol=1e-9)
    nearer = figure.figure_field(place.to_figure(skin_of(place.body, low, place.body.marks[end])))
    # Rounded, it is fuller: the lesser distance less at most a sixth of the width of the rounding, twice.
    assert nearer.max() < 1e-9
    assert -2 * max(figure.GROIN, figure.ARMPIT) / 6 < nearer.min() < -1.0


@pytest.mark.parametrize("kind", ["thigh", "upper arm"])
def test_the_right_limb_is_the_left_one_s_mirror_image(kind):
    left, right = (PLACES[f"{side} {kind}"] for side in ("left", "right"))
    points = np.random.default_rng(0).normal(0.0, 200.0, (50, 3))
    np.testing.assert_allclose(right.to_figure(points), left.to_figure(points) * [1.0, -1.0, 1.0], atol=1e-9)
    np.testing.assert_allclose(left.to_limb(left.to_figure(points)), points, atol=1e-9)
    assert left.to_figure(np.array([[0.0, 0.0, 300.0]]))[0, 1] > 0.0


def test_his_hands_hang_lower_than_his_hips_and_his_feet_stand_forward_on_the_floor():
    vertices, faces = watchman()
    corners = vertices[faces]
    # Divergence: a closed surface that is seen from outside holds its volume; the soles lie at 0 and add nothing.
    volume = np.einsum("ij,ij->", corners[:, 0], np.cross(corners[:, 1], corners[:, 2])) / 6e6
    assert 50.0 < volume < 90.0
    halves = np.sort(half_edges(faces), axis=1)
    edges, counts = np.unique(halves, axis=0, return_counts=True)
    assert set(counts) == {1, 2}
    assert vertices[edges[counts == 1], 2].max() < 1.0
    assert vertices[:, 2].max() == pytest.approx(1773.0, abs=10.0)
    assert vertices[vertices[:, 2] < 60.0, 0].max() > 150.0
    assert vertices[np.abs(vertices[:, 1]) > 350.0, 2].min() < 800.0
