"""Where a flat piece lies over itself."""

import numpy as np
import pytest
from unwrap_shapes import square, tube_panel

from flatten.mesh.disk import check_disk
from flatten.unwrap.overlap import count_overlaps, winding_numbers
from flatten.unwrap.panel import flatten_panel


def spiral(turns: float) -> tuple[np.ndarray, np.ndarray]:
    """A ring strip of `turns` of a full turn between the radii 2 and 3: flat map, boundary."""
    n = 60
    angle = np.linspace(0, 2 * np.pi * turns, n + 1)
    flat = np.concatenate([2 * np.exp(1j * angle), 3 * np.exp(1j * angle)])
    return flat, np.concatenate([np.arange(n + 1, 2 * n + 2), np.arange(n, -1, -1)])


def test_a_ring_strip_short_of_a_turn_lies_clear():
    assert count_overlaps(*spiral(0.98)) == 0


def test_a_ring_strip_of_more_than_a_turn_lies_over_itself():
    assert count_overlaps(*spiral(1.02)) > 0


@pytest.mark.parametrize("turns", [1.2, 1.5, 2.0, 3.0])
def test_a_ring_strip_wound_exactly_onto_itself_is_counted(turns):
    """No two sides cross: those of one turn lie on those of the other, vertex on vertex or nearly."""
    assert count_overlaps(*spiral(turns)) > 0


def test_layers_are_counted_where_a_ring_strip_lies_one_twice_and_thrice():
    """Two and a quarter turns: three layers over the first quarter, two over the rest of the ring, none beside it."""
    flat, boundary = spiral(2.25)
    start, end = flat[boundary], flat[np.roll(boundary, -1)]
    angle = np.radians([10, 80, 100, 350])
    for radius, wanted in ((2.5, [3, 3, 2, 2]), (1.9, [0, 0, 0, 0]), (3.1, [0, 0, 0, 0])):
        assert winding_numbers(radius * np.exp(1j * angle), start, end).tolist() == wanted
    assert winding_numbers(np.zeros(0, complex), start, end).tolist() == []
    # Level with vertices of the boundary: each end on the ray counts once.
    heights = flat.imag[np.abs(flat) < 2.5]
    assert set(winding_numbers(-2.5 + 1j * heights[np.abs(heights) < 0.5], start, end)) == {2}
    assert set(winding_numbers(1j * heights[np.abs(heights) < 0.5], start, end)) == {0}


def test_a_tooth_that_reaches_over_an_edge_away_from_its_middle_is_counted():
    """No middle of a segment lies on other leather: only both sides of the tooth cross the edge."""

    def hook(tip: float) -> np.ndarray:
        return np.array([0, 10, 10 + 2j, 2 + 2j, 2 + 4j, 6 + 4j, 7 + 1j * tip, 8 + 4j, 8 + 6j, 6j])

    assert count_overlaps(hook(1.99), np.arange(10)) == 2
    assert count_overlaps(hook(2.01), np.arange(10)) == 0


def test_a_closed_slit_only_touches():
    mesh = square(6, 4, seed=1)
    flat = mesh.vertices[:, 0] + 1j * mesh.vertices[:, 1]
    assert count_overlaps(flat, check_disk(mesh)) == 0
    # A slit from the boundary's middle inwards, its sides on one another.
    points = np.array([0, 2, 4, 4 + 2j, 4 + 4j, 2 + 4j, 4j, 2j, 2 + 2j, 2 + 2e-9], complex)
    boundary = np.array([0, 1, 8, 9, 2, 3, 4, 5, 6, 7])
    assert count_overlaps(points, boundary) == 0
    points[9] -= 0.2
    points[8] += 0.001
    assert count_overlaps(points, boundary) > 0


def test_a_corner_that_opens_past_a_full_turn_is_counted():
    """A slit into a saddle: the angles about its tip sum to more than 2π, though its sides do not cross."""
    n = 12
    angle = np.linspace(0, 2 * np.pi + 0.1, n + 1)
    flat = np.concatenate([[0], np.exp(1j * angle)])
    boundary = np.concatenate([[0], np.arange(1, n + 2)])
    assert count_overlaps(flat, boundary) >= 1
    angle = np.linspace(0, 2 * np.pi - 0.1, n + 1)
    assert count_overlaps(np.concatenate([[0], np.exp(1j * angle)]), boundary) == 0


def test_a_panel_that_flattens_over_itself_says_so():
    """A flat washer's chart cut open flattens clear; a steeper ruff (more than a turn of angle) cannot."""
    ruff = tube_panel(
        lambda h, b: 20 + 60 * h * (1 + 0.9 * np.cos(6 * b)), length=1.0, columns=160, rows=8, opening=0.02
    )
    washer = tube_panel(lambda h, b: 20 + 60 * h, length=1.0, columns=60, rows=8, opening=0.2)
    assert flatten_panel(washer).overlaps == 0
    assert flatten_panel(ruff).overlaps > 0
