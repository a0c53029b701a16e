"""A scan's own torn edge: a ragged rim is left out of the trusted range, a deep bite is bridged and told."""

import dataclasses
import json
from pathlib import Path

import numpy as np
import pytest
from limb_shapes import calf, points_of

from flatten.limb.find import find_limb
from flatten.limb.kind import LOWER_LEG
from flatten.limb.model import LimbError
from flatten.limb.surface.coverage import RAGGED, RING
from flatten.limb.surface.fit import fit_surface
from flatten.scan.read import read_scan
from flatten.words.say import texts
from tests.sections import girths_in_plane

TOP = 300.0

EXACT = 0.1
"""mm. What the fit of exact points may be off."""

CELL = 4.0
"""mm. Rows in which coverage is told; a row counts as seen where the next one is."""


def torn(depth, *, upside_down=False):
    """Points on a calf whose upper (or lower) edge is torn off by `depth` (mm of height) at each bearing."""
    points = points_of(calf, count=40_000)
    gap = depth(np.arctan2(points[:, 1], points[:, 0]))
    kept = points[:, 2] > gap if upside_down else points[:, 2] < TOP - gap
    return points[kept]


def teeth(deepest):
    """A sawtooth rim of three teeth from 0 to `deepest` mm, each a hundred millimetres wide."""
    return lambda bearings: deepest * np.mod(bearings * 3 / (2 * np.pi), 1.0)


def bite(deep, wide):
    return lambda bearings: np.where(np.abs(bearings - 1.0) < wide / 2, deep, 0.0)


@pytest.mark.parametrize("deepest", [4.0, 8.0, 11.0])
@pytest.mark.parametrize("upside_down", [False, True])
def test_a_ragged_rim_is_left_out_to_the_bottom_of_its_teeth(deepest, upside_down):
    skin = fit_surface(torn(teeth(deepest), upside_down=upside_down), heights=(0.0, TOP), needed=(40.0, TOP - 40.0))
    left = skin.trusted[0] if upside_down else TOP - skin.trusted[1]
    # A row is as good as seen where the next one is.
    assert deepest - 2 * CELL <= left <= deepest + CELL
    if deepest > 2 * CELL:
        assert left > 0.0
    rim = skin.trusted[0] if upside_down else skin.trusted[1]
    turn = np.linspace(-np.pi, np.pi, 90, endpoint=False)
    heights = np.full(90, rim)
    # The centre moves with the fit: the points themselves are compared.
    flat = skin.points(heights, turn)[:, :2]
    true = calf(heights, np.arctan2(flat[:, 1], flat[:, 0]))
    np.testing.assert_allclose(np.linalg.norm(flat, axis=1), true, atol=0.3)
    assert skin.bridges == ()


def test_a_whole_rim_is_trusted_to_its_end():
    skin = fit_surface(torn(teeth(0.0)), heights=(0.0, TOP), needed=(40.0, TOP - 40.0))
    assert skin.trusted == (0.0, TOP)


@pytest.mark.parametrize("deep", [2.5 * RAGGED, 4 * RAGGED])
def test_a_bite_is_bridged_and_told_with_its_place(deep):
    skin = fit_surface(torn(bite(deep, 0.7)), heights=(0.0, TOP), needed=(40.0, TOP - deep - 20.0))
    assert skin.trusted[1] == TOP
    place = skin.bridges[0]
    assert place.height > TOP - deep
    assert place.bearing == pytest.approx(1.0, abs=0.4)
    # 0.7 of a radius of 58 mm.
    assert place.width == pytest.approx(min(deep, 0.7 * 58.0), rel=0.35)
    here = skin.points(np.array([place.height]), np.array([place.bearing]))[0]
    true = calf(np.array([place.height]), np.array([np.arctan2(here[1], here[0])]))[0]
    assert abs(np.hypot(*here[:2]) - true) <= place.uncertainty + EXACT


def test_a_ring_is_bridged_up_to_its_height_and_no_higher():
    points = points_of(calf, count=40_000)
    for height, whole in ((RING - 10.0, True), (RING + 15.0, False)):
        seen = points[np.abs(points[:, 2] - 150.0) > height / 2]
        if not whole:
            with pytest.raises(LimbError, match="the scan shows only"):
                fit_surface(seen, heights=(0.0, TOP))
            continue
        skin = fit_surface(seen, heights=(0.0, TOP))
        turn = np.linspace(-np.pi, np.pi, 90, endpoint=False)
        flat = skin.points(np.full(90, 150.0), turn)[:, :2]
        true = calf(np.full(90, 150.0), np.arctan2(flat[:, 1], flat[:, 0]))
        assert np.abs(np.linalg.norm(flat, axis=1) - true).max() <= max(place.uncertainty for place in skin.bridges)


SCANS = Path(__file__).parent.parent / "data" / "scans"


@pytest.mark.parametrize("seed", range(3))
def test_girths_of_a_leg_are_true_up_to_a_torn_edge(seed):
    facts = json.loads((SCANS / "leg_a_clean.json").read_text("utf8"))
    scan = read_scan(SCANS / facts["file"], unit=facts["unit"])
    origin, axis = np.array(facts["axis"]["origin_file"]), np.array(facts["axis"]["direction_file"])
    away = scan.points - origin
    heights = away @ axis
    aside = np.linalg.svd(axis[None])[2][1:]
    turn = np.arctan2(*(away @ aside.T).T)
    # Tears of up to 25 mm, some narrow, at another place each time.
    rng = np.random.default_rng(seed)
    waves = [np.cos(number * turn + rng.uniform(0, 6)) for number in (2, 3, 5, 9, 14)]
    rim = 410.0 + 25.0 * np.clip(np.mean(waves, axis=0) * 1.5, -0.5, 0.5)
    kept = heights < rim
    part = dataclasses.replace(scan, faces=scan.faces[kept[scan.faces].all(axis=1)])
    limb, skin = find_limb(part, kind=LOWER_LEG, side=facts["side"])
    found = []
    for row in facts["girths"]:
        girths = girths_in_plane(limb, skin, origin + row["t_mm"] * axis, axis)
        if girths is not None:
            found.append((row["t_mm"], girths[1] - row["scan_tape_mm"]))
    at, error = np.array(found).T
    assert at.max() >= 360.0
    # That it ends below the knee is told, and nothing else.
    (caution,) = texts(limb.findings)
    assert "does not show the knee" in caution
    # As on the whole scan, but for the last girth, below which the edge is torn.
    assert np.abs(error[at < 380.0]).max() <= 0.3
    assert np.abs(error).max() <= 1.5
