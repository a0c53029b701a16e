import dataclasses

import pytest
from report_case import with_limb

from flatten.limb.kind import FOREARM, LOWER_LEG
from flatten.pattern.hardware import hardware_of
from flatten.pattern.model import Join
from flatten.report.closing import hardware_message, join_message
from flatten.report.numbers import report_numbers
from flatten.words.say import text

KINDS = ("laced", "strapped", "riveted", "stitched")


def told_of(join, *, kind=LOWER_LEG, pieces=()):
    return text(join_message(join, kind=kind, pieces=pieces))


def join(kind, lengths=(300.0, 300.0)):
    return Join("back", kind, 9, 5.0, 37.5, lengths, 45.0, 6.4, 3.2, 10.0)


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_is_told_with_its_count_and_what_to_buy(kind):
    assert "9" in told_of(join(kind))
    assert "equally long" in told_of(join(kind))
    for hardware in hardware_of([join(kind)]):
        assert text(hardware_message(hardware)).startswith("“back”: ")


def test_ease_is_told_as_so_much_over_so_much():
    told = told_of(join("stitched", (303.0, 300.0)))
    assert "from the front over the outside, the leather before it is 3.0 mm longer over 300 mm" in told
    assert "the leather after it" in told_of(join("stitched", (300.0, 303.0)))
    assert "over the thumb side" in told_of(join("laced", (300.0, 303.0)), kind=FOREARM)


@pytest.mark.parametrize("kind", KINDS)
def test_ease_that_no_seam_takes_up_is_not_said_to_be_taken_up(kind):
    little = told_of(join(kind, (308.0, 300.0)))
    much = told_of(join(kind, (300.0, 310.0)))
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
    assert told_of(two, pieces=names).startswith(
        "“what is outer” joins “guard, back” to “guard, front”: riveted in 9 places"
    )
    assert "joins" not in told_of(dataclasses.replace(two, panels=(1, 1)), pieces=names)


@pytest.mark.parametrize(("slotted", "words"), [(True, "drawn through slots"), (False, "held by two rivets")])
def test_straps_are_told_with_their_width_their_hold_and_their_buckles(slotted, words):
    strapped = dataclasses.replace(join("strapped"), strap=20.0, slotted=slotted, buckle="before")
    told = told_of(strapped)
    assert "9 straps 20 mm wide" in told
    assert words in told
    assert "The buckles belong on the side that says so." in told


def test_a_slash_closed_over_a_strip_is_told_so_with_the_strip():
    for kind in ("riveted", "stitched"):
        slash = dataclasses.replace(join(kind), row=6.4, strip=37.6)
        assert "to a strip beneath it" in told_of(slash)
        assert any("38 mm wide at the edge" in text(hardware_message(one)) for one in hardware_of([slash]))
    assert "strip" not in told_of(join("stitched"))
