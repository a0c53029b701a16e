"""Whole panels let go on the limb: what must not slip, what may, and what holds it."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.spatial import cKDTree

from flatten.forming.free import free_state, held_edges, state_with_friction
from flatten.forming.law import Hencky, Orthotropic
from flatten.forming.sheet import Sheet
from flatten.forming.way import pushed_share
from flatten.leather.stretch import stretch_report
from flatten.leather.tensors import grain_tensors, stretches
from flatten.limb.kind import LOWER_LEG
from tests.limbs import calf, cone, cylinder, limb_of
from tests.plated import laid_on


def laid(skin, mesh=8.0, **tables):
    """The flat panel of a plain laced guard on a limb with a formula, and the surface it lies on."""
    _, _, found = laid_on(skin, mesh=mesh, **tables)
    return found.panels[0].flat, found.neutral.surface, found.panels[0].stretch.limits


@pytest.fixture(scope="module")
def on_calf():
    return laid(limb_of(calf))


@pytest.mark.parametrize("skin", [cylinder(), cone()])
def test_what_lies_without_stretch_stays_where_it_is(skin):
    flat, surface, _ = laid(skin)
    found = free_state(flat, surface)
    # A chord over an arc of length L is shorter by (L/R)²/24.
    most = float(np.max(8.0 / surface.radius(flat.panel.heights, flat.panel.bearings))) ** 2 / 24
    got = stretches(grain_tensors(found.flat))
    assert np.abs(np.stack([got.greatest, got.least]) - 1).max() < 1.5 * most
    assert found.slip.max() < 0.05


def test_a_calf_s_panel_slips_and_its_energy_falls(on_calf):
    flat, surface, limits = on_calf
    found, stuck = free_state(flat, surface), state_with_friction(flat, surface, coefficient=1e6, wrap=1.0)
    assert found.energy < 0.95 * stuck.energy
    assert found.slip.max() > 0.3
    assert stuck.slip.max() < 0.06
    told = stretch_report(flat, kind=LOWER_LEG, limits=limits)
    assert stretch_report(stuck.flat, kind=LOWER_LEG, limits=limits).largest.stretch == pytest.approx(
        told.largest.stretch, abs=5e-4
    )
    held = stretch_report(found.flat, kind=LOWER_LEG, limits=limits)
    assert abs(held.smallest.stretch - told.smallest.stretch) > 1e-3


def test_friction_and_a_wrap_hold_more_and_more(on_calf):
    flat, surface, _ = on_calf
    states = [
        free_state(flat, surface),
        state_with_friction(flat, surface, coefficient=0.3),
        state_with_friction(flat, surface, coefficient=0.3, wrap=3e-4),
        state_with_friction(flat, surface, coefficient=0.3, wrap=3e-3),
    ]
    means = [float(state.slip.mean()) for state in states]
    assert means == sorted(means, reverse=True)
    assert means[-1] < 0.2 * means[0]


def test_at_rest_nothing_along_the_limb_is_left_but_at_what_is_held(on_calf):
    """Virtual work: no smooth slip that keeps the seam where it is brings the energy down further."""
    flat, surface, _ = on_calf
    found = free_state(flat, surface)
    sheet = Sheet(flat, surface, law=Hencky())
    places = np.stack([found.flat.panel.heights, found.flat.panel.bearings * sheet.scale], axis=1)
    held = flat.uv[held_edges(flat)]
    share = np.minimum(cKDTree(held).query(flat.uv)[0] / 120.0, 1.0)
    for turns in (1, 2, 3):
        for way in ((1.0, 0.0), (0.0, 1.0)):
            slip = np.sin(0.5 * np.pi * turns * share)[:, None] * np.array(way)
            rise = [sheet.energy(places + h * slip) - found.energy for h in (-0.05, 0.05)]
            assert min(rise) > 0
            assert rise[0] == pytest.approx(rise[1], rel=0.05)


def test_stiffness_by_the_grain_hardly_moves_what_is_foretold(on_calf):
    flat, surface, limits = on_calf
    plain, across = (free_state(flat, surface, law=law) for law in (None, Orthotropic(0.6)))
    one, other = (stretch_report(state.flat, kind=LOWER_LEG, limits=limits) for state in (plain, across))
    assert abs(one.largest.stretch - other.largest.stretch) < 0.013
    assert abs(one.smallest.stretch - other.smallest.stretch) < 0.013
    assert np.abs(plain.slip - across.slip).max() > 0.02


@pytest.mark.parametrize(("share", "pushed"), [(0.99, 0.0), (1.01, 1.0)])
def test_laces_pull_what_is_cut_narrower_and_would_have_to_push_what_is_wider(share, pushed):
    flat, surface, _ = laid(cylinder(), mesh=10.0)
    found = free_state(replace(flat, uv=flat.uv * [share, 1.0]), surface)
    assert pushed_share(found) == pytest.approx(pushed, abs=0.02)
    sides = [one.vertices for one in flat.panel.boundaries if one.kind == "laced"]
    # A sheet pulled one way alone: E·t times the strain along each mm of the side.
    force = float(np.abs(found.pull[sides[0]]).sum()) / float(np.ptp(flat.uv[sides[0], 1]))
    assert force == pytest.approx(abs(np.log(share)), rel=0.1)
