"""What a job says of hardening: read, written again, and refused in one sentence."""

import pytest

from flatten.job.errors import JobError
from flatten.job.settings import LeatherSettings
from flatten.job.text import given_text, job_from, job_of, job_text
from flatten.leather.hardening import hardening_of
from flatten.leather.limits import leather_limits
from flatten.leather.messages import strip_messages
from flatten.leather.model import LeatherError
from flatten.words.say import text

STRIPS = """
load = "10 kg"
width = "20 mm"
thickness = "3.2 mm"
strip = [
    {direction = "along", L0 = "100 mm", L2 = "110 mm"},
    {direction = "across", L0 = "100 mm", L2 = "110 mm"},
]
"""


def job_with(hardening, *, hardened=True):
    leather = {"hardened": hardened, "hardening": hardening}
    return job_of({"scan": {"file": "leg.ply"}, "leather": leather}, name="the test")


@pytest.mark.parametrize(
    ("asked", "read"),
    [
        ("no", "no"),
        ("as strips shrank", "as strips shrank"),
        ("5 %", (0.05, 0.05)),
        (0.0725, (0.0725, 0.0725)),
        ({"along": "12.5 %", "across": 0.1}, (0.125, 0.1)),
        ("30 %", (0.3, 0.3)),
    ],
)
def test_it_is_read_and_written_again(asked, read):
    job = job_with(asked)
    assert job.leather.hardening == pytest.approx(read) if isinstance(read, tuple) else job.leather.hardening == read
    for again in (job_text(job), given_text(job)):
        assert job_from(again, name="again") == job


def test_by_default_nothing_is_cut_larger_and_a_job_written_out_says_so():
    assert 'hardening = "no"' in job_text(job_of({"scan": {"file": "leg.ply"}}, name="the test"))
    assert hardening_of(LeatherSettings().hardening, None) == (0.0, 0.0)


@pytest.mark.parametrize(
    ("asked", "told"),
    [
        ("yes", r"\[leather\] hardening: 'yes' is no share; write 'no', 'as strips shrank', what a scrap lost"),
        (True, "hardening: True is no share"),
        (5, "hardening: 5 is no share"),
        ("-5 %", "hardening: '-5 %' is no share"),
        ("31 %", "31 % is more than the 30 % that leather may lose"),
        ({"along": "5 %"}, "a share along the grain and one across it"),
        ({"along": "5 %", "across": "40 %"}, "40 % is more than the 30 %"),
    ],
)
def test_what_makes_no_sense_is_refused(asked, told):
    with pytest.raises(JobError, match=told):
        job_with(asked)


def test_leather_that_is_not_hardened_is_not_cut_larger_for_it():
    with pytest.raises(JobError, match=r"\[leather\]: .*write hardened = true too"):
        job_with("5 %", hardened=False)


def strips(direction, after):
    return f'[[hardened]]\ndirection = "{direction}"\nbefore = 100.0\nafter = {after}\n'


@pytest.mark.parametrize(
    ("limits", "hardened", "told"),
    [
        ("cased", "", "limits are no strip test; harden a strip along and one across the grain"),
        ("strips.toml", "", r"a strip test without \[\[hardened\]\] strips both ways"),
        ("strips.toml", strips("along", 90.0), r"a strip test without \[\[hardened\]\] strips both ways"),
        ("strips.toml", strips("along", 90.0) + strips("across", 60.0), "lost 40 % of their length, and 30 % is"),
    ],
)
def test_strips_that_were_not_read_are_asked_for(tmp_path, limits, hardened, told):
    (tmp_path / "strips.toml").write_text(STRIPS + hardened, "utf8")
    with pytest.raises(LeatherError, match=told):
        leather_limits(limits, folder=tmp_path, hardening="as strips shrank")


def test_drying_and_hardening_take_one_after_the_other_and_each_is_told(tmp_path):
    unloaded = '[[unloaded]]\ndirection = "along"\nwet = 100.0\ndried = 98.0\n'
    readings = STRIPS + unloaded + strips("along", 90.0) + strips("along", 86.0) + strips("across", 94.0)
    (tmp_path / "strips.toml").write_text(readings, "utf8")
    limits = leather_limits("strips.toml", folder=tmp_path, hardening="as strips shrank")
    assert limits.hardening == pytest.approx((0.12, 0.06))
    assert limits.lost == pytest.approx((1.0 - 0.98 * 0.88, 0.06))
    said = [text(each) for each in strip_messages(limits.test)]
    assert any("Hardened by heat, dry strips shrank by 12.0 % on average" in each for each in said)
