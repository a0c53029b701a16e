"""Findings carry codes and figures; one table of a language puts them into sentences."""

import pickle

import numpy as np
import pytest

from flatten.findings import Place, finding, gravest_first, message
from flatten.limb.kind import FOREARM, KINDS, LOWER_LEG, NoSuchKindError, kind_named, quarter_at
from flatten.words.language import Language
from flatten.words.say import name, text, texts


def test_a_message_is_said_with_its_figures():
    assert text(message("at height", zero="zero.ankle", height=-31.2)) == "31 mm below the ankle"
    assert text(message("at height", zero="zero.wrist", height=0.3)) == "at the wrist"
    place = message("at place", zero="zero.ankle", side="front", height=31.0)
    assert texts([place]) == ["at the front, 31 mm above the ankle"]


def test_another_language_is_one_more_table():
    french = Language(
        tag="fr",
        sentences={"seam": lambda count, where: f"{count} trous {where}", "at": lambda side: f"à {side}"},
        names={"front": "l’avant"},
    )
    told = message("seam", count=3, where=message("at", side="gauche"))
    assert text(told, french) == "3 trous à gauche"
    assert name("front", french) == "l’avant"
    assert name("back", french) == "back"


def test_a_code_without_a_sentence_is_no_silence():
    with pytest.raises(KeyError, match="nobody wrote this"):
        text(message("nobody wrote this"))


def test_a_finding_on_one_of_two_limbs_says_which():
    there = finding("at height", "look", place=Place(limb="right"), zero="zero.ankle", height=10.0)
    assert text(there) == "On the right: 10 mm above the ankle"


def test_the_gravest_come_first_and_else_in_their_order():
    found = [finding(code, severity) for code, severity in (("a", "note"), ("b", "stop"), ("c", "look"), ("d", "stop"))]
    assert [each.code for each in gravest_first(found)] == ["b", "d", "c", "a"]


def test_a_finding_survives_the_way_between_two_processes():
    told = finding("at height", "stop", place=LOWER_LEG.place(height=3.0, bearing=np.pi), zero="zero.ankle", height=3.0)
    assert pickle.loads(pickle.dumps(told)) == told


@pytest.mark.parametrize(("bearing", "side"), [(0.0, 0), (0.8, 1), (-0.7, 0), (-0.8, 3), (np.pi, 2), (7.0, 0)])
def test_a_place_names_the_quarter_that_its_bearing_lies_in(bearing, side):
    assert quarter_at(bearing) == side
    assert FOREARM.place(height=1.0, bearing=bearing).side == FOREARM.sides[side]


def test_a_makers_words_for_a_side():
    assert [FOREARM.side_number(word) for word in ("thumb", "thumb_side", "Palm side", "shin")] == [1, 1, 2, None]
    assert LOWER_LEG.side_number("calf") == 2


def test_an_unknown_kind_names_those_that_there_are():
    with pytest.raises(NoSuchKindError, match="must be one of lower leg, thigh, forearm, upper arm"):
        kind_named("tail")
    assert [kind_named(each).name for each in KINDS] == list(KINDS)


@pytest.mark.parametrize(
    ("share", "said"),
    [(0.0004, "Less than 1 % of"), (0.0099, "Less than 1 % of"), (0.01, "1 % of"), (0.344, "34 % of")],
)
def test_a_little_that_is_left_out_is_never_no_per_cent(share, said):
    assert text(finding("scan.other limbs", "note", count=3, share=share)).startswith(said)
