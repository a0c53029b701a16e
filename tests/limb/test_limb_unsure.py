"""How unsure heights and the axis are that no girth shows: measured on known limbs, and told once."""

import dataclasses

import numpy as np
import pytest
from test_limb_find import LEGS, angle_deg, found, scan, truth

from flatten.limb.anatomy.joint import Joint
from flatten.limb.find import find_limb
from flatten.limb.joint import unsure_findings
from flatten.limb.kind import LOWER_LEG, THIGH, kind_named
from flatten.limb.model import FrontDirection
from flatten.limb.which.choose import one_limb
from flatten.report.messages import joint_messages
from flatten.words.say import texts
from tests.damage import known
from tests.figures import PLACES, cropped, lone, on, scan_of


@pytest.mark.parametrize(("name", "zero"), [("left thigh", "the kneecap"), ("left upper arm", "the elbow’s crease")])
def test_how_unsure_height_0_is_is_told_once_with_what_to_do(name, zero):
    body = known(name)
    front = FrontDirection(tuple(body.front))
    limb, _ = find_limb(scan_of(body.vertices, body.faces), kind=kind_named(body.kind), side="left", front=front)
    sigma = limb.landmarks[0].sigma
    sure = dataclasses.replace(limb, findings=())
    (sentence,) = texts(joint_messages(sure))
    assert sentence.startswith(f"The shape tells the place of {zero} to about ± {sigma:.0f} mm. Mark it on the limb")
    asked = unsure_findings(limb.kind, Joint(0.0, 31.0, ()), height=0.0, point="[1, 2, 3]")
    assert joint_messages(dataclasses.replace(limb, findings=asked)) == []
    (told,) = texts(asked)
    assert "to about ± 31 mm" in told
    assert "joint = { point = [1, 2, 3] }" in told
    assert "click it on the page" in told.lower()


@pytest.mark.parametrize(("sigma", "others", "told"), [(24.0, (), False), (26.0, (), True), (12.0, (290.0,), True)])
def test_a_joint_is_asked_for_where_it_is_not_sure_or_signs_are_divided(sigma, others, told):
    asked = unsure_findings(LOWER_LEG, Joint(350.0, sigma, others), height=330.0, point="[1, 2, 3]")
    assert bool(asked) == told
    if told:
        (sentence,) = texts(asked)
        assert 'joint = "330 mm"' in sentence
        assert ("some signs put it 60 mm from there" in sentence) == bool(others)


def test_a_joint_that_the_scan_ends_below_is_none():
    assert unsure_findings(LOWER_LEG, None, height=0.0, point="[1, 2, 3]") == ()


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


@pytest.mark.parametrize(("cut", "told"), [(720.0, True), (833.0, True), (2000.0, False)])
def test_a_thigh_that_the_scan_cuts_short_of_its_widest_is_told(cut, told):
    if cut > PLACES["left thigh"].body.marks["groin"]:
        part = one_limb(cropped("whole"), pick=on("left thigh", 650.0))
    else:
        vertices, faces = lone("left thigh")
        part = scan_of(vertices, faces[(vertices[:, 2] < cut)[faces].all(axis=1)])
    limb, _ = find_limb(part, kind=THIGH, side="left")
    assert any("scan ends where its thigh is widest" in caution for caution in texts(limb.findings)) == told
