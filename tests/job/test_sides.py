"""Sides told in a limb's own words."""

import numpy as np
import pytest

from flatten.job.bearings import bearing_of
from flatten.job.errors import JobError
from flatten.job.text import job_from, job_of, job_text
from flatten.limb.kind import KINDS, QUARTERS


def job(kind, **table):
    return job_of({"scan": {"file": "scan.ply", "limb": kind}, **table}, name="the test")


@pytest.mark.parametrize("kind", KINDS)
def test_a_seam_runs_along_each_side_by_the_limbs_own_name_for_it(kind):
    for number, name in enumerate(KINDS[kind].sides):
        assert bearing_of(job(kind, seam=[{"along": name}]).seam[0].along) == 90.0 * number


@pytest.mark.parametrize(
    ("kind", "word", "quarter"),
    [
        ("lower leg", "shin", "front"),
        ("lower leg", "calf", "back"),
        ("thigh", "knee hollow side", "back"),
        ("forearm", "Thumb", "outside"),
        ("forearm", "little finger side", "inside"),
        ("forearm", "back_of_the_hand", "front"),
        ("upper arm", "biceps", "front"),
    ],
)
def test_what_makers_also_say_is_understood_for_seams_and_darts(kind, word, quarter):
    found = job(kind, seam=[{"along": word}], dart=[{"along": word}])
    assert (found.seam[0].along, found.dart[0].along) == (quarter, quarter)
    assert job_from(job_text(found), name="again") == found
    assert quarter in QUARTERS


def test_edges_and_padding_may_be_told_by_the_hands_sides():
    found = job(
        "forearm",
        edges={"top": {"palm side": "180 mm"}, "bottom": "20 mm"},
        wear={"under": {"back of the hand side": "8 mm", "thumb side": "2 mm"}},
        seam=[{"along": "palm side", "kind": "riveted", "on_top": "thumb side"}],
    )
    assert (found.edges.top.back, found.edges.top.front) == (180.0, None)
    under = found.wear.under
    np.testing.assert_array_equal([under.front, under.outside, under.back, under.inside], [8.0, 2.0, 0.0, 0.0])
    assert found.seam[0].on_top == "outside"


def test_another_limbs_word_is_refused_with_the_limbs_own():
    with pytest.raises(JobError, match=r"\[\[seam\]\] 2, along: 'thumb side' is no side of a lower leg; .*shin, calf"):
        job("lower leg", seam=[{"name": "a"}, {"name": "b", "along": "thumb side"}])
    with pytest.raises(JobError, match=r"\[edges\] top: 'biceps' is no side of a forearm"):
        job("forearm", edges={"top": {"biceps": "180 mm"}})


def test_a_side_told_twice_is_refused():
    with pytest.raises(JobError, match="the back is told twice"):
        job("forearm", wear={"under": {"palm": "3 mm", "back": "2 mm"}})


def test_no_word_at_all_is_refused_as_before():
    with pytest.raises(JobError, match="is no line for a seam"):
        job("forearm", seam=[{"along": "somewhere"}])
    with pytest.raises(JobError, match="unknown"):
        job("forearm", wear={"under": {"elbow": "3 mm"}})


@pytest.mark.parametrize(("word", "quarter"), [("calf", "back"), ("thumb side", "outside"), ("biceps", "front")])
def test_where_no_limb_is_named_the_words_of_any_are_understood(word, quarter):
    assert job_of({"scan": {"file": "s.ply"}, "seam": [{"along": word}]}, name="t").seam[0].along == quarter
