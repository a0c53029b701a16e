"""What a job is told beyond its own pieces: the bound and where it binds, the advice, and both left out by a word."""

import json
import re
import tomllib
from dataclasses import replace

import numpy as np
import pytest

from cli.make import NOT_TO_BE_CUT, run
from flatten.advice.judge import UNJUDGED, judge
from flatten.advice.trial import asked_of
from flatten.findings import message
from flatten.job.text import job_of
from flatten.leather.limits import leather_limits
from flatten.making import finish, lay, make, retold
from flatten.measuring import measure
from flatten.report.messages import advice_lead
from flatten.report.model import Advised
from flatten.report.summary import advised_text, summary_lines
from flatten.words.say import text
from tests.analytic_jobs import design_of
from tests.bounds import bounds_once
from tests.unwrap.test_certificate_panels import DEMO, LIMBS, SCANS

DRY = {
    "scan": {"file": "forearm_b_phone.ply", "unit": "mm", "limb": "forearm"},
    "leather": {"limits": "dry"},
    "output": {"mesh": "quick"},
}


def silent(step):
    pass


@pytest.fixture(scope="module")
def dry(tmp_path_factory):
    """A forearm that dry leather cannot follow: its job and what `make` makes of it."""
    job = job_of(DRY, name="the test")
    with bounds_once():
        return job, make(job, folder=SCANS, out=tmp_path_factory.mktemp("dry"))


def numbers_of(result):
    return json.loads(dict(result.files)["report.json"])


def pasted(job, lines):
    """The job with each key of advised lines in place of its own."""
    table = job.model_dump(mode="json")
    for name, value in tomllib.loads(lines).items():
        table[name] = value if isinstance(value, list) else {**table[name], **value}
    return job_of(table, name="the lines")


def test_the_report_tells_a_bound_below_what_was_reached_and_where_it_binds(dry):
    _, result = dry
    (panel,) = numbers_of(result)["panels"]
    assert 0.58 * panel["spread_reachable"] <= panel["least_spread"] <= panel["spread_reachable"] <= panel["spread"]
    binding = result.report.limbs[0].panels[0].binding
    told = dict(result.files)["report.html"].decode()
    needed = f"needs less than {100 * np.expm1(panel['least_spread']):.1f} %"
    assert needed in told
    cause = text(binding.cause)
    assert cause in told
    assert any(needed in line and cause in line for line in summary_lines(result.report))


def test_what_binds_is_marked_on_limb_and_leather_and_nowhere_without_a_bound(dry):
    _, result = dry
    told = dict(result.files)["report.html"].decode()
    picture = re.search(r'<details class="fold binding".*?</figure>', told, re.S).group()
    assert 1 <= picture.count('class="binding-mark"') <= 2
    assert picture.count('class="further-mark"') >= 1
    plain = retold(replace(result, report=without_bound(result.report)), UNJUDGED)
    assert '<details class="fold binding"' not in dict(plain.files)["report.html"].decode()


def without_bound(report):
    (limb,) = report.limbs
    panels = tuple(replace(panel, least_spread=None, binding=None) for panel in limb.panels)
    return replace(report, limbs=(replace(limb, panels=panels),))


def test_pasted_lines_of_the_first_advice_make_the_leather_follow(dry, tmp_path):
    job, result = dry
    assert not fits(result)
    assert all(advised.lines in lines_of(result.report) for advised in result.report.advice)
    assert fits(made_with(job, result.report.advice[0], tmp_path))


def made_with(job, advised, out):
    """What comes of a job with the advised lines pasted in, not judged again."""
    changed = pasted(job, advised.lines)
    assert changed == advised.job
    output = changed.output.model_copy(update={"bound": False, "advice": False})
    return make(changed.model_copy(update={"output": output}), folder=SCANS, out=out)


def test_pasted_lines_of_each_advice_give_the_figures_that_it_tells(dry, tmp_path):
    """What the pattern asks to 0.1 percentage points; what is attainable is the 8 mm mesh's own, so the same."""
    job, result = dry
    assert len(result.report.advice) >= 2
    now = asked(result)
    for advised in result.report.advice:
        made, promise, told = made_with(job, advised, tmp_path), advised.gain.after, advised_text(advised)
        after = asked(made)
        assert after.spread == pytest.approx(promise.spread, rel=0.02)
        assert after.excess == pytest.approx(promise.excess, abs=0.001)
        assert fits(made) == promise.fits
        for name in ("stretch", "squeeze", "beyond"):
            assert getattr(after, name) == pytest.approx(getattr(promise, name), abs=1e-3)
        for name in ("stretch", "squeeze"):
            then, before = (f"{100 * getattr(each, name):.1f}\xa0%" for each in (promise, now))
            assert f"up to {then} {'as before' if then == before else f'instead of {before}'}" in told


def fits(result):
    """Whether every piece of a finished job lies within its leather's limits."""
    return all(panel.stretch.fits for panel in result.report.panels)


def asked(result):
    """What the pieces of a finished job ask of their leather."""
    return asked_of([(panel.flat, panel.stretch) for limb in result.report.limbs for panel in limb.panels])


def lines_of(report):
    return "\n".join(line.strip() for line in summary_lines(report)) + "\n"


def test_a_job_may_leave_out_bound_and_advice(tmp_path, capsys):
    job = job_of({**DRY, "output": {"mesh": "quick", "bound": False, "advice": False}}, name="the test")
    assert run(job, folder=SCANS, out=tmp_path / "out", times=False) == NOT_TO_BE_CUT
    report = json.loads((tmp_path / "out" / "report.json").read_text())
    assert report["panels"][0]["least_spread"] is None
    told = capsys.readouterr().out
    assert "needs less than" not in told
    assert "Put its lines into the job file" not in told


def test_what_is_judged_later_gives_the_same_bytes(dry):
    job, made = dry
    limits = leather_limits("dry", folder=SCANS)
    with bounds_once():
        found = measure(job.scan, folder=SCANS, announce=silent)
        laid = lay(design_of(job, found), limits=limits, announce=silent)
        written = dict(made.files)["job.toml"].decode()
        early = finish(job, [(found, laid)], text=written, announce=silent)
        judged = judge(job, [(found, laid)], limits=limits, announce=silent)
        later = retold(early, judged)
    before, after = dict(early.files), dict(later.files)
    assert [name for name, _ in later.files] == [name for name, _ in made.files]
    assert numbers_of(early)["panels"][0]["least_spread"] is None
    for name, content in made.files:
        if name != "job.toml":
            assert after[name] == content, name
        assert (before[name] == after[name]) == (not name.startswith("report")), name


def test_what_stands_over_advice_says_whether_it_is_needed(dry):
    (panel,) = panels = dry[1].report.panels
    well = (replace(panel, stretch=replace(panel.stretch, fits=True)),)
    some = (Advised((message("advice.case"),), "[edges]\n"),)
    assert advice_lead(panels, None) is None
    assert advice_lead(well, ()) is None
    assert "only just" in text(advice_lead(well, some))
    over = tuple(replace(one, flat=replace(one.flat, overlaps=1)) for one in well)
    assert "only just" not in text(advice_lead(over, some))
    assert "no change helps enough" in text(advice_lead(panels, ()))
    assert "most gain for its cost" in text(advice_lead(panels, some))


@pytest.mark.full
@pytest.mark.parametrize("name", LIMBS)
def test_in_every_report_the_bound_lies_below_what_is_reached_and_that_below_what_is_cut(name):
    """The bound is one for the 8 mm mesh, the rest is told of the 3 mm mesh: nothing is clipped to bring this about."""
    truth = json.loads(LIMBS[name].read_text())
    limb = truth.get("limb") or {"leg": "lower leg", "forearm": "forearm"}[truth["part"]]
    scan = {"file": truth["file"], "unit": truth.get("unit", "auto"), "limb": limb, "side": truth["side"]}
    job = job_of({"scan": scan, "output": {"advice": False}}, name="the test")
    folder = SCANS if (SCANS / truth["file"]).exists() else DEMO
    result = make(job, folder=folder, out=folder)
    for panel in numbers_of(result)["panels"]:
        assert 0.0 < panel["least_spread"] <= panel["spread_reachable"] <= panel["spread"]
