"""Changes of the place of rest, and of what is asked there, against differences."""

import numpy as np
import pytest
from forming_discs import disc_on_ball

from flatten.forming.asked import Asker, lines_beyond
from flatten.forming.fields import fields_over, ground_of
from flatten.forming.law import Hencky, Orthotropic
from flatten.forming.sensitivity import moves_by, slopes_by, tensors_by
from flatten.forming.settling import settled
from flatten.forming.sheet import Sheet, Stiffness
from flatten.leather.aims import limit_aims
from flatten.leather.lines import worst_lines
from flatten.leather.rims import worst_rims
from flatten.leather.tensors import flat_areas, grain_places, grain_tensors, log_excess, patch_tensors
from flatten.unwrap.model import Limits

CASED = Limits(0.05, 0.04, 0.03, 0.02, "given")
H = 1e-4


@pytest.fixture(scope="module")
def rest():
    flat, surface = disc_on_ball(8.0)
    sheet, held = Sheet(flat, surface, law=Hencky()), np.arange(len(flat.uv)) == 0
    places = grain_places(flat)
    return flat, sheet, places, held, settled(sheet, sheet.start, held=held)


def some_fields(places):
    return fields_over(places, ground_of(places, even=False), even=False)[[0, 3, 7, 11, 20, 26]]


@pytest.mark.parametrize("law", [Hencky(), Orthotropic(0.6)])
def test_slopes_follow_the_flat_shape(rest, law):
    flat, _, places, _, _ = rest
    sheet, fields = Sheet(flat, disc_on_ball(8.0)[1], law=law), some_fields(places)
    at = sheet.start + np.random.default_rng(1).normal(0, 0.3, sheet.start.shape)
    got = slopes_by(sheet, at, fields)
    for field, slope in zip(fields, got, strict=True):
        up, down = (Stiffness(sheet.reshaped(places + h * field), at).slope for h in (H, -H))
        np.testing.assert_allclose(slope, (up - down) / (2 * H), atol=1e-6 * np.abs(got).max())


def test_the_place_of_rest_and_its_tensors_follow_the_flat_shape(rest):
    _, sheet, places, held, found = rest
    fields = some_fields(places)
    moves = moves_by(sheet, found, fields, held=held)
    changes, grown = tensors_by(sheet, found.places, fields, moves)
    far = 0.02
    for k, field in enumerate(fields):
        shaped = [sheet.reshaped(places + h * field) for h in (far, -far)]
        ends = [settled(one, found.places, held=held).places for one in shaped]
        # What it costs to slip is flat: the place of rest is known less well than what is asked there.
        np.testing.assert_allclose(moves[k], (ends[0] - ends[1]) / (2 * far), atol=5e-3 * np.abs(moves).max())
        up, down = (one.tensors(end) for one, end in zip(shaped, ends, strict=True))
        np.testing.assert_allclose(changes[k], (up - down) / (2 * far), atol=5e-3 * np.abs(changes).max())
        sizes = [one.elements.areas for one in shaped]
        np.testing.assert_allclose(grown[k] * sheet.elements.areas, (sizes[0] - sizes[1]) / (2 * far), atol=1e-6)


def test_patches_are_asked_as_the_report_asks_them(rest):
    flat, sheet, places, _, _ = rest
    asker, tensors = Asker(flat.panel.mesh, places, limit_aims(CASED)), sheet.tensors(sheet.start)
    beyond, means, weights = asker.patches(sheet.elements, tensors)
    np.testing.assert_allclose(means, patch_tensors(flat), atol=1e-12)
    np.testing.assert_allclose(
        beyond.reshape(2, -1).max(axis=0), log_excess(patch_tensors(flat), limits=CASED), atol=1e-12
    )
    rng = np.random.default_rng(2)
    change, grown = rng.normal(0, 0.02, (1, *tensors.shape)), rng.normal(0, 0.02, (1, len(tensors)))
    slopes = asker.patch_slopes(sheet.elements, tensors, means, change, grown)[0]
    want = []
    for h in (H, -H):
        areas = sheet.elements.areas * (1 + h * grown[0])
        moved = type(sheet.elements)(sheet.elements.faces, sheet.elements.hats, areas, sheet.elements.count)
        want.append(asker.patches(moved, tensors + h * change[0])[0])
    got = np.sum(weights * np.tile(slopes, (2, 1)), axis=1)
    np.testing.assert_allclose(got, (want[0] - want[1]) / (2 * H), atol=1e-6)


def test_lines_and_rims_are_asked_as_the_report_asks_them(rest):
    flat, sheet, places, _, _ = rest
    aims = limit_aims(CASED)
    asker, tensors = Asker(flat.panel.mesh, places, aims), grain_tensors(flat)
    lines = asker.sighted(places, flat.panel.mesh.faces, tensors)
    beyond, weights = lines_beyond(lines, tensors)
    told = worst_lines(flat, tensors, aims)
    for aim in aims:
        assert beyond[lines.signs == aim.sign].max() == pytest.approx(told[aim].beyond, abs=3e-3)
    change = np.random.default_rng(4).normal(0, 0.02, tensors.shape)
    up, down = (lines_beyond(lines, tensors + h * change)[0] for h in (H, -H))
    got = np.einsum("nsk,nsk->n", weights, change[lines.faces])
    np.testing.assert_allclose(got, (up - down) / (2 * H), atol=1e-6)
    rims = asker.rims(places, flat.panel.mesh.vertices)
    assert rims.max() == pytest.approx(max(line.beyond for line in worst_rims(flat, aims).values()), abs=1e-12)
    assert flat_areas(flat).sum() == pytest.approx(sheet.elements.areas.sum())
