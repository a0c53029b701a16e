"""Advice on a lip that flares too far."""

from flatten.advice.advise import advice
from flatten.advice.changes import ladders_of
from flatten.advice.trial import tried
from flatten.job.pieces import dressed
from flatten.job.text import job_of
from flatten.leather.limits import PRESETS
from flatten.leather.waves import waves_of
from flatten.making import lay
from flatten.report.summary import advised_text
from flatten.words.say import text
from tests.analytic_jobs import design_of, found_on
from tests.limbs import cylinder


def asked(**flare):
    edges = {"bottom": "10 mm", "top": "160 mm", "flare": {"depth": "25 mm", **flare}}
    return job_of({"scan": {"file": "made-up.ply"}, "edges": edges}, name="the test")


def test_a_lip_beyond_the_leather_is_advised_to_flare_by_half_and_then_has_no_waves():
    job, found, limits = asked(bottom="8 mm"), found_on(cylinder(45.0)), PRESETS["cased"]
    first = advice(job, [found], limits=limits)[0]
    assert advised_text(first).startswith("Flare the bottom edge by 4 mm instead of 8 mm.")
    assert first.lines.strip() == '[edges]\nflare = {bottom = "4 mm"}'
    assert first.job.edges.flare.depth == 25.0
    laid = lay(design_of(first.job, found), limits=limits, announce=lambda step: None, edge_length=6.0)
    assert laid.fits
    assert waves_of(laid.panels[0].flat) == ()


def test_each_lip_has_a_ladder_of_its_own_and_an_unflared_job_has_none():
    found, limits = found_on(cylinder(45.0)), PRESETS["cased"]
    for job, ladders in ((asked(), []), (asked(bottom="4 mm", top="3 mm"), ["bottom lip", "top lip"])):
        design = design_of(job, found)
        laid = tried(design, dressed(design), limits=limits, edge_length=24.0)
        given = [ladder for ladder in ladders_of(job, laid) if ladder[0].family.endswith("lip")]
        assert [ladder[0].family for ladder in given] == ladders
        for ladder in given:
            edge, asked_for = ladder[0].family[:-4], text(ladder[0].sentence)[-5:-1]
            assert text(ladder[-1].sentence) == f"Leave the {edge} edge’s lip of {asked_for} out."
            last = ladder[-1].apply(job).edges.flare
            assert (last.bottom == 0.0) == (ladder[0].family == "bottom lip")
