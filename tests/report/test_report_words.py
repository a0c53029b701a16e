import math
from dataclasses import replace

import pytest
from report_case import with_limb

from flatten.leather.limits import PRESETS, given_limits
from flatten.leather.model import VERDICTS, Bend, Reading, StripTest
from flatten.leather.stretch import stretch_report
from flatten.limb.kind import LOWER_LEG
from flatten.limb.model import Landmark
from flatten.report.summary import summary_lines
from flatten.report.words import (
    VERDICT_WORDS,
    bend_sentence,
    headline,
    joint_sentences,
    least_sentence,
    leather_sentence,
    limits_sentence,
    mm,
    mm_and_inches,
    percent,
    percent_range,
    scan_sentences,
    stretch_sentences,
    strip_sentences,
    worn_sentence,
)


@pytest.mark.parametrize(
    ("share", "signed", "words"),
    [
        (0.041, False, "4.1 %"),
        (0.041, True, "+4.1 %"),
        (-0.02, True, "−2.0 %"),
        (-0.0001, True, "0.0 %"),
        (0.0001, True, "0.0 %"),
        (-0.1004, True, "−10.0 %"),
    ],
)
def test_a_share_reads_with_one_decimal(share, signed, words):
    assert percent(share, signed=signed) == words


def test_a_range_that_reads_the_same_is_one_figure():
    assert percent_range(0.994, 1.012) == "−0.6 to +1.2\N{NO-BREAK SPACE}%"
    assert percent_range(1.01201, 1.01202) == "+1.2\N{NO-BREAK SPACE}%"


def test_lengths_read_in_both_units():
    assert mm_and_inches(392.26) == "392 mm (15.4 in)"
    assert mm(-0.2) == "0 mm"
    assert mm(-12.0) == "−12 mm"


def with_stretch(limb, **changes):
    (panel,) = limb.panels
    return (replace(panel, stretch=replace(panel.stretch, **changes)),)


def test_each_verdict_has_its_own_headline(limb):
    found = {verdict: headline(with_stretch(limb, verdict=verdict, fits=True)) for verdict in VERDICTS}
    assert len(set(found.values())) == len(VERDICTS)
    assert found["cased"] == "This can be formed cased (wet)."
    assert found["not"].startswith("This leather cannot be expected")
    assert set(VERDICT_WORDS) == set(VERDICTS)


def test_a_dry_job_is_told_that_casing_would_do(limb):
    assert headline(with_stretch(limb, verdict="cased", fits=False)) == (
        "Not dry, as the job asks; cased (wet) it can be formed."
    )


def test_the_gravest_piece_makes_the_headline(limb):
    easy = replace(limb.panels[0], stretch=replace(limb.panels[0].stretch, verdict="dry", excess_patch=-1.0))
    hard = replace(limb.panels[0], stretch=replace(limb.panels[0].stretch, verdict="not", excess_patch=-2.0))
    assert headline((easy, hard, easy)).startswith("This leather cannot")


def test_a_piece_says_how_much_of_it_lies_beyond(limb):
    stretch = limb.panels[0].stretch
    told = stretch_sentences(replace(stretch, over_share=0.123), piece=None)
    assert told.startswith("The leather must stretch by at most")
    assert told.endswith("12.3 % of the piece lies beyond the limits.")
    within = stretch_sentences(replace(stretch, over_share=0.0), piece="shin guard")
    assert within.startswith("In the piece “shin guard” the leather must stretch")
    assert within.endswith("All of it lies within the limits.")


def test_limits_say_where_they_come_from():
    assert limits_sentence(PRESETS["dry"].in_force) == (
        "The limits in force are 2.0 % of stretch and 1.0 % of squeeze, along the grain and across it. They are the "
        "preset “dry”, an opinion: strips of your own leather tell better."
    )
    own = given_limits({"stretch_along": 0.04, "stretch_across": 0.06, "squeeze_along": 0.02, "squeeze_across": 0.02})
    assert "4.0 % of stretch and 2.0 % of squeeze along the grain, 6.0 %" in limits_sentence(own.in_force)
    assert limits_sentence(own.in_force).endswith("They are your own figures.")
    assert "squeeze, which is an opinion" in limits_sentence(replace(own.in_force, source="strip test"))


def test_a_strip_test_is_told_figure_by_figure():
    found = Reading(0.05, 0.04, 0.06, 2), Reading(0.08, 0.08, 0.08, 1)
    test = StripTest(
        10.0, 20.0, 4.0, (None, None), found, (None, None), (Reading(0.2, 0.2, 0.2, 1), None), (None, None)
    )
    assert strip_sentences(test) == [
        "The strips, 20 mm wide and 4.0 mm thick, carried 10 kg (1.2 N/mm²). A harder pull stretches leather further: "
        "the limits hold for this one.",
        "Cased, they stretched by 5.0 % (4.0 % to 6.0 %) along the grain and 8.0 % across the grain.",
        "Of the stretch, 20.0 % along the grain sprang back: form that much further over the former.",
    ]


# Inside radius at least 2 t cased, 5 t dry [memory]
@pytest.mark.parametrize(
    ("radius", "words"),
    [
        (16.0, "which it takes dry"),
        (15.9, "too tight for dry leather"),
        (6.4, "case it"),
        (6.3, "too tight even for cased"),
    ],
)
def test_a_bend_is_judged_by_the_thickness(radius, words):
    bend = Bend(radius, 3.2 / (2 * radius + 3.2), 3.2, 35.0, 0.1, "front, lower")
    assert words in bend_sentence(bend, kind=LOWER_LEG)
    assert f"It adds {100 * 3.2 / (2 * radius + 3.2):.1f} %" in bend_sentence(bend, kind=LOWER_LEG)


def test_what_no_piece_can_do_without_is_told_beside_what_this_one_needs():
    told = least_sentence(math.log(1.04), math.log(1.07), math.log(1.05))
    assert "differs by 7.0 %" in told
    assert "need differ by only 5.0 %" in told
    assert "needs less than 4.0 %" in told
    assert "need differ" not in least_sentence(math.log(1.04), math.log(1.07), math.log(1.07))


def test_the_leather_to_buy_holds_a_quarter_more():
    # 1 sq ft = 0.09290304 m² exactly
    told = leather_sentence(92903.04 * 2, mass=595.0, thickness=3.2)
    assert told.startswith("The pieces take 2.00 sq ft (1858 cm²) of leather 3.2 mm thick and weigh about 595 g.")
    assert "buy at least 2.5 sq ft" in told


def test_padding_that_differs_reads_as_a_range(calf):
    assert "lie 3 mm of padding" in worn_sentence(calf.wear)
    varied = replace(calf.wear, under=(8.0, 4.0, 2.0, 4.0))
    assert "lie 2 to 8 mm of padding" in worn_sentence(varied)


def test_a_clean_scan_in_known_units_reads_short(limb):
    scan = replace(limb.scan, unit_from="file", scale=1.0, repairs=())
    limb = replace(limb.limb, front_from="given")
    assert scan_sentences(scan, limb) == [
        "“watch-leg.ply” is in mm, as the file says.",
        "It is a left lower leg; its front was given.",
        "Nothing had to be repaired.",
    ]


def test_how_sure_a_joint_is_is_told_with_what_to_do(limb):
    marks = (Landmark("ankle", 0.0), Landmark("widest", 240.0), Landmark("knee", 351.2, 20.0))
    (told,) = joint_sentences(replace(limb.limb, landmarks=marks))
    assert told == (
        "Its knee is taken to be 351 mm above the ankle, which shape and proportions tell to about ± 20 mm. "
        "Measure it on the limb; where it differs, give the top edge’s heights."
    )
    assert told in scan_sentences(limb.scan, replace(limb.limb, landmarks=marks))
    assert joint_sentences(limb.limb) == []


def test_the_summary_begins_with_the_verdict_and_ends_with_the_caution(calf, limb):
    lines = summary_lines(calf)
    assert lines[0] == headline(calf.panels)
    assert "not protective equipment" in lines[-1]
    assert any(line.startswith("Whole, left: ") for line in lines)
    assert not any("lower bound" in line for line in lines)
    bounded = with_limb(calf, panels=(replace(limb.panels[0], least_spread=0.03),))
    assert sum("lower bound" in line for line in summary_lines(bounded)) == 1


def test_the_summary_names_the_pieces_where_there_are_several(calf, limb):
    lines = summary_lines(with_limb(calf, panels=limb.panels * 2, pieces=limb.pieces * 2))
    assert sum(line.startswith("In the piece “whole”") for line in lines) == 2


def test_sentences_follow_the_limits_in_force(limb):
    tight = stretch_report(limb.panels[0].flat, kind=LOWER_LEG, limits=PRESETS["dry"])
    assert tight.over_share > limb.panels[0].stretch.over_share
