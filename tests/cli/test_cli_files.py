import errno
import fcntl
import os
import signal
import stat
import subprocess
import sys
import time
from pathlib import Path

import numpy as np
import pytest

from cli.files import OutputError, check_folder, write_files


def aged(folder, seconds=60.0):
    """Makes the files of a folder that wait for their places look so much older."""
    for entry in folder.glob(".*.calfskin"):
        then = entry.lstat().st_mtime - seconds
        os.utime(entry, (then, then), follow_symlinks=False)


def test_files_are_written_whole_in_order_and_others_are_left(tmp_path, listed):
    (tmp_path / "mine.txt").write_text("mine")
    write_files(tmp_path, [("a.txt", b"1"), ("b.txt", b"2")])
    write_files(tmp_path, [("a.txt", b"new")])
    assert listed(tmp_path) == ["a.txt", "b.txt", "mine.txt"]
    assert (tmp_path / "a.txt").read_bytes() == b"new"
    assert stat.S_IMODE(os.stat(tmp_path / "a.txt").st_mode) == 0o644


def test_a_failure_in_the_middle_leaves_every_old_file_as_it_was(tmp_path, listed, monkeypatch):
    write_files(tmp_path, [("a.txt", b"old"), ("b.txt", b"old")])
    real = os.fdopen

    def full(handle, mode):
        if os.path.exists(tmp_path) and any(name.startswith(".b.txt") for name in os.listdir(tmp_path)):
            os.close(handle)
            raise OSError(28, "No space left on device")
        return real(handle, mode)

    monkeypatch.setattr(os, "fdopen", full)
    with pytest.raises(OutputError, match="No space left"):
        write_files(tmp_path, [("a.txt", b"new"), ("b.txt", b"new")])
    assert listed(tmp_path) == ["a.txt", "b.txt"]
    assert (tmp_path / "a.txt").read_bytes() == b"old"


def test_a_folder_that_is_a_file_is_refused(tmp_path):
    (tmp_path / "f").write_text("")
    with pytest.raises(OutputError, match="is a file"):
        check_folder(tmp_path / "f")
    with pytest.raises(OutputError):
        write_files(tmp_path / "f" / "under", [("a", b"")])


def test_a_folder_yet_to_be_made_is_fine(tmp_path):
    check_folder(tmp_path / "new" / "deep")
    assert not (tmp_path / "new").exists()


WRITER = """
import sys
from pathlib import Path
from cli.files import write_files
folder, letter = Path(sys.argv[1]), sys.argv[2]
files = [(f"{name}.dat", letter.encode() * 300_000) for name in "abcdefgh"]
while True:
    write_files(folder, files)
    print("written", flush=True)
"""
"""Writes eight files of one letter over and over."""


def killed_at(share, folder, letter):
    """Lets a writer write twice, and kills it so many times as long as it took for the second one later."""
    command = [sys.executable, "-c", WRITER, str(folder), letter]
    with subprocess.Popen(command, stdout=subprocess.PIPE, cwd=Path(__file__).parents[2]) as writer:
        assert writer.stdout.readline() == b"written\n"
        start = time.monotonic()
        assert writer.stdout.readline() == b"written\n"
        time.sleep(share * (time.monotonic() - start))
        writer.send_signal(signal.SIGKILL)
        writer.wait()


@pytest.mark.parametrize("count", [8, pytest.param(100, marks=pytest.mark.full)])
def test_a_killed_run_leaves_each_file_old_or_new_and_whole(tmp_path, listed, count):
    """Killed at random moments of its writing, as by a power cut; foreign files stay, and the next run tidies up."""
    foreign = {"mine.dxf": b"mine", ".a.dat.abcd1234": b"hidden", ".part.calfskin": b"not of its kind"}
    for name, content in foreign.items():
        (tmp_path / name).write_bytes(content)
    write_files(tmp_path, [(f"{name}.dat", b"-" * 300_000) for name in "abcdefgh"])
    chance = np.random.default_rng(20)
    left = 0
    for number, share in enumerate(chance.uniform(0.0, 2.0, count)):
        killed_at(share, tmp_path, "xyz"[number % 3])
        names = set(listed(tmp_path))
        assert {f"{name}.dat" for name in "abcdefgh"} | set(foreign) <= names
        for name in "abcdefgh":
            content = (tmp_path / f"{name}.dat").read_bytes()
            assert len(content) == 300_000
            assert len(set(content)) == 1
        aged(tmp_path)
        left += len(names) > 8 + len(foreign)
    # The kills have met what they are to meet.
    assert left
    write_files(tmp_path, [("a.dat", b"new")])
    assert set(listed(tmp_path)) == {f"{name}.dat" for name in "abcdefgh"} | set(foreign)
    assert {name: (tmp_path / name).read_bytes() for name in foreign} == foreign


def test_what_another_run_is_writing_is_not_cleared_away(tmp_path, listed, monkeypatch):
    real = os.replace

    def meanwhile(source, target):
        monkeypatch.setattr(os, "replace", real)
        aged(tmp_path)
        write_files(tmp_path, [("c.txt", b"other")])
        real(source, target)

    monkeypatch.setattr(os, "replace", meanwhile)
    write_files(tmp_path, [("a.txt", b"1"), ("b.txt", b"2")])
    assert listed(tmp_path) == ["a.txt", "b.txt", "c.txt"]


def test_links_and_folders_with_a_left_overs_name_stay(tmp_path, listed):
    (tmp_path / "target").write_text("mine")
    (tmp_path / ".a.txt.abcd1234.calfskin").symlink_to(tmp_path / "target")
    (tmp_path / ".b.txt.abcd1234.calfskin").mkdir()
    (tmp_path / ".c.txt.abcd1234.calfskin").write_text("left")
    aged(tmp_path)
    (tmp_path / ".d.txt.abcd1234.calfskin").write_text("just begun")
    write_files(tmp_path, [("a.txt", b"new")])
    (tmp_path / ".d.txt.abcd1234.calfskin").unlink()
    assert listed(tmp_path) == [".a.txt.abcd1234.calfskin", ".b.txt.abcd1234.calfskin", "a.txt", "target"]


def test_a_run_killed_between_two_files_leaves_the_first_new_and_the_rest_old(tmp_path, listed):
    write_files(tmp_path, [(name, b"old") for name in "abc"])
    killing = """
import os, signal, sys
from pathlib import Path
from cli.files import write_files
move, moved = os.replace, []
def replace(source, target):
    if len(moved) == 2:
        os.kill(os.getpid(), signal.SIGKILL)
    moved.append(target)
    move(source, target)
os.replace = replace
write_files(Path(sys.argv[1]), [(name, b"new") for name in "abc"])
"""
    ended = subprocess.run([sys.executable, "-c", killing, str(tmp_path)], cwd=Path(__file__).parents[2], check=False)
    assert ended.returncode == -signal.SIGKILL
    assert [(tmp_path / name).read_bytes() for name in "abc"] == [b"new", b"new", b"old"]
    assert len(listed(tmp_path)) == 4
    aged(tmp_path)
    write_files(tmp_path, [("a", b"newer")])
    assert listed(tmp_path) == ["a", "b", "c"]


def test_a_drive_without_locks_is_written_to_all_the_same(tmp_path, listed, monkeypatch):
    def refused(handle, operation):
        raise OSError(errno.EOPNOTSUPP, "Operation not supported")

    monkeypatch.setattr(fcntl, "flock", refused)
    (tmp_path / ".a.txt.abcd1234.calfskin").write_text("left")
    aged(tmp_path)
    write_files(tmp_path, [("a.txt", b"new")])
    assert listed(tmp_path) == [".a.txt.abcd1234.calfskin", "a.txt"]
    aged(tmp_path, 4000.0)
    write_files(tmp_path, [("a.txt", b"newer")])
    assert listed(tmp_path) == ["a.txt"]
