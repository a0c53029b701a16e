from dataclasses import replace

import pytest

from flatten.pattern.hardware import gathered, hardware_of, in_all, lace_length
from flatten.pattern.model import Join, PatternError
from flatten.pattern.strap_lengths import buckle_strap, slotted_strap, tongue_strap


def join(kind, **more):
    given = {"lengths": (300.0, 300.0), "apart": 45.0, "stack": 6.4, "leather": 3.2, "row": 10.0, **more}
    return replace(Join("back", kind, 11, 5.0, 30.0, **{key: given.pop(key) for key in BASE}), **given)


BASE = ("lengths", "apart", "stack", "leather", "row")


def rivets(**more):
    return join("riveted", diameter=3.0, row=0.0, apart=0.0, **more)


def bought(*joins, sets=1):
    return [(one.name, one.count, one.size) for one in hardware_of(joins, sets=sets)]


def test_a_lace_of_two_pairs_is_two_crossings_one_bar_and_two_tails():
    """L = 2(n−1)√(g²+p²) + g + 2·tail [derived]: legs of 30 and 40 mm make crossings of 50 mm."""
    assert lace_length(2, 40.0, 30.0, tail=250.0) == pytest.approx(2 * 50.0 + 40.0 + 500.0)


def test_a_laced_seam_wants_two_eyelets_a_pair_and_one_lace():
    (eyelets, lace) = bought(join("laced"))
    assert eyelets == ("eyelet", 22, 5.0)
    assert lace[:2] == ("lace", 1)
    # Tail 250–300 mm: from memory.
    assert 500.0 <= lace[2] - (20 * (45.0**2 + 30.0**2) ** 0.5 + 45.0) <= 600.0


def test_a_lace_is_told_with_its_parts_and_as_it_is_sold():
    """L = 2(n−1)√(g²+p²) + g + 2·tail [derived]; sold lengths from memory."""
    (_, lace) = hardware_of([join("laced")])
    crossings, crossing, bar, tail = lace.parts
    assert (crossings, crossing, bar) == (20, pytest.approx((45.0**2 + 30.0**2) ** 0.5), 45.0)
    assert lace.length == pytest.approx(crossings * crossing + bar + 2 * tail)
    assert lace.sold == 1800.0 > lace.length > 1500.0
    # Beyond the longest that is sold it is cut from the roll by the half metre.
    (_, long) = hardware_of([join("laced", count=40)])
    assert (long.sold % 500.0, long.sold >= long.length > 3000.0) == (0.0, True)


def test_a_rivets_post_is_the_stack_and_about_3_mm_and_sold_by_the_millimetre():
    """Rivet post = stack + about 3 mm: common practice."""
    (found,) = hardware_of([rivets()])
    assert (found.name, found.count, found.hole) == ("rivet", 11, 3.0)
    assert (found.length, found.sold) == (pytest.approx(9.4), 10.0)
    (whole,) = hardware_of([rivets(stack=6.0)])
    assert (whole.length, whole.sold) == (9.0, 9.0)


def test_an_eyelets_barrel_goes_through_one_layer_of_leather():
    (eyelets, _) = hardware_of([join("laced")])
    # Leather of 3.2 mm and 2 mm to roll over, by half millimetres: from memory.
    assert (eyelets.length, eyelets.sold) == (pytest.approx(5.2), 5.5)
    assert eyelets.inner < eyelets.hole < eyelets.flange


def test_a_riveted_dart_wants_two_rows_and_a_strip_beneath():
    posts, strip = bought(join("riveted", row=6.4, lengths=(60.0, 61.0), what="dart"))
    assert posts[:2] == ("rivet", 22)
    assert strip == ("strip", 1, pytest.approx(61.0 + 12.8))


def test_a_slash_stitched_over_a_strip_wants_the_strip_and_thread_for_both_rows():
    (thread, strip) = hardware_of([join("stitched", row=3.5, lengths=(60.0, 60.0), strip=26.0)])
    # Four times the seam's length: common practice; two rows of it.
    assert (thread.name, thread.size) == ("thread", pytest.approx(2 * 4 * 60.0))
    assert (strip.name, strip.size, strip.width) == ("strip", pytest.approx(67.0), 26.0)


STRAPPED = {"stack": 5.7, "apart": 20.0 + 12.8, "row": 6.4, "diameter": 3.0, "strap": 20.0}


def test_a_strapped_seam_wants_two_rivets_for_each_end_of_each_strap_and_a_buckle():
    found = bought(join("strapped", **STRAPPED))
    assert [one[:2] for one in found] == [
        ("strap", 11),
        ("buckle strap", 11),
        ("buckle", 11),
        ("rivet", 22),
        ("rivet", 22),
    ]
    # One layer of 2.5 mm strap on 3.2 mm of leather, and two where it is folded round the buckle's bar.
    assert [one[2] for one in found[3:]] == pytest.approx([5.7 + 3.0, 5.7 + 2.5 + 3.0])
    # Behind the rivets 10 mm, between them 15, to the edge 6.4, the gap, half the holes, the tip.
    assert found[0][2] == pytest.approx(10 + 15 + 6.4 + 20 + 20 + 30)
    assert found[2][2] == 20.0


def test_a_tongues_middle_hole_lies_over_the_other_edge_where_the_bar_is():
    cut = tongue_strap(join("strapped", **STRAPPED))
    assert sum(length for _, length in cut.parts) == pytest.approx(cut.length)
    assert cut.rivets == (10.0, 25.0)
    # From the second rivet 6.4 mm to its own edge, and 20 over the gap.
    assert cut.planned == pytest.approx(25.0 + 6.4 + 20.0)
    # Straps let a gap close and open by 20 mm, from memory; 20 closes this one.
    assert [at - cut.planned for at in cut.holes] == pytest.approx([-20, -10, 0, 10, 20])
    narrow = tongue_strap(join("strapped", **{**STRAPPED, "apart": 12.0 + 12.8}))
    assert [at - narrow.planned for at in narrow.holes] == pytest.approx([-10, 0, 10, 20])


def test_no_hole_of_the_tongue_lies_under_the_cap_of_a_rivet():
    """Caps of 9 mm over holes of 3 mm, holes of 4 mm for the pin: from memory."""
    for gap in (15.0, 20.0, 40.0):
        cut = tongue_strap(join("strapped", **{**STRAPPED, "row": 10.0, "apart": gap + 20.0}))
        assert cut.holes[0] - cut.rivets[1] > 0.5 * 9.0 + 0.5 * 4.0


def test_a_buckles_strap_is_its_own_mirror_image_about_the_pin():
    cut = buckle_strap(join("strapped", **STRAPPED))
    assert sum(length for _, length in cut.parts) == pytest.approx(cut.length)
    assert cut.pin == pytest.approx(0.5 * cut.length)
    assert [cut.length - at for at in cut.rivets[::-1]] == pytest.approx(list(cut.rivets))
    # Folded, its four rivet holes lie on those of the piece: 6.4 mm and 15 mm more from the edge.
    assert cut.pin - 5.0 - cut.rivets[1] == pytest.approx(6.4)
    assert cut.rivets[1] - cut.rivets[0] == 15.0


def test_a_slotted_strap_goes_round_both_edges_once():
    cut = slotted_strap(join("strapped", **{**STRAPPED, "row": 13.0, "apart": 20.0 + 26.0, "slotted": True}))
    assert sum(length for _, length in cut.parts) == pytest.approx(cut.length)
    # From the bar 60 mm to the slot, 46 beneath, 46 back, 60 to the bar.
    assert cut.planned - sum(length for part, length in cut.parts if part == "fold") == pytest.approx(2 * (60 + 46))
    # The gap closes and opens by 20 mm: twice that of strap.
    assert (cut.planned - cut.holes[0], cut.holes[-1] - cut.planned) == pytest.approx((40.0, 40.0))
    # Turned back at the pin, rivet holes lie on rivet holes, and none in the pin's slot.
    assert [2 * cut.pin - at for at in cut.rivets[::-1]] == pytest.approx(list(cut.rivets))
    assert all(abs(at - cut.pin) > 10.0 for at in cut.rivets)


def test_a_pair_wants_twice_as_much():
    once, twice = bought(join("laced"), join("stitched")), bought(join("laced"), join("stitched"), sets=2)
    assert [count for _, count, _ in twice] == [2 * count for _, count, _ in once]
    assert [size for *_, size in twice] == [size for *_, size in once]
    assert bought() == []


def test_two_limbs_are_counted_together_where_what_is_sold_is_the_same():
    one, other = join("laced"), join("laced", count=10, pitch=31.0)
    found = gathered([*hardware_of([one]), *hardware_of([other])])
    assert [(each.name, each.count) for each in found] == [("eyelet", 42), ("lace", 2)]
    assert found[1].length == pytest.approx(max(lace_length(11, 45.0, 30.0), lace_length(10, 45.0, 31.0)))
    longer = join("laced", count=16)
    apart = gathered([*hardware_of([one]), *hardware_of([longer])])
    assert [(each.name, each.count, each.sold) for each in apart if each.name == "lace"] == [
        ("lace", 1, 1800.0),
        ("lace", 1, 2400.0),
    ]


def test_in_all_equal_things_are_counted_once_whatever_they_are_for():
    plate = replace(rivets(stack=6.4), name="knee plate", what="plate", count=7)
    found = hardware_of([rivets(), plate, join("strapped", **STRAPPED), join("stitched"), join("stitched")], sets=2)
    shopping = {(one.name, one.sold): one for one in in_all(found)}
    # Posts of 9.4 mm are both sold as 10; the straps' are 8.7 and 11.2 mm.
    assert {key: one.count for key, one in shopping.items() if key[0] == "rivet"} == {
        ("rivet", 9.0): 44,
        ("rivet", 10.0): 36,
        ("rivet", 12.0): 44,
    }
    total = sum(one.count for one in found if one.name == "rivet")
    assert sum(one.count for one in in_all(found) if one.name == "rivet") == total
    assert next(one.count for one in in_all(found) if one.name == "buckle") == 22
    # Two seams, on two limbs, four times 300 mm each; whole metres.
    assert ("thread", 5000.0) in shopping
    straps = [one for one in found if one.cut is not None]
    leather = next(one for one in in_all(found) if one.name == "strap leather")
    assert leather.length == sum(one.count * one.sold for one in straps)
    assert 0.0 <= leather.sold - leather.length < 100.0


@pytest.mark.parametrize(("lengths", "ease"), [((300.0, 300.2), 0.0), ((300.0, 300.21), 0.21), ((303.0, 300.0), 3.0)])
def test_ease_begins_where_sides_differ_by_more_than_a_fifth_of_a_millimetre(lengths, ease):
    assert join("stitched", lengths=lengths).ease == pytest.approx(ease)


def test_a_way_of_closing_that_nothing_is_known_to_be_bought_for_is_an_error_and_no_thread():
    with pytest.raises(PatternError, match="seam 'back' is glued"):
        hardware_of([join("glued")])
