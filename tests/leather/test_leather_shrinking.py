"""Flat panels cut larger by what their leather shrinks."""

import numpy as np
import pytest

from flatten.leather.shrinking import cut_larger
from flatten.mesh.surface import Mesh
from flatten.unwrap.model import FlatPanel
from flatten.worn.panel import Panel

ALONG, ACROSS = 0.03, 0.015


def flat_face(uv, *, grain):
    """One face as a flat panel."""
    uv = np.asarray(uv, float)
    worn = Mesh(np.c_[uv[:, 0], np.zeros(3), uv[:, 1]], np.array([[0, 1, 2]]))
    return FlatPanel(Panel("leg", worn, uv[:, 1], uv[:, 0], ()), uv, grain, 4.0, 1, True, 0.0, 0.0, 0.0, 0)


def cut_lengths(degrees, length=300.0, *, grain=0.4):
    """Cut lengths of lines of `length` mm, dried, at two angles to the grain."""
    angles = grain + np.radians(degrees)
    ends = length * np.stack([np.cos(angles), np.sin(angles)], axis=1)
    cut = cut_larger(flat_face([[0, 0], *ends], grain=grain), (ALONG, ACROSS))
    np.testing.assert_array_equal(cut.uv[0], 0.0)
    return np.hypot(*cut.uv[1:].T)


def test_lines_along_and_across_the_grain_dry_to_their_lengths():
    np.testing.assert_allclose(cut_lengths([0, 90]) * [1 - ALONG, 1 - ACROSS], 300.0, rtol=1e-12)


@pytest.mark.parametrize("degrees", [(2, 5), (-30, 10), (45, 80)])
def test_sides_of_a_seam_that_are_equal_when_dried_differ_as_they_are_cut_by_what_is_said(degrees):
    """To first order in the shrinkage; what the second adds is less than twice the shrinkage of that."""
    first, second = cut_lengths(degrees)
    toward = np.cos(np.radians(degrees)) ** 2
    assert first - second == pytest.approx(300 * (ALONG - ACROSS) * (toward[0] - toward[1]), rel=2 * ALONG)


def test_sides_at_2_and_5_degrees_to_the_grain_differ_by_a_small_part_of_what_a_seam_may():
    first, second = cut_lengths((2, 5))
    assert first - second == pytest.approx(0.03, abs=0.002)
