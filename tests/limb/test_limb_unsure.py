"""How unsure heights and the axis are that no girth shows: measured on known limbs, and told once."""

import numpy as np
import pytest
from test_limb_find import LEGS, angle_deg, demo, found, in_mm, scan, truth

from flatten.limb.find import find_limb
from flatten.limb.kind import FOREARM, LOWER_LEG, THIGH, UPPER_ARM, kind_named
from flatten.limb.model import FrontDirection
from flatten.limb.which.choose import one_limb
from flatten.report.messages import joint_messages
from flatten.words.say import texts
from tests.damage import known
from tests.figures import PLACES, cropped, lone, on, scan_of

KNEECAP = 37.0
"""mm of the kneecap's top above the joint's centre, from memory: the invented legs' are 36 and 38."""


def thigh(name):
    """The limb that a scan of a leg shows where it is named a thigh; it reaches 100 mm above the knee."""
    front = FrontDirection(tuple(found(name)[0].frame.axes[0]))
    return find_limb(scan(name), kind=THIGH, side=truth(name)["side"], front=front)[0]


def kneecap_errors():
    """How far the kneecap's top lies from the body's, mm, on the legs that show enough of a thigh to tell one."""
    errors = []
    # One leg shows so little of its thigh that its foot tells the error (test_limb_kinds).
    for name in (each for each in LEGS if each != "leg_b_phone"):
        knee = thigh(name).frame.to_limb(in_mm(name, truth(name)["landmarks_file"]["knee"])[None])[0, 2]
        errors.append(-knee - KNEECAP)
    body = known("left thigh")
    limb, _ = find_limb(scan_of(body.vertices, body.faces), kind=THIGH, side="left")
    errors.append(-limb.frame.to_limb(body.origin[None])[0, 2])
    return np.array(errors)


def test_the_doubt_of_a_kneecap_is_that_of_the_bodies_at_hand():
    errors = kneecap_errors()
    assert 0.5 * THIGH.zero_sigma < np.sqrt(np.mean(errors**2)) < 1.2 * THIGH.zero_sigma
    assert np.abs(errors).max() < 2 * THIGH.zero_sigma


def test_the_crease_of_the_one_elbow_at_hand_is_found_within_half_its_doubt():
    body = known("left upper arm")
    front = FrontDirection(tuple(body.front))
    limb, _ = find_limb(scan_of(body.vertices, body.faces), kind=UPPER_ARM, side="left", front=front)
    assert limb.landmarks[0].sigma == UPPER_ARM.zero_sigma
    assert abs(limb.frame.to_limb(body.origin[None])[0, 2]) < UPPER_ARM.zero_sigma / 2


@pytest.mark.parametrize(("name", "zero"), [("left thigh", "the kneecap"), ("left upper arm", "the elbow’s crease")])
def test_how_unsure_height_0_is_is_told_with_what_to_do(name, zero):
    body = known(name)
    front = FrontDirection(tuple(body.front))
    limb, _ = find_limb(scan_of(body.vertices, body.faces), kind=kind_named(body.kind), side="left", front=front)
    (sentence,) = texts(joint_messages(limb))
    assert sentence.startswith(f"Heights count from {zero}, whose place the shape tells to about ± ")
    assert f"± {kind_named(body.kind).zero_sigma:.0f} mm. Mark it on the limb" in sentence


def test_a_doubt_that_a_caution_tells_is_told_once():
    straight = demo("harbour_watch_left_forearm")[1][0]
    assert joint_messages(straight) == []
    assert f"to about ± {FOREARM.guessed_sigma:.0f} mm; measure it" in texts(straight.findings)[0]
    hardly = thigh("leg_a_clean")
    assert joint_messages(hardly) == []
    assert "hardly shows the kneecap: its top is taken 83 mm above the narrowest place of the knee, to about ± " in str(
        texts(hardly.findings)
    )


@pytest.mark.parametrize("high", [200.0, 260.0])
@pytest.mark.parametrize("name", LEGS)
def test_a_leg_whose_knee_is_not_shown_is_told_to_lean_by_as_much_as_it_may(name, high):
    limb = found(name)[0]
    heights = limb.frame.to_limb(scan(name).points)[:, 2]
    part = scan_of(scan(name).points, scan(name).faces[(heights < high)[scan(name).faces].all(axis=1)])
    again, _ = find_limb(part, kind=LOWER_LEG, side=truth(name)["side"])
    assert any(
        f"does not show the knee: the leg’s axis may lean by {LOWER_LEG.leans:.0f}°" in c for c in texts(again.findings)
    )
    assert angle_deg(again.frame.axes[2], np.array(truth(name)["axis"]["direction_file"])) < LOWER_LEG.leans
    assert not any("does not show the knee" in caution for caution in texts(limb.findings))


@pytest.mark.parametrize(("cut", "told"), [(660.0, True), (833.0, True), (2000.0, False)])
def test_a_thigh_that_the_scan_cuts_short_of_its_widest_is_told(cut, told):
    if cut > PLACES["left thigh"].body.marks["groin"]:
        part = one_limb(cropped("whole"), pick=on("left thigh", 650.0))
    else:
        vertices, faces = lone("left thigh")
        part = scan_of(vertices, faces[(vertices[:, 2] < cut)[faces].all(axis=1)])
    limb, _ = find_limb(part, kind=THIGH, side="left")
    assert any("scan ends where its thigh is widest" in caution for caution in texts(limb.findings)) == told
