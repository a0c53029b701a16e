"""Bad input ends in one sentence, with exit code 1 or 2, and leaves every folder as it was."""

import os
import re
from pathlib import Path

import pytest
import trimesh

LEG = Path(__file__).parents[1] / "data" / "scans" / "leg_a_clean.ply"


def job_file(folder, text="", *, scan=LEG, side="left"):
    path = folder / "watch.toml"
    path.write_text(f'[scan]\nfile = "{Path(scan).as_posix()}"\nside = "{side}"\nunit = "mm"\n{text}', "utf-8")
    return path


def assert_one_sentence(ended, code, *, lines=0):
    """One sentence, and beneath it so many lines to paste."""
    assert ended.code == code
    assert "Traceback" not in ended.err
    said = ended.err.strip().splitlines()
    assert len(said) == 1 + lines
    assert said[0].startswith("calfskin: ")


BAD_SCANS = {
    "missing": (None, "there is no"),
    "empty": (b"", "empty"),
    "text": (b"Dear workshop, the scan is attached.\n" * 40, ""),
    "truncated": (LEG.read_bytes()[:400_000], ""),
}


@pytest.mark.parametrize("verb", ["measure", "make", "start"])
@pytest.mark.parametrize(("content", "words"), BAD_SCANS.values(), ids=BAD_SCANS.keys())
def test_a_scan_that_is_none_is_told_in_one_sentence(calfskin, listed, tmp_path, verb, content, words):
    scan = tmp_path / "watch.ply"
    if content is not None:
        scan.write_bytes(content)
    out = tmp_path / "out"
    call = [verb, scan] if verb != "make" else [verb, job_file(tmp_path, scan="watch.ply"), "--out", out]
    before = listed(tmp_path)
    ended = calfskin(*call)
    assert_one_sentence(ended, 1)
    assert words in ended.err
    assert "watch.ply" in ended.err
    assert listed(tmp_path) == before


@pytest.mark.parametrize(
    ("text", "code", "words"),
    [
        ("[lether]\nthickness = 3", 2, "did you mean 'leather'?"),
        ('[leather]\nthickness = "3 furlongs"', 2, "unknown unit"),
        ('[leather]\nlimits = "wet"', 1, "write 'cased' or 'dry'"),
        (
            '[leather]\nlimits = { stretch_along = "-5 %", stretch_across = 0, squeeze_along = 0, squeeze_across = 0 }',
            1,
            "stretch_along",
        ),
        ('[edges]\ntop = "900 mm"', 1, "lower it by"),
        ('[edges]\nbottom = "-300 mm"', 1, "raise it by"),
        ('[edges]\ntop = "60 mm"\nbottom = "50 mm"', 1, "keep at least"),
        ('[[seam]]\nalong = [[180, "60 mm"], [180, "250 mm"]]', 1, "draw it past both edges"),
        ('[[scan.tape]]\nat = "2 m"\ngirth = "300 mm"', 1, "2000 mm"),
        ('[[scan.tape]]\nat = "wrist"\ngirth = "300 mm"', 1, "no landmark 'wrist'"),
    ],
)
def test_a_job_that_cannot_be_done_is_told_in_one_sentence(calfskin, listed, tmp_path, text, code, words):
    job = job_file(tmp_path, text)
    ended = calfskin("make", job, "--out", tmp_path / "out")
    assert_one_sentence(ended, code)
    assert words in ended.err
    assert listed(tmp_path) == ["watch.toml"]


def test_a_forearm_without_a_hand_asks_for_its_front(calfskin, tmp_path):
    mesh = trimesh.creation.cylinder(radius=40.0, height=260.0, sections=90)
    mesh = mesh.subdivide_to_size(8.0)
    mesh.export(tmp_path / "sleeve.ply")
    ended = calfskin("measure", tmp_path / "sleeve.ply", "--limb", "forearm", "--unit", "mm")
    assert_one_sentence(ended, 1, lines=4)
    # The sleeve stands along z.
    assert re.findall(r"front = (.*)", ended.err) == ["[1, 0, 0]", "[-1, 0, 0]", "[0, 1, 0]", "[0, -1, 0]"]


def test_a_missing_job_file_says_how_to_write_one(calfskin, tmp_path):
    ended = calfskin("make", tmp_path / "none.toml")
    assert_one_sentence(ended, 2)
    assert "calfskin start" in ended.err


def test_a_scan_in_place_of_a_job_file_says_how_to_write_one(calfskin, tmp_path):
    (tmp_path / "leg.obj").write_text("mtllib leg.mtl\nv 0 0 0\n")
    ended = calfskin("make", tmp_path / "leg.obj")
    assert_one_sentence(ended, 2)
    assert "leg.obj is a scan" in ended.err
    assert "calfskin start" in ended.err


def test_an_output_folder_that_is_a_file_is_told_before_any_work(calfskin, tmp_path):
    (tmp_path / "out").write_text("mine")
    ended = calfskin("make", job_file(tmp_path), "--out", tmp_path / "out")
    assert ended.code == 2
    assert (tmp_path / "out").read_text() == "mine"


def test_an_output_folder_that_is_closed_is_told_before_any_work(calfskin, listed, tmp_path, monkeypatch):
    monkeypatch.setattr(os, "access", lambda path, mode: mode != os.W_OK)
    (tmp_path / "closed").mkdir()
    ended = calfskin("make", job_file(tmp_path), "--out", tmp_path / "closed")
    assert_one_sentence(ended, 1)
    assert listed(tmp_path / "closed") == []


def test_an_output_folder_below_a_file_is_told_before_any_work(calfskin, tmp_path):
    (tmp_path / "note").write_text("mine")
    assert_one_sentence(calfskin("make", job_file(tmp_path), "--out", tmp_path / "note" / "out"), 1)


@pytest.mark.parametrize(
    "words", [["bend"], ["make"], ["measure", "x.ply", "--side", "middle"], ["make", "--fast", "x"]]
)
def test_a_call_that_is_none_ends_with_2_and_the_usage(calfskin, words):
    ended = calfskin(*words)
    assert ended.code == 2
    assert "Usage" in ended.err
    assert "Traceback" not in ended.err


@pytest.mark.parametrize("front", ["up", "1,2", "0,0,0", "nan,0,1"])
def test_a_front_that_is_no_direction_is_refused(calfskin, front):
    ended = calfskin("measure", LEG, "--front", front)
    assert ended.code == 2
    assert "no direction" in ended.err


def test_an_existing_job_file_is_left_as_it_is(calfskin, tmp_path):
    job = job_file(tmp_path)
    before = job.read_bytes()
    ended = calfskin("start", LEG, "--unit", "mm", "--job", job)
    assert_one_sentence(ended, 1)
    assert "already there" in ended.err
    assert job.read_bytes() == before
