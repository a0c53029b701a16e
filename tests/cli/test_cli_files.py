import os
import stat

import pytest

from cli.files import OutputError, check_folder, write_files


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
