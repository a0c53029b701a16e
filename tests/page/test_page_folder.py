"""A session is kept in its own folder, and nothing else there is touched."""

import stat
import subprocess
import sys
from pathlib import Path

import pytest

from cli.files import OutputError
from cli.page.folder import Folder, SessionNote
from flatten.job.settings import Job, ScanSettings

ROOT = Path(__file__).parents[2]
JOB = Job(scan=ScanSettings(file="leg.ply"))


def test_a_session_is_taken_up_again(tmp_path):
    folder = Folder(tmp_path / "bench")
    assert folder.kept() is None
    folder.arriving.write_bytes(b"ply")
    folder.keep_scan("leg.ply")
    folder.keep(JOB, SessionNote("leg.ply", True))
    assert Folder(tmp_path / "bench").kept() == (JOB, SessionNote("leg.ply", True))
    assert folder.scan_path("leg.ply").read_bytes() == b"ply"


def test_the_folder_is_its_owners_alone(tmp_path):
    Folder(tmp_path / "bench")
    assert stat.S_IMODE((tmp_path / "bench").stat().st_mode) & 0o077 == 0


def test_a_folder_with_other_files_is_refused(tmp_path):
    (tmp_path / "scan.ply").write_text("mine")
    with pytest.raises(OutputError, match="other files"):
        Folder(tmp_path)
    assert (tmp_path / "scan.ply").read_text() == "mine"


def test_clearing_deletes_the_session_and_nothing_else(tmp_path):
    folder = Folder(tmp_path / "bench")
    folder.arriving.write_bytes(b"ply")
    folder.keep_scan("leg.ply")
    folder.keep(JOB, SessionNote("leg.ply", False))
    (tmp_path / "bench" / "scan of mine.ply").write_text("mine")
    folder.clear()
    assert [path.name for path in (tmp_path / "bench").iterdir()] == ["scan of mine.ply"]


def test_a_new_scan_takes_the_old_ones_place(tmp_path):
    folder = Folder(tmp_path / "bench")
    for name in ("leg.ply", "arm.obj"):
        folder.arriving.write_text(name)
        folder.keep_scan(name)
    assert not folder.scan_path("leg.ply").exists()
    assert folder.scan_path("arm.obj").read_text() == "arm.obj"


@pytest.mark.parametrize("name", ["../../x.ply", "/etc/x.ply", "x.ply\x00", "..", "a/b.obj"])
def test_no_name_leads_out_of_the_folder(tmp_path, name):
    folder = Folder(tmp_path / "bench")
    assert folder.scan_path(name).parent == folder.path


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
        ("bench.json", "{", "bench.json is broken"),
        ("bench.json", '{"scan": 1}', "bench.json is broken"),
        ("bench.json", "[]", "bench.json is broken"),
    ],
)
def test_a_kept_bench_that_cannot_be_read_is_refused_with_a_way_out(tmp_path, name, text, words):
    Folder(tmp_path).keep(JOB, SessionNote("leg.ply", True))
    (tmp_path / name).write_text(text)
    with pytest.raises(OutputError, match=f"{words}.*delete the folder"):
        Folder(tmp_path).kept()
