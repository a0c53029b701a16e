"""`calfskin finished`: asked for and given, in a real terminal too, and what it says where something is wrong."""

import contextlib
import json
import os
import pty
import re
import select
import shutil
import subprocess
import sys
import time
from pathlib import Path

import pytest

from flatten.job.text import job_text, read_job, with_paths_from
from flatten.leather.limits import PRESETS
from flatten.making import finish, lay
from flatten.record.records import read_records
from flatten.steps import quietly
from tests.analytic_jobs import design_of, found_on
from tests.limbs import calf, limb_of

ROOT = Path(__file__).parents[2]
JOB = """
[scan]
file = "made-up.ply"
side = "left"

[piece]
pair = "mirrored"

[output]
mesh = "quick"
title = "Harbour watch: the net mender"
"""


@pytest.fixture(scope="module")
def once(tmp_path_factory):
    """A folder with a job file and the report of its making."""
    folder = tmp_path_factory.mktemp("bench")
    (folder / "leg.toml").write_text(JOB)
    job = read_job(folder / "leg.toml")
    found = found_on(limb_of(calf))
    laid = lay(design_of(job, found), limits=PRESETS["cased"], announce=quietly, edge_length=9.0)
    text = job_text(with_paths_from(job, folder=folder, out=folder / "leg"))
    (folder / "leg").mkdir()
    for name, content in finish(job, [(found, laid)], text=text, announce=quietly).files:
        if name in ("report.json", "job.toml"):
            (folder / "leg" / name).write_bytes(content)
    return folder


@pytest.fixture
def bench(once, tmp_path, monkeypatch):
    shutil.copytree(once, tmp_path, dirs_exist_ok=True)
    monkeypatch.chdir(tmp_path)
    return tmp_path


def foretold(bench, name):
    rings = json.loads((bench / "leg" / "report.json").read_text())["limbs"][0]["finished"]["rings"]
    return next(ring["foretold"] for ring in rings if ring["name"] == name)


def test_what_is_given_is_kept_beside_what_was_foretold(calfskin, bench):
    ended = calfskin("finished", "leg.toml", "--side", "right", "--girth", "widest=420 mm", "--girth", "bottom=25.3 cm")
    assert ended.code == 0, ended.err
    (kept,) = read_records(bench / "leg.finished.toml")
    assert [(ring.at, ring.measured) for ring in kept.ring] == [("widest", 420.0), ("bottom", 253.0)]
    assert kept.ring[0].foretold == pytest.approx(foretold(bench, "widest"), abs=0.05)
    assert (kept.side, kept.date, kept.closed) == ("right", "", 25.0)
    assert "2 girths written to leg.finished.toml" in ended.out
    assert "So far 1 job" in ended.out


def test_a_second_record_is_added_to_the_first(calfskin, bench):
    for side in ("left", "right"):
        ended = calfskin("finished", "leg.toml", "--side", side, "--girth", "420", "--date", "the 3rd")
    assert [one.side for one in read_records(bench / "leg.finished.toml")] == ["left", "right"]
    assert "it holds 2 records now" in ended.out


def test_a_height_lies_between_rings(calfskin, bench):
    calfskin("finished", "leg.toml", "--side", "left", "--girth", "110 mm=275")
    (kept,) = read_records(bench / "leg.finished.toml")
    rings = json.loads((bench / "leg" / "report.json").read_text())["limbs"][0]["finished"]["rings"]
    girths = {ring["height"]: ring["foretold"] for ring in rings}
    assert girths[100.0] < kept.ring[0].foretold < girths[125.0]


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["--girth", "widest=abc"], "'abc' is not a length"),
        (["--girth", "widest=42"], "write '420 mm' if so"),
        (
            ["--girth", "knee=400"],
            "'knee' is no ring of this job; write 'widest', 'middle', 'bottom', or a height from",
        ),
        (["--girth", "700 mm=400"], "no ring goes all round the piece at 700 mm"),
        (["--girth", "widest=300"], "measure again, or say --sure"),
        (["--girth", "widest=420", "--gap", "-3"], "it must be 0 to 200 mm"),
        (["--girth", "widest=420", "--date", "x" * 50], "with 40 letters at most"),
    ],
)
def test_what_makes_no_sense_is_one_sentence_and_nothing_is_written(calfskin, bench, words, told):
    ended = calfskin("finished", "leg.toml", "--side", "left", *words)
    assert ended.code == 1
    assert told in ended.err
    assert len(ended.err.splitlines()) == 1
    assert not (bench / "leg.finished.toml").exists()


def test_a_suspicious_girth_is_taken_where_the_maker_is_sure(calfskin, bench):
    assert calfskin("finished", "leg.toml", "--side", "left", "--girth", "300", "--sure").code == 0
    assert read_records(bench / "leg.finished.toml")[0].ring[0].measured == 300.0


def test_a_pair_wants_to_know_which(calfskin, bench):
    assert "say which piece" in calfskin("finished", "leg.toml", "--girth", "420").err


def test_a_report_of_another_job_is_told_by_what_differs(calfskin, bench):
    job = bench / "leg.toml"
    job.write_text(JOB + '\n[wear]\nease = "12 mm"\n')
    ended = calfskin("finished", "leg.toml", "--side", "left", "--girth", "420")
    assert "wear.ease is '12 mm' and was '8 mm'" in ended.err
    job.write_text(JOB.replace("the net mender", "the ferryman"))
    assert calfskin("finished", "leg.toml", "--side", "left", "--girth", "420").code == 0


def test_a_report_that_is_missing_or_of_another_making_is_told(calfskin, bench):
    report, job = bench / "leg" / "report.json", bench / "leg" / "job.toml"
    job.write_text(re.sub(r'title = ".*"', 'title = "another"', job.read_text()))
    assert "are not of one making" in calfskin("finished", "leg.toml", "--girth", "420").err
    report.write_text("{}")
    assert "foretells no rings" in calfskin("finished", "leg.toml", "--girth", "420").err
    report.unlink()
    assert "there is no report.json in leg; make the job" in calfskin("finished", "leg.toml", "--girth", "420").err


def test_records_of_another_folder_are_learned_from_without_a_job(calfskin, bench):
    calfskin("finished", "leg.toml", "--side", "left", "--girth", "421.0")
    text = (bench / "leg.finished.toml").read_text()
    for number in range(1, 5):
        (bench / f"leg{number}.finished.toml").write_text(text.replace("421 mm", f"{421 + 0.4 * number} mm"))
    ended = calfskin("finished")
    assert ended.code == 0
    assert "Over 5 jobs (5 rings) your leather comes out 1.5 % longer" in ended.out
    assert 'finished = "-1.5 %"' in ended.out
    assert "No girth of a finished piece" in calfskin("finished", "--records", "leg").out


def test_a_line_that_was_drawn_tells_what_the_leather_took(calfskin, bench):
    line = json.loads((bench / "leg" / "report.json").read_text())["limbs"][0]["finished"]["line"]
    became = round(line["foretold"] + 1.0, 1)
    ended = calfskin("finished", "leg.toml", "--side", "left", "--line", f"{became} mm", "--cracked")
    assert ended.code == 0, ended.err
    (kept,) = read_records(bench / "leg.finished.toml")
    assert kept.line.cracked
    assert kept.ring == ()
    assert kept.line.took == pytest.approx(line["stretch"] * became / line["foretold"] - 1.0, abs=1e-3)
    assert "it cracked in 1" in ended.out
    assert "No girth of a finished piece" in ended.out
    for words in (["--line", "200"], ["--line", "long"]):
        assert calfskin("finished", "leg.toml", "--side", "left", *words).code == 1
    ended = calfskin("finished", "leg.toml", "--side", "left", "--line", f"{became - 0.5} mm", "--girth", "420")
    assert "without cracking; it cracked in 1" in ended.out
    assert "No limit is changed" in ended.out


def test_nothing_measured_writes_nothing(bench, calfskin, monkeypatch):
    answers = iter(["left", "inside", "", "", "", ""])
    monkeypatch.setattr("click.termui.visible_prompt_func", lambda prompt: next(answers))
    assert "nothing was written" in calfskin("finished", "leg.toml").out
    assert not (bench / "leg.finished.toml").exists()


class Terminal:
    """The command in a terminal of its own."""

    def __init__(self, folder, *words):
        self.keeper, end = pty.openpty()
        # A check in the background may have been told to ignore an interrupt, and what it starts would too.
        code = (
            "import fcntl, signal, termios; signal.signal(signal.SIGINT, signal.default_int_handler); "
            "fcntl.ioctl(0, termios.TIOCSCTTY, 0); from cli.main import main; main()"
        )
        environment = {**os.environ, "PYTHONPATH": str(ROOT)}
        self.run = subprocess.Popen(
            [sys.executable, "-c", code, *words],
            cwd=folder,
            stdin=end,
            stdout=end,
            stderr=end,
            env=environment,
            start_new_session=True,
        )
        os.close(end)
        self.seen = ""

    def until(self, text, *, seconds=240.0):
        """Waits for a text to be shown after what was waited for before."""
        end = time.monotonic() + seconds
        while text not in self.seen:
            assert time.monotonic() < end, self.seen
            if select.select([self.keeper], [], [], 0.2)[0]:
                try:
                    self.seen += os.read(self.keeper, 4096).decode()
                except OSError:
                    break
        assert text in self.seen, self.seen
        before, _, self.seen = self.seen.partition(text)
        return before

    def type(self, text):
        os.write(self.keeper, text.encode())

    def interrupt(self, text):
        """Ctrl-C until a text is shown: one that comes just before a line is waited for is heard with that line."""
        for _ in range(20):
            self.type("\x03")
            with contextlib.suppress(AssertionError):
                return self.until(text, seconds=5.0)
        return self.until(text, seconds=5.0)


def test_in_a_terminal_it_asks_doubts_and_is_stopped_without_loss(calfskin, bench):
    calfskin("finished", "leg.toml", "--side", "right", "--girth", "420")
    before = (bench / "leg.finished.toml").read_bytes()
    terminal = Terminal(bench, "finished", "leg.toml")
    terminal.until("Which side did you measure (left, right): ")
    terminal.type("left\n")
    terminal.until("inside or outside (inside, outside) [inside]: ")
    terminal.type("\n")
    terminal.until("At its widest, 240 mm above the ankle: foretold 416 mm, measured: ")
    terminal.type("42\n")
    terminal.until("write '420 mm' if so")
    terminal.type("500\n")
    terminal.until("Is it so [y/N]: ")
    terminal.type("n\n")
    terminal.until("measured: ")
    terminal.type("419\n")
    terminal.until("In the middle")
    terminal.interrupt("Nothing was written")
    terminal.until("--girth widest=419 --ask")
    assert terminal.run.wait(240) == 1
    assert (bench / "leg.finished.toml").read_bytes() == before
