import pytest

from flatten.pattern.hardware import hardware_of, lace_length
from flatten.pattern.model import Join, PatternError


def join(kind, **more):
    given = {"lengths": (300.0, 300.0), "apart": 45.0, "stack": 6.4, "leather": 3.2, "row": 10.0, **more}
    return Join("back", kind, 11, 5.0, 30.0, **given)


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


def test_a_rivets_post_is_the_stack_and_about_3_mm():
    """Rivet post = stack + about 3 mm: common practice."""
    assert bought(join("riveted", row=0.0, apart=0.0)) == [("rivet", 11, pytest.approx(9.4))]


def test_a_riveted_dart_wants_two_rows_and_a_strip_beneath():
    rivets, strip = bought(join("riveted", row=6.4, lengths=(60.0, 61.0)))
    assert rivets[:2] == ("rivet", 22)
    assert strip == ("strip", 1, pytest.approx(61.0 + 12.8))


def test_a_slash_stitched_over_a_strip_wants_the_strip_and_thread_for_both_rows():
    (thread, strip) = hardware_of([join("stitched", row=3.5, lengths=(60.0, 60.0), strip=26.0)])
    # Four times the seam's length: common practice; two rows of it.
    assert (thread.name, thread.size) == ("thread", pytest.approx(2 * 4 * 60.0))
    assert (strip.name, strip.size, strip.width) == ("strip", pytest.approx(67.0), 26.0)


def test_a_strapped_seam_wants_two_rivets_for_each_end_of_each_strap():
    found = bought(join("strapped", stack=5.7, apart=20.0 + 12.8, row=6.4))
    assert [one[:2] for one in found] == [("strap", 11), ("buckle strap", 11), ("rivet", 22), ("rivet", 22)]
    # One layer of 2.5 mm strap on 3.2 mm of leather, and two where it is folded round the buckle's bar.
    assert [one[2] for one in found[2:]] == pytest.approx([5.7 + 3.0, 5.7 + 2.5 + 3.0])
    # Behind the rivets 10 mm, between them 15, to the edge 6.4, the gap, half the holes, the tip.
    assert found[0][2] == pytest.approx(10 + 15 + 6.4 + 20 + 24 + 30)


def test_a_pair_wants_twice_as_much():
    once, twice = bought(join("laced"), join("stitched")), bought(join("laced"), join("stitched"), sets=2)
    assert [count for _, count, _ in twice] == [2 * count for _, count, _ in once]
    assert [size for *_, size in twice] == [size for *_, size in once]
    assert bought() == []


@pytest.mark.parametrize(("lengths", "ease"), [((300.0, 300.2), 0.0), ((300.0, 300.21), 0.21), ((303.0, 300.0), 3.0)])
def test_ease_begins_where_sides_differ_by_more_than_a_fifth_of_a_millimetre(lengths, ease):
    assert join("stitched", lengths=lengths).ease == pytest.approx(ease)


def test_a_way_of_closing_that_nothing_is_known_to_be_bought_for_is_an_error_and_no_thread():
    with pytest.raises(PatternError, match="seam 'back' is snapped"):
        hardware_of([join("snapped")])
