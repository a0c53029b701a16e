"""Where a flat piece lies over itself."""

import numpy as np
from unwrap_shapes import square, tube_panel

from flatten.mesh.disk import check_disk
from flatten.unwrap.overlap import count_overlaps
from flatten.unwrap.panel import flatten_panel


def spiral(turns: float) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """A ring strip of `turns` of a full turn: faces, flat map, border."""
    n = 60
    angle = np.linspace(0, 2 * np.pi * turns, n + 1)
    flat = np.concatenate([2 * np.exp(1j * angle), 3 * np.exp(1j * angle)])
    a = np.arange(n)
    faces = np.concatenate([np.stack([a, a + n + 1, a + n + 2], 1), np.stack([a, a + n + 2, a + 1], 1)])
    return faces, flat, np.concatenate([np.arange(n + 1, 2 * n + 2), np.arange(n, -1, -1)])


def test_a_ring_strip_short_of_a_turn_lies_clear():
    assert count_overlaps(*spiral(0.98)) == 0


def test_a_ring_strip_of_more_than_a_turn_lies_over_itself():
    assert count_overlaps(*spiral(1.02)) > 0


def test_a_closed_slit_only_touches():
    mesh = square(6, 4, seed=1)
    flat = mesh.vertices[:, 0] + 1j * mesh.vertices[:, 1]
    assert count_overlaps(mesh.faces, flat, check_disk(mesh)) == 0
    # A slit from the border's middle inwards: two faces fans about doubled vertices at the same places.
    points = np.array([0, 2, 4, 4 + 2j, 4 + 4j, 2 + 4j, 4j, 2j, 2 + 2j, 2 + 2e-9], complex)
    faces = np.array([[0, 1, 8], [9, 2, 8], [2, 3, 8], [3, 4, 8], [4, 5, 8], [5, 6, 8], [6, 7, 8], [7, 0, 8]])
    border = np.array([0, 1, 8, 9, 2, 3, 4, 5, 6, 7])
    assert count_overlaps(faces, points, border) == 0
    points[9] -= 0.2
    points[8] += 0.001
    assert count_overlaps(faces, points, border) > 0


def test_a_corner_that_opens_past_a_full_turn_is_counted():
    """A slit into a saddle: the angles about its tip sum to more than 2π, though its sides do not cross."""
    n = 12
    angle = np.linspace(0, 2 * np.pi + 0.1, n + 1)
    flat = np.concatenate([[0], np.exp(1j * angle)])
    faces = np.stack([np.zeros(n, int), np.arange(1, n + 1), np.arange(2, n + 2)], 1)
    border = np.concatenate([[0], np.arange(1, n + 2)])
    assert count_overlaps(faces, flat, border) >= 1
    angle = np.linspace(0, 2 * np.pi - 0.1, n + 1)
    assert count_overlaps(faces, np.concatenate([[0], np.exp(1j * angle)]), border) == 0


def test_a_panel_that_flattens_over_itself_says_so():
    """A flat washer's chart cut open flattens clear; a steeper ruff (more than a turn of angle) cannot."""
    ruff = tube_panel(
        lambda h, b: 20 + 60 * h * (1 + 0.9 * np.cos(6 * b)), length=1.0, columns=160, rows=8, opening=0.02
    )
    washer = tube_panel(lambda h, b: 20 + 60 * h, length=1.0, columns=60, rows=8, opening=0.2)
    assert flatten_panel(washer).overlaps == 0
    assert flatten_panel(ruff).overlaps > 0
