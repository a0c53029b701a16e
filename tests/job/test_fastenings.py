"""How a job's seams and darts are closed."""

import pytest

from flatten.job.fastenings import fastenings_of
from flatten.job.text import job_of
from flatten.pattern.fastening import DartClosing, Riveting, Stitching
from flatten.pattern.model import PatternError


def closed(seam=None, **dart):
    table = {"scan": {"file": "scan.ply"}, "seam": [seam or {}], "dart": [dart] if dart else []}
    job = job_of(table, name="the test")
    return fastenings_of((*job.seam, *job.dart))


@pytest.mark.parametrize(
    ("dart", "closing"),
    [
        ({"kind": "dart"}, DartClosing(4.0, Stitching())),
        ({"kind": "dart", "close": "open", "stop": "3 mm"}, DartClosing(3.0)),
        ({"kind": "slash", "opening": "12 mm"}, DartClosing(4.0, opening=12.0)),
        (
            {"kind": "slash", "opening": "12 mm", "close": "stitched", "stitch": "1.5 mm", "stitches": 4},
            DartClosing(4.0, Stitching(1.5, 4.0), 12.0),
        ),
        ({"kind": "dart", "close": "riveted"}, DartClosing(4.0, Riveting(3.0, 30.0))),
        (
            {"kind": "dart", "close": "riveted", "rivet": "4 mm", "pitch": "26 mm"},
            DartClosing(4.0, Riveting(4.0, 26.0)),
        ),
    ],
)
def test_a_dart_is_stitched_and_a_slash_left_open_unless_the_job_says_more(dart, closing):
    assert closed(**dart)["dart"] == closing


@pytest.mark.parametrize(
    ("along", "side"),
    [("back", "before"), ("front", "after"), ("outside", "before"), ("inside", "after"), (200.0, "before")],
)
def test_buckles_sit_on_the_leather_from_the_outside_or_beside_it_from_the_front(along, side):
    """Bearings grow from the front over the outside: behind, the outer leather comes before the seam."""
    assert closed({"kind": "strapped", "along": along})["back"].buckle == side


def test_straps_are_riveted_unless_slots_are_asked_for():
    assert not closed({"kind": "strapped"})["back"].slots
    found = closed({"kind": "strapped", "hold": "slots", "strap": "25 mm"})["back"]
    assert (found.slots, found.width) == (True, 25.0)


def test_what_cannot_be_punched_is_told_with_the_seams_or_the_darts_name():
    with pytest.raises(PatternError, match=r"^seam 'calf': a lacing pitch of 78 mm is outside 25 to 40 mm; give one"):
        closed({"name": "calf", "pitch": "78 mm"})
    with pytest.raises(PatternError, match=r"^slash 'heel': a rivet pitch of 12 mm"):
        closed(name="heel", kind="slash", close="riveted", pitch="12 mm")


@pytest.mark.parametrize(("quarter", "side"), [("outside", "before"), ("inside", "after")])
def test_buckles_sit_on_the_leather_that_is_asked_for(quarter, side):
    assert closed({"kind": "strapped", "along": "back", "buckles": quarter})["back"].buckle == side


@pytest.mark.parametrize("quarter", ["front", "back"])
def test_buckles_on_the_seams_own_quarter_are_refused(quarter):
    with pytest.raises(PatternError, match=f"its buckles cannot be on the {quarter}; name the quarter beside it"):
        closed({"kind": "strapped", "along": "back", "buckles": quarter})
