"""The line that is drawn on the leather before it is formed, on sheets that are worn round a cylinder."""

import numpy as np
import pytest
from analytic_panels import grid

from flatten.leather.trial_line import trial_line
from flatten.mesh.surface import Mesh
from flatten.unwrap.model import FlatPanel
from flatten.worn.panel import Panel
from tests.limbs import cylinder

RADIUS = 61.6
INWARD = 1.6


def worn_sheet(*, round_=1.0, up=1.0, size=160.0):
    """A square sheet that grows by so much round a cylinder and up it."""
    uv, faces = grid(40, 40, edge=size / 40)
    bearings, heights = round_ * uv[:, 0] / RADIUS, 150.0 + up * uv[:, 1]
    worn = np.column_stack([RADIUS * np.cos(bearings), RADIUS * np.sin(bearings), heights])
    panel = Panel("leg", Mesh(worn, faces), heights, bearings, ())
    return FlatPanel(panel, uv, np.pi / 2, 4.0, 1, True, 0.0, 0.0, 0.0, 0)


def line_of(flat):
    return trial_line(flat, cylinder(RADIUS, low=0.0, high=300.0), inward=INWARD)


def test_up_the_limb_the_flesh_side_grows_as_the_leather_does():
    found = line_of(worn_sheet(up=1.04))
    assert found.length == 100.0
    assert found.growth == pytest.approx(1.04, abs=1e-4)
    assert found.flesh == pytest.approx(104.0, abs=0.05)
    assert found.up == pytest.approx(1.0, abs=0.01)


def test_round_the_limb_the_flesh_side_is_shorter_by_the_bend():
    """By the share that it lies inside: 1.6 mm of a radius of 61.6; chords of 5 mm are 0.03 % short."""
    found = line_of(worn_sheet(round_=1.03))
    # A chord of the mesh, 4 mm, is 0.02 % short.
    assert found.growth == pytest.approx(1.03, abs=5e-4)
    assert found.flesh == pytest.approx(103.0 * (RADIUS - INWARD) / RADIUS, abs=0.1)
    assert found.up < 0.05


def test_a_smaller_piece_gets_a_shorter_line_and_a_tiny_one_none():
    assert line_of(worn_sheet(up=1.04, size=78.0)).length == 50.0
    assert line_of(worn_sheet(up=1.04, size=40.0)) is None


def test_its_place_is_where_the_leather_grows_most():
    """A sheet that grows more and more towards its upper end."""
    uv, faces = grid(40, 40, edge=4.0)
    heights, bearings = 150.0 + uv[:, 1] + uv[:, 1] ** 2 / 4000.0, uv[:, 0] / RADIUS
    worn = np.column_stack([RADIUS * np.cos(bearings), RADIUS * np.sin(bearings), heights])
    flat = FlatPanel(Panel("leg", Mesh(worn, faces), heights, bearings, ()), uv, np.pi / 2, 4.0, 1, True, 0, 0, 0, 0)
    found = line_of(flat)
    middle = 80.0 - 8.0 - 5.0 - 50.0
    # A line straight up reaches no further than that; one aslant may, where it grows by a little less.
    assert 150.0 + middle < found.height < 200.0
    assert 1.0 + middle / 2000.0 - 1e-3 < found.growth < 1.0 + 40.0 / 2000.0
