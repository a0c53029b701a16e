"""Plaits along one side lie inside it, come back at their ends, and mirror where their side does."""

import math

import numpy as np
import pytest
import shapely

from flatten.ornament.model import OrnamentError
from flatten.ornament.plait import SIDES, Plait, plait
from flatten.ornament.rail import reflected
from tests.ornament_fields import any_field, box, double_points, shin


@pytest.mark.parametrize("side", SIDES)
@pytest.mark.parametrize("strands", [2, 4])
def test_a_plait_lies_along_its_side(side, strands):
    whole = shin()
    made = plait(whole, Plait(side, strands, 3.0))
    (repeats,) = made.repeats
    # The same counts as those of mirror curves of a rectangle of p / 2 by q: see the tests of tiles.
    assert len(made.strands) == math.gcd(strands // 2, repeats)
    points = double_points([strand.points for strand in made.strands])
    assert len(points) == strands * repeats - strands // 2 - repeats
    lines = [shapely.LinearRing(strand.points) for strand in made.strands]
    inside = shapely.buffer(whole.region.shape, 0.01 - 1.5)
    assert all(shapely.covers(inside, line) for line in lines)
    bands = shapely.union_all([shapely.buffer(line, 1.5) for line in lines])
    assert shapely.area(shapely.difference(bands, made.strip.shape)) <= 0.01 * shapely.area(bands)
    middle = points[:, :2].mean(axis=0)
    assert {"left": middle[0] < -90, "right": middle[0] > 90, "foot": middle[1] < 60, "top": middle[1] > 220}[side]
    if side in ("foot", "top"):
        mine = np.concatenate([strand.points for strand in made.strands])
        image = shapely.points(reflected(mine, whole.centre))
        assert shapely.distance(image, shapely.MultiLineString(lines)).max() <= 1e-3


@pytest.mark.parametrize("seed", [0, 1, *(pytest.param(seed, marks=pytest.mark.full) for seed in range(2, 40))])
def test_plaits_in_any_field_lie_inside(seed):
    whole = any_field(seed)
    try:
        made = plait(whole, Plait(SIDES[seed % 4], 2, 2.5, 0.8))
    except OrnamentError as error:
        words = str(error)
        assert any(each in words for each in ("no room", "bends too", "two repeats need", "lie on each other"))
        return
    inside = shapely.buffer(whole.region.shape, 0.01 - 1.25)
    assert all(shapely.covers(inside, shapely.LinearRing(strand.points)) for strand in made.strands)


@pytest.mark.parametrize(
    ("asked", "words"),
    [
        (Plait("back"), "along 'back'; take one of left, foot, right, top"),
        (Plait(strands=3), "take an even number"),
        (Plait(width=0.0), "its width must be above 0"),
        (Plait(strands=2, pitch=60.0), r"leaves \d+ mm .* two repeats need 120 mm"),
        (Plait(strands=8, width=6.0), "has no room"),
    ],
)
def test_what_cannot_be_is_refused(asked, words):
    with pytest.raises(OrnamentError, match=words):
        plait(box(90.0, 90.0), asked)
