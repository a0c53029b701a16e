"""Jobs are kept in a folder of the bench's own, whole or not at all, and nothing else there is touched."""

import errno
import json
import os
import stat
import subprocess
import sys
from pathlib import Path

import pytest

from cli.files import OutputError
from cli.page.folder import Folder
from cli.page.kept import AgreedFront, KeptError, SessionNote, Steps, StepsError
from flatten.job.settings import Job, ScanSettings

ROOT = Path(__file__).parents[2]
JOB = Job(scan=ScanSettings(file="leg.ply"))
OTHER = Job(scan=ScanSettings(file="arm.obj"))
NOTE = SessionNote("leg.ply", AgreedFront("lower leg", "left", (0.6, -0.8, 0.0), (1.0, 2.0, 3.0)), worked_on=7.0)
NO_STEPS = Steps()


def kept(folder, job=JOB, *, steps=NO_STEPS):
    """A job that is kept on the bench, with a scan."""
    made = folder.new_job()
    folder.arriving.write_bytes(job.scan.file.encode())
    made.take_scan(folder.arriving, job.scan.file)
    made.keep(job, NOTE, steps)
    folder.lay_down(made)
    return made


def test_a_job_is_taken_up_again_with_its_steps(tmp_path):
    folder = Folder(tmp_path / "bench")
    assert folder.take_up() is None
    made = kept(folder, steps=Steps((OTHER, JOB), (OTHER,)))
    again = Folder(tmp_path / "bench").take_up()
    assert again.read() == (JOB, NOTE)
    assert again.steps() == Steps((OTHER, JOB), (OTHER,))
    assert again.scan_path("leg.ply").read_bytes() == b"leg.ply"
    assert again.key == made.key


def test_the_folder_and_its_jobs_are_their_owners_alone(tmp_path):
    made = kept(Folder(tmp_path / "bench"))
    for path in (tmp_path / "bench", made.path.parent, made.path):
        assert stat.S_IMODE(path.stat().st_mode) & 0o077 == 0


def test_a_folder_with_other_files_is_refused(tmp_path):
    (tmp_path / "scan.ply").write_text("mine")
    with pytest.raises(OutputError, match="other files"):
        Folder(tmp_path)
    assert (tmp_path / "scan.ply").read_text() == "mine"


def test_what_a_killed_first_save_leaves_refuses_nobody_and_is_cleared_away(tmp_path):
    folder = Folder(tmp_path)
    half = folder.new_job()
    folder.arriving.write_bytes(b"half a scan")
    (half.path / "scan.ply").write_bytes(b"ply")
    (tmp_path / ".bench.json.abcd1234.calfskin").write_bytes(b"")
    again = Folder(tmp_path)
    assert again.take_up() is None
    assert not half.path.exists()
    assert not again.arriving.exists()


def test_several_jobs_are_kept_the_last_one_first_and_one_is_deleted_alone(tmp_path):
    folder = Folder(tmp_path)
    leg, arm = kept(folder), kept(folder, OTHER)
    os.utime(leg.path / "note.json", ns=(1, 2**62))
    assert [job.key for job in folder.jobs()] == [leg.key, arm.key]
    assert folder.take_up().key == arm.key
    leg.delete()
    assert [job.key for job in folder.jobs()] == [arm.key]
    assert folder.job(leg.key) is None
    assert kept(folder).key not in (leg.key, arm.key) or leg.key < arm.key


def test_clearing_deletes_the_jobs_and_nothing_else(tmp_path):
    folder = Folder(tmp_path / "bench")
    kept(folder)
    kept(folder, OTHER)
    (tmp_path / "bench" / "scan of mine.ply").write_text("mine")
    folder.clear()
    assert [path.name for path in (tmp_path / "bench").iterdir()] == ["scan of mine.ply"]


def test_a_new_scan_of_a_job_takes_the_old_ones_place(tmp_path):
    made = kept(Folder(tmp_path / "bench"))
    (tmp_path / "arrived").write_text("new")
    made.take_scan(tmp_path / "arrived", "arm.obj")
    assert not made.scan_path("leg.ply").exists()
    assert made.scan_path("arm.obj").read_text() == "new"


@pytest.mark.parametrize("name", ["../../x.ply", "/etc/x.ply", "x.ply\x00", "..", "a/b.obj"])
def test_no_name_leads_out_of_the_folder(tmp_path, name):
    made = Folder(tmp_path / "bench").new_job()
    assert made.scan_path(name).parent == made.path


@pytest.mark.parametrize("key", ["..", "../..", "", ".", "0001/..", None])
def test_no_key_leads_to_what_is_no_job(tmp_path, key):
    folder = Folder(tmp_path / "bench")
    kept(folder)
    assert folder.job(key) is None


def test_an_older_benchs_only_job_becomes_one_of_all(tmp_path):
    for name, text in (("job.toml", '[scan]\nfile = "leg.ply"\n'), ("scan.ply", "ply"), ("strips.toml", "strips")):
        (tmp_path / name).write_text(text)
    note = {"scan_name": "leg.ply", "front_agreed": True, "strips_name": "back.toml"}
    (tmp_path / "bench.json").write_text(json.dumps(note))
    folder = Folder(tmp_path)
    made = folder.take_up()
    job, found = made.read()
    assert (job.scan.file, found.scan_name, found.strips_name) == ("leg.ply", "leg.ply", "back.toml")
    # Which front it was that was agreed to was not kept: it is asked for anew.
    assert found.front is None
    assert (made.scan_path("leg.ply").read_text(), made.strips.read_text()) == ("ply", "strips")
    assert {path.name for path in tmp_path.iterdir()} == {"bench.json", "jobs"}
    assert Folder(tmp_path).take_up().key == made.key


def test_a_second_page_is_kept_out_until_the_first_one_ends(tmp_path):
    first, second = Folder(tmp_path / "bench"), Folder(tmp_path / "bench")
    with first.locked():
        with pytest.raises(OutputError, match="open already"), second.locked():
            pass
        assert first.is_empty
    with second.locked():
        pass


def test_a_page_that_was_killed_keeps_nobody_out(tmp_path):
    hold = "import os, sys, pathlib; from cli.page.folder import Folder\n"
    hold += "with Folder(pathlib.Path(sys.argv[1])).locked(): print('held', flush=True); sys.stdin.read()"
    with subprocess.Popen(
        [sys.executable, "-c", hold, tmp_path / "bench"], stdin=subprocess.PIPE, stdout=subprocess.PIPE, cwd=ROOT
    ) as other:
        assert other.stdout.readline() == b"held\n"
        with pytest.raises(OutputError, match="open already"), Folder(tmp_path / "bench").locked():
            pass
        other.kill()
        other.wait()
    with Folder(tmp_path / "bench").locked():
        pass


@pytest.mark.parametrize(
    ("name", "text", "words"),
    [
        ("job.toml", "[lether]", "lether"),
        ("job.toml", "no toml", "is not a job file"),
        ("note.json", "{", "note.json is broken"),
        ("note.json", '{"scan": 1}', "note.json is broken"),
        ("note.json", "[]", "note.json is broken"),
    ],
)
def test_a_kept_job_that_cannot_be_read_says_why_and_what_to_do(tmp_path, name, text, words):
    made = kept(Folder(tmp_path))
    (made.path / name).write_text(text)
    with pytest.raises(KeptError, match=f"{words}.*delete the job"):
        made.read()


@pytest.mark.parametrize("text", ["{", "[]", '{"past": [1], "future": []}', '{"past": [{"lether": 1}], "future": []}'])
def test_steps_that_cannot_be_read_are_told_and_the_job_is_there(tmp_path, text):
    made = kept(Folder(tmp_path))
    (made.path / "steps.json").write_text(text)
    with pytest.raises(StepsError, match=r"steps\.json in .* cannot be read"):
        made.steps()
    assert made.read()[0] == JOB


def test_a_job_of_a_calfskin_that_kept_no_steps_has_none(tmp_path):
    made = kept(Folder(tmp_path))
    (made.path / "steps.json").unlink()
    assert made.steps() == Steps()


def test_on_a_full_disk_every_file_stays_as_it_was(tmp_path, monkeypatch):
    made = kept(Folder(tmp_path))
    before = {path.name: path.read_bytes() for path in made.path.iterdir()}

    def full(handle):
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(OutputError, match="No space left"):
        made.keep(OTHER, NOTE, Steps((JOB,)))
    assert {path.name: path.read_bytes() for path in made.path.iterdir()} == before
