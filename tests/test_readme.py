"""README's examples are true: its commands exist, its strip-test file is read, its picture is there."""

import re
from pathlib import Path

import pytest

from cli.main import VERBS
from flatten.job.text import job_from
from flatten.leather.strips import read_strip_test
from flatten.ornament.bring import _CENTRE, _FRAME, _SHEET
from flatten.report.sure import Sure

ROOT = Path(__file__).parent.parent
README = (ROOT / "README.md").read_text("utf8")
EXAMPLES = re.findall(r"```toml\n(.*?)```", README, re.DOTALL)


def test_the_strip_test_example_is_read(tmp_path):
    (example,) = (each for each in EXAMPLES if "[[strip]]" in each)
    both = example + example[example.index("[[strip]]") :].replace('"along"', '"across"')
    (tmp_path / "both.toml").write_text(both)
    assert read_strip_test(tmp_path / "both.toml").wet[0].mean == pytest.approx(0.06)


def test_the_example_of_being_sure_is_read():
    (example,) = (each for each in EXAMPLES if "[sure]" in each)
    assert job_from(f'[scan]\nfile = "leg.ply"\n{example}', name="leg.toml").sure == (Sure("seam", 17.2),)


def test_the_example_of_fittings_is_read():
    (example,) = (each for each in EXAMPLES if "[[fitting]]" in each)
    first, second = job_from(f'[scan]\nfile = "leg.ply"\n{example}', name="leg.toml").fitting
    assert (first.material, second.material) == ("paper", "leather")
    assert [said.amount for said in (*first.showed, *second.showed)] == [6.0, -10.0, 10.0, 0.0, 3.0]


def test_the_example_of_motifs_is_read():
    (example,) = (each for each in EXAMPLES if "[[motif]]" in each)
    border, drawing = job_from(f'[scan]\nfile = "leg.ply"\n{example}', name="leg.toml").motif
    assert (border.kind, border.strands, border.reeds) == ("border", 3, 1)
    assert (drawing.place, drawing.half, drawing.mend) == ("as drawn", "left", True)


def test_the_layers_of_a_field_s_sheet_are_named():
    for layer in (*_SHEET, _FRAME, _CENTRE[0]):
        assert re.search(rf"\b{layer}\b", README), layer


def test_every_command_that_it_names_exists():
    named = set(re.findall(r"`(?:\*\*)?calfskin (\w+)", README))
    assert named
    assert named <= set(VERBS)
    assert set(VERBS) - {"demo"} <= named


def test_the_test_command_is_one_that_the_check_finds():
    (line,) = [line for line in README.splitlines() if re.match(r"^python3 -m venv .*pytest", line)]
    assert "pip install -e" in line


def test_every_picture_that_it_shows_is_there():
    for path in re.findall(r"!\[[^]]*\]\(([^)]*)\)", README):
        assert (ROOT / path).is_file(), path


def test_the_trades_older_words_stand_in_it_once_for_the_makers_who_search_by_them():
    for word in ("greave", "bracer", "vambrace", "cuisse"):
        assert len(re.findall(word, README)) == 1, word
