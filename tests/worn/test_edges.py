"""Shapes of edges, and flared lips."""

import numpy as np
import pytest
from scipy.integrate import quad

from flatten.worn.curves import Edge, Seam
from flatten.worn.cut import cut_panels
from flatten.worn.cuts import Cuts
from flatten.worn.defaults import QUARTER_BEARINGS, edge, shape_heights
from flatten.worn.rise import Lip
from tests.limbs import cylinder

AUTO = (330.0, 300.0, 270.0, 310.0)


@pytest.mark.parametrize(
    ("shape", "height", "by", "heights"),
    [
        ("auto", None, None, AUTO),
        ("straight", 310.0, None, (310.0, 310.0, 310.0, 310.0)),
        ("straight", None, None, (302.5, 302.5, 302.5, 302.5)),
        ("swept", 340.0, 40.0, (340.0, 320.0, 300.0, 320.0)),
        ("swept", None, None, (330.0, 300.0, 270.0, 300.0)),
        ("arched", 10.0, 30.0, (40.0, 10.0, 40.0, 10.0)),
        ("arched", None, None, (325.0, 305.0, 325.0, 305.0)),
    ],
)
def test_shapes_of_the_trade_are_told_by_four_heights(shape, height, by, heights):
    assert shape_heights(shape, height=height, by=by, default=AUTO) == pytest.approx(heights)


def test_an_edge_passes_through_any_number_of_points():
    bearings = np.array([0.2, 1.0, 1.9, 3.0, 4.5])
    curve = Edge("top edge", bearings, [300.0, 310.0, 305.0, 280.0, 290.0])
    np.testing.assert_allclose(curve.height(bearings + 2 * np.pi), [300.0, 310.0, 305.0, 280.0, 290.0], atol=1e-9)


@pytest.mark.parametrize("at", ["bottom", "top"])
def test_a_flared_cylinder_is_the_surface_of_revolution_of_its_lip(at):
    ends = {"bottom": edge("bottom edge", (0.0,) * 4), "top": edge("top edge", (120.0,) * 4)}
    lip = Lip(ends[at], 8.0, 30.0, 1.0 if at == "bottom" else -1.0)
    seam = Seam("back", "open", 0.0, [0.0], [np.pi])
    (panel,) = cut_panels(cylinder(50.0), Cuts(seams=(seam,), lips=(lip,), **ends), edge_length=3.0)
    from_edge = panel.heights if at == "bottom" else 120.0 - panel.heights
    radius = np.hypot(*panel.mesh.vertices[:, :2].T)
    np.testing.assert_allclose(radius, 50.0 + 8.0 * np.clip(1 - from_edge / 30.0, 0, None) ** 2, atol=1e-9)
    rim = next(boundary for boundary in panel.boundaries if boundary.name == f"{at} edge")
    around = np.linalg.norm(np.diff(panel.mesh.vertices[rim.vertices], axis=0), axis=1).sum()
    assert around == pytest.approx(2 * np.pi * 58.0, rel=2e-4)
    flank = quad(lambda x: 2 * np.pi * (50 + 8 * x**2) * np.hypot(1.0, 16 * x / 30.0) * 30.0, 0.0, 1.0)[0]
    a, b = (panel.mesh.vertices[panel.mesh.faces[:, k]] - panel.mesh.vertices[panel.mesh.faces[:, 0]] for k in (1, 2))
    area = 0.5 * np.linalg.norm(np.cross(a, b), axis=1).sum()
    # Chords of 3 mm on a bend of 56 mm (30²/2·8) fall short by (3/56)²/24: 1e-4; twice that across and along.
    assert area == pytest.approx(2 * np.pi * 50.0 * 90.0 + flank, rel=3e-4)


def test_control_points_of_the_quarters_are_front_outside_back_inside():
    np.testing.assert_allclose(edge("top edge", AUTO).height(QUARTER_BEARINGS), AUTO, atol=1e-9)
