"""A riveted seam that is skived: from the job file to the drawing, the report and the posts to buy."""

import json

import numpy as np
import pytest

from flatten.job.errors import JobError
from flatten.job.text import job_of, job_text
from flatten.leather.limits import PRESETS
from flatten.making import finish, lay
from flatten.pattern.path import polyline
from flatten.worn.panel import SeamCutError
from tests.analytic_jobs import design_of, found_on
from tests.limbs import cylinder


def job(seam, **tables):
    riveted = {"name": "outer", "along": "outside", "kind": "riveted", "on_top": "front", **seam}
    seams = [riveted, {"name": "inner", "along": "inside", "gap": "25 mm"}]
    edges = {"bottom": "20 mm", "top": "220 mm"}
    return job_of({"scan": {"file": "x.ply", "side": "left"}, "seam": seams, "edges": edges, **tables}, name="the test")


def made(seam, *, side="left", **tables):
    found = found_on(cylinder(60.0), side=side)
    asked = job(seam, **tables)
    laid = lay(design_of(asked, found), limits=PRESETS["cased"], announce=lambda step: None, edge_length=6.0)
    return finish(asked, [(found, laid)], text="", announce=lambda step: None)


@pytest.mark.parametrize(
    ("skive", "left"), [("auto", 1.6), ("1.2 mm", 1.2), ("no", None)], ids=["auto", "given", "not skived"]
)
def test_posts_marks_and_report_follow_what_is_left(skive, left):
    result = made({"skive": skive})
    numbers = json.loads(dict(result.files)["report.json"])
    seam = next(one for one in numbers["seams"] if one["name"] == "outer")
    rivet = next(one for one in numbers["hardware"] if one["name"] == "rivet")
    stack = 6.4 if left is None else 3.2 + left
    assert seam["stack"] == pytest.approx(stack)
    # A post is about 3 mm longer than what it holds.
    assert rivet["size"] == pytest.approx(stack + 3.0)
    assert seam["skive"] == (None if left is None else {"left": left, "width": 22.0})
    marks = [mark for piece in result.report.cut for mark in piece.marks if mark.kind == "skive"]
    said = [label.text for piece in result.report.cut for label in piece.labels if label.text.startswith("skive")]
    if left is None:
        assert not marks
        assert not said
        return
    assert f"skive 22 to {left:.1f}, flesh" in said
    assert f"down to {left:.1f} mm at the edge" in dict(result.files)["report.html"].decode()
    # The upper piece's line lies an overlap inside its edge, a little more on a surface that rises outwards.
    (mark,) = marks
    front = next(piece for piece in result.report.cut if mark in piece.marks)
    x = polyline(mark.path, 0.01)[:, 0]
    edge = polyline(front.outline, 0.01)[:, 0].max()
    radius = 60.0 + 3.0 + 8.0 / (2 * np.pi) + 1.6
    rise, gain = (left + 0.5 * 0.5 * (3.2 - left)), 0.5 * (3.2 - left)
    assert edge - x.mean() == pytest.approx(22.0 * np.hypot((radius + rise) / radius, gain / 22.0), abs=0.1)


def test_both_sides_of_a_mirrored_pair_bear_the_lines():
    result = made({"skive": "auto"}, piece={"pair": "mirrored"})
    marks = {
        piece.side: sum(mark.kind == "skive" for mark in piece.marks)
        for piece in result.report.cut
        if "front" in piece.name
    }
    assert marks == {"left": 1, "right": 1}


def test_a_skive_is_written_and_read_again():
    for skive in ("auto", "no", "1.5 mm"):
        asked = job({"skive": skive})
        assert asked.seam[0].skive == (1.5 if skive == "1.5 mm" else skive)
        assert f'skive = "{skive}"' in job_text(asked)


@pytest.mark.parametrize(
    ("seam", "why"),
    [
        ({"kind": "laced", "skive": "auto"}, "the laced seam does not overlap"),
        ({"kind": "stitched", "skive": "1.5 mm"}, "the stitched seam does not overlap"),
        ({"skive": "0.2 mm"}, "outside 0.5 to 8 mm"),
    ],
)
def test_what_cannot_be_skived_is_refused_in_the_job(seam, why):
    with pytest.raises(JobError, match=why):
        job({"on_top": "auto", **seam})


def test_more_than_the_leather_is_never_left():
    with pytest.raises(SeamCutError, match=r"skived to 4 mm, and its leather is only 3\.2 mm thick"):
        made({"skive": "4 mm"})
