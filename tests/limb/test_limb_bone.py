"""How far height 0 lies above the ankle bone: by a foot of a formula, and where the scan does not show it."""

import numpy as np
import pytest

from flatten.limb.anatomy.bone import bone_below
from flatten.limb.kind import ANKLE_BONE, FOREARM, LOWER_LEG
from flatten.limb.model import Frame, Landmark, Limb

AROUND = np.linspace(0.0, 2 * np.pi, 60, endpoint=False)


def leg(sole, *, knee=350.0, kind=LOWER_LEG, front_from="foot"):
    """A limb and points of it: a tube of 35 mm down to a sole `sole` mm below height 0."""
    heights = np.arange(-sole, knee, 2.0)
    points = np.stack([np.tile(35.0 * np.cos(AROUND), len(heights)), np.tile(35.0 * np.sin(AROUND), len(heights)),
                       np.repeat(heights, len(AROUND))], axis=1)  # fmt: skip
    marks = (Landmark(kind.zero, 0.0), Landmark(kind.joint_mark, knee))
    return Limb(kind, "left", Frame(np.zeros(3), np.eye(3)), marks, front_from), points


@pytest.mark.parametrize("sole", [110.0, 130.0, 150.0])
def test_sole_and_way_to_the_knee_are_joined_by_their_variances(sole):
    bone = bone_below(*leg(sole))
    by_sole, by_way = sole - ANKLE_BONE.over_sole, 350.0 * ANKLE_BONE.of_way
    one, other = ANKLE_BONE.over_sole_sigma**2, ANKLE_BONE.of_way_sigma**2
    # A step of the tube's rings.
    assert -bone.height == pytest.approx((by_sole * other + by_way * one) / (one + other), abs=2.0)
    assert bone.sigma == pytest.approx((one * other / (one + other)) ** 0.5)
    assert bone.name == "ankle bone"


@pytest.mark.parametrize(
    "unseen",
    [
        {"sole": 40.0},
        {"sole": 300.0},
        {"sole": 120.0, "front_from": "given"},
        {"sole": 120.0, "kind": FOREARM, "front_from": "hand"},
    ],
)
def test_a_bone_that_the_scan_does_not_show_is_not_told(unseen):
    assert bone_below(*leg(**unseen)) is None
