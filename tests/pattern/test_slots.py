"""Strap slots: their rims, where they stand, and what is bought for them."""

import io
import itertools

import ezdxf
import ezdxf.path
import numpy as np
import pytest
import shapely

from flatten.drawing.compose import drawing_of
from flatten.drawing.dxf import dxf_bytes
from flatten.pattern.distances import check_holes
from flatten.pattern.fastening import Strapping
from flatten.pattern.hardware import hardware_of
from flatten.pattern.lettering import text_box
from flatten.pattern.model import Hole, PatternError
from flatten.pattern.outline import shape_of
from flatten.pattern.path import area, length
from flatten.pattern.piece import TitleBlock, pattern_from
from flatten.pattern.rims import slot_rim, spine
from flatten.report.cutting import size_message
from flatten.words.say import text
from tests.limbs import calf, limb_of
from tests.pattern.test_seam_holes import KINDS, laid, seam

SLOT = Hole(10.0, 20.0, 4.0, "slot", "back", "low", 21.0, np.radians(70.0))


@pytest.fixture(scope="module")
def strapped():
    flats = laid(limb_of(calf), [seam(1.3, "outer", **KINDS["strapped"]), seam(4.4, "inner", **KINDS["strapped"])])
    wish = Strapping(pitch=80.0, width=20.0, gap=20.0, slots=True, buckle="after")
    return pattern_from(
        flats, TitleBlock("watch", "left", 3.2), fastenings={"outer": wish, "inner": Strapping(pitch=80.0)}
    )


def test_a_slots_rim_is_two_straight_sides_and_two_half_circles():
    rim = slot_rim(SLOT)
    assert area(rim) == pytest.approx(21.0 * 4.0 + np.pi * 4.0)
    assert length(rim) == pytest.approx(2 * 21.0 + 2 * np.pi * 2.0)
    ends = np.array(spine(SLOT).coords)
    np.testing.assert_allclose(ends.mean(axis=0), [10.0, 20.0])
    np.testing.assert_allclose(ends[1] - ends[0], 21.0 * np.array([np.cos(SLOT.angle), np.sin(SLOT.angle)]))
    assert shape_of(rim).symmetric_difference(spine(SLOT).buffer(2.0, 64)).area < 0.05


def test_the_drawing_holds_each_slot_as_a_closed_line_with_bulges_on_the_holes_layer(strapped):
    space = ezdxf.read(io.StringIO(dxf_bytes(drawing_of(strapped.pieces, "watch")).decode())).modelspace()
    lines = list(space.query('LWPOLYLINE[layer=="HOLES"]'))
    slots = [hole for piece in strapped.pieces for hole in piece.holes if hole.run]
    assert len(lines) == len(slots) == 2 * next(join.count for join in strapped.joins if join.slotted)
    assert all(line.closed for line in lines)
    assert {round(bulge, 9) for line in lines for bulge in (p[4] for p in line.get_points())} == {0.0, 1.0}
    circles = [hole for piece in strapped.pieces for hole in piece.holes if not hole.run]
    assert len(space.query('CIRCLE[layer=="HOLES"]')) == len(circles)
    # A strap of 20 mm with a millimetre of play, and the round ends beyond it.
    shapes = [shapely.Polygon([(p.x, p.y) for p in ezdxf.path.make_path(line).flattening(0.01)]) for line in lines]
    for shape in shapes:
        assert shape.minimum_rotated_rectangle.length == pytest.approx(2 * (25.0 + 4.0), abs=0.1)


def test_slots_run_along_their_side_and_keep_clear_of_it(strapped):
    for piece in strapped.pieces:
        shape = shape_of(piece.outline)
        for hole in (hole for hole in piece.holes if hole.run):
            away = shape.exterior.distance(spine(hole))
            # Rim to edge 10 mm from memory, half the slot's 4 mm, and up to a millimetre for a bent side.
            assert 12.0 <= away <= 13.01
            ends = [shape.exterior.distance(shapely.Point(end)) for end in spine(hole).coords]
            assert abs(ends[0] - ends[1]) < 2.0


def test_the_sides_say_where_buckles_and_straps_come(strapped):
    texts = [{label.text for label in piece.labels} for piece in strapped.pieces]
    for join in strapped.joins:
        # Where they are asked for before the seam, as is usual: on the leather at lower bearings.
        buckles, straps = join.panels if join.buckle == "before" else join.panels[::-1]
        assert f"{join.name}: buckles here, to the {strapped.pieces[straps].name} piece" in texts[buckles]
        assert f"{join.name}: straps here, to the {strapped.pieces[buckles].name} piece" in texts[straps]
    assert {join.buckle for join in strapped.joins} == {"before", "after"}


def test_a_slotted_strap_is_riveted_to_itself(strapped):
    join = next(join for join in strapped.joins if join.slotted)
    found = {one.name: one for one in hardware_of([join])}
    assert found["rivet"].count == 2 * join.count
    # Twice a strap of 2.5 mm, and 3 mm of post: common practice.
    assert found["rivet"].size == pytest.approx(8.0)
    assert found["strap"].count == found["buckle"].count == join.count
    # Turned back 40 mm, twice from bar to slot and from slot to slot, four times 10 mm of holes, the tip.
    assert found["strap"].size == pytest.approx(40.0 + 2 * (60.0 + 20.0 + 2 * join.row) + 40.0 + 30.0)
    assert "round-ended slots 4 mm wide and 25 mm long" in " ".join(
        text(size_message(piece)) for piece in strapped.pieces
    )


def test_a_slot_too_near_an_edge_or_a_hole_is_refused_though_its_middle_is_clear():
    shape = shapely.box(0.0, 0.0, 100.0, 100.0)
    upright = Hole(14.0, 50.0, 4.0, "slot", "back", "low", 21.0, np.pi / 2)
    check_holes(shape, (upright,), thickness=3.2, name="watch")
    level = Hole(14.0, 50.0, 4.0, "slot", "back", "low", 21.0, 0.0)
    with pytest.raises(PatternError, match=r"3\.5 mm from an edge, wanted 12\.0 mm"):
        check_holes(shape, (level,), thickness=3.2, name="watch")
    above = Hole(14.0, 70.0, 3.0, "rivet", "back", "low")
    with pytest.raises(PatternError, match=r"9\.5 mm apart, wanted 12\.0 mm"):
        check_holes(shape, (upright, above), thickness=3.2, name="watch")


@pytest.mark.parametrize("kind", KINDS.values(), ids=KINDS.keys())
def test_a_seams_name_stands_along_its_sides_off_holes_and_outline(kind):
    flats = laid(limb_of(calf), [seam(1.3, "outer seam", **kind), seam(4.4, "inner seam", **kind)])
    pieces = pattern_from(flats, TitleBlock("watch", "left", 3.2)).pieces
    for piece in pieces:
        shape = shape_of(piece.outline)
        boxes = [shapely.Polygon(text_box(label)) for label in piece.labels]
        rims = shapely.union_all([spine(hole).buffer(0.5 * hole.diameter) for hole in piece.holes])
        assert all(shape.contains(box) and not box.intersects(rims) for box in boxes)
        assert all(not one.intersects(other) for one, other in itertools.combinations(boxes, 2))
        for name in ("outer seam", "inner seam"):
            (label,) = [label for label in piece.labels if label.text.startswith(name)]
            box = shapely.Polygon(text_box(label))
            # Within 45 mm of the side that bears the name, and turned along it.
            assert shape.exterior.distance(box.centroid) < 45.0
            other = next(each.name for each in pieces if each is not piece)
            assert label.text.endswith(f"the {other} piece")
