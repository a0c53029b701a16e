import dataclasses

import pytest
from report_case import with_limb

from flatten.limb.kind import FOREARM, LOWER_LEG
from flatten.pattern.hardware import hardware_of, in_all
from flatten.pattern.model import Join
from flatten.report.closing import join_message, join_messages
from flatten.report.hardware import hardware_findings, total_message, use_message
from flatten.report.numbers import report_numbers
from flatten.report.order import order_of_work
from flatten.report.summary import summary_lines
from flatten.words.say import text

KINDS = ("laced", "strapped", "riveted", "stitched")


def told_of(join, *, kind=LOWER_LEG, pieces=()):
    return text(join_message(join, kind=kind, pieces=pieces))


def join(kind, lengths=(300.0, 300.0)):
    return Join("back", kind, 9, 5.0, 37.5, lengths, 45.0, 6.4, 3.2, 10.0)


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_is_told_with_its_count_and_what_to_buy(kind):
    assert "9" in told_of(join(kind))
    assert "longer" not in told_of(join(kind))
    for hardware in hardware_of([join(kind)]):
        assert "“back”" in text(use_message(hardware))
    for hardware in in_all(hardware_of([join(kind)])):
        assert "“back”" not in text(total_message(hardware))


def test_ease_is_told_as_so_much_over_so_much():
    told = told_of(join("stitched", (303.0, 300.0)))
    assert "Its first edge, as you go round from the front over the outside, is 3.0 mm longer over 300 mm" in told
    assert "Its second edge" in told_of(join("stitched", (300.0, 303.0)))
    assert "longer" not in told_of(join("stitched", (300.9, 300.0)))
    assert "over the thumb side" in told_of(join("laced", (300.0, 303.0)), kind=FOREARM)


def test_a_forearms_seam_is_called_by_the_side_that_it_lies_on(calf, limb):
    longer = join("laced", (303.0, 300.0))
    arm = with_limb(calf, joins=(longer,), limb=dataclasses.replace(limb.limb, kind=FOREARM))
    (told,) = [text(one) for one in join_messages(arm.limbs[0])]
    assert told.startswith("“palm side” is laced")
    # Before it, at lower bearings, lies the thumb's side: 90° of 180°.
    assert "Its edge towards the thumb side is 3.0 mm longer over 300 mm" in told
    lines = [text(line) for work in order_of_work(arm) for line, _ in work.lines]
    assert any(line.startswith("Lace “palm side” criss-cross") for line in lines)
    assert not any("“back”" in line for line in (*lines, *summary_lines(arm)))
    assert "“back” is laced" in "".join(summary_lines(with_limb(calf, joins=(longer,))))
    # A seam of any other name keeps it, and report.json the job's own.
    named = with_limb(arm, joins=(dataclasses.replace(longer, name="outer"),))
    assert any(line.startswith("“outer” is laced") for line in summary_lines(named))
    assert report_numbers(arm)["seams"][0]["name"] == "back"


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


@pytest.mark.parametrize(
    ("slotted", "words"), [(True, "each run through slots on both sides"), (False, "held by two rivets")]
)
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
        assert any("38 mm wide at the edge" in text(use_message(one)) for one in hardware_of([slash]))
    assert "strip" not in told_of(join("stitched"))


def test_the_list_to_buy_says_what_to_ask_for_and_why(calf):
    laced, riveted = join("laced"), dataclasses.replace(join("riveted"), name="front", diameter=3.0, row=0.0)
    report = with_limb(calf, joins=(laced, riveted), mirrored=calf.limbs[0].pieces)
    told = [text(total_message(one)) for one in report.shopping]
    eyelets = "36 eyelets for holes of 5 mm: 4 mm wide inside, flange about 8 mm, barrel 5.5 mm long"
    assert told[0] == f"{eyelets} (at least 5.2)."
    assert told[1].startswith("18 two-part rivets for holes of 3 mm: post 10 mm long (at least 9.4)")
    # 2(9−1)√(45² + 37.5²) + 45 + 2·275 mm = 1532 mm [derived].
    assert told[2] == "2 laces 1.8 m long (at least 1532 mm)."
    uses = [text(use_message(one)) for one in report.hardware]
    assert uses[0] == "36 eyelets in holes of 5 mm, to lace the seam “back”."
    assert "16 crossings of 58.6 mm, one bar of 45 mm and two ends of 275 mm to tie make 1532 mm" in uses[1]
    numbers = report_numbers(report)
    assert [(one["name"], one["count"]) for one in numbers["hardware_total"]] == [
        ("eyelet", 36),
        ("rivet", 18),
        ("lace", 2),
    ]
    assert (numbers["hardware"][0]["for"], numbers["hardware"][0]["hole"]) == ("seam", 5.0)


def test_what_else_is_fastened_on_joins_the_list(calf):
    plate = dataclasses.replace(join("riveted"), name="boss", what="plate", count=6, diameter=3.0, row=0.0)
    report = with_limb(calf, joins=(), fastened=(plate,))
    assert [text(use_message(one)) for one in report.hardware] == [
        "6 rivets in holes of 3 mm, with posts of 10 mm, for the plate “boss”."
    ]


def test_a_hole_or_strap_that_nothing_is_made_for_is_told_with_the_nearest():
    odd = dataclasses.replace(join("laced"), diameter=8.0)
    wide = dataclasses.replace(join("strapped"), diameter=3.0, strap=22.0)
    said = [text(one) for one in hardware_findings(hardware_of([odd, odd, wide]))]
    assert len(said) == 2
    assert "No eyelet is commonly made for the holes of 8 mm in “back”; the nearest is for holes of 7 mm" in said[0]
    assert (
        "No buckle is commonly made for the straps of “back”, which are 22 mm wide; make them 20 or 25 mm." in said[1]
    )
    assert hardware_findings(hardware_of([join("laced")])) == []


def test_straps_are_told_with_their_heights_and_the_rule_where_nobody_said_how_many():
    strapped = dataclasses.replace(join("strapped"), strap=20.0, buckle="before", heights=(60.0, 140.2, 220.0))
    told = told_of(strapped)
    assert "Their middles are at 60, 140 and 220 mm of height." in told
    assert "Nobody said" not in told
    ruled = told_of(dataclasses.replace(strapped, placed="rule"))
    assert "Nobody said how many: no two are further apart than 180 mm." in ruled


@pytest.mark.parametrize(("buckle", "piece"), [("before", "guard, back"), ("after", "guard, front")])
def test_the_piece_that_bears_the_buckles_is_named_where_the_seam_joins_two(buckle, piece):
    strapped = dataclasses.replace(join("strapped"), strap=20.0, buckle=buckle, panels=(1, 0))
    assert f"The buckles belong on “{piece}”." in told_of(strapped, pieces=("guard, front", "guard, back"))
