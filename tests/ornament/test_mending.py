"""What cannot be woven is mended so that it can, and no more is changed than that."""

import numpy as np
import pytest
import shapely

from flatten.ornament.bands import carved
from flatten.ornament.crossings import crossings_of
from flatten.ornament.mending import mended, narrowed
from flatten.ornament.model import OrnamentError, Region, Strand
from flatten.ornament.trouble import TroubleError
from flatten.ornament.weave import woven
from tests.ornament.drawn import closed_curve

SQUARE = Region.of(shapely.box(0.0, 0.0, 100.0, 100.0))


def lines(*ends):
    return [Strand(np.array(each, dtype=float)) for each in ends]


def circle(x, y, radius):
    return closed_curve(lambda t: (x + radius * np.cos(t), y + radius * np.sin(t)), 120)


CROSS = lines([(0, 50), (100, 50)], [(50, 0), (50, 100)])


@pytest.mark.parametrize(
    ("strands", "crossings", "changes"),
    [
        (CROSS, 1, []),
        (lines([(0, 50), (60, 50)], [(80, 0), (80, 100)]), 1, ["mend.drawn on"]),
        (lines([(0, 50), (60, 50)], [(60, 0), (60, 100)]), 1, ["mend.drawn on"]),
        (lines([(0, 20), (40, 20)], [(100, 30), (60, 30)]), 0, ["mend.joined"]),
        (lines([(20, 20), (80, 20), (80, 80), (20, 80), (20, 30)]), 0, ["mend.joined"]),
        ([*CROSS, *lines([(0, 0), (100, 100)])], 3, ["mend.aside"]),
        ([circle(40, 50, 10), circle(60, 50, 10)], 0, ["mend.aside"]),
        (lines([(0, 50), (100, 50)], [(0, 0), (30, 50), (60, 50), (100, 100)]), 1, ["mend.aside"]),
        ([circle(90, 50, 20), *lines([(0, 50), (101, 50)])], 1, ["mend.cut"]),
    ],
)
def test_a_drawing_is_mended_so_that_it_weaves(strands, crossings, changes):
    found = mended(strands, SQUARE, width=3.0, apart=0.5)
    assert [each.code for each in found.told] == changes
    assert len(found.weave.crossings) == crossings
    assert crossings_of(found.strands, field=SQUARE).troubles == ()
    # What was drawn is still there but for places near what was changed.
    drawn = shapely.union_all([shapely.LineString(each.points) for each in strands])
    now = shapely.union_all([shapely.LineString(each.points) for each in found.strands])
    kept = shapely.intersection(shapely.buffer(now, 0.02), shapely.intersection(drawn, SQUARE.shape))
    assert shapely.length(kept) > 0.5 * shapely.length(shapely.intersection(drawn, SQUARE.shape))
    if not changes:
        assert all(one is other for one, other in zip(strands, found.strands, strict=True))


def test_a_joint_has_no_corner():
    found = mended(lines([(0, 20), (40, 20)], [(100, 30), (60, 30)]), SQUARE, width=3.0, apart=0.5)
    (strand,) = found.strands
    steps = np.diff(strand.points, axis=0)
    bearings = np.arctan2(steps[:, 1], steps[:, 0])
    # The cubic turns up and back by less than 60 degrees each, in 63 chords.
    assert np.abs(np.diff(bearings)).max() < np.radians(4.0)
    assert (np.diff(strand.points[:, 0]) > 0.0).all()


def test_three_strands_through_one_point_have_room_for_bands_when_mended():
    strands = [*CROSS, *lines([(0, 0), (100, 100)])]
    found = mended(strands, SQUARE, width=5.0, apart=1.0)
    carved(found.weave, width=5.0, apart=1.0, field=SQUARE)


def test_an_odd_loop_round_a_hole_cannot_be_mended():
    ground = Region.of(shapely.box(0, 0, 100, 100).difference(shapely.Point(50, 50).buffer(10)))
    with pytest.raises(TroubleError) as told:
        mended([circle(50, 50, 25), *lines([(0, 50), (40, 50)])], ground, width=3.0, apart=0.5)
    assert [each.kind for each in told.value.troubles] == ["odd"]


def test_bands_that_have_no_room_become_narrower_until_they_have():
    weave = woven([circle(50, 50, 30), circle(50, 50, 23.2)], field=SQUARE)
    assert narrowed(weave, width=9.0, apart=1.0, field=SQUARE).width == 6.5
    assert narrowed(weave, width=3.0, apart=1.0, field=SQUARE).width == 3.0
    with pytest.raises(TroubleError):
        narrowed(woven([circle(50, 50, 0.1)]), width=3.0, apart=1.0, field=SQUARE)


@pytest.mark.parametrize(("width", "apart"), [(0.0, 1.0), (-1.0, 1.0), (3.0, -1.0), (float("inf"), 1.0)])
def test_bands_without_measures_are_refused(width, apart):
    with pytest.raises(OrnamentError, match="above 0"):
        mended(CROSS, SQUARE, width=width, apart=apart)
