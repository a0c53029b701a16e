"""A fitting's record has the job's own places and girths, and its words are those that a job file understands."""

import re
import subprocess

import numpy as np
import pytest

from flatten.job.showed import saying
from flatten.job.text import job_of
from flatten.leather.limits import PRESETS
from flatten.making import finish, lay
from flatten.report.fittingrecord import _EDGES, APART, fitting_record, place_of, rings_to_try
from flatten.sheet.paper import PAPERS
from flatten.words.english import ENGLISH
from flatten.words.say import text
from tests.analytic_jobs import design_of, found_on
from tests.limbs import cylinder


def made(**output):
    table = {
        "scan": {"file": "made-up.ply", "side": "left"},
        "edges": {"bottom": "40 mm", "top": "300 mm"},
        "seam": [{"gap": "25 mm"}],
        "piece": {"pair": "mirrored"},
        "output": {"title": "watch", "mesh": "quick", "bound": False, "advice": False, **output},
    }
    job, found = job_of(table, name="the test"), found_on(cylinder(60.0))
    laid = lay(design_of(job, found), limits=PRESETS["cased"], announce=lambda step: None, edge_length=12.0)
    return finish(job, [(found, laid)], text="", announce=lambda step: None)


@pytest.fixture(scope="module")
def recorded():
    return made(fitting_record=True)


def test_the_record_is_made_where_it_is_asked_for_alone(recorded):
    files = dict(recorded.files)
    assert files["fitting.pdf"] == fitting_record(recorded.report, paper="A4")
    assert list(files)[-1] == "report.json"
    assert "fitting.pdf" not in dict(made().files)


def test_every_place_of_the_record_is_understood_when_it_is_written_down(recorded):
    rings = rings_to_try(recorded.report.limbs[0].rings)
    assert len(rings) >= 5
    for ring in rings:
        place = text(place_of(ring), ENGLISH)
        said = saying(f"tight by 6 mm {place}")
        assert (said.kind, said.amount, said.side) == ("girth", 6.0, None)
        assert said.place == (pytest.approx(ring.height, abs=0.5) if isinstance(said.place, float) else ring.name)


def test_rings_without_a_name_stand_at_whole_steps_and_not_beside_one_that_has_one(recorded):
    rings = rings_to_try(recorded.report.limbs[0].rings)
    heights = [ring.height for ring in rings]
    assert heights == sorted(heights, reverse=True)
    assert -np.diff(heights).max() >= 0.3 * APART - 1e-9
    assert {ring.name for ring in rings} >= {"top", "bottom", "widest"}


@pytest.mark.parametrize("number", range(len(_EDGES)))
def test_filled_in_sentences_of_the_record_are_understood(number):
    line = text(_EDGES[number], ENGLISH).replace("□ high □ low", "high").replace("_____ degrees", "90 degrees")
    line = re.sub("_{6} mm", "6 mm", line)
    filled = re.sub("_{7,}", "behind", line).replace("□", "").replace("where:", "").replace(",", "")
    assert saying(filled.strip()).kind == ("edge", "touch", "edge", "touch", "apart", "slide")[number], filled


@pytest.mark.browser
@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_a_printed_record_shows_the_girths_and_nothing_over_anything_else(recorded, paper, tmp_path):
    (tmp_path / "fitting.pdf").write_bytes(fitting_record(recorded.report, paper=paper))
    call = ["pdftotext", "-bbox", "fitting.pdf", "boxes.html"]
    subprocess.run(call, cwd=tmp_path, check=True, timeout=120)
    page = (tmp_path / "boxes.html").read_text()
    corner = r'(?:xMin|yMin|xMax|yMax)="([\d.]+)" ?'
    found = re.findall(f"<word {4 * corner}>([^<]*)</word>", page)
    words, boxes = [each[-1] for each in found], np.array([each[:4] for each in found], float) * 25.4 / 72.0
    for ring in rings_to_try(recorded.report.limbs[0].rings):
        assert f"{ring.drawn:.0f}" in words
        assert words.count(f"{ring.height:.0f}") >= 2
    width, height = PAPERS[paper]
    assert boxes[:, :2].min() > 5.0
    assert boxes[:, 2].max() < width - 5.0
    assert boxes[:, 3].max() < height - 5.0
    low, high = np.maximum(boxes[:, None, :2], boxes[None, :, :2]), np.minimum(boxes[:, None, 2:], boxes[None, :, 2:])
    common = np.prod(np.clip(high - low, 0.0, None), axis=-1)
    np.fill_diagonal(common, 0.0)
    assert common.max() < 1.0
