"""Half a drawing mirrored: exactly, joined where strands meet the centre line, with what does not meet it told."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from flatten.ornament.mirror import MEETS, UPRIGHT, mirrored, symmetry
from flatten.ornament.model import OrnamentError, Strand


def strand(*points, closed=False):
    return Strand(np.array(points, dtype=float), closed)


def as_sets(strands):
    return sorted(sorted(map(tuple, np.round(one.points, 9).tolist())) for one in strands)


def test_a_strand_that_meets_the_line_goes_on_in_its_image():
    whole = mirrored([strand((-20, 5), (-8, 9), (0, 10))], half="left")
    (one,) = whole.strands
    assert one.points.tolist() == [[-20, 5], [-8, 9], [0, 10], [8, 9], [20, 5]]
    assert not one.closed
    assert whole.joined == 1


def test_a_strand_with_both_ends_on_the_line_closes():
    (one,) = mirrored([strand((0, 0), (-10, 0), (-10, 20), (0, 20))], half="left").strands
    assert one.closed
    assert as_sets([one]) == as_sets([strand((0, 0), (-10, 0), (-10, 20), (0, 20), (10, 20), (10, 0))])


def test_where_two_end_together_the_straight_ways_go_on():
    """Half a crossing on the line: each goes on in the other's image, not back in its own."""
    whole = mirrored([strand((-10, 10), (0, 0)), strand((-10, -10), (0, 0))], half="left")
    assert as_sets(whole.strands) == as_sets(
        [strand((-10, 10), (0, 0), (10, -10)), strand((-10, -10), (0, 0), (10, 10))]
    )
    assert whole.joined == 1
    assert whole.findings == ()


def test_two_that_both_meet_the_line_squarely_at_one_place_keep_to_themselves():
    a, b = strand((-10, 1), (-5, 0.02), (0, 0)), strand((-10, -1), (-5, -0.02), (0, 0))
    assert len(mirrored([a, b], half="left").strands) == 2


def test_an_end_that_lies_before_the_line_is_led_on_along_its_own_direction():
    (one,) = mirrored([strand((-10, 0), (-0.4, 4.8))], half="left").strands
    assert one.points[2].tolist() == pytest.approx([0, 5])
    assert one.points[2, 0] == 0.0


def test_an_end_over_the_line_is_cut_there():
    (one,) = mirrored([strand((-10, 0), (0.4, 5.2))], half="left").strands
    assert one.points.tolist() == [[-10, 0], pytest.approx([0, 5]), [10, 0]]


def test_a_strand_on_the_line_is_there_once():
    whole = mirrored([strand((0.01, 0), (-0.02, 5), (0, 9)), strand((-9, 3), (-5, 3))], half="left")
    assert as_sets(whole.strands) == as_sets(
        [strand((0, 0), (0, 5), (0, 9)), strand((-9, 3), (-5, 3)), strand((9, 3), (5, 3))]
    )


@pytest.mark.parametrize(("half", "side"), [("left", -1), ("right", 1)])
def test_a_strand_over_the_line_is_told_with_its_place(half, side):
    with pytest.raises(OrnamentError, match=rf"of the {half} half lies 3 mm over .* at \({-3 * side}, 7\) mm"):
        mirrored([strand((10 * side, 0), (-3 * side, 7), (10 * side, 9))], half=half)


def test_ends_that_nearly_meet_the_line_and_corners_on_it_are_told():
    told = mirrored([strand((-10, 0), (-2, 7)), strand((-10, 20), (0, 30))], half="left").findings
    assert [(one.code, dict(one.figures)) for one in told] == [
        ("mirror.short", {"off": 2.0, "x": -2.0, "y": 7.0}),
        ("mirror.kinked", {"turn": pytest.approx(math.pi / 2), "x": 0.0, "y": 30.0}),
    ]


def test_rings_are_mirrored_each():
    whole = mirrored([strand((-9, 0), (-5, 0), (-5, 4), closed=True)], half="left")
    assert [one.closed for one in whole.strands] == [True, True]
    assert symmetry(whole.strands).off < 1e-12


def test_what_has_no_length_on_the_line_is_left_out():
    whole = mirrored([strand((0, 3), (0, 3)), strand((0, 7), (0.05, 7)), strand((-9, 0), (-5, 0))], half="left")
    assert as_sets(whole.strands) == as_sets([strand((-9, 0), (-5, 0)), strand((9, 0), (5, 0))])
    assert whole.joined == 0


def steps(low, high):
    """Lengths in steps of 1/64 mm, which no pencil is finer than."""
    return st.integers(low * 64, high * 64).map(lambda number: number / 64)


lines = st.lists(
    st.tuples(
        st.lists(st.tuples(steps(-90, -1), steps(-90, 90)), min_size=2, max_size=6, unique=True),
        st.sampled_from([(), (0,), (-1,), (0, -1)]),
    ),
    min_size=1,
    max_size=5,
)


@given(lines, st.sampled_from(["left", "right"]), st.floats(-7, 7), st.floats(-50, 50), st.floats(-50, 50))
def test_a_mirrored_drawing_is_its_own_mirror_image(drawn, half, turn, x, y):
    """Exactly about x = 0; about any other line to rounding. Every drawn point is there, and none is lost."""
    side = 1.0 if half == "left" else -1.0
    halves = []
    for points, on in drawn:
        line = np.array(points) * (side, 1.0)
        for end in on:
            line[end, 0] = 0.0
        halves.append(Strand(line))
    whole = mirrored(halves, half=half).strands
    every = {tuple(point) for one in whole for point in one.points.tolist()}
    assert {(0.0 - x, y) for x, y in every} == every
    # Ends on the line that are as good as one are set to their middle; nothing else moves.
    assert {tuple(p) for one in halves for p in one.points.tolist() if abs(p[0]) > MEETS} <= every
    assert symmetry(whole).off < 1e-12
    matrix = np.array([[math.cos(turn), -math.sin(turn)], [math.sin(turn), math.cos(turn)]])
    centre = UPRIGHT @ matrix.T + (x, y)
    turned = [Strand(one.points @ matrix.T + (x, y), one.closed) for one in halves]
    elsewhere = mirrored(turned, half=half, centre=centre).strands
    assert symmetry(elsewhere, centre=centre).off < 1e-9
    assert len(elsewhere) == len(whole)


def test_how_far_a_whole_drawing_is_from_its_image():
    off = symmetry([strand((-10, 0), (-10, 20)), strand((10.5, 0), (10.5, 20))])
    assert off.off == pytest.approx(0.5)
    slanting = symmetry([strand((-10, 0), (10, 4))])
    # The image (10, 0)–(−10, 4): its ends are 4 cos(atan 0.2) from the line.
    assert slanting.off == pytest.approx(4 / math.hypot(1, 0.2))
    assert abs(slanting.at[0]) == pytest.approx(10)
