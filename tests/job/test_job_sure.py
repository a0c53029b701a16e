"""The job file's [sure]: figures that are read, written and read again, and what is no figure of it."""

import math

import pytest

from flatten.job.errors import JobError
from flatten.job.text import job_from, job_text
from flatten.report.sure import Sure


def sure_of(lines):
    return job_from(f'[scan]\nfile = "leg.ply"\n[sure]\n{lines}\n', name="leg.toml").sure


@pytest.mark.parametrize(
    ("line", "found"),
    [
        ("size = 1.36", (Sure("size", 1.36),)),
        ("tapes = '7.5 %'", (Sure("tapes", 0.075),)),
        ("side = 'left'", (Sure("side", "left"),)),
        ("front = '64°'", (Sure("front", math.radians(64.0)),)),
        ("seam = '1.7 cm'", (Sure("seam", 17.0),)),
        ("seam = ['17 mm', '9 mm']", (Sure("seam", 17.0), Sure("seam", 9.0))),
        ("size = { left = 1.36, right = 1.1 }", (Sure("size", 1.36, "left"), Sure("size", 1.1, "right"))),
        ("unseen = '12 %'\nsize = 2", (Sure("size", 2.0), Sure("unseen", 0.12))),
    ],
)
def test_figures_are_read_the_gravest_key_first(line, found):
    (sure) = sure_of(line)
    assert [(one.key, one.limb) for one in sure] == [(one.key, one.limb) for one in found]
    for one, other in zip(sure, found, strict=True):
        assert one.value == pytest.approx(other.value) if isinstance(one.value, float) else one.value == other.value


def test_a_written_job_is_the_same_job_again():
    lines = "size = { left = 1.36, right = 1.1 }\nseam = ['17.3 mm', '9 mm']\nside = 'left'\nfront = '64°'"
    job = job_from(f'[scan]\nfile = "leg.ply"\n[sure]\n{lines}\n', name="leg.toml")
    again = job_from(job_text(job), name="job.toml")
    assert again == job
    assert job_text(again) == job_text(job)


def test_a_job_without_it_says_nothing_of_it():
    assert sure_of("") == ()
    assert job_from('[scan]\nfile = "leg.ply"', name="leg.toml").sure == ()


@pytest.mark.parametrize(
    ("line", "told"),
    [
        ("sise = 1.36", "'sise' is unknown; did you mean 'size'?"),
        ("zwirn = 1", "'zwirn' is unknown; known here are size, tapes"),
        ("limits = '9 %'", "exceeded limits are settled only by other limits"),
        ("overlap = true", "'overlap' is not mended by being sure of it"),
        ("size = '1.36'", "'size' is '1.36'; write a number such as 1.36"),
        ("size = -1.0", "'size' is -1.0; write a number such as 1.36"),
        ("size = true", "'size' is True; write a number"),
        ("tapes = 0.07", "'tapes' is 0.07; write a percentage such as '7 %'"),
        ("front = 64", "write an angle such as '64°'"),
        ("seam = 17", "write a length such as '17 mm'"),
        ("seam = 'long'", "'seam' is 'long'; write a length such as '17 mm'"),
        ("side = 1", "'side' is 1; write a word such as 'left'"),
        ("size = { both = 1.3 }", "'size' is told for 'both'; the limbs of a pair are left and right"),
    ],
)
def test_what_is_no_figure_is_an_error_that_says_what_is_wanted(line, told):
    with pytest.raises(JobError) as caught:
        sure_of(line)
    assert str(caught.value).startswith("leg.toml: [sure]: ")
    assert told in str(caught.value)
