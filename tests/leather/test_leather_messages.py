"""What is told of a leather, in English."""

import math
from dataclasses import replace

import pytest

from flatten.leather.limits import PRESETS, given_limits
from flatten.leather.messages import amount_message, bend_message, least_message, limits_message, strip_messages
from flatten.leather.model import Bend, Reading, StripTest
from flatten.limb.kind import LOWER_LEG
from flatten.words.say import text, texts


def test_limits_say_where_they_come_from():
    assert text(limits_message(PRESETS["dry"].in_force)) == (
        "The limits are 2.0 % of stretch and 1.0 % of squeeze. They are an opinion (the preset “dry”): strips of your "
        "own leather tell better."
    )
    own = given_limits({"stretch_along": 0.04, "stretch_across": 0.06, "squeeze_along": 0.02, "squeeze_across": 0.02})
    told = text(limits_message(own.in_force))
    assert "4.0 % of stretch and 2.0 % of squeeze along the grain, 6.0 %" in told
    assert told.endswith("They are your own figures.")
    tested = text(limits_message(replace(own.in_force, source="strip test")))
    assert "The stretch is that of the weakest strip each way" in tested
    assert "the squeeze, which no strip can show, is an opinion" in tested


def test_a_strip_test_is_told_figure_by_figure():
    found = Reading(0.05, 0.04, 0.06, 2), Reading(0.08, 0.08, 0.08, 1)
    test = StripTest(
        10.0, 20.0, 4.0, (None, None), found, (None, None), (Reading(0.2, 0.2, 0.2, 1), None), (None, None)
    )
    assert texts(strip_messages(test)) == [
        "The strips, 20 mm wide and 4.0 mm thick, carried 10 kg (1.2 N/mm²). A harder pull stretches leather further: "
        "the limits hold for this one.",
        "Cased, they stretched by 5.0 % on average (4.0 % to 6.0 %, 2 strips) along the grain and 8.0 % (one strip) "
        "across the grain.",
        "Of the stretch, 20.0 % (one strip) along the grain sprang back: form that much further over the former.",
    ]


# Inside radius at least 2 t cased, 5 t dry [memory]
@pytest.mark.parametrize(
    ("radius", "words"),
    [
        (16.0, "that is bent dry without trouble"),
        (15.9, "too tight for dry leather"),
        (6.4, "case it"),
        (6.3, "too tight even for cased"),
    ],
)
def test_a_bend_is_judged_by_the_thickness(radius, words):
    bend = Bend(radius, 3.2 / (2 * radius + 3.2), 3.2, 35.0, 0.1)
    told = text(bend_message(bend, kind=LOWER_LEG))
    assert words in told


def test_what_no_piece_can_do_without_is_told_beside_what_this_one_needs():
    told = text(least_message(math.log(1.04), math.log(1.07), piece="guard"))
    assert told == (
        "No pattern with these cuts needs less than 4.0 % between squeeze and stretch; “guard” asks for 7.0 %."
    )
    assert text(least_message(0.0, math.log(1.07))).startswith("Nothing was found in the limb’s shape")


def test_the_leather_to_buy_holds_a_quarter_more():
    # 1 sq ft = 0.09290304 m² exactly
    told = text(amount_message(92903.04 * 2, mass=595.0, thickness=3.2))
    assert told.startswith("Buy at least 2.5 sq ft of leather 3.2 mm thick")
    assert "the pieces take 2.00 sq ft (1858 cm²)" in told
    assert "about 595 g" in told
