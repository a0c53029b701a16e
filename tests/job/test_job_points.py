"""The joint in a job file: read, written, read again; what makes no sense is refused with what to write."""

import pytest

from flatten.job.errors import JobError
from flatten.job.text import job_from, job_of, job_text


def job(**scan):
    return job_of({"scan": {"file": "a.ply", **scan}}, name="the test")


@pytest.mark.parametrize(
    ("given", "kept"),
    [("auto", "auto"), ("247 mm", 247.0), ("10 in", 254.0), ({"point": [0.1, 0.4, -2]}, (0.1, 0.4, -2.0))],
)
def test_a_joint_is_read_and_written_and_read_again(given, kept):
    first = job(limb="forearm", joint=given)
    again = job_from(job_text(first), name="again")
    assert again == first
    found = again.scan.joint
    assert (found if isinstance(found, str | float) else found.point) == kept


def test_a_point_is_a_joint_on_every_limb_and_a_height_only_where_it_is_not_height_0():
    for limb in ("thigh", "upper arm"):
        assert job(limb=limb, joint={"point": [1, 2, 3]}).scan.joint.point == (1.0, 2.0, 3.0)
        with pytest.raises(JobError, match=rf"height 0 itself on the {limb}; give a point of the scan"):
            job(limb=limb, joint="247 mm")


@pytest.mark.parametrize(
    ("given", "told"),
    [
        ("20 mm", r"outside 50 to 700 mm"),
        ("2 m", r"outside 50 to 700 mm"),
        ("high", r"'high' is not a length"),
        ([1, 2, 3], r"\{ point = \[1, 2, 3\] \}"),
        ({"point": [1, 2]}, r"three numbers"),
    ],
)
def test_a_joint_that_makes_no_sense_is_refused_with_what_to_write(given, told):
    with pytest.raises(JobError, match=told):
        job(limb="forearm", joint=given)
