"""What hardware is sold in, and what holes and edges it asks for."""

import itertools

import pytest
import shapely

from flatten.pattern.distances import check_holes
from flatten.pattern.fastening import edge_distance
from flatten.pattern.model import Hole, PatternError
from flatten.pattern.sizes import (
    LINE,
    SNAPS,
    SOLD_BY_HOLE,
    buckle_fits,
    buckle_for,
    buckles_beside,
    flange_of,
    is_sold,
    lace_sold,
    rounded_up,
    sold_for,
)


@pytest.mark.parametrize("kind", SOLD_BY_HOLE)
def test_tables_rise_and_every_flange_holds_on_to_the_leather(kind):
    table = SOLD_BY_HOLE[kind]
    assert all(one.inner < one.hole < one.flange for one in table)
    for one, larger in itertools.pairwise(table):
        assert (one.hole, one.inner, one.flange) < (larger.hole, larger.inner, larger.flange)


def test_usual_holes_have_something_sold_for_them():
    """Eyelet holes 5–6.5 mm; rivet holes about 3 mm: common practice."""
    assert all(is_sold("eyelet", hole) for hole in (5.0, 5.5, 6.0, 6.5))
    assert is_sold("rivet", 3.0)
    assert not is_sold("eyelet", 8.0)
    assert not is_sold("eyelet", 2.0)
    assert not is_sold("rivet", 6.0)
    assert sold_for("eyelet", 8.0).hole == 7.0
    assert sold_for("rivet", 6.0).hole == 5.0


def test_caps_of_snaps_are_20_and_24_lines_of_a_fortieth_of_an_inch():
    assert [round(one.flange / LINE) for one in SNAPS] == [20, 24]


@pytest.mark.parametrize(
    ("length", "step", "sold"), [(9.4, 1.0, 10.0), (9.0, 1.0, 9.0), (5.2, 0.5, 5.5), (0.3 * 3, 0.9, 0.9)]
)
def test_what_is_sold_is_never_shorter_and_less_than_a_step_longer(length, step, sold):
    assert rounded_up(length, step) == pytest.approx(sold)


def test_laces_are_the_next_length_that_is_sold_or_from_the_roll():
    assert [lace_sold(length) for length in (595.0, 900.0, 901.0, 3001.0, 3600.0)] == [600, 900, 1200, 3500, 4000]


def test_a_strap_goes_through_its_buckle_and_fills_it():
    assert (buckle_for(20.0), buckle_fits(20.0)) == (20.0, True)
    assert (buckle_for(18.0), buckle_fits(18.0)) == (20.0, True)
    assert not buckle_fits(22.0)
    assert buckles_beside(22.0) == (20.0, 25.0)
    assert (buckles_beside(70.0), buckle_fits(70.0)) == ((60.0, 60.0), False)
    assert buckles_beside(8.0) == (10.0, 10.0)


def test_a_wide_flange_is_kept_off_the_edge():
    # A cap of 9 mm over a tight hole of 2.8 mm, and 1.5 mm beside it: more than two holes or two thicknesses.
    assert flange_of("rivet", 2.8) == 9.0
    assert edge_distance("rivet", 2.8, 2.0) == pytest.approx(4.5 + 1.5)
    assert edge_distance("rivet", 2.8, 3.2) == pytest.approx(6.4)
    assert flange_of("stitch", 1.3) == flange_of("slot", 4.0) == 0.0


def test_caps_do_not_ride_on_one_another():
    shape = shapely.box(0.0, 0.0, 100.0, 100.0)

    def rivet(x):
        return Hole(x, 50.0, 3.0, "rivet", "back", "low")

    # Two caps of 9 mm with a millimetre between them.
    check_holes(shape, (rivet(40.0), rivet(50.0)), thickness=3.2, name="guard")
    with pytest.raises(PatternError, match=r"9\.8 mm apart, wanted 10\.0 mm"):
        check_holes(shape, (rivet(40.0), rivet(49.8)), thickness=3.2, name="guard")
