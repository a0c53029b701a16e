"""The order of work of whole jobs: what their pieces, seams and parts are told by is what is done at the bench."""

import json

import pytest

from flatten.job.text import job_of
from flatten.leather.limits import PRESETS, leather_limits
from flatten.making import finish, lay
from tests.analytic_jobs import design_of, found_on
from tests.limbs import calf, cylinder, limb_of
from tests.plated import finished, laid_on


@pytest.fixture(scope="module")
def sewn(tmp_path_factory):
    """A leg's guard of two pieces, lapped, skived and stitched outside, laced inside, with a dart, hardened, as a
    pair."""
    table = {
        "scan": {"file": "made-up.ply"},
        "edges": {"bottom": "20 mm", "top": "300 mm"},
        "seam": [
            {"name": "outer", "along": "outside", "kind": "stitched", "overlap": "12 mm", "skive": "auto"},
            {"name": "inner", "along": "inside"},
        ],
        "dart": [{"name": "nip", "edge": "top", "along": "back", "depth": "50 mm"}],
        "leather": {"hardened": True},
        "piece": {"pair": "mirrored"},
        "output": {"mesh": "quick", "bound": False, "advice": False},
    }
    job, found = job_of(table, name="the test"), found_on(limb_of(calf))
    limits = leather_limits(job.leather.limits, folder=tmp_path_factory.mktemp("sewn"))
    laid = lay(design_of(job, found), limits=limits, announce=lambda step: None, edge_length=12.0)
    return told(finish(job, [(found, laid)], text="", announce=lambda step: None))


def told(result):
    return json.loads(dict(result.files)["report.json"])


def work(report, step):
    return next(entry["work"] for entry in report["order"] if entry["step"] == step)


def figures(report, step, code):
    return [one["figures"] for one in work(report, step) if one["code"] == code]


def test_a_sewn_and_laced_pair_has_its_steps_with_its_own_counts(sewn):
    # Whether all of it may be tooled hangs on how far it must stretch.
    steps = [entry["step"] for entry in sewn["order"] if entry["step"] != "tool"]
    assert steps == [
        *("try on", "cut", "skive", "bevel", "groove", "punch", "close darts", "case", "form", "tie", "dry", "harden"),
        *("dye", "finish", "sew", "set", "close", "fit"),
    ]
    seams = {seam["name"]: seam for seam in sewn["seams"]}
    assert {line["seam"] for line in figures(sewn, "groove", "order.groove")} == {"outer", "nip"}
    assert figures(sewn, "sew", "order.sew") == [{"seam": "outer", "count": seams["outer"]["pairs"]}]
    assert [one["dart"] for one in figures(sewn, "close darts", "order.dart")] == ["nip"]
    (skive,) = figures(sewn, "skive", "order.skive")
    assert (skive["width"], skive["left"]) == (seams["outer"]["skive"]["width"], seams["outer"]["skive"]["left"])
    (eyelets,) = figures(sewn, "set", "order.set")
    assert eyelets["count"] == 2 * 2 * seams["inner"]["pairs"]
    (cut,) = figures(sewn, "cut", "order.cut")
    assert cut["count"] == len(sewn["pieces"]) == 4
    assert cut["cut"] == pytest.approx(sum(piece["cut_length"] for piece in sewn["pieces"]), abs=1e-5)
    (stops,) = figures(sewn, "cut", "order.stops")
    assert stops["holes"] == "2 stop holes of 4 mm"


def test_each_piece_of_two_is_formed_by_its_own_places(sewn):
    lines = work(sewn, "form")
    names = [one["figures"]["piece"] for one in lines if one["code"] == "order.bend"]
    assert names == [piece["name"] for piece in sewn["pieces"][:2]]
    numbers = [one["figures"]["number"] for one in lines if one["code"] == "order.gives"]
    assert numbers.count(1) == 2


def test_the_sides_that_lie_open_are_bevelled_and_no_others(sewn):
    """All but both sides of the dart and the lower layer of the overlap; corners are rounded by 6 mm."""
    (bevel,) = figures(sewn, "bevel", "order.bevel")
    assert bevel["under"]
    seams = {seam["name"]: seam for seam in sewn["seams"]}
    whole = sum(piece["cut_length"] for piece in sewn["pieces"])
    assert bevel["free"] == pytest.approx(whole - 2 * (280.0 + 2 * 50.0), rel=0.05)
    assert seams["outer"]["length_before"] < 280.0


def test_plates_are_formed_over_the_base_and_the_outer_one_is_riveted_first():
    shield = {"name": "shield", "around": [-80, 80], "heights": ["50 mm", "280 mm"]}
    boss = {"name": "boss", "on": "shield", "around": [-50, 50], "heights": ["90 mm", "240 mm"]}
    report = told(finished(*laid_on(limb_of(calf), shield, boss, mesh=10.0)))
    assert [one["on"] for one in figures(report, "form", "order.form over")] == ["base", "shield"]
    held = {part["name"]: part for part in report["parts"]}
    rivets = [one for one in figures(report, "set", "order.set") if one["on"] is not None]
    assert [(one["seam"], one["on"], one["count"]) for one in rivets] == [
        ("boss", "shield", held["boss"]["rivets"]),
        ("shield", "base", held["shield"]["rivets"]),
    ]
    later = sum(part["rivets"] - part["punched_flat_beneath"] for part in held.values())
    assert later > 0
    after = [hole for piece in report["pieces"] for hole in piece["holes"] if hole["after_forming"]]
    assert sum(hole["count"] for hole in after) == later
    assert "punch through" in [entry["step"] for entry in report["order"]]


def test_lames_are_formed_one_over_another_and_riveted_loosely():
    table = {
        "scan": {"file": "made-up.ply", "side": "left"},
        "edges": {"bottom": "150 mm", "top": "250 mm"},
        "lames": [{"name": "collar"}],
        "output": {"mesh": "quick", "bound": False, "advice": False},
    }
    job, found = job_of(table, name="the test"), found_on(cylinder(60.0))
    laid = lay(design_of(job, found), limits=PRESETS["cased"], announce=lambda step: None, edge_length=12.0)
    report = told(finish(job, [(found, laid)], text="", announce=lambda step: None))
    assert figures(report, "form", "order.form lames") == [{"name": "collar"}]
    assert figures(report, "set", "order.set lames") == [{"name": "collar"}]
    bought = [one for one in report["hardware"] if one["for"] == "lame" and one["name"] == "rivet"]
    rivets = [one for one in figures(report, "set", "order.set") if one["item"] == "rivet"]
    assert [(one["count"], one["sold"]) for one in rivets] == [(one["count"], one["sold"]) for one in bought]
    (cut,) = figures(report, "cut", "order.cut")
    assert cut["count"] == len(report["pieces"]) == 1 + report["lames"][0]["count"]
