"""What is told of pieces made symmetrical."""

from dataclasses import replace

import pytest

from flatten.pattern.symmetry import Evened
from flatten.report.page import page_html
from flatten.report.symmetry import symmetry_messages, symmetry_numbers
from flatten.words.say import texts
from tests.report.report_case import calf_report, with_limb

TOLD = Evened(0, 0, ((0, 0),), moved=2.34, mean=1.16, off=3.08, line=0.0, height=209.7)


@pytest.fixture(scope="module")
def calf():
    return calf_report(edge_length=12.0)


@pytest.fixture(scope="module")
def report(calf):
    (limb,) = calf.limbs
    return limb


def test_a_symmetrical_piece_tells_how_far_its_halves_moved_and_where_its_centre_line_sits(calf, report):
    (sentence,) = texts(symmetry_messages(replace(report, even=(TOLD,))))
    assert sentence == (
        "The piece has two equal halves: to meet half-way, the edges of each moved by 2.3 mm at most and 1.2 mm on "
        "average. Worn, its centre line sits up to 3.1 mm off the line of the shin, 210 mm above the ankle."
    )
    assert sentence in page_html(with_limb(calf, even=(TOLD,)))


def test_what_cannot_be_seen_is_told_as_nothing(report):
    (sentence,) = texts(symmetry_messages(replace(report, even=(replace(TOLD, moved=0.11, off=0.2),))))
    assert sentence.endswith("no edge moved by more than 0.1 mm. Worn, its centre line lies on the line of the shin.")


def test_two_pieces_are_told_as_mirror_images_without_a_centre_line(report):
    both = replace(report, panels=report.panels * 2, even=(replace(TOLD, mate=1, off=0.0),))
    (sentence,) = texts(symmetry_messages(both))
    assert "were made mirror images of one another" in sentence
    assert "centre line" not in sentence
    assert symmetry_numbers(both)[0]["centre_off"] is None


def test_a_piece_across_the_back_is_told_against_the_back(report):
    (sentence,) = texts(symmetry_messages(replace(report, even=(replace(TOLD, line=-3.14159265),))))
    assert "off the middle of the back" in sentence


def test_numbers_are_those_that_were_found_and_none_without_symmetry(report):
    (numbers,) = symmetry_numbers(replace(report, even=(TOLD,)))
    assert (numbers["moved_max"], numbers["moved_mean"], numbers["centre_off"]) == (2.34, 1.16, 3.08)
    assert symmetry_numbers(report) == []
    assert symmetry_messages(report) == []
