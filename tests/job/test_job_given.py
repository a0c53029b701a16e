"""What a report says of a job's settings: its lines read as the same job, and no key stands among the labels."""

import re

import pytest

from cli.demo import SCANS
from flatten.findings import message
from flatten.job.text import given_text, job_from, job_of
from flatten.job.told import settings_told
from flatten.words.say import text

PATHS = job_of({"scan": {"file": "a maker/scans/leg.ply"}, "leather": {"thickness": "8 oz"}}, name="the test")

ODD = job_of(
    {
        "scan": {"file": "leg.ply", "tape": [{"girth": "383 mm"}, {"at": "120 mm", "girth": "300 mm"}]},
        "wear": {"under": {"front": "8 mm", "back": "2 mm"}, "ease": "0 mm"},
        "seam": [{"name": "back", "along": "back", "gap": "30 mm"}, {"name": "2", "along": "front", "kind": "riveted"}],
        "leather": {
            "hardened": True,
            "limits": {
                "stretch_along": "5 %",
                "stretch_across": "6 %",
                "squeeze_along": "3 %",
                "squeeze_across": "3 %",
            },
        },
    },
    name="the test",
)


@pytest.mark.parametrize("job", [ODD, *(job_from(scan.text, name="the demo") for scan in SCANS)])
def test_the_lines_read_as_the_same_job(job):
    assert job_from(given_text(job), name="the lines") == job


def test_where_a_maker_keeps_scans_is_not_told():
    assert "a maker" not in given_text(PATHS)
    assert {each.value for each in settings_told(PATHS) if each.key == "scan.file"} == {"leg.ply"}


def test_what_is_as_usual_is_left_out_but_for_what_every_maker_looks_for():
    usual = job_of({"scan": {"file": "leg.ply"}}, name="the test")
    assert [each.key for each in settings_told(usual)] == [
        *("scan.file", "wear.under", "wear.ease", "leather.thickness", "leather.limits"),
    ]


@pytest.mark.parametrize("job", [ODD, *(job_from(scan.text, name="the demo") for scan in SCANS)])
def test_settings_are_told_in_words(job):
    told = settings_told(job)
    assert len({each.key for each in told}) == len(told)
    for each in told:
        label, value = (
            text(message("setting.label", setting=each.key)),
            text(message("setting.value", given=each.value)),
        )
        assert not re.search(r"[._\[\]{}'\"]", label)
        assert not re.search(r"[\[\]{}'\"]|True|False|^$", value)


def test_settings_of_several_seams_are_told_apart():
    labels = [text(message("setting.label", setting=each.key)) for each in settings_told(ODD)]
    assert len(set(labels)) == len(labels)


def test_a_thickness_that_was_given_in_ounces_is_told_no_finer_than_it_is_measured():
    assert text(message("setting.value", given="3.175 mm")) == "3.2 mm"
    assert text(message("setting.value", given="20 mm")) == "20 mm"
    assert text(message("setting.value", given="0.25")) == "0.25"
    assert text(message("setting.value", given="['95 mm', '215 mm']")) == "95 mm, 215 mm"
