"""Where leather is pulled off: curvature and contact pressure by closed forms, on tubes and at a waist."""

from dataclasses import replace

import numpy as np
import pytest

from flatten.leather.giving import ABOUT, MOST_PLACES
from flatten.leather.lifting import POISSON, PULLED_OFF, contact_pressures, normal_curvature, places_that_lift
from flatten.unwrap.model import FlatPanel
from flatten.worn.curves import Seam
from flatten.worn.cut import cut_panels
from flatten.worn.cuts import Cuts
from flatten.worn.defaults import edge
from tests.limbs import cylinder, limb_of

RADIUS, WAIST = 60.0, 150.0


def waisted(h, b):
    """A tube of 60 mm that is hollow along its length: its profile's radius at the waist is 100 mm."""
    return RADIUS + (h - WAIST) ** 2 / (2.0 * 100.0) + 0.0 * b


def laid(surface, *, up=0.0, around=0.0):
    """A panel of a tube laid flat so that worn it is stretched by logarithmic strains up it and round it."""
    cuts = Cuts(
        edge("bottom edge", (80.0,) * 4), edge("top edge", (220.0,) * 4), (Seam("back", "laced", 25.0, [0.0], [np.pi]),)
    )
    (panel,) = cut_panels(surface, cuts, edge_length=6.0)
    uv = np.stack([RADIUS * panel.bearings * np.exp(-around), panel.heights * np.exp(-up)], axis=1)
    return FlatPanel(panel, uv, np.pi / 2, 4.0, 1, True, 0.0, 0.0, 0.0, 0)


def tension(own, other):
    """Of a sheet with logarithmic strains, over its worn width, per stiffness."""
    return (own + POISSON * other) / (1.0 - POISSON**2) / np.exp(own + other)


def test_curvature_of_a_waist_is_its_profiles_and_its_girths():
    surface, at = limb_of(waisted), (np.full(3, WAIST), np.full(3, 0.7))
    up = np.tile([0.0, 0.0, 1.0], (3, 1))
    aside = np.tile([-np.sin(0.7), np.cos(0.7), 0.0], (3, 1))
    np.testing.assert_allclose(normal_curvature(surface, *at, up), -1.0 / 100.0, rtol=1e-3)
    np.testing.assert_allclose(normal_curvature(surface, *at, 3.0 * aside), 1.0 / RADIUS, rtol=1e-3)
    # Euler: the mean of both half-way between.
    np.testing.assert_allclose(normal_curvature(surface, *at, up + aside), 0.5 / RADIUS - 0.5 / 100.0, rtol=1e-3)


@pytest.mark.parametrize("angle", [0.0, 0.6, 1.2, 1.8, 2.4])
def test_a_ball_curves_alike_in_all_directions_wherever_its_chart_slants(angle):
    """A ball of 100 mm about a place 30 mm off the chart's middle: height and bearing are not square to each other."""

    def ball(h, b):
        return 30.0 * np.cos(b) + np.sqrt(100.0**2 - (h - WAIST) ** 2 - 900.0 * np.sin(b) ** 2)

    surface = limb_of(ball, low=90.0, high=210.0)
    heights, bearings = np.array([120.0, 150.0, 175.0]), np.array([0.9, 2.0, -1.2])
    by_height, by_bearing = surface.tangents(heights, bearings)
    assert (np.abs(np.einsum("nx,nx->n", by_height, by_bearing)) > 1.0).sum() == 2
    ways = np.cos(angle) * by_height + np.sin(angle) / 60.0 * by_bearing
    np.testing.assert_allclose(normal_curvature(surface, heights, bearings, ways), 1.0 / 100.0, rtol=2e-3)


@pytest.mark.parametrize(("up", "around"), [(0.0, 0.02), (0.03, 0.0), (-0.02, 0.01), (0.01, -0.03)])
def test_a_tube_is_pressed_by_its_hoop_tension_over_its_radius(up, around):
    surface = cylinder(RADIUS)
    flat = laid(surface, up=up, around=around)
    pressures = contact_pressures(flat, surface)
    # Faces are chords: a segment of 9 mm is (9/60)²/24 shorter than its arc, a strain of 1e-3.
    np.testing.assert_allclose(pressures, tension(around, up) / RADIUS, atol=1.1e-3 / RADIUS)
    assert (places_that_lift(flat, surface) != ()) == (tension(around, up) / RADIUS < -PULLED_OFF)


def test_turned_leather_presses_as_before():
    surface = cylinder(RADIUS)
    flat = laid(surface, up=0.01, around=0.03)
    turned = replace(flat, uv=flat.uv @ np.array([[0.6, 0.8], [-0.8, 0.6]]))
    np.testing.assert_allclose(contact_pressures(turned, surface), contact_pressures(flat, surface), rtol=1e-9)


@pytest.mark.parametrize("up", [0.06, -0.06])
def test_leather_stretched_over_a_waist_is_pulled_into_the_air_and_squeezed_it_is_not(up):
    surface = limb_of(waisted)
    flat = laid(surface, up=up)
    faces = flat.panel.mesh.faces
    at = np.abs(flat.panel.heights[faces].mean(axis=1) - WAIST) < 2.0
    assert at.sum() > 20
    expected = tension(up, 0.0) * -1.0 / 100.0 + tension(0.0, up) / RADIUS
    assert np.sign(expected) == -np.sign(up)
    # Off the waist girth grows with (h − 150)²/200: a face of 9 mm reaches 6 mm up, 3e-3 of its girth.
    np.testing.assert_allclose(contact_pressures(flat, surface)[at], expected, atol=4e-3 / RADIUS)


@pytest.mark.parametrize("around", [-0.04, 0.04])
def test_places_are_where_a_tube_is_squeezed_round_it_most(around):
    surface = cylinder(RADIUS)
    flat = laid(surface)
    fine = np.linspace(-np.pi, np.pi, 20_001)
    rate = np.exp(-around * np.exp(-0.5 * ((fine - 0.5) / 0.3) ** 2))
    u = RADIUS * np.interp(flat.panel.bearings, fine, np.cumsum(rate) * (fine[1] - fine[0]))
    found = places_that_lift(replace(flat, uv=np.stack([u, flat.panel.heights], axis=1)), surface)
    if around > 0.0:
        assert found == ()
        return
    assert 1 < len(found) <= MOST_PLACES
    heights = np.sort([lift.height for lift in found])
    assert (np.diff(heights) > ABOUT).all()
    assert [lift.pull for lift in found] == sorted((lift.pull for lift in found), reverse=True)
    for lift in found:
        assert lift.bearing == pytest.approx(0.5, abs=0.15)
        # A patch of 10 mm sees the band of 18 mm as one of √(18² + 10²/4).
        assert lift.pull == pytest.approx(-tension(around, 0.0) * 18.0 / np.hypot(18.0, 5.0) / RADIUS, rel=0.06)
