"""A limb that is named as another kind is told by its foot or its hand; one that is named rightly is not doubted."""

from pathlib import Path

import pytest
from test_limb_find import FOREARMS, LEGS, demo, found, kind, scan, truth

from flatten.errors import CalfskinError
from flatten.limb.find import find_limb
from flatten.limb.kind import kind_named
from flatten.limb.model import FrontDirection, KindError, LimbError
from flatten.scan.read import read_scan
from flatten.words.say import texts
from tests.figures import PLACES, lone, scan_of

MESHES = Path(__file__).parents[2] / "meshes"
ARMS = ("forearm", "upper arm")
DEMO_LEGS = ("harbour_watch_left_shin", "harbour_watch_right_shin")


def as_kind(name, wrong, *, front=None):
    return find_limb(scan(name), kind=kind_named(wrong), side=truth(name)["side"], front=front)[0]


def words_of(shown, **named):
    """The cautions, or the error, that a scan gives where it is named so."""
    try:
        return texts(find_limb(shown, **named)[0].findings)
    except CalfskinError as error:
        return (str(error),)


def own_front(name):
    return FrontDirection(tuple(found(name)[0].frame.axes[0]))


@pytest.mark.parametrize("name", LEGS)
@pytest.mark.parametrize("wrong", ARMS)
def test_a_leg_that_is_named_an_arm_is_an_error_by_its_foot(name, wrong):
    with pytest.raises(KindError, match=rf"as a foot does.*name the limb 'lower leg' or 'thigh'.*'{wrong}' is right"):
        as_kind(name, wrong)
    words = words_of(scan(name), kind=kind_named(wrong), side=truth(name)["side"], front=own_front(name))
    assert "as a foot does" in words[0]


@pytest.mark.parametrize("name", FOREARMS)
@pytest.mark.parametrize("wrong", ["lower leg", "thigh"])
def test_an_arm_that_is_named_a_leg_is_an_error_by_its_hand(name, wrong):
    told = "the scan shows a hand with its thumb; name the limb 'forearm' or 'upper arm'"
    with pytest.raises(LimbError, match=told):
        as_kind(name, wrong)
    assert told in words_of(scan(name), kind=kind_named(wrong), side=truth(name)["side"], front=own_front(name))[0]


# The other forearm goes on past its elbow by half of its length, and so may be an upper arm.
@pytest.mark.parametrize("name", ["forearm_b_phone"])
def test_a_forearm_that_is_named_an_upper_arm_is_told_by_the_hand_below_its_narrowest_place(name):
    told = "a hand right below the limb's narrowest place, which is its wrist and not the elbow; name the limb"
    with pytest.raises(KindError, match=told):
        as_kind(name, "upper arm")
    with pytest.raises(KindError, match=told):
        as_kind(name, "upper arm", front=own_front(name))


def test_a_leg_whose_thigh_is_too_little_to_be_one_is_told_by_the_foot_below_its_narrowest_place():
    told = "a foot right below the limb's narrowest place, which is its ankle and not the knee; name the limb"
    with pytest.raises(KindError, match=told):
        as_kind("leg_b_phone", "thigh")
    with pytest.raises(KindError, match=told):
        as_kind("leg_b_phone", "thigh", front=own_front("leg_b_phone"))


@pytest.mark.parametrize(("name", "wrong"), [*((leg, "forearm") for leg in DEMO_LEGS), (None, "lower leg")])
def test_the_invented_limbs_are_told_too(name, wrong):
    facts = demo(name or "harbour_watch_left_forearm")[0]
    shown = read_scan(MESHES / facts["file"], unit=facts["unit"])
    with pytest.raises(LimbError, match=r"name the limb '(lower leg' or 'thigh|forearm' or 'upper arm)'"):
        find_limb(shown, kind=kind_named(wrong), side=facts["side"])


@pytest.mark.parametrize("name", ["left thigh", "left upper arm"])
def test_a_limb_that_is_shown_with_its_foot_or_hand_far_below_is_not_doubted(name):
    # From an elbow to the finger tips it is 10.9 radii of the elbow, so that what lies there is no hand of that size.
    front = FrontDirection((1.0, 0.0, 0.0))
    limb, _ = find_limb(scan_of(*lone(name)), kind=kind_named(PLACES[name].body.kind), side="left", front=front)
    assert not any(each.code == "limb.kind against" for each in limb.findings)


@pytest.mark.parametrize("high", [150.0, 250.0])
@pytest.mark.parametrize("name", [*LEGS, *FOREARMS])
def test_a_limb_without_foot_or_hand_is_not_doubted(name, high):
    limb = found(name)[0]
    heights = limb.frame.to_limb(scan(name).points)[:, 2]
    inside = (heights > -15.0) & (heights < high)
    part = scan_of(scan(name).points, scan(name).faces[inside[scan(name).faces].all(axis=1)])
    words = words_of(part, kind=kind(name), side=truth(name)["side"], front=own_front(name))
    assert not any("name the limb" in each for each in words)
