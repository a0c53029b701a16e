"""Buttons that take thinner leather, end the top edge where the scan does, or take a dart away: each lifts its stop."""

from dataclasses import replace

import numpy as np
import pytest

from cli.page.answers import answers
from cli.page.edits import with_values
from cli.page.stages import failure_of
from flatten.findings import Place, finding
from flatten.job.pieces import dressed, panels_of
from flatten.job.text import job_from
from flatten.leather.bending import tightest_bend
from flatten.leather.messages import bend_finding
from flatten.limb.kind import KINDS, LOWER_LEG
from flatten.report.verdict import verdict_on
from flatten.worn.cut import check_cuts
from flatten.worn.defaults import JointHiddenError
from tests.analytic_jobs import design_of, found_on
from tests.limbs import calf, cylinder, limb_of

LEG = '[scan]\nfile = "leg.ply"\nlimb = "lower leg"\nside = "left"\n'


def buttons(job, found, *, error=None, stops=()):
    """(question, words, job that is made) of each button."""
    failure = failure_of(error) if error else None
    given = answers(
        job, found.limb, failure=failure, stops=verdict_on(stops, sure=(), side="left").open, skin=found.skin
    )
    return [
        (question, one["words"], with_values(job, one["changes"])) for question, all_ in given.items() for one in all_
    ]


def flat_oval(h, b):
    """Radius of an ellipse of 60 by 25 mm: its ends are bent to 10.4 mm."""
    return 60.0 * 25.0 / np.hypot(25.0 * np.cos(b), 60.0 * np.sin(b)) + 0.0 * h


def bends(job, found):
    """The stops of what a job bends more sharply than its leather takes."""
    design = design_of(job, found)
    worn = dressed(design)
    told = []
    for panel in panels_of(design, worn.surface, edge_length=8.0):
        bend = tightest_bend(panel, surface=worn.surface, thickness=design.wear.thickness, neutral=design.wear.neutral)
        told.append(bend_finding(bend, kind=LOWER_LEG, piece=None))
    return [each for each in told if each is not None]


def thick(thickness):
    return job_from(
        f'{LEG}[edges]\nbottom = "20 mm"\ntop = "200 mm"\n[leather]\nthickness = "{thickness} mm"\n', name="job"
    )


def test_leather_that_bends_too_sharply_is_taken_as_thin_as_it_must_be_and_no_thinner():
    found, job = found_on(limb_of(flat_oval)), thick(9)
    stops = bends(job, found)
    assert len(stops) == 1
    ((question, words, mended),) = buttons(job, found, stops=stops)
    assert question == "leather"
    assert words == f"Take leather {mended.leather.thickness:.1f} mm thick"
    assert bends(mended, found) == []
    # Share by which the bend may differ, and a tenth of a mm: together less than 8 %.
    assert bends(thick(1.08 * mended.leather.thickness), found) != []


def test_neither_a_plates_bend_nor_one_for_no_leather_is_answered_by_thinner_leather():
    found, job = found_on(cylinder()), thick(3.2)
    place = LOWER_LEG.place(height=100.0, bearing=0.0)
    told = {"piece": None, "where": "at the front"}
    of_plate = finding("leather.too tight", "stop", place=place, **told, radius=7.0, thicknesses=7.0 / 4.8, takes=3.5)
    of_none = finding("leather.too tight", "stop", place=place, **told, radius=1.9, thicknesses=1.9 / 3.2, takes=0.95)
    assert buttons(job, found, stops=[of_plate]) == []
    assert buttons(job, found, stops=[of_none]) == []


@pytest.mark.parametrize("radius", [lambda h, b: 60.0 + 0.0 * h, calf])
def test_where_the_scan_does_not_show_the_knee_the_top_edge_ends_where_the_scan_does(radius):
    found = found_on(limb_of(radius, high=300.0))
    below = replace(found, limb=replace(found.limb, landmarks=found.limb.landmarks[:2]))
    job = job_from(LEG, name="job")
    with pytest.raises(JointHiddenError) as refused:
        design_of(job, below)
    ((question, words, mended),) = buttons(job, below, error=refused.value)
    assert question == "edges"
    height = mended.edges.top.height
    assert words == f"End the top edge level, {height:.0f} mm above the ankle"
    assert below.skin.trusted[1] - 12.0 < height < below.skin.trusted[1]
    design = design_of(mended, below)
    check_cuts(dressed(design).surface, design.cuts, thickness=mended.leather.thickness)


def test_a_scan_that_is_too_short_for_any_leather_offers_no_top_edge():
    found = found_on(cylinder(high=60.0), widest=40.0)
    below = replace(found, limb=replace(found.limb, landmarks=found.limb.landmarks[:2]))
    assert buttons(job_from(LEG, name="job"), below, error=JointHiddenError("not shown")) == []


def test_a_dart_whose_sides_cannot_meet_is_taken_away_and_no_other():
    job = job_from(
        f'{LEG}[[dart]]\nname = "inner"\nalong = "inside"\n[[dart]]\nname = "outer"\nalong = "outside"\n', name="job"
    )
    found = found_on(cylinder())
    unequal = [
        finding("seam.unequal", "stop", place=Place(part=part), seam=part, ease=17.0, length=60.0)
        for part in ("outer", "back")
    ]
    ((question, words, mended),) = buttons(job, found, stops=unequal)
    assert (question, words) == ("darts", "Take the dart “outer” away")
    assert [dart.name for dart in mended.dart] == ["inner"]


def test_where_the_kind_is_only_assumed_every_kind_is_offered_alike():
    offered = answers(job_from('[scan]\nfile = "arm.ply"', name="job"), None, failure=None, stops=(), assumed=True)
    assert [answer["changes"] for answer in offered["limb"]] == [[[["scan", "limb"], name]] for name in KINDS]
    assert answers(job_from('[scan]\nfile = "arm.ply"', name="job"), None, failure=None, stops=()) == {}
