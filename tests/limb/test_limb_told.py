"""A limb and a side that nobody named are told by foot or hand, assumed and said so, or asked for; named wrongly, they
are stops."""

import numpy as np
import pytest
from test_limb_find import FOREARMS, found, kind, moved, scan, truth

from flatten.findings import finding
from flatten.limb.anatomy.front import Bearings
from flatten.limb.anatomy.midline import midline_of
from flatten.limb.find import find_limb
from flatten.limb.kind import FOREARM, LOWER_LEG, THIGH, UPPER_ARM
from flatten.limb.model import FrontDirection, KindError, LimbError
from flatten.limb.surface.sample import even_points
from flatten.limb.which.told import kind_told, side_told
from flatten.words.say import text
from tests.figures import lone, scan_of

OTHER = {"left": "right", "right": "left"}
MIRROR = np.diag([-1.0, 1.0, 1.0])


def codes(limb):
    return {each.code: each for each in limb.findings}


@pytest.mark.parametrize("name", ["leg_b_phone", "leg_c_floor", *FOREARMS])
def test_kind_and_side_are_told_by_foot_or_hand_and_the_limb_is_the_one_of_that_name(name):
    limb, skin = find_limb(scan(name), kind=None, side=None)
    named, named_skin = found(name)
    assert (limb.kind, limb.side) == (named.kind, named.side)
    assert {"limb.kind told", "limb.side told"} <= set(codes(limb))
    assert all(codes(limb)[code].severity == "look" for code in ("limb.kind told", "limb.side told"))
    np.testing.assert_array_equal(limb.frame.axes, named.frame.axes)
    np.testing.assert_array_equal(skin.radii, named_skin.radii)


@pytest.mark.parametrize("name", ["leg_b_phone", "forearm_b_phone"])
def test_the_mirror_image_is_told_as_the_other_side(name):
    limb, _ = find_limb(moved(scan(name), MIRROR, np.zeros(3)), kind=kind(name), side=None)
    assert limb.side == OTHER[truth(name)["side"]]


@pytest.mark.parametrize("name", ["leg_b_phone", "forearm_b_phone"])
def test_a_side_that_foot_or_hand_speak_against_is_a_stop(name):
    side = truth(name)["side"]
    limb, _ = find_limb(scan(name), kind=kind(name), side=OTHER[side])
    against = codes(limb)["limb.side against"]
    assert (against.severity, against.figures["side"], against.figures["other"]) == ("stop", OTHER[side], side)


def bearings(against):
    doubt = (finding("limb.side against", "stop", seen="foot", side="x", other="y"),) if against else ()
    return Bearings(np.array([1.0, 0.0, 0.0]), "foot", doubt)


@pytest.mark.parametrize(
    ("doubted", "side", "code"),
    [
        ((), "left", "limb.side assumed"),
        (("left",), "right", "limb.side told"),
        (("right",), "left", "limb.side told"),
        (("left", "right"), "left", "limb.side assumed"),
    ],
)
def test_the_side_that_is_not_spoken_against_is_told(doubted, side, code):
    told, how = side_told(lambda each: bearings(each in doubted))
    assert (told, how.code) == (side, code)


def above(limb, height):
    """A limb of the invented figure in its own coordinates, cut off below a height of its body."""
    vertices, faces = lone(limb)
    return scan_of(vertices, faces[(vertices[faces, 2] > height).all(axis=1)])


def test_a_thigh_whose_side_nothing_shows_is_assumed_to_be_left():
    limb, _ = find_limb(above("left thigh", 380.0), kind=THIGH, side=None, front=FrontDirection((1.0, 0.0, 0.0)))
    assert limb.side == "left"
    assert codes(limb)["limb.side assumed"].figures == {"side": "left"}


def test_an_unnamed_limb_without_foot_or_hand_is_asked_for():
    shown = above("left upper arm", 50.0)
    with pytest.raises(KindError, match=r"taken for a lower leg, as nobody named.*'thigh', 'forearm', 'upper arm'"):
        find_limb(shown, kind=None, side=None)


def test_what_is_told_of_an_unnamed_kind():
    coarse = even_points(scan("leg_a_clean"), count=20_000)
    turned = (coarse - coarse.mean(axis=0)) @ np.linalg.svd(coarse - coarse.mean(axis=0), full_matrices=False)[2].T
    shown, told = kind_told(turned, midline_of(turned))
    assert shown is LOWER_LEG
    assert told == finding("limb.kind told", "look", kind="lower leg", end="foot", others=("thigh",))


@pytest.mark.parametrize(("name", "wrong"), [("leg_b_phone", FOREARM), ("forearm_b_phone", UPPER_ARM)])
def test_a_kind_that_is_spoken_against_with_its_front_given_is_a_stop_or_no_limb(name, wrong):
    front = FrontDirection(tuple(found(name)[0].frame.axes[0]))
    with pytest.raises(KindError):
        find_limb(scan(name), kind=wrong, side="left")
    try:
        limb, _ = find_limb(scan(name), kind=wrong, side="left", front=front)
    except LimbError as error:
        told = str(error)
    else:
        against = codes(limb)["limb.kind against"]
        assert (against.severity, against.figures["limb"]) == ("stop", wrong.name)
        told = text(against)
    assert "name the limb" in told
