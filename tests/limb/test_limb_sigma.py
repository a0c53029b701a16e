"""The doubt of a fitted surface by noise and by a limb's bend, on dense points and in a hole, in closed form."""

import numpy as np
import pytest
from limb_shapes import GOLDEN, cylinder, points_of
from scipy.special import jv

from flatten.limb.surface.bridge import COVERING, _missed, bend_round, bridges_in
from flatten.limb.surface.cells import Polar
from flatten.limb.surface.coverage import coverage_of
from flatten.limb.surface.penalty import fitted
from tests.limbs import limb_of

RADIUS, LENGTH = 60.0, 300.0
KNOTS = np.r_[[0.0] * 3, np.linspace(0.0, LENGTH, 61), [LENGTH] * 3]


def fit_of_a_tube(*, smoothing, sigma, hole=0.0, count=60_000):
    """The fit to a tube's points with radial noise, without those within `hole` mm of half height at the front."""
    index = np.arange(count)
    heights, bearings = (index + 0.5) / count * LENGTH, 2 * np.pi * np.mod(index * GOLDEN, 1.0) - np.pi
    radii = RADIUS + np.random.default_rng(3).normal(0.0, sigma, count)
    seen = np.hypot(heights - LENGTH / 2, RADIUS * bearings) >= hole
    return fitted(Polar(heights[seen], bearings[seen], radii[seen]), knots=KNOTS, columns=72, smoothing=smoothing)


def test_on_dense_points_the_doubt_is_that_of_a_smoothing_plane():
    """With k = 1/(1 + u⁴) and u = q·L: ∫ k² d²q/4π² = ∫ u⁴k² d²q/4π² = 1/(16 L²).

    So noise of density n leaves √n/(4 L) of a single fit, and a limb of unit bend L/4.
    """
    fit = fit_of_a_tube(smoothing=10.0, sigma=0.3)
    noise, bend = fit.sigmas(LENGTH / 2, 1.0)
    # Knots of 5 mm hold all waves up to u = 6: beyond lie 1/(2·36) of the second's ½∫ v²/(1+v²)² dv = π/8, v = u².
    assert bend == pytest.approx(10.0 / 4, rel=0.02)
    assert noise == pytest.approx(np.sqrt(fit.noise) / (4 * 10.0), rel=0.02)


def test_in_a_hole_the_bend_leaves_a_clamped_disc_s_deflection():
    """half/√(16π) (Timoshenko & Woinowsky-Krieger, Theory of Plates and Shells, art. 19)."""
    half, smoothing = 35.0, 1.6
    _, bend = fit_of_a_tube(smoothing=smoothing, sigma=0.0, hole=half).sigmas(LENGTH / 2, 0.0)
    # The points hold the rim as springs do: what is beyond it dies away as exp(-x / √2 L), and widens the disc by that.
    assert half <= bend * np.sqrt(16 * np.pi) <= half + np.sqrt(2) * smoothing


@pytest.mark.parametrize(("power", "bend"), [(2, 0.0), (3, 0.0), (4, 3 / 8)])
def test_a_limb_bends_by_what_a_plate_held_at_a_rim_would_miss(power, bend):
    """h² and h³ are plates of no load; h⁴ has Δ²h⁴ = 24, so its middle lies 24 a⁴/64 off the clamped plate of radius a.

    (The uniformly loaded clamped plate, q a⁴/64 D: Timoshenko & Woinowsky-Krieger, art. 17.) Over the field of unit
    bend's a/√(16π).
    """
    size, half = 10.0 / 190.0**power, 20.0
    skin = limb_of(lambda h, b: 60.0 + size * (h - 190.0) ** power + 0.0 * b, nodes=421)
    expected = size * bend * half**3 * np.sqrt(16 * np.pi)
    assert bend_round(skin, 190.0, 0.5, half=half) == pytest.approx(expected, rel=1e-4, abs=1e-9)


@pytest.mark.parametrize("waves", [3, 6])
def test_a_wave_round_the_limb_is_missed_by_what_bessels_functions_say(waves):
    """Round a circle of radius a, a plane wave of number k has the mean J₀(ka) of its middle, its slope −k J₁(ka).

    (Abramowitz & Stegun, Handbook of Mathematical Functions, 9.1.21.)
    """
    half, size, bearings = 20.0, 0.01, np.array([-2.0, 0.3, 1.1])
    skin = limb_of(lambda h, b: 60.0 + size * np.cos(waves * b) + 0.0 * h, nodes=121, around=120)
    x = waves * half / 60.0
    expected = size * np.cos(waves * bearings) * (1 - jv(0, x) - x / 2 * jv(1, x))
    np.testing.assert_allclose(_missed(skin, np.full(3, 190.0), bearings, half=half), expected, rtol=5e-3, atol=1e-7)


def test_noise_and_bend_of_a_bridge_add_as_independent_errors():
    skin = limb_of(lambda h, b: 50.0 + 2.0 * np.cos(3 * b) + 0.0 * h, nodes=121)
    points = points_of(cylinder)
    turn = np.arctan2(points[:, 1], points[:, 0])
    seen = np.hypot(points[:, 2] - 150.0, 50.0 * turn) > 20.0
    points, turn = points[seen], turn[seen]
    coverage = coverage_of(skin, points[:, 2], turn, kept=np.ones(len(points), bool))
    told = {}
    for noise, bend in ((0.7, 0.0), (0.0, 1.0), (0.7, 1.0)):
        (bridge,) = bridges_in(
            skin, coverage, points, between=(60.0, 240.0), sigmas=lambda h, b, n=noise, u=bend: (n, u)
        )
        assert bridge.uncertainty == pytest.approx(COVERING * bridge.likely)
        told[noise, bend] = bridge.likely
    assert told[0.7, 0.0] == pytest.approx(0.7)
    assert told[0.7, 1.0] == pytest.approx(np.hypot(0.7, told[0.0, 1.0]))
    assert told[0.0, 1.0] > 0.0
