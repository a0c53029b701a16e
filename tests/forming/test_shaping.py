"""Shapes that come to rest within their limits: what is gained, what must stay, and that it holds on another mesh."""

from dataclasses import replace

import numpy as np
import pytest

from flatten.forming.asked import Asker
from flatten.forming.fields import fields_over, ground_of, narrower
from flatten.forming.free import free_state, held_edges
from flatten.forming.law import Hencky
from flatten.forming.shaping import LENGTH_OFF, RIM_OFF, Member, shaped
from flatten.forming.sheet import Sheet
from flatten.leather.aims import limit_aims
from flatten.leather.stretch import stretch_report
from flatten.leather.tensors import grain_places
from flatten.limb.kind import LOWER_LEG
from flatten.mesh.surface import Mesh
from tests.limbs import calf, limb_of
from tests.plated import laid_on


@pytest.fixture(scope="module")
def guard():
    _, _, found = laid_on(limb_of(calf), mesh=9.0, edges={"bottom": "50 mm", "top": "250 mm"})
    return found.panels[0].flat, found.neutral.surface, found.panels[0].stretch.limits


def member(flat, surface, limits, *, even=False, joined=()):
    places = grain_places(flat)
    cos, sin = np.cos(flat.grain_angle), np.sin(flat.grain_angle)
    fields = fields_over(flat.uv, ground_of(flat.uv, even=even), even=even) @ np.array([[cos, -sin], [sin, cos]])
    rims = np.unique(np.concatenate([one.vertices for one in flat.panel.boundaries if one.kind == "edge"]))
    asker = Asker(flat.panel.mesh, places, limit_aims(limits.in_force))
    return Member(Sheet(flat, surface, law=Hencky()), held_edges(flat), places, fields, rims, joined, asker)


def relaid(flat, one, shape):
    """The flat panel in its new shape, laid where the pattern puts it: where it came to rest."""
    cos, sin = np.cos(flat.grain_angle), np.sin(flat.grain_angle)
    uv = one.changed(shape.amounts) @ np.array([[cos, sin], [-sin, cos]])
    places, scale = shape.rests[0].places, one.sheet.scale
    mesh = Mesh(shape.sheets[0].points(places), flat.panel.mesh.faces)
    panel = replace(flat.panel, mesh=mesh, heights=places[:, 0], bearings=places[:, 1] / scale)
    return replace(flat, uv=uv, panel=panel)


def test_a_guard_that_does_not_rest_within_its_limits_is_shaped_so_that_it_does(guard):
    flat, surface, limits = guard
    told = stretch_report(flat, kind=LOWER_LEG, limits=limits)
    free = stretch_report(free_state(flat, surface).flat, kind=LOWER_LEG, limits=limits)
    assert told.fits
    assert not free.fits
    one = member(flat, surface, limits)
    shape = shaped([one], enough=-0.001)
    assert shape.excess <= 0.0 < max(free.lines.excess, free.rims.excess)
    new = relaid(flat, one, shape)
    # The report, which asks by means of its own, agrees; and let go again it stays where it is.
    assert stretch_report(new, kind=LOWER_LEG, limits=limits).fits
    again = free_state(new, surface)
    assert again.slip.max() < 0.02
    assert np.abs(new.panel.heights[one.rims] - flat.panel.heights[one.rims]).max() < RIM_OFF + 0.3


def test_it_is_enough_to_be_narrower_where_that_is(guard):
    flat, surface, limits = guard
    one, ground = member(flat, surface, limits), ground_of(flat.uv, even=False)
    tried = narrower(ground, 0.01, even=False)
    across = np.array([np.cos(flat.grain_angle), -np.sin(flat.grain_angle)])
    np.testing.assert_allclose(np.ptp(one.places @ across), np.ptp(flat.uv[:, 0]))
    np.testing.assert_allclose(np.ptp(one.changed(tried) @ across), 0.99 * np.ptp(flat.uv[:, 0]))
    shape = shaped([one], enough=1.0, first=[tried])
    assert shape.rounds == 0
    assert not shape.amounts.any()


def test_halves_stay_mirror_images():
    rng = np.random.default_rng(5)
    uv = rng.uniform(-100, 100, (40, 2)) + np.array([0.0, 30.0])
    both = np.concatenate([uv, uv * [-1.0, 1.0]])
    fields = fields_over(both, ground_of(both, even=True), even=True)
    for field in fields:
        np.testing.assert_allclose(field[40:], field[:40] * [-1.0, 1.0], atol=1e-12)
    assert len(fields) < len(fields_over(both, ground_of(both, even=False), even=False))


def test_sides_that_are_joined_keep_their_lengths(guard):
    flat, surface, limits = guard
    sides = tuple(one.vertices for one in flat.panel.boundaries if one.kind == "laced")
    free_to_grow, kept = member(flat, surface, limits), member(flat, surface, limits, joined=sides)
    lengths = [
        np.abs(kept.lengths(one.changed(shaped([one], enough=-0.05).amounts)) - kept.lengths(one.places)).max()
        for one in (free_to_grow, kept)
    ]
    assert lengths[1] < LENGTH_OFF + 0.05 < lengths[0]
