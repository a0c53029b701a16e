"""What the page does not ask about stays in the job through every change, and is listed."""

import pytest

from cli.page.unasked import ASKED, unasked_settings
from flatten.job.settings import Job
from flatten.job.text import job_from

FULL = """\
[scan]
file = "leg.ply"
over = "2 mm"
[wear]
hollows = "40 mm"
finished = "-1 %"
flexed = { "120 mm" = "4 mm" }
[leather]
neutral = 0.4
hardened = true
hardening = "5 %"
[lining]
allowance = "flush"
[[plate]]
curve = [[-40, "120 mm"], [40, "120 mm"], [0, "260 mm"]]
[[lames]]
where = "on"
start = "120 mm"
[[hide]]
shape = "belly"
flaws = [["420 mm", "180 mm", "60 mm"]]
[former]
kind = "both"
wall = "8 mm"
[mockup]
material = "foam"
[shop]
hours = 12
[output]
printer_edge = "5 mm"
dxf = "R12"
kerf = { cut = "0.2 mm" }
fitting_record = true
"""

RICH = """\
[scan]
file = "leg.ply"
unit = "mm"
over = "1 mm"

[[scan.tape]]
girth = "380 mm"
[[scan.tape]]
at = "ankle"
girth = "220 mm"

[wear]
under = "4 mm"

[leather]
hardened = true

[edges]
top = { shape = "swept", height = "300 mm" }
bottom = { points = [[0, "40 mm"], [180, "50 mm"]] }
flare = { bottom = "6 mm" }

[[seam]]
name = "back"
[[seam]]
name = "front"
along = "front"
kind = "riveted"
overlap = "24 mm"

[[dart]]
name = "heel"
edge = "bottom"

[piece]
pair = "mirrored"

[mockup]
material = "felt"

[[fitting]]
material = "felt"
showed = ["tight by 6 mm at the widest", "slides down"]

[output]
mesh = "quick"
"""


def test_a_plain_job_says_nothing_beside_the_questions():
    assert (
        unasked_settings(
            job_from('[scan]\nfile = "leg.ply"\n[wear]\nease = "3 mm"\n[[seam]]\ngap = "30 mm"', name="job")
        )
        == []
    )


def test_all_that_no_question_asks_about_is_listed_as_the_job_file_writes_it():
    both = RICH.replace("mirrored", "own scan")
    other = '[other_scan]\nfile = "right.ply"\nover = "3 mm"\n'
    shown = {entry["key"]: entry["value"] for entry in unasked_settings(job_from(both + other, name="job"))}
    assert shown == {"[other_scan] over": "3 mm"}


def test_of_what_the_page_itself_can_make_nothing_is_listed():
    assert unasked_settings(job_from(RICH, name="job")) == []
    assert unasked_settings(job_from(FULL, name="job")) == []


@pytest.mark.parametrize("pattern", ASKED)
def test_every_key_that_is_asked_about_is_one_of_the_job_file(pattern):
    table = {"scan": {"file": "x", "tape": [{"girth": "380 mm"}]}, "dart": [{}], "plate": [{}], "lames": [{}]}
    table |= {"fitting": [{}], "hide": [{"shape": "side"}], "motif": [{}]}
    at = Job.model_validate(table).model_dump(mode="json")
    for part in pattern.replace(".*", ".0").rstrip("*").split("."):
        if part == "0" and not isinstance(at, list):
            return
        at = at[int(part) if part.isdigit() else part]


def test_a_picked_limb_is_asked_about_and_the_other_scans_is_listed_as_its_three_numbers():
    text = (
        '[scan]\nfile = "legs.ply"\npick = [1.5, -20, 300]\n'
        '[other_scan]\nfile = "more.ply"\npick = [2.5, 20, 300]\n[piece]\npair = "mean"\n'
    )
    shown = {line["key"]: line["value"] for line in unasked_settings(job_from(text, name="job.toml"))}
    assert "[scan] pick" not in shown
    assert shown["[other_scan] pick"] == "2.5, 20, 300"


def test_a_clicked_joint_is_asked_about():
    text = '[scan]\nfile = "leg.ply"\njoint = { point = [1.5, -20, 300] }\n'
    assert [line["key"] for line in unasked_settings(job_from(text, name="job.toml"))] == []
