"""Limbs of posed bodies, bent and straight: joint, front, side, widest and girths against the truth, at any size."""

import dataclasses
import json
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from flatten.job.text import job_of
from flatten.limb.find import find_limb
from flatten.limb.girths.girth import tape_girth
from flatten.limb.kind import kind_named
from flatten.limb.model import FrontDirection
from flatten.measuring import find
from flatten.scan.read import read_scan
from tests.sections import girths_in_plane

SCANS = Path(__file__).parents[1] / "data" / "posed"
NAMES = tuple(sorted(path.stem for path in SCANS.glob("*.json")))
KINDS = {"leg": "lower leg", "forearm": "forearm", "thigh": "thigh", "upperarm": "upper arm"}
MARKS = {"leg": "kneecap", "forearm": "olecranon", "thigh": "kneecap", "upperarm": "elbow_crease"}

KNEECAP_TOP = 22.0
"""mm of the kneecap's top above its middle, from memory."""

SIZES = tuple(np.linspace(0.99, 1.01, 5))


@cache
def truth(name):
    return json.loads((SCANS / f"{name}.json").read_text("utf8"))


@cache
def scan(name):
    return read_scan(SCANS / truth(name)["file"], unit=truth(name)["unit"])


def in_mm(name, place):
    return np.array(place) * truth(name)["mm_per_unit"]


@cache
def found(name, size=1.0):
    facts = truth(name)
    shown = scan(name)
    shown = dataclasses.replace(shown, points=size * shown.points)
    alone = facts["part"] in ("thigh", "upperarm")
    front = FrontDirection(tuple(facts["axis"]["front_file"])) if alone else None
    return find_limb(shown, kind=kind_named(KINDS[facts["part"]]), side=facts["side"], front=front)


def joint_error(name, size=1.0):
    """How far the joint lies from its mark along the limb, mm of the limb itself, and its sigma."""
    limb, _ = found(name, size)
    part = truth(name)["part"]
    mark = limb.frame.to_limb(size * in_mm(name, truth(name)["marks_file"][MARKS[part]])[None])[0, 2]
    if part == "thigh":
        mark += KNEECAP_TOP
    joint = next(each for each in limb.landmarks if each.name == limb.kind.joint_mark)
    return (joint.height - mark) / size, joint.sigma


@pytest.mark.parametrize("name", NAMES)
def test_the_joint_is_the_bodys_and_its_sigma_says_how_surely(name):
    error, sigma = joint_error(name)
    assert abs(error) < 25.0
    assert abs(error) < 2.0 * sigma < 50.0
    assert found(name)[0].asked is None


def test_sigmas_are_neither_too_bold_nor_too_shy():
    errors, sigmas = np.array([joint_error(name) for name in NAMES]).T
    assert 0.15 < np.mean((errors / sigmas) ** 2) < 1.5


@pytest.mark.parametrize("name", NAMES)
def test_front_and_side_are_the_bodys(name):
    limb, _ = found(name)
    axis = limb.frame.axes[2]
    front = np.array(truth(name)["axis"]["front_file"])
    across = front - (front @ axis) * axis
    turn = np.degrees(np.arctan2(np.linalg.norm(np.cross(limb.frame.axes[0], across)), limb.frame.axes[0] @ across))
    assert turn < 12.0
    assert not any(each.code.startswith(("limb.side", "limb.misnamed", "limb.cuff")) for each in limb.findings)


def truths_planes(name):
    facts = truth(name)
    limb, skin = found(name)
    origin, axis = in_mm(name, facts["axis"]["origin_file"]), np.array(facts["axis"]["direction_file"])
    for row in facts["girths"]:
        girths = girths_in_plane(limb, skin, origin + row["t_mm"] * axis, axis)
        if girths is not None and row["scan_tape_mm"] is not None:
            yield row, girths[1]


@pytest.mark.parametrize("name", NAMES)
def test_girths_in_the_truths_planes_are_those_of_the_scanned_limb(name):
    errors = [girth - row["scan_tape_mm"] for row, girth in truths_planes(name)]
    assert len(errors) >= 6
    assert np.sqrt(np.mean(np.square(errors))) < 0.5


@pytest.mark.parametrize("name", [name for name in NAMES if truth(name)["part"] in ("leg", "forearm")])
def test_the_widest_girth_is_the_bodys_between_its_joints(name):
    limb, skin = found(name)
    most = next(row for row in truth(name)["girths"] if row["name"].endswith("_max"))
    # The truth's own planes end short of the elbow, towards which these forearms widen on.
    assert tape_girth(skin, limb.height_of("widest")) == pytest.approx(most["tape_mm"], rel=0.025)


@pytest.mark.parametrize("name", NAMES)
def test_nothing_flips_with_a_per_cent_of_size(name):
    here = joint_error(name)[0]
    for size in SIZES:
        limb, skin = found(name, size)
        error, sigma = joint_error(name, size)
        assert abs(error - here) < 1.5 * sigma
        assert skin.trusted[1] > limb.height_of("widest")
        assert {each.code for each in limb.findings} <= {"limb.facets", "limb.ends at widest", "limb.joint unsure"}


@pytest.mark.parametrize("name", [name for name in NAMES if truth(name)["part"] == "forearm"])
def test_a_true_tape_at_the_wrist_scales_a_forearm_and_changes_nothing_else(name):
    limb, skin = found(name)
    girth = tape_girth(skin, 0.0)
    table = {
        "file": truth(name)["file"],
        "limb": "forearm",
        "side": truth(name)["side"],
        "tape": [{"at": "wrist", "girth": f"{0.999 * girth:.3f} mm"}],
    }
    settings = job_of({"scan": table}, name="the test").scan
    taped = find(scan(name), settings, announce=lambda step: None)
    assert taped.scan.scale == pytest.approx(0.999, abs=1e-4)
    for mark, before in zip(taped.limb.landmarks, limb.landmarks, strict=True):
        assert mark.height == pytest.approx(0.999 * before.height, abs=0.02)
