"""What somebody draws in a sheet of ours stays: on the command line, whatever is made anew."""

import shutil
import subprocess
import xml.etree.ElementTree as ET
from pathlib import Path
from types import SimpleNamespace

import pytest

import cli.make
import cli.ornament
from cli.files import Kept, write_files
from flatten.drawing.sealed import is_sealed, sealed

SHEET = sealed("field.svg", b'<?xml version="1.0"?>\n<svg xmlns="http://www.w3.org/2000/svg"><path d="M0 0"/></svg>\n')


def drawn_in(content):
    return content.replace(b"</svg>", b'<path id="mine" d="M1 1 L2 2"/></svg>')


def saved_again(content):
    return ET.tostring(ET.fromstring(content))


@pytest.mark.parametrize(
    "work",
    [
        drawn_in,
        saved_again,
        lambda content: content + b" ",
        lambda content: content[:40],
        lambda content: b"",
        lambda content: content.replace(b"sealed", b"Sealed"),
        lambda content: b"\xff\xfe broken <svg",
    ],
)
def test_a_sheet_that_was_worked_on_is_never_replaced(tmp_path, work):
    old = work(SHEET)
    (tmp_path / "field.svg").write_bytes(old)
    for _ in range(2):
        kept = write_files(tmp_path, [("field.svg", SHEET), ("report.json", b"{}")])
        assert kept == (Kept("field.svg", "field (2).svg"),)
        assert (tmp_path / "field.svg").read_bytes() == old
        assert (tmp_path / "field (2).svg").read_bytes() == SHEET
    # The second is drawn in as well, and a folder stands where the third would be.
    (tmp_path / "field (2).svg").write_bytes(drawn_in(SHEET))
    (tmp_path / "field (3).svg").mkdir()
    assert write_files(tmp_path, [("field.svg", SHEET)])[0].beside == "field (4).svg"


def test_a_sheet_as_it_was_made_is_replaced(tmp_path):
    other = sealed("field.svg", b"<svg>older</svg>")
    (tmp_path / "field.svg").write_bytes(other)
    assert write_files(tmp_path, [("field.svg", SHEET)]) == ()
    assert (tmp_path / "field.svg").read_bytes() == SHEET
    # What is no sheet to draw in is replaced as it always was.
    (tmp_path / "report.json").write_bytes(b"somebody's")
    assert write_files(tmp_path, [("report.json", b"{}")]) == ()


def test_the_seal_stands_where_readers_do_not_look():
    assert is_sealed(SHEET)
    assert ET.fromstring(SHEET).tag.endswith("svg")
    assert not is_sealed(b"")
    assert not is_sealed(SHEET[:-2])


SCAN = Path(__file__).parents[2] / "meshes" / "harbour_watch_left_shin.ply"

JOB = f"""
[scan]
file = "{SCAN.as_posix()}"
[ornament]
sheet = true
[output]
mesh = "quick"
bound = false
advice = false
"""


def test_the_verbs_keep_what_was_drawn_and_say_where_the_new_sheet_is(calfskin, monkeypatch, tmp_path, listed):
    job, made = tmp_path / "guard.toml", []
    job.write_text(JOB)
    # Made once: the same sheets are given again, by the other verb too.
    real = cli.ornament.adorn
    monkeypatch.setattr(
        cli.ornament, "adorn", lambda *a, **k: made.append(made[0] if made else real(*a, **k)) or made[0]
    )
    monkeypatch.setattr(
        cli.make.house,
        "make",
        lambda *a, **k: SimpleNamespace(files=made[0].files, report=None, verdict=SimpleNamespace(may_be_cut=True)),
    )
    monkeypatch.setattr(cli.make, "summary_lines", lambda report: ["made"])
    folder = tmp_path / "guard"
    first = calfskin("ornament", job)
    assert first.code == 0
    assert listed(folder) == ["field.pdf", "field.svg"]
    assert f"In {folder}: field.pdf, field.svg." in first.out
    assert "report.html" not in first.out
    for name in ("field.pdf", "field.svg"):
        assert is_sealed((folder / name).read_bytes())
    if shutil.which("pdfinfo"):
        read = subprocess.run(["pdfinfo", folder / "field.pdf"], capture_output=True, text=True, check=True)
        # Poppler is content with what stands behind the sheet's end.
        assert read.stderr == ""
        assert "Pages:" in read.stdout
    mine = drawn_in((folder / "field.svg").read_bytes())
    (folder / "field.svg").write_bytes(mine)
    for verb in ("ornament", "make"):
        again = calfskin(verb, job)
        assert again.code == 0
        assert (folder / "field.svg").read_bytes() == mine
        assert is_sealed((folder / "field (2).svg").read_bytes())
        said = " ".join(again.out.split())
        assert "field.svg was drawn in" in said
        assert "“field (2).svg”" in said
        assert "field (2).pdf" not in listed(folder)
