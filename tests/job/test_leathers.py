"""Hides and beds in a job file: read, written again, refused in one sentence, and what they come to."""

import math
import re

import numpy as np
import pytest

from flatten.job.errors import JobError
from flatten.job.laid_out import grounds_of
from flatten.job.text import job_from, job_text
from flatten.sheet.ground import HideError


def job(text):
    return job_from(f'[scan]\nfile = "scan.ply"\n{text}', name="test.toml")


def grounds(text, folder):
    return grounds_of(job(text), folder=folder)


BED = '[bed]\nwidth = "600 mm"\nheight = "400 mm"'
HIDES = """
[[hide]]
shape = "side"
length = "1800 mm"
turn = "15°"
flaws = [["420 mm", "180 mm", "60 mm"]]
[[hide]]
outline = "hide.dxf"
thickness = "6 oz"
"""


@pytest.mark.parametrize("text", [BED, HIDES, '[hide]\nshape = "bend"'])
def test_leathers_are_written_as_they_are_read(text):
    read = job(text)
    assert job_from(job_text(read), name="again") == read


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("[hide]", "neither outline nor shape"),
        ('[hide]\nshape = "bend"\noutline = "hide.dxf"', "both an outline and a shape"),
        ('[hide]\nshape = "half"', "it must be 'side'"),
        ('[hide]\noutline = "hide.dxf"\nwidth = "3 m"', "true to size"),
        ('[hide]\nshape = "bend"\nturn = "100 degrees"', "outside 0 to 90 degrees"),
        ('[hide]\nshape = "bend"\nturn = "some"', "write degrees"),
        ('[hide]\nshape = "bend"\nflaws = [["1 mm", "2 mm"]]', "how large"),
        ('[hide]\nshape = "bend"\nflaws = [["1 mm", "2 mm", "0 mm"]]', "no size"),
        ('[hide]\nshape = "bend"\nlenght = "1 m"', "did you mean 'length'?"),
        ('[bed]\nwidth = "600 mm"', "[bed] height is missing"),
        (f'{BED}\n[hide]\nshape = "bend"', "lay its pieces on one of them"),
    ],
)
def test_what_is_no_leather_is_refused_in_a_sentence(text, words):
    with pytest.raises(JobError, match=re.escape(words)):
        job(text)


def test_a_margin_that_leaves_nothing_is_refused(tmp_path):
    with pytest.raises(HideError, match="no room for a piece; make its margin smaller"):
        grounds('[bed]\nwidth = "100 mm"\nheight = "400 mm"\nmargin = "50 mm"', tmp_path)


def test_a_job_without_leather_has_no_ground(tmp_path):
    assert grounds("", tmp_path) == ()


def test_a_side_has_its_own_size_its_flaw_and_a_fifth_of_belly(tmp_path):
    (side,) = grounds(HIDES.split("[[hide]]\noutline")[0], tmp_path)
    assert side.size == pytest.approx((1800.0, 1000.0))
    assert side.turn == pytest.approx(math.radians(15))
    ((x0, y0), (x1, y1)) = side.flaws[0].min(axis=0), side.flaws[0].max(axis=0)
    assert (x0 + x1) / 2 == pytest.approx(420)
    assert (y0 + y1) / 2 == pytest.approx(180)
    assert 60 <= x1 - x0 <= 61
    # The flaw's polygon lies round about its circle.
    assert np.hypot(*(side.flaws[0] - [420, 180]).T).min() >= 30
    assert side.soft[0].min(axis=0)[1] == pytest.approx(800)
    assert not side.two_sided


def test_a_double_shoulder_lies_to_both_sides_of_its_backbone(tmp_path):
    (shoulder,) = grounds('[hide]\nshape = "double shoulder"\nwidth = "1200 mm"', tmp_path)
    assert shoulder.two_sided
    assert shoulder.outline[:, 1].min() == -600
    assert shoulder.size == (800.0, 1200.0)
