"""The front against foot and hand: mirrored captures, fronts that were given wrongly, feet seen from one side."""

import numpy as np
import pytest
from test_limb_find import FOREARMS, LEGS, across, angle_deg, found, kind, moved, scan, true_front, truth

from flatten.limb.find import find_limb
from flatten.limb.kind import FOREARM, LOWER_LEG
from flatten.limb.model import FrontDirection, FrontPoint
from flatten.words.say import texts
from tests.figures import scan_of

OTHER = {"left": "right", "right": "left"}


@pytest.mark.parametrize("name", FOREARMS)
def test_the_back_of_a_hand_is_known_by_its_palm_whichever_side_was_named(name):
    limb, _ = find_limb(scan(name), kind=FOREARM, side=OTHER[truth(name)["side"]])
    assert angle_deg(limb.frame.axes[0], across(true_front(name), limb.frame.axes[2])) < 6.0
    mirror = np.diag([-1.0, 1.0, 1.0])
    limb, _ = find_limb(moved(scan(name), mirror, np.zeros(3)), kind=FOREARM, side=truth(name)["side"])
    assert angle_deg(limb.frame.axes[0], across(mirror @ true_front(name), limb.frame.axes[2])) < 6.0


@pytest.mark.parametrize("name", ["leg_b_phone", "forearm_b_phone"])
def test_what_to_do_about_a_mirrored_capture_is_told_and_is_right(name):
    side = truth(name)["side"]
    mirrored = moved(scan(name), np.diag([-1.0, 1.0, 1.0]), np.zeros(3))
    (caution,) = texts(find_limb(mirrored, kind=kind(name), side=side)[0].findings)
    assert f"name the {OTHER[side]} side all the same and cut the pair mirrored: its {side} pieces" in caution
    # Named so it is the other side's limb with the same numbers, whose mirror image is the limb that was scanned.
    limb, _ = find_limb(mirrored, kind=kind(name), side=OTHER[side])
    assert limb.findings == ()
    assert limb.frame.mirrored != found(name)[0].frame.mirrored
    np.testing.assert_allclose(limb.frame.axes @ np.diag([-1.0, 1.0, 1.0]), found(name)[0].frame.axes, atol=1e-8)


def given(name, turn_deg, *, point=False):
    frame, surface = found(name)[0].frame, found(name)[1]
    turn = np.radians(turn_deg)
    toward = np.cos(turn) * frame.axes[0] + np.sin(turn) * frame.axes[1]
    if not point:
        return FrontDirection(tuple(toward))
    middle = np.append(surface.centre_line(20.0), 20.0)
    return FrontPoint(tuple(frame.to_scan(middle[None])[0] + 40.0 * toward))


@pytest.mark.parametrize("point", [False, True])
@pytest.mark.parametrize("name", ["leg_a_clean", "forearm_c_nodes"])
def test_a_given_front_far_from_where_foot_or_hand_put_it_is_told(name, point):
    seen = "foot" if kind(name) is LOWER_LEG else "hand"
    side = truth(name)["side"]
    for turn in (-170, -60, 60, 90):
        limb, _ = find_limb(scan(name), kind=kind(name), side=side, front=given(name, turn, point=point))
        (told,) = [caution for caution in texts(limb.findings) if "The front that was given" in caution]
        assert f"from where it is by the {seen}" in told
        # A point is seen from the slabs' axis, which lies a few mm beside the section's centre 40 mm off.
        assert abs(turn) == pytest.approx(int(told.split("lies ")[1].split("°")[0]), abs=10 if point else 3)
        assert limb.front_from == "given"
    for turn in (-20, 0, 20):
        limb, _ = find_limb(scan(name), kind=kind(name), side=side, front=given(name, turn, point=point))
        assert limb.findings == ()


@pytest.mark.parametrize("name", ["leg_b_phone", "forearm_b_phone"])
def test_the_side_is_doubted_by_foot_or_hand_though_the_front_was_given(name):
    limb, _ = find_limb(scan(name), kind=kind(name), side=OTHER[truth(name)["side"]], front=given(name, 0.0))
    assert [each.code for each in limb.findings] == ["limb.side against"]


ONE_SIDED = [
    *((name, side, -20.0, 16.0) for name in LEGS for side in (-1.0, 1.0)),
    ("leg_b_phone", 1.0, -20.0, 5.0),
    ("leg_c_floor", 1.0, -20.0, 5.0),
    ("leg_c_floor", 1.0, -35.0, 8.0),
]
"""Legs, which side of the foot is left out, from which height down, and how far beside the ankle's middle, mm."""


@pytest.mark.parametrize(("name", "side", "top", "beside"), ONE_SIDED)
def test_a_foot_that_is_seen_from_one_side_speaks_against_no_side(name, side, top, beside):
    limb, surface = found(name)
    points, faces = scan(name).points, scan(name).faces
    local = limb.frame.to_limb(points)
    kept = (local[:, 2] > top) | (side * (local[:, 1] - surface.centre_line(0.0)[1]) < beside)
    part = scan_of(points, faces[kept[faces].all(axis=1)])
    again, _ = find_limb(part, kind=LOWER_LEG, side=truth(name)["side"])
    assert not any(each.code == "limb.side against" for each in again.findings)
    assert angle_deg(again.frame.axes[0], across(true_front(name), again.frame.axes[2])) < 10.0
