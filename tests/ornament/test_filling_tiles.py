"""Mirror curves: as many closed strands and crossings as published, and no other double points."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from flatten.ornament.model import OrnamentError
from flatten.ornament.tiles import CROSS, LEVEL, UPRIGHT, Tiles, crossings, curves, runs
from tests.ornament_fields import double_points


def plain(width, height, *, goes_round=False):
    return Tiles(np.zeros((width + 1, height + 1), int), np.ones((width, height), bool), goes_round)


@pytest.mark.parametrize("across", range(1, 8))
@pytest.mark.parametrize("up", range(1, 8))
def test_an_unbroken_grid_has_as_many_strands_as_the_common_divisor(across, up):
    """Mirror curves of a rectangle a × b: gcd(a, b) closed curves (Gerdes; Jablan; from memory), 2ab − a − b points."""
    tiles = plain(2 * across, 2 * up)
    assert len(runs(tiles)) == math.gcd(across, up)
    assert len(crossings(tiles)) == 2 * across * up - across - up


@pytest.mark.parametrize("leads", range(1, 8))
@pytest.mark.parametrize("bights", range(1, 8))
def test_a_strip_that_goes_round_is_a_turks_head(leads, bights):
    """p leads and q bights: q(p − 1) crossings, gcd(p, q) closed strands (from memory)."""
    tiles = plain(2 * bights, leads, goes_round=True)
    assert len(runs(tiles)) == math.gcd(leads, bights)
    assert len(crossings(tiles)) == bights * (leads - 1)


@given(st.integers(0, 10**6))
@settings(max_examples=40, deadline=None)
def test_strands_meet_at_crossings_alone(seed):
    random = np.random.default_rng(seed)
    across, up = random.integers(1, 7, 2)
    kept = random.random((across, up)) < 0.85
    walls = random.choice([CROSS, CROSS, LEVEL, UPRIGHT], (2 * across + 1, 2 * up + 1))
    tiles = Tiles(walls, np.repeat(np.repeat(kept, 2, axis=0), 2, axis=1))
    if not kept.any():
        return
    lines = list(curves(tiles, swing=random.uniform(0.1, 0.5)))
    found = double_points(lines)
    wanted = crossings(tiles)
    assert len(found) == len(wanted)
    if len(wanted):
        order = np.lexsort(np.round(found[:, :2]).T[::-1])
        np.testing.assert_allclose(found[order, :2], wanted, atol=0.01)
        np.testing.assert_allclose(found[:, 2], np.pi / 2, atol=0.15)
    # Every tile has one arc, and every strand comes back.
    assert sum(len(corners) for corners in runs(tiles)) == 4 * kept.sum()


def test_a_wall_joins_two_strands_or_parts_one():
    """A wall takes one crossing away, and changes the number of strands by one at most."""
    random = np.random.default_rng(5)
    for _ in range(60):
        tiles = plain(8, 6)
        x, y = crossings(tiles)[random.integers(len(crossings(tiles)))]
        walls = tiles.walls.copy()
        walls[x, y] = random.choice([LEVEL, UPRIGHT])
        broken = Tiles(walls, tiles.present)
        assert len(crossings(broken)) == len(crossings(tiles)) - 1
        assert abs(len(runs(broken)) - len(runs(tiles))) <= 1


def test_curves_turn_as_far_from_a_wall_as_is_asked():
    walls = np.zeros((5, 5), int)
    walls[2, 1] = UPRIGHT
    lines = curves(Tiles(walls, np.ones((4, 4), bool)), swing=0.3)
    near = np.concatenate(lines)
    near = near[(np.abs(near - [2.0, 1.0]) < 0.9).all(axis=1)]
    assert np.abs(near[:, 0] - 2.0).min() == pytest.approx(0.3, abs=0.01)


def test_strands_that_would_end_are_refused():
    with pytest.raises(OrnamentError, match=r"a strand would end at grid point .*even number"):
        runs(plain(3, 4))
