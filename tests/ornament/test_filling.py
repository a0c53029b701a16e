"""Fillings stay inside their field, cross cleanly, mirror exactly, and go round holes."""

import numpy as np
import pytest
import shapely

from flatten.ornament.border import Border, border
from flatten.ornament.filling import LEAST_ANGLE, Filling, filling
from flatten.ornament.model import Field, OrnamentError, Region
from flatten.ornament.rail import reflected
from tests.ornament_fields import any_field, box, double_points, field, shin

SEEDS = [*range(5), *(pytest.param(seed, marks=pytest.mark.full) for seed in range(5, 60))]


def asked_of(whole: Field, seed: int) -> Filling:
    x0, y0, x1, y1 = shapely.bounds(whole.region.shape)
    width = float(np.random.default_rng(seed).uniform(2.0, 4.0))
    strands = 2 * max(int(min(x1 - x0, y1 - y0) / (4.5 * width) / 2), 2)
    return Filling(strands=strands, width=width, apart=0.8, seed=seed)


@pytest.mark.parametrize("seed", SEEDS)
def test_fillings_of_any_field(seed):
    whole = any_field(seed)
    asked = asked_of(whole, seed)
    try:
        strands = filling(whole, asked)
    except OrnamentError as error:
        # A narrow neck may ask for fewer: what is said to fit does.
        words = str(error)
        assert "do not fit" in words
        if "which fit" in words:
            fewer = int(words.split("; take ")[-1].split()[0])
            assert filling(whole, Filling(fewer, asked.width, asked.apart, asked.seed))
        return
    inside = shapely.buffer(whole.region.shape, -asked.width / 2)
    for strand in strands:
        assert strand.closed
        assert shapely.covers(shapely.buffer(inside, 0.01), shapely.LinearRing(strand.points))
    found = double_points([strand.points for strand in strands])
    assert found[:, 2].min() >= LEAST_ANGLE - 0.1
    # Visits: each crossing is met twice, and each closed strand meets an even number of others' points.
    distances = np.hypot(*(found[:, None, :2] - found[None, :, :2]).transpose(2, 0, 1)) + 1e9 * np.eye(len(found))
    assert distances.min() >= asked.width
    if whole.even:
        mine = np.concatenate([strand.points for strand in strands])
        image = reflected(mine, whole.centre)
        lines = shapely.MultiLineString([np.vstack([s.points, s.points[:1]]) for s in strands])
        assert shapely.distance(shapely.points(image), lines).max() <= 1e-3


def test_one_seed_gives_one_drawing_and_another_another():
    whole, asked = shin(), Filling(14, 6.0, 1.5, seed=3)
    first, again = filling(whole, asked), filling(whole, asked)
    assert [strand.points.tobytes() for strand in first] == [strand.points.tobytes() for strand in again]
    other = filling(whole, Filling(14, 6.0, 1.5, seed=4))
    assert len(np.concatenate([s.points for s in other])) != len(np.concatenate([s.points for s in first])) or (
        np.abs(np.concatenate([s.points for s in other]) - np.concatenate([s.points for s in first])).max() > 1.0
    )


def test_rows_of_a_filling_follow_a_curved_foot():
    """The lowest turns lie half a band inside the arched foot, all along it."""
    whole = shin(dip=30.0)
    points = np.concatenate([strand.points for strand in filling(whole, Filling(14, 6.0))])
    rim = shapely.boundary(whole.region.shape)
    for x in np.arange(-60.0, 61.0, 30.0):
        near = points[np.abs(points[:, 0] - x) < 14.0]
        assert shapely.distance(shapely.points(near), rim).min() == pytest.approx(3.0, abs=2.0)


def test_a_hole_is_gone_round_and_strands_beside_it_turn_back():
    whole = box(200.0, 200.0)
    hole = shapely.Point(0.0, 100.0).buffer(20.0)
    holed = Field("panel", Region.of(shapely.difference(whole.region.shape, hole)), whole.centre, True)
    strands = filling(holed, Filling(12, 5.0))
    lines = shapely.MultiLineString([np.vstack([s.points, s.points[:1]]) for s in strands])
    assert 2.5 <= shapely.distance(lines, hole) < 20.0
    assert all(strand.closed for strand in strands)


@pytest.mark.parametrize(
    ("asked", "words"),
    [
        (Filling(24, 6.0), r"24 strands of 6 mm do not fit the field of panel: .*; take \d+ strands, which fit"),
        (Filling(7, 6.0), "7 strands abreast; every strand comes back"),
        (Filling(8, 6.0, rows=5), "5 rows; take an even number"),
        (Filling(8, 0.0), "0 mm wide"),
        (Filling(4, 90.0), "has no room"),
    ],
)
def test_what_cannot_be_is_refused_with_what_would_fit(asked, words):
    with pytest.raises(OrnamentError, match=words):
        filling(box(150.0, 150.0), asked)


def test_a_field_of_two_islands_is_filled_on_both():
    apart = shapely.union(shapely.box(-140, 0, -20, 140), shapely.box(20, 0, 140, 140))
    strands = filling(field(apart), Filling(6, 5.0))
    sides = {float(np.sign(strand.points[:, 0].mean())) for strand in strands}
    assert sides == {-1.0, 1.0}


def test_no_ring_is_left_that_links_with_nothing():
    """Each strand crosses others, or itself, wherever a neighbour lies beside it."""
    for seed in range(2):
        strands = filling(shin(), Filling(12, 4.0, 1.0, seed=seed))
        for strand in strands:
            ring = shapely.LinearRing(strand.points)
            others = [shapely.LinearRing(other.points) for other in strands if other is not strand]
            assert not ring.is_simple or any(ring.intersects(other) for other in others)


def test_a_field_within_a_border_is_filled():
    """The strip that a border takes parts the field; what lies within is filled on its own."""
    whole = shin()
    made = border(whole, Border(3, 3.0))
    rest = Field("panel", Region.of(shapely.difference(whole.region.shape, made.strip.shape)), whole.centre, True)
    strands = filling(rest, Filling(10, 4.0, 1.0))
    lines = shapely.MultiLineString([np.vstack([s.points, s.points[:1]]) for s in strands])
    others = shapely.MultiLineString([np.vstack([s.points, s.points[:1]]) for s in made.strands])
    assert shapely.distance(lines, others) >= 2.0 + 3.0 + 1.5
    assert len(double_points([s.points for s in strands])) > 10
