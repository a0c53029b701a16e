import dataclasses

import pytest
from report_case import with_limb

from flatten.limb.kind import FOREARM, LOWER_LEG
from flatten.pattern.hardware import hardware_of
from flatten.pattern.model import Join
from flatten.report.closing import hardware_sentence, join_sentences
from flatten.report.numbers import report_numbers

KINDS = ("laced", "strapped", "riveted", "stitched")


def join(kind, lengths=(300.0, 300.0)):
    return Join("back", kind, 9, 5.0, 37.5, lengths, 45.0, 6.4, 3.2, 10.0)


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_is_told_with_its_count_and_what_to_buy(kind):
    assert "9" in join_sentences(join(kind), kind=LOWER_LEG)
    assert "equally long" in join_sentences(join(kind), kind=LOWER_LEG)
    for hardware in hardware_of([join(kind)]):
        assert hardware_sentence(hardware).startswith("“back”: ")


def test_ease_is_told_as_so_much_over_so_much():
    told = join_sentences(join("stitched", (303.0, 300.0)), kind=LOWER_LEG)
    assert "from the front over the outside, the leather before it is 3.0 mm longer over 300 mm" in told
    assert "the leather after it" in join_sentences(join("stitched", (300.0, 303.0)), kind=LOWER_LEG)
    assert "over the thumb side" in join_sentences(join("laced", (300.0, 303.0)), kind=FOREARM)


@pytest.mark.parametrize("kind", KINDS)
def test_ease_that_no_seam_takes_up_is_not_said_to_be_taken_up(kind):
    little = join_sentences(join(kind, (308.0, 300.0)), kind=LOWER_LEG)
    much = join_sentences(join(kind, (300.0, 310.0)), kind=LOWER_LEG)
    assert "more than can be eased in" not in little
    assert "10.0 mm longer over 300 mm: that is more than can be eased in unseen" in much
    assert "take" not in much.rpartition("more than")[2]


def test_the_numbers_tell_seams_and_hardware_and_count_a_pair_twice(calf):
    joins = (join("laced"),)
    alone = report_numbers(with_limb(calf, joins=joins))
    pair = report_numbers(with_limb(calf, joins=joins, mirrored=calf.limbs[0].pieces))
    assert alone["seams"] == pair["seams"]
    assert alone["seams"][0]["pairs"] == 9
    assert [one["count"] for one in alone["hardware"]] == [18, 1]
    assert [one["count"] for one in pair["hardware"]] == [36, 2]
    assert len(pair["pieces"]) == 2 * len(alone["pieces"])
    assert pair["leather"]["area"] == pytest.approx(2 * alone["leather"]["area"])


def test_a_seam_between_two_pieces_names_them_and_one_within_a_piece_does_not():
    two = dataclasses.replace(join("riveted"), name="what is outer", panels=(1, 0))
    names = ("guard, front", "guard, back")
    assert join_sentences(two, kind=LOWER_LEG, pieces=names).startswith(
        "“what is outer” joins “guard, back” to “guard, front”: riveted in 9 places"
    )
    assert "joins" not in join_sentences(dataclasses.replace(two, panels=(1, 1)), kind=LOWER_LEG, pieces=names)


@pytest.mark.parametrize(("slotted", "words"), [(True, "drawn through slots"), (False, "held by two rivets")])
def test_straps_are_told_with_their_width_their_hold_and_their_buckles(slotted, words):
    strapped = dataclasses.replace(join("strapped"), strap=20.0, slotted=slotted, buckle="before")
    told = join_sentences(strapped, kind=LOWER_LEG)
    assert "9 straps 20 mm wide" in told
    assert words in told
    assert "The buckles belong on the side that says so." in told


def test_a_slash_closed_over_a_strip_is_told_so_with_the_strip():
    for kind in ("riveted", "stitched"):
        slash = dataclasses.replace(join(kind), row=6.4, strip=37.6)
        assert "to a strip beneath it" in join_sentences(slash, kind=LOWER_LEG)
        assert any("38 mm wide at the edge" in hardware_sentence(one) for one in hardware_of([slash]))
    assert "strip" not in join_sentences(join("stitched"), kind=LOWER_LEG)
