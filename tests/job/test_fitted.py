"""Fittings and flexed muscles of a job, resolved on a limb."""

import numpy as np
import pytest

from flatten.job.errors import JobError
from flatten.job.fitted import fittings_of
from flatten.job.resolve import edges_of, resolve
from flatten.job.showed import FREED, HOLD
from flatten.job.text import job_from, job_of, job_text
from flatten.leather.materials import MATERIALS
from flatten.limb.kind import KINDS
from tests.analytic_jobs import found_on
from tests.limbs import cylinder

LEVEL = {"bottom": "20 mm", "top": "300 mm"}
AROUND = np.linspace(0.0, 2 * np.pi, 16, endpoint=False)


def job(*fittings, limb="lower leg", side="left", **tables):
    scan = {"file": "a.ply", "limb": limb, "side": side}
    return job_of({"scan": scan, "edges": LEVEL, "fitting": list(fittings), **tables}, name="the test")


def showed(*sentences, **keys):
    return {"showed": list(sentences), **keys}


def resolved(*fittings, limb="lower leg", side="left", on=None, **tables):
    found = found_on(cylinder(60.0), kind=KINDS[limb], side=on or side)
    return resolve(job(*fittings, limb=limb, side=side, **tables), found.limb, skin=found.skin)


def girth(design, height):
    return design.wear.added_girth(height)


def test_a_fitting_is_read_and_written_again():
    wish = job(showed("tight by 6 mm at the widest", material="felt", thickness="4 mm"), showed("slides down"))
    text = job_text(wish)
    assert 'showed = ["tight by 6 mm at the widest"]' in text
    assert 'thickness = "4 mm"' in text
    assert job_from(text, name="again") == wish
    assert job_text(job_from(text, name="again")) == text
    assert job_of({"scan": {"file": "a.ply"}}, name="t").fitting == ()
    assert job(showed()).fitting[0].showed == ()


@pytest.mark.parametrize(
    ("row", "words"),
    [
        (showed("blue"), r"\[\[fitting\]\] 1, showed: 'blue' is not understood"),
        (
            showed("tight by 3 mm on the thumb side"),
            r"\[\[fitting\]\] 1, showed: 'thumb side' is no side of a lower leg",
        ),
        ({"showed": 5}, r"\[\[fitting\]\] 1, showed: 5 is no list of sentences"),
        ({"showed": [5]}, r"\[\[fitting\]\] 1, showed: \[5\] is no list of sentences"),
        (showed(material="card"), r"\[\[fitting\]\] 1, material is 'card'"),
        (showed(thickness="40 mm"), r"\[\[fitting\]\] 1, thickness: '40 mm' is outside 0.05 to 15 mm"),
        (showed(pattern="own"), r"\[\[fitting\]\] 1, pattern is 'own'"),
        ({"shown": []}, "did you mean 'showed'"),
    ],
)
def test_a_wrong_fitting_is_named_in_one_sentence(row, words):
    with pytest.raises(JobError, match=words) as wrong:
        job(row)
    assert "\n" not in str(wrong.value)


@pytest.mark.parametrize(
    ("sentence", "words"),
    [
        ("tight by 3 mm at 900 mm", "from height 20 to 300 mm, and this is at 900 mm; say 'at the top'"),
        ("tight by 3 mm at 10 mm", "from height 20 to 300 mm, and this is at 10 mm"),
        ("tight by 3 mm at the wrist", "no landmark 'wrist'"),
        ("edge touches at the elbow", "no elbow beside a lower leg's edges; write 'top edge' or 'bottom edge'"),
    ],
)
def test_a_place_that_is_not_on_the_piece_is_named(sentence, words):
    with pytest.raises(JobError, match=words) as wrong:
        resolved(showed(sentence))
    assert str(wrong.value).startswith(f"[[fitting]] 1, '{sentence}': ")


def test_readings_that_contradict_one_another_are_named_with_their_fitting():
    with pytest.raises(
        JobError, match=r"^\[\[fitting\]\] 2: the girth is to change by 6 mm at height 240 mm and by -2"
    ):
        resolved(showed("fits"), showed("tight by 6 mm at the widest", "loose by 2 mm at 245 mm"))


def test_places_are_the_pieces_own():
    design = resolved(showed("tight by 6 mm at the top", "loose by 4 mm at the bottom", "tight by 2 mm in the middle"))
    assert [girth(design, h) for h in (300.0, 20.0, 160.0)] == pytest.approx([6.0, -4.0, 2.0])
    assert girth(resolved(showed("slides down")), 300.0) == pytest.approx(-HOLD)
    assert girth(resolved(showed("tight by 6 mm at the widest")), 240.0) == pytest.approx(6.0)


def test_what_stands_off_comes_nearer_by_as_much():
    all_round = resolved(showed("stands off by 2 mm at the widest"))
    np.testing.assert_allclose(all_round.wear.fitted[0].offset(240.0, AROUND), -2.0)
    behind = resolved(showed("stands off by 2 mm at the widest behind")).wear.fitted[0]
    assert behind.offset(240.0, np.pi) == pytest.approx(-2.0)
    assert behind.offset(240.0, 0.0) == pytest.approx(0.0)


@pytest.mark.parametrize(
    ("limb", "side", "number"),
    [("lower leg", "outside", 1), ("lower leg", "calf", 2), ("forearm", "thumb side", 1), ("forearm", "palm side", 2)],
)
@pytest.mark.parametrize("on", ["left", "right"])
def test_sides_are_the_limbs_own_and_the_same_on_left_and_right(limb, side, number, on):
    design = resolved(showed(f"tight by 5 mm at the widest on the {side}"), limb=limb, side=on)
    offset = design.wear.fitted[0].offset(240.0, AROUND)
    assert AROUND[int(offset.argmax())] == pytest.approx(number * np.pi / 2)


def test_edges_are_moved_as_edges():
    plain = resolved().cuts
    moved = resolved(showed("top edge 10 mm too high behind", "bottom edge 5 mm too low")).cuts
    np.testing.assert_allclose(moved.bottom.height(AROUND), plain.bottom.height(AROUND) + 5.0)
    assert moved.top.height(np.pi) == pytest.approx(290.0)
    assert moved.top.height(0.0) == pytest.approx(300.0)
    assert resolved(showed("top edge 0 mm too high")).cuts.top.heights.tobytes() == plain.top.heights.tobytes()


@pytest.mark.parametrize(
    ("limb", "sentence", "edge", "up", "bearing"),
    [
        ("lower leg", "edge touches behind the knee at 90 degrees", "top", -FREED, np.pi),
        ("lower leg", "edge touches in front of the ankle by 4 mm", "bottom", 4.0, 0.0),
        ("lower leg", "bottom edge touches behind", "bottom", FREED, np.pi),
        ("thigh", "edge touches behind the knee by 6 mm", "bottom", 6.0, np.pi),
        ("thigh", "edge touches at the hip in front", "top", -FREED, 0.0),
        ("forearm", "edge touches at the elbow on the palm side by 7 mm", "top", -7.0, np.pi),
        ("forearm", "edge touches at the wrist", "bottom", FREED, None),
        ("upper arm", "edge touches at the elbow in front", "bottom", FREED, 0.0),
    ],
)
def test_an_edge_that_touches_gives_way_beside_its_joint(limb, sentence, edge, up, bearing):
    found = found_on(cylinder(60.0), kind=KINDS[limb])
    wish = job(showed(sentence), limb=limb)
    (fitting,), _ = fittings_of(wish, found.limb, edges=edges_of(wish, found.limb, trusted=(-20.0, 400.0)))
    (change,) = fitting.edges
    assert (change.edge, change.up, change.bearing) == (edge, up, bearing)


def test_the_next_fitting_counts_from_what_the_last_one_left():
    design = resolved(
        showed("top edge 40 mm too high", "tight by 6 mm at the widest"),
        showed("tight by 3 mm at the top", "loose by 2 mm at the widest"),
    )
    assert design.cuts.top.height(0.0) == pytest.approx(260.0)
    _, second = design.wear.fitted
    assert float(second.girth(260.0)) == pytest.approx(3.0)
    assert girth(design, 240.0) == pytest.approx(6.0 + float(second.girth(240.0)))


PI_T = np.pi * 3.2
"""mm of girth between inner face and mid-line of the default leather."""


@pytest.mark.parametrize(
    ("keys", "converted"),
    [
        ({}, 0.0),
        ({"material": "felt", "thickness": "6 mm"}, 0.0),
        # The leather's own sheets in paper: its inner face lies half the leather less half the paper further out.
        ({"pattern": "leather"}, PI_T - np.pi * 0.2),
        ({"material": "foam", "pattern": "leather"}, PI_T - np.pi * 5.0),
        ({"material": "leather"}, 0.0),
        # Tried in 4 mm, made of 3.2 mm: what fitted in 4 mm had less girth inside.
        ({"material": "leather", "thickness": "4 mm"}, PI_T - np.pi * 4.0),
        ({"material": "leather", "thickness": "2 mm"}, PI_T - np.pi * 2.0),
    ],
)
def test_girths_are_those_of_the_inner_face_in_whatever_it_was_tried(keys, converted):
    design = resolved(showed("tight by 6 mm at the widest", **keys))
    assert girth(design, 240.0) == pytest.approx(6.0 + converted)
    # What nothing was said of fitted: the inner face keeps the girth that it had there.
    assert girth(design, 20.0) == pytest.approx(converted, abs=0.15)
    assert design.fittings[0].converted == pytest.approx(converted)


def test_a_neutral_line_of_its_own_counts():
    leather = {"thickness": "4 mm", "neutral": 0.4}
    design = resolved(showed("fits", pattern="leather"), leather=leather)
    assert girth(design, 100.0) == pytest.approx(2 * np.pi * (0.4 * 4.0 - 0.5 * MATERIALS["paper"].thickness))
    # A lining keeps the leather off by its thickness, and the paper was not lined.
    lined = resolved(showed("fits", pattern="leather"), leather=leather, lining={"thickness": "1 mm"})
    assert girth(lined, 100.0) - girth(design, 100.0) == pytest.approx(2 * np.pi)
    edges_alone = resolved(showed("top edge 5 mm too high", pattern="leather"), leather=leather)
    assert (edges_alone.wear.fitted, edges_alone.fittings[0].converted) == ((), 0.0)


def test_a_fitting_that_changes_nothing_leaves_no_trace():
    design = resolved(showed("fits"), showed("fits at the widest", "tight by 0 mm at the top", "top edge 0 mm too low"))
    assert design.wear == resolved().wear
    assert all(fitting.changes_nothing for fitting in design.fittings)
    assert not resolved(showed("tight by 1 mm")).fittings[0].changes_nothing
    assert not resolved(showed("top edge 1 mm too low")).fittings[0].changes_nothing


def test_a_mirrored_pair_is_corrected_by_either_limbs_fitting():
    for side in ("both", "left", "right"):
        design = resolved(showed("tight by 6 mm", side=side), piece={"pair": "mirrored"})
        assert girth(design, 240.0) == pytest.approx(6.0)


def test_a_pair_with_scans_of_its_own_is_corrected_by_each_limbs_own_fitting():
    tables = {"piece": {"pair": "own scan"}, "other_scan": {"file": "b.ply"}}
    rows = (showed("tight by 6 mm", side="left"), showed("tight by 2 mm", side="right"), showed("tight by 1 mm"))
    for on, wanted in (("left", 7.0), ("right", 3.0)):
        design = resolved(*rows, on=on, **tables)
        assert girth(design, 240.0) == pytest.approx(wanted)
    assert [fitting.number for fitting in resolved(*rows, on="right", **tables).fittings] == [2, 3]


def test_a_fitting_of_the_other_limb_alone_is_refused_where_only_one_is_made():
    with pytest.raises(JobError, match=r"\[\[fitting\]\] 1 was tried on the right lower leg, and pieces are made for"):
        resolved(showed("tight by 6 mm", side="right"))


@pytest.mark.parametrize(
    ("flexed", "heights", "girths"),
    [
        ("8 mm", (240.0,), (8.0,)),
        ({"widest": "8 mm", "100 mm": "3 mm"}, (240.0, 100.0), (8.0, 3.0)),
        ("0 mm", (240.0, 100.0), (0.0, 0.0)),
    ],
)
def test_a_flexed_muscle_gets_its_room_about_its_height(flexed, heights, girths):
    design = resolved(wear={"flexed": flexed})
    assert [girth(design, height) for height in heights] == pytest.approx(girths)
    assert [float(design.wear.flexed.girth(height)) for height in heights] == pytest.approx(girths)
    wish = job(wear={"flexed": flexed})
    assert job_from(job_text(wish), name="again") == wish


@pytest.mark.parametrize(
    ("flexed", "words"),
    [
        ("50 mm", r"\[wear\] flexed: '50 mm' is outside 0 to 40 mm"),
        ("-1 mm", r"\[wear\] flexed: '-1 mm' is outside"),
        ({"calf": "8 mm"}, r"\[wear\] flexed: 'calf' is no place for a muscle; write 'widest'"),
        ({"widest": "much"}, r"\[wear\] flexed: 'much' is not a length"),
    ],
)
def test_a_wrong_flexed_muscle_is_named(flexed, words):
    with pytest.raises(JobError, match=words):
        job(wear={"flexed": flexed})


def test_a_flexed_muscle_at_another_limbs_place_is_named():
    with pytest.raises(JobError, match=r"^\[wear\] flexed: .*no landmark 'wrist'"):
        resolved(wear={"flexed": {"wrist": "8 mm"}})
