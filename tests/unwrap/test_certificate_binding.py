"""Where the least spread binds, in words."""

import numpy as np
import pytest
from unwrap_shapes import calf, cylinder, tube_panel

from flatten.advice.judge import bounds_of
from flatten.limb.kind import LOWER_LEG
from flatten.mesh.surface import Mesh
from flatten.unwrap.certificate.binding import binding_of
from flatten.unwrap.certificate.least import least_spread
from flatten.unwrap.certificate.model import Certificate
from flatten.unwrap.model import FlatPanel, Limits
from flatten.unwrap.panel import flatten_panel
from flatten.words.say import text
from flatten.worn.panel import Panel

TIGHT = Limits(0.01, 0.01, 0.01, 0.01, "given")


def told(panel):
    flat = flatten_panel(panel, limits=TIGHT)
    found = least_spread(panel.mesh, guide=flat.uv)
    return flat, found, binding_of(found, flat, kind=LOWER_LEG)


def test_a_barrel_asks_for_stretch_by_its_bulge():
    panel = tube_panel(lambda h, b: 60 - (h - 100) ** 2 / 500, length=200.0, columns=18, rows=12)
    flat, found, binding = told(panel)
    assert found.least_spread > 0.0
    assert flat.spread_reachable >= found.least_spread
    assert binding.form == "bulge"
    assert text(binding.cause).startswith("the bulge")


def test_a_waisted_tube_asks_for_stretch_by_its_hollow():
    panel = tube_panel(lambda h, b: 40 + (h - 100) ** 2 / 500, length=200.0, columns=18, rows=12)
    assert told(panel)[2].form == "hollow"


def test_the_place_is_that_of_the_vertex_that_carries_most():
    flat, found, binding = told(calf(20))
    panel = flat.panel
    assert binding.centre == found.centre
    assert f"{panel.heights[found.centre]:.0f} mm above the ankle" in text(binding.cause)
    assert len(binding.lines) == len(binding.held_apart)
    assert np.array_equal(binding.points, np.unique(binding.lines))


def test_where_nothing_is_asked_for_nothing_is_told():
    panel = cylinder(12, 6, seed=None)
    flat = flatten_panel(panel)
    assert binding_of(Certificate("none", 0.0), flat, kind=LOWER_LEG) is None


def crumpled(seed, *, noise, squares=6):
    """A square sheet whose points are thrown up and down by `noise` mm, laid flat as it was."""
    x, y = (axis.ravel() for axis in np.meshgrid(3.0 * np.arange(squares + 1.0), 3.0 * np.arange(squares + 1.0)))
    first = (np.arange(squares)[None] + (squares + 1) * np.arange(squares)[:, None]).ravel()
    up = first + squares + 1
    faces = np.concatenate([np.stack([first, first + 1, up + 1], 1), np.stack([first, up + 1, up], 1)])
    worn = np.c_[x, y, np.random.default_rng(seed).normal(0.0, noise, len(x))]
    panel = Panel("whole", Mesh(worn, faces), y, x / 60.0, ())
    return FlatPanel(panel, np.c_[x, y], np.pi / 2, 4.0, 0, True, 0.5, float("nan"), float("nan"), 0)


@pytest.mark.parametrize(("seed", "noise", "squares"), [(0, 1.0, 4), (1, 2.0, 6)])
def test_pairs_that_no_map_can_turn_as_they_ask_bound_without_a_place(seed, noise, squares):
    flat = crumpled(seed, noise=noise, squares=squares)
    found = least_spread(flat.panel.mesh, guide=flat.uv)
    assert (found.argument, found.centre, len(found.pairs)) == ("pairs", -1, 0)
    assert found.least_spread > found.disc
    assert binding_of(found, flat, kind=LOWER_LEG) is None
    ((bound,), findings) = bounds_of([flat], kind=LOWER_LEG)
    assert (bound.least_spread, bound.binding, findings) == (found.least_spread, None, ())


def test_a_surface_that_no_bound_is_known_for_says_why():
    flat = crumpled(0, noise=0.0)
    worn = flat.panel.mesh.vertices.copy()
    worn[1] = worn[0]
    spoilt = FlatPanel(
        Panel("whole", Mesh(worn, flat.panel.mesh.faces), flat.panel.heights, flat.panel.bearings, ()),
        *(flat.uv, np.pi / 2, 4.0, 0, True, 0.5, float("nan"), float("nan"), 0),
    )
    bounds, (why,) = bounds_of([spoilt], kind=LOWER_LEG)
    assert bounds == ()
    assert (why.code, why.severity) == ("advice.no bound", "look")
    assert "faces have no area" in text(why)
