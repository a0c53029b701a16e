"""Where the least spread binds, in words."""

import numpy as np
from unwrap_shapes import calf, cylinder, tube_panel

from flatten.limb.kind import LOWER_LEG
from flatten.unwrap.certificate.binding import binding_of
from flatten.unwrap.certificate.least import least_spread
from flatten.unwrap.certificate.model import Certificate
from flatten.unwrap.model import Limits
from flatten.unwrap.panel import flatten_panel
from flatten.words.say import text

TIGHT = Limits(0.01, 0.01, 0.01, 0.01, "given")


def told(panel):
    flat = flatten_panel(panel, limits=TIGHT)
    found = least_spread(panel.mesh, guide=flat.uv)
    return flat, found, binding_of(found, flat, kind=LOWER_LEG)


def test_a_barrel_asks_for_stretch_by_its_bulge():
    panel = tube_panel(lambda h, b: 60 - (h - 100) ** 2 / 500, length=200.0, columns=18, rows=12)
    flat, found, binding = told(panel)
    assert f"{100 * np.expm1(found.least_spread):.1f} %" in text(binding.sentence)
    assert f"{100 * np.expm1(flat.spread_reachable):.1f} % was reached" in text(binding.sentence)
    assert "is the bulge" in text(binding.sentence)


def test_a_waisted_tube_asks_for_stretch_by_its_hollow():
    panel = tube_panel(lambda h, b: 40 + (h - 100) ** 2 / 500, length=200.0, columns=18, rows=12)
    assert "is the hollow" in text(told(panel)[2].sentence)


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
