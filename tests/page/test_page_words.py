"""What the page's scripts list, the job and the work know by the same words."""

import re
from pathlib import Path
from typing import get_args

import numpy as np

from flatten.job.settings import SeamSettings
from flatten.limb.kind import KINDS, QUARTERS, quarter_bearing, tape_places
from flatten.make import STEPS

STATIC = Path(__file__).parents[2] / "cli" / "page" / "static"


def listed(script, pattern):
    """The quoted words of the first match of a pattern in a script."""
    return re.findall(r'"([^"]+)"', re.search(pattern, (STATIC / script).read_text("utf-8"), re.DOTALL)[1])


def test_the_quarters_are_the_jobs_a_right_angle_apart():
    assert listed("handles.js", r"const QUARTERS = \[(.*?)\]") == list(QUARTERS)
    assert [np.degrees(quarter_bearing(quarter)) for quarter in QUARTERS] == [0.0, 90.0, 180.0, 270.0]


def test_the_kinds_of_limbs_and_seams_are_the_jobs():
    assert listed("workorder.js", r"const kinds = \[(.*?)\]") == list(KINDS)
    seams = get_args(SeamSettings.model_fields["kind"].annotation)
    assert listed("seams.js", r"const KINDS = \[(.*?)\]") == list(seams)


def test_a_tape_is_asked_for_at_the_places_that_a_job_knows():
    text = re.search(r"const tapedAt = \{(.*?)\};", (STATIC / "workorder.js").read_text("utf-8"), re.DOTALL)[1]
    assert {"widest", *re.findall(r': \["(\w+)"', text)} == set(tape_places())


def test_every_step_of_the_work_has_its_words():
    text = re.search(r"const STAGE_TEXTS = \{(.*?)\}", (STATIC / "main.js").read_text("utf-8"), re.DOTALL)[1]
    assert sorted(re.findall(r'"([^"]+)": "', text)) == sorted(STEPS)
