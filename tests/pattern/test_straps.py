"""Straps by number, by heights, by pitch and by the usual rule, read back from the drawing."""

import io

import ezdxf
import numpy as np
import pytest

from flatten.drawing.compose import drawing_of
from flatten.drawing.dxf import dxf_bytes
from flatten.pattern.fastening import Strapping
from flatten.pattern.hardware import hardware_of
from flatten.pattern.model import PatternError
from flatten.pattern.piece import TitleBlock, pattern_from
from flatten.pattern.symmetry import evened
from tests.flat_panels import opened_frustum

STRAP_HOLE = 3.0


def tube(height, **more):
    """An opened tube: its flat piece's y is the height along the limb."""
    return opened_frustum(bottom=60.0, top=60.0 + 1e-6, height=height, gap=20.0, kind="strapped", **more)


def strapped(flat, *, even=False, **wish):
    flats, entries = evened((flat,)) if even else ((flat,), ())
    return pattern_from(flats, TitleBlock("watch", "left", 3.2), fastenings={"back": Strapping(**wish)}, even=entries)


def drawn_heights(pattern):
    """Heights of the straps' rivets at either side of the piece, from the drawing's bytes alone."""
    space = ezdxf.read(io.StringIO(dxf_bytes(drawing_of(pattern.pieces, "watch")).decode())).modelspace()
    holes = np.array([(c.dxf.center.x, c.dxf.center.y) for c in space.query('CIRCLE[layer=="HOLES"]')])
    (outline,) = space.query('LWPOLYLINE[layer=="CUT"]')
    ends = np.array(outline.get_points("xy"))
    holes -= [ends[:, 0].mean(), ends[:, 1].min()]
    found = [np.unique(np.round(holes[side, 1], 2)) for side in (holes[:, 0] < 0, holes[:, 0] > 0)]
    assert len(holes) == 4 * len(found[0])
    return found


def test_straps_stand_at_the_heights_that_are_asked_for():
    pattern = strapped(tube(300.0), at=(40.0, 110.0, 250.0))
    for side in drawn_heights(pattern):
        np.testing.assert_allclose(side, [40.0, 110.0, 250.0], atol=0.02)
    (join,) = pattern.joins
    assert (join.count, join.placed) == (3, "heights")
    assert join.heights == pytest.approx((40.0, 110.0, 250.0))


def test_straps_of_a_symmetrical_piece_stand_at_those_heights_too():
    pattern = strapped(tube(300.0), even=True, at=(40.0, 110.0, 250.0))
    left, right = drawn_heights(pattern)
    np.testing.assert_allclose(left, right, atol=0.011)
    np.testing.assert_allclose(left, [40.0, 110.0, 250.0], atol=0.02)


def test_at_a_height_straps_lie_level_where_the_edges_do_not():
    """On a cone whose edges are arched, heights are along the axis: y in the flat is not."""
    pattern = strapped(opened_frustum(gap=20.0, arch=12.0, kind="strapped"), at=(60.0, 200.0, 350.0))
    bottom, top = 229.34 / (2 * np.pi), 392.26 / (2 * np.pi)
    slant = np.hypot(395.30, top - bottom)
    # A frustum's side develops about its apex: the height along the axis is that along the slant over its cosine.
    apex = np.array([0.0, -bottom * slant / (top - bottom)])
    first = [hole for hole in pattern.pieces[0].holes if hole.side == "low"][::2]
    along = np.array([np.hypot(*(np.array([hole.x, hole.y]) - apex)) for hole in first]) + apex[1]
    np.testing.assert_allclose(along * 395.30 / slant, [60.0, 200.0, 350.0], atol=0.3)


@pytest.mark.parametrize("number", [2, 3, 5])
def test_so_many_straps_as_are_asked_for_stand_evenly_clear_of_the_edges(number):
    pattern = strapped(tube(300.0), number=number, width=25.0)
    # Half a strap and 5 mm beside it, from the bottom and the top edge.
    wanted = np.linspace(17.5, 282.5, number)
    for side in drawn_heights(pattern):
        np.testing.assert_allclose(side, wanted, atol=0.02)
    assert pattern.joins[0].placed == "number"
    straps = [one.count for one in hardware_of(pattern.joins) if one.name in ("strap", "buckle strap", "buckle")]
    assert straps == [number] * 3


@pytest.mark.parametrize(("height", "number"), [(90.0, 2), (200.0, 2), (220.0, 3), (330.0, 3), (500.0, 4)])
def test_the_usual_is_two_straps_on_a_forearm_and_two_or_three_on_a_shin(height, number):
    """Two or three on a shin by its length, two on a forearm: common practice; no two further apart than 180 mm."""
    (join,) = strapped(tube(height)).joins
    assert (join.count, join.placed) == (number, "rule")
    assert max(np.diff(join.heights)) <= 180.0


def test_a_pitch_is_a_wish_that_gives_way_where_straps_would_touch():
    (join,) = strapped(tube(91.0), pitch=40.0).joins
    # 61 mm of room: two steps of 30.5 mm.
    assert (join.count, join.placed) == (3, "pitch")
    (join,) = strapped(tube(87.0), pitch=30.0, width=20.0).joins
    assert join.count == 2


def test_straps_that_do_not_fit_are_refused_with_what_would():
    with pytest.raises(PatternError, match=r"has 270 mm for 11 straps 20 mm wide, which want 30 mm .* at most 10 fit"):
        strapped(tube(300.0), number=11)
    with pytest.raises(PatternError, match=r"asked for at 10 mm; clear of its ends .* stand from 15 to 285 mm"):
        strapped(tube(300.0), at=(10.0, 200.0))
    with pytest.raises(PatternError, match="asked for at 290 mm"):
        strapped(tube(300.0), at=(20.0, 290.0))
    with pytest.raises(PatternError, match="at 100 and 125 mm are 25 mm apart; 20 mm wide they want 30 mm"):
        strapped(tube(300.0), at=(40.0, 100.0, 125.0))
    with pytest.raises(PatternError, match="two of them 20 mm wide need at least 30 mm"):
        strapped(tube(50.0))


def test_straps_at_heights_leave_the_piece_by_their_own_slots():
    pattern = strapped(tube(300.0), at=(40.0, 250.0), slots=True)
    slots = [hole for hole in pattern.pieces[0].holes if hole.run]
    assert sorted({round(hole.y, 1) for hole in slots}) == [40.0, 250.0]
