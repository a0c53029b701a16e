"""Buttons that move an edge, name the limb or ask for a click, where that lifts what stands in the way."""

import pytest

from cli.page.answers import answers
from cli.page.edits import with_values
from cli.page.stages import failure_of
from flatten.findings import finding
from flatten.job.pieces import dressed
from flatten.job.resolve import edges_of
from flatten.job.text import job_from
from flatten.limb.kind import KINDS, LOWER_LEG, THIGH
from flatten.limb.model import FrontError, KindError
from flatten.report.verdict import verdict_on
from flatten.worn.cut import check_cuts
from flatten.worn.defaults import JointError
from flatten.worn.panel import CutError
from flatten.worn.wearing import near_places
from tests.analytic_jobs import design_of, found_on
from tests.limbs import cylinder

LEG = '[scan]\nfile = "leg.ply"\nlimb = "lower leg"\nside = "left"\n'


def check(job, found):
    """See that the job's edges can be cut, as the work does."""
    design = design_of(job, found)
    check_cuts(dressed(design).surface, design.cuts, thickness=job.leather.thickness)


def answered(job, found, *, error=None, stops=()):
    """The buttons' words and the jobs that they make, of the questions one after the other."""
    failure = failure_of(error) if error else None
    of_questions = answers(job, found.limb, failure=failure, stops=stops, skin=found.skin)
    made = [answer for each in of_questions.values() for answer in each if "changes" in answer]
    return {answer["words"]: with_values(job, answer["changes"]) for answer in made}, list(of_questions)


@pytest.mark.parametrize(
    ("edges", "words"),
    [
        ('bottom = "-60 mm"\ntop = "300 mm"', "Raise the bottom edge by "),
        (
            'bottom = { front = "-60 mm", outside = "30 mm", back = "20 mm", inside = "10 mm" }',
            "Raise the bottom edge by ",
        ),
        ('top = "500 mm"', "Lower the top edge by "),
        ('top = { shape = "swept", height = "450 mm", by = "40 mm" }', "Lower the top edge by "),
        ('top = { points = [[0, "440 mm"], [90, "300 mm"], [200, "330 mm"]] }', "Lower the top edge by "),
    ],
)
def test_an_edge_beyond_what_the_scan_shows_is_moved_so_far_that_it_can_be_cut_and_no_further(edges, words):
    found = found_on(cylinder())
    job = job_from(f"{LEG}[edges]\n{edges}\n", name="job")
    with pytest.raises(CutError) as refused:
        check(job, found)
    made, questions = answered(job, found, error=refused.value)
    ((said, mended),) = made.items()
    assert said.startswith(words)
    assert questions == ["edges"]
    check(mended, found)
    for name in ("top", "bottom"):
        assert bool(getattr(mended.edges, name).points) == bool(getattr(job.edges, name).points)
        assert getattr(mended.edges, name).shape == getattr(job.edges, name).shape
    by = float(said.removeprefix(words).removesuffix(" mm"))
    # One and a half of a mm less is refused as before: rounding up to whole mm takes less than 1.2.
    back = -1.5 if words.startswith("Raise") else 1.5
    edge = mended.edges.bottom if words.startswith("Raise") else mended.edges.top
    assert by > 1.5
    table = edge.model_dump(mode="json")
    if edge.points:
        table["points"] = [[turn, f"{height + back} mm"] for turn, height in edge.points]
    elif edge.shape == "auto":
        heights = {name: getattr(edge, name) for name in ("front", "outside", "back", "inside")}
        table |= {name: f"{height + back} mm" for name, height in heights.items()}
    else:
        table["height"] = f"{edge.height + back} mm"
    less = with_values(mended, [(["edges", "bottom" if words.startswith("Raise") else "top"], table)])
    with pytest.raises(CutError, match="trusted only"):
        check(less, found)


@pytest.mark.parametrize(
    ("kind", "place", "edges", "words"),
    [
        (
            THIGH,
            "knee hollow",
            'bottom = { front = "60 mm", outside = "60 mm", back = "20 mm", inside = "35 mm" }\ntop = "300 mm"',
            "Raise the bottom edge by ",
        ),
        (
            LOWER_LEG,
            "knee hollow",
            'bottom = "20 mm"\ntop = { front = "310 mm", outside = "270 mm", back = "290 mm", inside = "325 mm" }',
            "Lower the top edge by ",
        ),
        (LOWER_LEG, "fibula", 'bottom = "20 mm"\ntop = "330 mm"', "Lower the top edge by "),
    ],
)
def test_an_edge_on_a_tender_place_is_moved_off_it_towards_the_middle(kind, place, edges, words):
    found = found_on(cylinder(), kind=kind, joint=350.0 if kind is LOWER_LEG else 0.0)
    job = job_from(f"{LEG.replace('lower leg', kind.name)}[edges]\n{edges}\n", name="job")

    def near(one):
        return near_places(found.limb, edges=edges_of(one, found.limb, trusted=found.skin.trusted))

    stops = verdict_on([finding("wearing.near", "stop", tender=place)], sure=(), side="left").open
    assert place in near(job)
    made, questions = answered(job, found, stops=stops)
    ((said, mended),) = made.items()
    assert said.startswith(words)
    assert questions == ["edges"]
    assert near(mended) == ()
    # Where the last pattern's stop stands and the edge has been moved already, nothing is offered.
    assert answered(mended, found, stops=stops) == ({}, [])


def test_a_limb_that_the_scan_does_not_tell_is_named_or_its_front_clicked():
    found = found_on(cylinder())
    job = job_from(LEG, name="job")
    failure = failure_of(KindError("which limb is it?"))
    offered = answers(job, None, failure=failure, stops=())
    assert list(offered) == ["limb"]
    named = [with_values(job, one["changes"]).scan.limb for one in offered["limb"] if "changes" in one]
    assert named == [name for name in KINDS if name != "lower leg"]
    assert [one["pick"] for one in offered["limb"] if "pick" in one] == ["front"]
    front = answers(job, None, failure=failure_of(FrontError("where is the front?")), stops=())
    assert [one["pick"] for one in front["front"]] == ["front"]
    joint = answers(job, found.limb, failure=failure_of(JointError("the knee is asked for")), stops=())
    assert [one["pick"] for one in joint["limb"]] == ["joint"]
