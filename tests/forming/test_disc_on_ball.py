"""A flat disc of leather laid on a ball, against the membrane's own equation in one dimension."""

from dataclasses import replace

import numpy as np
import pytest
from forming_discs import BALL, DISC, disc_on_ball
from scipy.integrate import solve_bvp
from scipy.spatial import cKDTree

from flatten.forming.law import Hencky, Orthotropic
from flatten.forming.pressing import pressure_of
from flatten.forming.settling import settled
from flatten.forming.sheet import Sheet, Stiffness
from flatten.leather.tensors import flat_areas, patch_tensors, stretches
from flatten.mesh.surface import Mesh

POISSON = 0.35


def membrane():
    """Worn angle ψ(r) of a circle of flat radius r: principal stretches Rψ' and R sin ψ / r, in Hencky's law.

    Equilibrium of the shell of revolution with stresses per flat length P₁ = W,₁ and P₂ = W,₂: (r P₁)' = P₂ cos ψ.
    """
    scale = 1 / (1 - POISSON**2)

    def logs(r, psi, traction):
        across = np.log(BALL * np.sin(psi) / r)
        # P₁ = scale (e₁ + ν e₂) / λ₁, solved for λ₁ by Newton's steps.
        along = np.zeros_like(r)
        for _ in range(40):
            value = scale * (along + POISSON * across) * np.exp(-along) - traction / r
            along = along - value / (scale * np.exp(-along) * (1 - along - POISSON * across))
        return along, across

    def slopes(r, state):
        psi, traction = state
        along, across = logs(r, psi, traction)
        hoop = scale * (across + POISSON * along) * np.exp(-across)
        return np.stack([np.exp(along) / BALL, hoop * np.cos(psi)])

    start = 1e-3
    r = np.linspace(start, DISC, 400)

    def ends(first, last):
        along, across = logs(np.array([start]), first[:1], first[1:])
        return np.array([along[0] - across[0], last[1]])

    found = solve_bvp(slopes, ends, r, np.stack([r / BALL, np.zeros_like(r)]), tol=1e-9, max_nodes=20000)
    assert found.success
    along, across = logs(r, *found.sol(r))
    energy = np.trapezoid(np.pi * r * scale * (along**2 + across**2 + 2 * POISSON * along * across), r)
    return r, np.exp(along), np.exp(across), energy


def at_rest(step, turn=0.0):
    """The disc at rest, its middle held, and its sheet."""
    flat, surface = disc_on_ball(step, turn)
    sheet, held = Sheet(flat, surface, law=Hencky(POISSON)), np.arange(len(flat.uv)) == 0
    return flat, sheet, settled(sheet, sheet.start, held=held)


@pytest.fixture(scope="module")
def exact():
    return membrane()


def test_small_strains_are_those_of_the_closed_form(exact):
    # Disc a on a ball R, small strains: centre a²(1 − ν)/16R², rim −a²/8R² (derived from the linear membrane).
    _, along, across, _ = exact
    assert along[0] - 1 == pytest.approx(DISC**2 * (1 - POISSON) / 16 / BALL**2, rel=0.02)
    assert across[-1] - 1 == pytest.approx(-(DISC**2) / 8 / BALL**2, rel=0.05)


def test_patches_agree_with_the_membrane_within_a_twentieth_of_a_percent(exact):
    r, along, across, _ = exact
    flat, sheet, found = at_rest(4.0)
    laid = replace(flat, panel=replace(flat.panel, mesh=Mesh(sheet.points(found.places), flat.panel.mesh.faces)))
    got = stretches(patch_tensors(laid))
    # The same discs over the exact solution: its tensor at each flat face, averaged alike.
    centres = flat.uv[flat.panel.mesh.faces].mean(axis=1)
    radius, angle = np.hypot(*centres.T), np.arctan2(centres[:, 1], centres[:, 0])
    inside = radius < DISC - 12.0
    one, other = np.interp(radius, r, along) ** 2, np.interp(radius, r, across) ** 2
    cos, sin = np.cos(angle), np.sin(angle)
    tensors = np.stack(
        [one * cos**2 + other * sin**2, one * sin**2 + other * cos**2, (one - other) * sin * cos], axis=1
    )
    near = cKDTree(centres).query_ball_point(centres[inside], 10.0)
    areas = flat_areas(flat)
    want = stretches(np.array([np.average(tensors[at], axis=0, weights=areas[at]) for at in near]))
    assert np.abs(got.greatest[inside] - want.greatest).max() < 5e-4
    assert np.abs(got.least[inside] - want.least).max() < 5e-4


def test_energy_converges_with_the_square_of_the_edge(exact):
    off = [at_rest(step)[2].energy / exact[3] - 1 for step in (8.0, 4.0, 2.0)]
    assert 0 < off[2] < 0.004
    assert 3.3 < off[0] / off[1] < 4.7
    assert 3.3 < off[1] / off[2] < 4.7


def test_turning_the_flat_piece_changes_nothing():
    _, sheet, found = at_rest(6.0)
    _, other, turned = at_rest(6.0, 0.7)
    np.testing.assert_allclose(other.points(turned.places), sheet.points(found.places), atol=1e-3)
    assert turned.energy == pytest.approx(found.energy, rel=1e-9)


@pytest.mark.parametrize("law", [Hencky(POISSON), Hencky(0.0), Orthotropic(0.6)])
def test_slope_and_hessian_are_the_energy_s_derivatives(law):
    flat, surface = disc_on_ball(10.0)
    sheet, rng, h = Sheet(flat, surface, law=law), np.random.default_rng(3), 1e-4
    places = sheet.start + rng.normal(0, 0.3, sheet.start.shape)
    way = rng.normal(size=places.shape)
    now = Stiffness(sheet, places)
    grown = (sheet.energy(places + h * way) - sheet.energy(places - h * way)) / (2 * h)
    assert grown == pytest.approx(float(np.sum(now.slope * way)), rel=1e-7)
    matrix, order = sheet.system.matrix(now.sums), sheet.system.order
    got = np.empty_like(way)
    got[order] = (matrix @ way[order].ravel()).reshape(-1, 2)
    want = (Stiffness(sheet, places + h * way).slope - Stiffness(sheet, places - h * way).slope) / (2 * h)
    assert np.abs(got - want).max() < 1e-8 * np.abs(want).max()


def test_what_is_stretched_presses_and_what_is_squeezed_stands_off():
    flat, sheet, found = at_rest(4.0)
    pressure = pressure_of(sheet, found.places)
    radius = np.hypot(*flat.uv.T)
    assert (pressure[radius < 15.0] > 0).all()
    assert (pressure[(radius > 50.0) & (radius < 56.0)] < 0).all()
    # At the middle both principal stresses are equal: 2 σ / R by Laplace's law, σ = e / (1 − ν) in Hencky's law.
    _, along, _, _ = membrane()
    stress = np.log(along[0]) / (1 - POISSON)
    assert pressure[0] == pytest.approx(2 * stress / BALL, rel=0.1)
