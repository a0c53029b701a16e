from dataclasses import replace

from report_case import with_limb

from flatten.leather.limits import PRESETS
from flatten.leather.messages import formed_message, stretch_message
from flatten.leather.model import VERDICTS
from flatten.leather.stretch import stretch_report
from flatten.limb.kind import LOWER_LEG
from flatten.limb.model import Landmark
from flatten.report.messages import headline, joint_messages, scan_messages, worn_message
from flatten.report.summary import summary_lines
from flatten.report.verdict import heading, verdict_of
from flatten.words.say import text, texts


def with_stretch(limb, **changes):
    (panel,) = limb.panels
    return (replace(panel, stretch=replace(panel.stretch, **changes)),)


def test_each_verdict_has_its_own_headline(limb):
    found = {verdict: text(headline(with_stretch(limb, verdict=verdict, fits=True))) for verdict in VERDICTS}
    assert len(set(found.values())) == len(VERDICTS)
    assert found["cased"] == "This can be formed cased (wet)."
    assert found["not"].startswith("This leather cannot be expected")
    region = limb.panels[0].stretch.regions[0]
    assert len({text(formed_message(replace(region, verdict=verdict))) for verdict in VERDICTS}) == len(VERDICTS)


def test_a_dry_job_is_told_that_casing_would_do(limb):
    assert text(headline(with_stretch(limb, verdict="cased", fits=False))) == (
        "Not dry, as the job asks; cased (wet) it can be formed."
    )


def test_the_gravest_piece_makes_the_headline(limb):
    easy = replace(limb.panels[0], stretch=replace(limb.panels[0].stretch, verdict="dry", excess_patch=-1.0))
    hard = replace(limb.panels[0], stretch=replace(limb.panels[0].stretch, verdict="not", excess_patch=-2.0))
    assert text(headline((easy, hard, easy))).startswith("This leather cannot")


def test_a_piece_says_how_much_of_it_lies_beyond(limb):
    stretch = limb.panels[0].stretch
    told = text(stretch_message(replace(stretch, over_share=0.123, fits=False)))
    assert told.startswith("The leather stretches up to")
    assert told.endswith("12.3 % of the piece lies beyond the limits.")
    within = text(stretch_message(replace(stretch, over_share=0.0, fits=True), piece="shin guard"))
    assert within.startswith("The piece “shin guard” stretches up to")
    assert within.endswith("That is within the limits.")
    only_a_line = text(stretch_message(replace(stretch, over_share=0.0, fits=False)))
    assert only_a_line.endswith("Along a line of 20 mm there it goes beyond the limits.")


def test_padding_that_differs_reads_as_a_range(calf):
    assert "lie 3 mm of padding" in text(worn_message(calf.wear))
    varied = replace(calf.wear, under=(8.0, 4.0, 2.0, 4.0))
    assert "lie 2 to 8 mm of padding" in text(worn_message(varied))


def test_a_clean_scan_in_known_units_reads_short(limb):
    scan = replace(limb.scan, unit_from="file", scale=1.0, repairs=())
    limb = replace(limb.limb, front_from="given")
    assert texts(scan_messages(scan, limb)) == [
        "“watch-leg.ply” is in mm, as the file says.",
        "It is a left lower leg; its front was given.",
        "Nothing had to be repaired.",
    ]


def test_how_sure_a_joint_is_is_told_with_what_to_do(limb):
    marks = (Landmark("ankle", 0.0), Landmark("widest", 240.0), Landmark("knee", 351.2, 20.0))
    (told,) = joint_messages(replace(limb.limb, landmarks=marks))
    assert text(told) == (
        "Its knee is taken to be 351 mm above the ankle, to about ± 20 mm. Measure it on the limb; where it differs, "
        "give the top edge’s heights."
    )
    assert told in scan_messages(limb.scan, replace(limb.limb, landmarks=marks))
    assert joint_messages(limb.limb) == []


def test_the_summary_begins_with_the_verdict_and_ends_with_the_caution(calf, limb):
    lines = summary_lines(calf)
    assert (
        lines[0]
        == text(heading(verdict_of(calf), calf.panels))
        == "Not to be cut as it is: one thing stands against it."
    )
    assert "not protective equipment" in lines[-1]
    assert any(line.startswith("Whole, left: ") for line in lines)
    assert not any("needs less than" in line for line in lines)
    bounded = with_limb(calf, panels=(replace(limb.panels[0], least_spread=0.03),))
    assert sum("needs less than" in line for line in summary_lines(bounded)) == 1


def test_the_summary_names_the_pieces_where_there_are_several(calf, limb):
    lines = summary_lines(with_limb(calf, panels=limb.panels * 2, pieces=limb.pieces * 2))
    assert sum(line.startswith("The piece “whole” stretches") for line in lines) == 2


def test_sentences_follow_the_limits_in_force(limb):
    tight = stretch_report(limb.panels[0].flat, kind=LOWER_LEG, limits=PRESETS["dry"])
    assert tight.over_share > limb.panels[0].stretch.over_share
