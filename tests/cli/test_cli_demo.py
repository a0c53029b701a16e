"""The demo: three scans, each with a job file that is made."""

import json
from pathlib import Path

import pytest

import cli.demo
from cli.demo import SCANS
from cli.make import NOT_TO_BE_CUT, run
from flatten.job.text import read_job

TRUTH = Path(__file__).parents[2] / "meshes"


def test_the_demo_lays_out_three_jobs_with_their_scans_and_makes_the_first(calfskin, monkeypatch, tmp_path, listed):
    made = []
    monkeypatch.setattr(cli.demo, "run", lambda job, **where: made.append(job.scan.file) or 0)
    ended = calfskin("demo", "--out", tmp_path / "demo")
    assert ended.code == 0
    assert made == [SCANS[0].file]
    assert listed(tmp_path / "demo") == sorted([scan.file for scan in SCANS] + [scan.job for scan in SCANS])
    second = Path(ended.out.strip().removeprefix("To go on: calfskin make "))
    assert second == tmp_path / "demo" / SCANS[1].job
    for scan in SCANS:
        job = read_job(tmp_path / "demo" / scan.job)
        truth = json.loads((TRUTH / scan.file).with_suffix(".json").read_text("utf8"))
        assert (job.scan.limb, job.scan.side) == (scan.limb, truth["side"])
        (widest,) = (row["tape"] for row in truth["girths"] if row["height"] == truth["landmarks"]["widest"])
        # As a tape reads it, to the millimetre.
        assert job.scan.tape[0].girth == pytest.approx(widest, abs=0.5)


@pytest.mark.full
@pytest.mark.parametrize("scan", SCANS, ids=lambda scan: scan.file)
def test_each_job_of_the_demo_is_made(monkeypatch, tmp_path, listed, scan):
    monkeypatch.setattr(cli.demo, "run", lambda job, **where: 0)
    cli.demo.demo.callback(out=tmp_path, times=False)
    job = read_job(tmp_path / scan.job)
    quick = job.model_copy(update={"output": job.output.model_copy(update={"mesh": "quick"})})
    assert run(quick, folder=tmp_path, out=tmp_path / "made", times=False) in (0, NOT_TO_BE_CUT)
    told = json.loads((tmp_path / "made" / "report.json").read_text("utf8"))
    assert 0.0 < told["panels"][0]["least_spread"] <= told["panels"][0]["spread"]
    made = listed(tmp_path / "made")
    assert "job.toml" in made
    assert ("former_left_1.stl" in made) == (scan is SCANS[0])
