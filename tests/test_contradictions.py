"""A job that contradicts its scan, by its side, limb, front or tapes, is stopped: a hundred at random."""

import random
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import numpy as np
import pytest
import trimesh

from flatten.job.text import job_of
from flatten.limb.girths.girth import tape_girth
from flatten.limb.model import LimbError
from flatten.measuring import find, measure, read
from flatten.report.sure import DOUBTS
from flatten.steps import quietly
from flatten.words.say import stop, text

MESHES = Path(__file__).parent.parent / "meshes"
DATA = Path(__file__).parent / "data" / "scans"


@dataclass(frozen=True)
class Shown:
    """A scan and what is true of it."""

    path: Path
    unit: str
    limb: str
    side: str
    least: str


SCANS = (
    Shown(MESHES / "harbour_watch_left_shin.ply", "mm", "lower leg", "left", "ankle"),
    Shown(MESHES / "harbour_watch_left_forearm.obj", "m", "forearm", "left", "wrist"),
    Shown(DATA / "leg_b_phone.obj", "m", "lower leg", "right", "ankle"),
    Shown(DATA / "forearm_c_nodes.glb", "m", "forearm", "right", "wrist"),
)

OTHERS = {"lower leg": ("thigh", 621.0), "forearm": ("thigh", 621.0)}
"""Another limb whose widest girth, mm, is nobody's there. [computed from ANSUR II: Gordon et al.,
NATICK/TR-15/007, 2014, public data file]"""

SLIPS = {
    "half": 0.5,
    "inches for cm": 2.54,
    "cm for inches": 1 / 2.54,
    "tenfold": 10.0,
    "a tenth": 0.1,
    "width": 1 / np.pi,
}


def job(shown, **table):
    scan = {"file": shown.path.name, "unit": shown.unit, "limb": shown.limb, "side": shown.side, **table}
    return job_of({"scan": scan}, name="the test").scan


@cache
def whole(shown):
    """The scan as it was read, and the limb in it by a job that contradicts nothing."""
    settings = job(shown)
    scan = read(settings, path=shown.path, announce=quietly)
    return scan, find(scan, settings, announce=quietly)


def girth(shown, at):
    found = whole(shown)[1]
    return tape_girth(found.skin, found.limb.height_of(at))


def slips(shown, at):
    """The factors of slips at a place that a job file takes: others are no girths."""
    return sorted(slip for slip in SLIPS.values() if 55.0 < slip * girth(shown, at) < 1450.0)


def a_slip(shown, chance):
    """One tape, that is a slip."""
    at = chance.choice(["widest", shown.least])
    slip = chance.choice(slips(shown, at)) * (1.0 + chance.gauss(0.0, 0.01))
    return {"tape": [{"at": at, "girth": slip * girth(shown, at)}]}, "tape.not followed"


def another_limb_s(shown, chance):
    """One tape, that was laid round another limb."""
    other = OTHERS[shown.limb][1] * chance.uniform(0.95, 1.05)
    wanted = "tape.not followed" if not 0.6 <= other / girth(shown, "widest") <= 1.6 else "tape.size in doubt"
    return {"tape": [{"girth": other}]}, wanted


def a_tape_in_doubt(shown, chance):
    """One tape that is farther from the scan than a scan in a known unit is likely to be."""
    at, factor = (
        chance.choice(["widest", shown.least]),
        chance.choice([chance.uniform(0.65, 0.88), chance.uniform(1.13, 1.55)]),
    )
    return {"tape": [{"at": at, "girth": factor * girth(shown, at)}]}, "tape.size in doubt"


def two_tapes(shown, chance):
    """Two tapes of which one is a slip."""
    places = ["widest", shown.least]
    chance.shuffle(places)
    right, wrong = places
    factor = chance.choice([*slips(shown, wrong), chance.uniform(0.7, 0.85), chance.uniform(1.15, 1.5)])
    true, false = (1.0 + chance.gauss(0.0, 0.006)) * girth(shown, right), factor * girth(shown, wrong)
    return {"tape": [{"at": right, "girth": true}, {"at": wrong, "girth": false}]}, "tape.contradict"


def the_side(shown, chance):
    return {"side": {"left": "right", "right": "left"}[shown.side]}, "limb.side against"


def the_limb(shown, chance):
    front = tuple(whole(shown)[1].limb.frame.axes[0].tolist())
    wrong = {"lower leg": "forearm", "forearm": "lower leg"}[shown.limb]
    return {"limb": wrong, "front": front}, "limb.kind against"


def the_front(shown, chance):
    frame, turn = whole(shown)[1].limb.frame, np.radians(chance.choice([-1, 1]) * chance.uniform(50.0, 180.0))
    front = np.cos(turn) * frame.axes[0] + np.sin(turn) * frame.axes[1]
    return {"front": tuple(front.tolist())}, "limb.front elsewhere"


WAYS = (a_slip, another_limb_s, a_tape_in_doubt, two_tapes, the_side, the_limb, the_front)


def contradiction(seed):
    """A scan, what a job says of it, and the code of the stop that it must find."""
    chance = random.Random(seed)
    shown = chance.choice(SCANS)
    table, wanted = WAYS[seed % len(WAYS)](shown, chance)
    return shown, table, wanted


def found_or_why(shown, table):
    """What is found in a scan by a job, or the error that no limb is."""
    try:
        return find(whole(shown)[0], job(shown, **table), announce=quietly)
    except LimbError as error:
        return str(error)


SEEDS = [seed if seed < 12 else pytest.param(seed, marks=pytest.mark.full) for seed in range(100)]


@pytest.mark.parametrize("seed", SEEDS)
def test_a_contradiction_of_job_and_scan_is_a_stop(seed):
    shown, table, wanted = contradiction(seed)
    found = found_or_why(shown, table)
    if isinstance(found, str):
        # What is another limb altogether gives none of the named kind to stop at.
        assert wanted == "limb.kind against"
        assert "name the limb" in found
        return
    stops = {each.code: each for each in found.findings if each.severity == "stop"}
    assert wanted in stops, (table, sorted(stops))
    # It has its place in the heading, and its words there and below.
    assert stops[wanted].code in DOUBTS
    assert stop(stops[wanted])
    assert text(stops[wanted])


@pytest.mark.parametrize("shown", SCANS, ids=lambda shown: shown.path.stem)
def test_a_job_that_contradicts_nothing_is_not_stopped(shown):
    tape = [
        {"at": at, "girth": (1.0 + off) * girth(shown, at)} for at, off in (("widest", 0.008), (shown.least, -0.01))
    ]
    found = find(whole(shown)[0], job(shown, tape=tape), announce=quietly)
    assert [each.code for each in found.findings if each.severity == "stop"] == []


@pytest.mark.parametrize("right", ["cm", "in"])
def test_cm_and_inches_that_a_tape_tells_apart_are_no_contradiction(tmp_path, right):
    shown, mm = SCANS[0], {"cm": 10.0, "in": 25.4}[right]
    mesh = trimesh.load_mesh(shown.path, process=False)
    trimesh.Trimesh(mesh.vertices / mm, mesh.faces, process=False).export(tmp_path / shown.path.name)
    for factor, stopped in ((1.0, False), (2.54, True), (0.5, True)):
        settings = job(shown, unit="auto", tape=[{"girth": factor * girth(shown, "widest")}])
        found = measure(settings, folder=tmp_path, announce=quietly)
        assert (found.scan.unit, any(each.severity == "stop" for each in found.findings)) == (right, stopped), factor
