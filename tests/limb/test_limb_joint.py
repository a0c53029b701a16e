"""A joint that is given stands in for the one that was found: by tape from height 0, or as a point of the scan."""

import json
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from flatten.job.text import job_of
from flatten.limb.girths.girth import tape_girth, tape_girths
from flatten.limb.joint import JOINT_GIVEN
from flatten.limb.model import LimbError
from flatten.measuring import measure

SCANS = Path(__file__).parents[1] / "data" / "scans"
TRUTH = json.loads((SCANS / "leg_b_phone.json").read_text("utf8"))


@cache
def measured(joint, *tapes):
    given = joint if isinstance(joint, str) else {"point": list(joint)}
    table = {
        "file": TRUTH["file"],
        "unit": TRUTH["unit"],
        "side": TRUTH["side"],
        "joint": given,
        "tape": [{"at": at, "girth": girth} for at, girth in tapes],
    }
    return measure(job_of({"scan": table}, name="the test").scan, folder=SCANS, announce=lambda step: None)


def test_a_joint_by_tape_is_the_landmark_and_the_widest_is_below_it():
    low = measured("200 mm")
    knee = next(mark for mark in low.limb.landmarks if mark.name == "knee")
    assert (knee.height, knee.sigma) == (200.0, JOINT_GIVEN)
    heights = np.arange(0.0, 200.0, 1.0)
    # The calf of this leg is widest far above: below 200 mm it grows up to the end of what is looked at.
    assert low.limb.height_of("widest") < 200.0 < measured("auto").limb.height_of("widest")
    assert tape_girth(low.skin, low.limb.height_of("widest")) <= tape_girths(low.skin, heights).max() + 0.01


def test_a_joint_by_tape_is_told_at_the_size_that_the_tapes_give():
    plain = measured("auto")
    girth = tape_girth(plain.skin, 0.0)
    larger = measured("430 mm", ("ankle", f"{1.1 * girth:.2f} mm"))
    assert larger.limb.height_of("knee") == pytest.approx(430.0)
    assert larger.scan.scale == pytest.approx(1.1, rel=1e-3)


def test_a_tape_at_the_widest_is_compared_with_the_widest_below_the_joint_that_was_given():
    plain = measured("200 mm")
    girth = tape_girth(plain.skin, plain.limb.height_of("widest"))
    # As large as it is: the joint's height by tape is that on the scan.
    same = measured("200 mm", ("widest", f"{girth:.3f} mm"))
    assert same.scan.scale == pytest.approx(1.0, rel=1e-3)
    # Twenty per cent larger, and its joint as much higher: the same place of the scan.
    larger = measured("240 mm", ("widest", f"{1.2 * girth:.3f} mm"))
    assert larger.scan.scale == pytest.approx(1.2, rel=2e-3)
    assert larger.limb.height_of("widest") == pytest.approx(1.2 * plain.limb.height_of("widest"), abs=6.0)


def test_a_point_on_the_kneecap_in_the_files_own_axes_and_unit_is_the_joint():
    plain = measured("auto")
    place = plain.skin.points(np.array([320.0]), np.array([0.1]))
    point = plain.limb.frame.to_scan(place)[0] / TRUTH["mm_per_unit"]
    given = measured(tuple(point.tolist()))
    # The axis runs to the joint, so that it leans a little less or more than before.
    assert given.limb.height_of("knee") == pytest.approx(320.0, abs=2.0)
    # And at another size it is the same point of the scan.
    girth = tape_girth(plain.skin, 0.0)
    larger = measured(tuple(point.tolist()), ("ankle", f"{1.1 * girth:.2f} mm"))
    assert larger.limb.height_of("knee") == pytest.approx(1.1 * given.limb.height_of("knee"), abs=1.0)


def test_a_joint_below_the_ankle_is_refused_with_what_to_give():
    plain = measured("auto")
    foot = plain.limb.frame.to_scan(np.array([[0.0, 0.0, -40.0]]))[0] / TRUTH["mm_per_unit"]
    with pytest.raises(LimbError, match=r"lies -\d+ mm above the ankle.*by tape, or a point"):
        measured(tuple(foot.tolist()))
