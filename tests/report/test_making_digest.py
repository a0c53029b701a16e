"""One making's files are told from another's by their settings, wherever they lie."""

import pytest

from flatten.report.finished import digest

JOB = '[scan]\nfile = "scans/leg.ply"\n[wear]\nease = "8 mm"\n'


def test_a_making_is_the_same_in_another_folder_and_another_one_with_another_setting():
    here = digest(JOB.encode())
    assert len(here) == 16
    assert digest(JOB.replace("scans/", "../").encode()) == here
    assert digest(JOB.replace("scans/", "C:\\\\scans\\\\").encode()) == here
    assert digest(JOB.replace("8 mm", "12 mm").encode()) != here
    assert digest(JOB.replace("leg.ply", "arm.ply").encode()) != here


def test_what_is_no_toml_is_said_to_be_none():
    with pytest.raises(ValueError, match="Expected"):
        digest(b"[scan")
