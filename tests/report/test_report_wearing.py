"""What a person reads about wearing a piece."""

from dataclasses import replace

import numpy as np
import pytest
from report_case import with_limb

from flatten.limb.kind import KINDS, LOWER_LEG
from flatten.report.numbers import report_numbers
from flatten.report.page import page_html
from flatten.report.summary import summary_lines
from flatten.report.wearing import (
    doubt_message,
    fit_message,
    wearing_findings,
    wearing_messages,
)
from flatten.words.say import texts
from flatten.worn.motion import Motion, Touch
from flatten.worn.putting_on import PuttingOn
from flatten.worn.wearing import FitRange, Wearing

FIT = FitRange(378.0, 403.0, (15.0, 40.0), 25.0, 1, 0, 9.0, 4.0, 0.9)
FREE = Touch(Motion("raising the foot", "bottom", -55.0, 0.0, np.radians(20.0)), None, 0.0, np.zeros(1), np.ones(1))
KNEE = Motion("bending the knee", "top", 350.0, np.pi, np.radians(135.0))


def knee(degrees):
    return Touch(KNEE, np.radians(degrees), np.pi, np.zeros(1), np.ones(1))


def wearing(**more):
    on = PuttingOn("bends", 0.0, 0.0, 0.0, None)
    return replace(Wearing(FIT, on, 12.0, (knee(106.0), FREE), ()), **more)


def test_the_range_of_girths_is_told_in_one_sentence():
    first, second = texts((fit_message(FIT), doubt_message(FIT)))
    assert first == "The laces close from 15 to 40 mm: it fits 378 to 403 mm at the widest."
    assert "about 10 mm in all, as they seldom all lean one way, which the closings take up" in second


def test_a_range_narrower_than_its_doubt_is_a_caution():
    tight = replace(FIT, closes=(22.0, 40.0))
    (caution,) = texts(wearing_findings(wearing(fit=tight), kind=LOWER_LEG))
    assert "only 3 mm to give one way" in caution


@pytest.mark.parametrize(
    ("on", "words"),
    [
        (PuttingOn("apart", 0.0, 0.0, 0.0, None), "It goes on: it comes apart"),
        (PuttingOn("bends", 0.0, 0.0, 0.0, None), "It goes on: leather that was not hardened"),
        (
            PuttingOn("springs", 40.0, 97.0, 88.0, None),
            "springs open to 97 mm where that is hardest, 40 mm above the a",
        ),
        (PuttingOn("too stiff", 15.0, 42.0, 51.0, 40.0), "Widen the lacing gap to 40 mm, or split it into two halves"),
        (PuttingOn("too stiff", 15.0, 42.0, 51.0, None), "51 mm wide. Split it into two halves"),
        (PuttingOn("closed", 0.0, 0.0, 0.0, None), "cannot be put on: no seam of it opens, and the foot is wider"),
    ],
)
def test_how_it_goes_on_is_told_in_words(on, words):
    told = texts(wearing_messages(wearing(on=on), kind=LOWER_LEG))
    assert any(words in sentence for sentence in told)
    warned = any(words in caution for caution in texts(wearing_findings(wearing(on=on), kind=LOWER_LEG)))
    assert warned == (on.way in ("too stiff", "closed"))


@pytest.mark.parametrize("kind", KINDS.values(), ids=str)
def test_what_holds_it_up_is_told_for_each_limb(kind):
    assert any("stays up by itself" in s for s in texts(wearing_messages(wearing(), kind=kind)))
    assert any("Nothing on the limb holds it up" in s for s in texts(wearing_messages(wearing(catch=-8.0), kind=kind)))


def test_bends_are_told_in_degrees_and_stiff_ones_are_cautions():
    told = texts(wearing_messages(wearing(), kind=LOWER_LEG))
    assert "Raising the foot: free through all 20°." in told
    assert any("the top edge stops it at about 106° of 135°, at the back" in sentence for sentence in told)
    assert texts(wearing_findings(wearing(), kind=LOWER_LEG)) == []
    (caution,) = texts(wearing_findings(wearing(touches=(knee(80.0),)), kind=LOWER_LEG))
    assert caution.startswith("Bending the knee")


def test_edges_on_tender_places_are_cautions():
    nerve, hollow = texts(wearing_findings(wearing(near=("fibula", "knee hollow")), kind=LOWER_LEG))
    assert "head of the fibula" in nerve
    assert "hollow of the knee" in hollow


def test_the_page_the_summary_and_the_numbers_tell_it(calf):
    told = with_limb(calf, wearing=wearing())
    assert "The laces close from 15 to 40 mm" in page_html(told)
    assert "The laces close from 15 to 40 mm: it fits 378 to 403 mm at the widest." in summary_lines(told)
    numbers = report_numbers(told)["wearing"]
    assert numbers["closes"] == {"min": 15.0, "max": 40.0, "drawn": 25.0}
    assert [motion["touches"] for motion in numbers["motions"]] == [pytest.approx(np.radians(106.0)), None]
    assert report_numbers(calf)["wearing"] is None
    assert "Putting it on" not in page_html(calf)
