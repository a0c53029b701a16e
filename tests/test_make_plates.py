"""Plates on the base: their size against closed forms, and both layers' holes where the rivet passes."""

import json
from dataclasses import replace
from pathlib import Path

import make_demo
import numpy as np
import pytest

from flatten.job.plating import missed_if_copied
from flatten.leather.limits import PRESETS
from flatten.leather.model import Reading, StripTest
from flatten.making import finish, limbs_of
from flatten.pattern.model import PatternError
from flatten.pattern.path import bounds
from flatten.words.say import text
from flatten.worn.plates import PlateError
from tests.analytic_jobs import found_on
from tests.limbs import calf, cone, cylinder, limb_of
from tests.plated import across_axes, finished, job_with, laid_on, shown

BADGE = {"name": "badge", "around": [-50, 50], "heights": ["120 mm", "240 mm"]}


@pytest.fixture(scope="module")
def on_cylinder():
    """A plate on the base, and one on that."""
    plate = {"name": "badge", "around": [-70, 70], "heights": ["60 mm", "280 mm"]}
    boss = {"name": "boss", "on": "badge", "around": [-50, 50], "heights": ["100 mm", "220 mm"]}
    return laid_on(cylinder(60.0), plate, boss)


def hand_of(report):
    """-1.0 where limb coordinates are the mirror image of the wearer's."""
    return -1.0 if report.limb.frame.mirrored else 1.0


def width(panel):
    return float(np.ptp(panel.flat.uv[:, 0]))


def test_a_plate_is_longer_round_the_limb_by_what_lies_beneath_it(on_cylinder):
    """2π(t1 + t2/2) per full turn over the skin's girth [derived]: here t1 = t2 = 3.2 mm, and 140° of a turn."""
    plate, boss = on_cylinder[2].parts
    turn = np.radians(140.0)
    # Chords of 5 mm on 64.8 mm fall short by one part in 24·(64.8/5)² = 4000: 0.04 mm.
    assert width(plate) == pytest.approx(turn * (60.0 + 3.2 + 1.6), abs=0.06)
    assert np.ptp(plate.flat.uv[:, 1]) == pytest.approx(220.0, abs=0.05)
    # A plate on a plate: two leathers lie beneath it.
    assert width(boss) == pytest.approx(np.radians(100.0) * (60.0 + 2 * 3.2 + 1.6), abs=0.05)


def test_a_plate_has_its_own_thickness_and_the_neutral_share_counts():
    own = {**BADGE, "thickness": "2 mm"}
    _, _, laid = laid_on(cylinder(60.0), own, leather={"thickness": 4.0, "neutral": 0.4}, mesh=8.0)
    # Its own neutral surface lies 0.4 · 2 mm above its inner face, which lies 4 mm above the skin.
    assert width(laid.parts[0]) == pytest.approx(np.radians(100.0) * (60.0 + 4.0 + 0.8), abs=0.1)
    assert laid.held[0].stack == 6.0


def test_a_plate_on_a_cone_is_the_sector_of_the_raised_cone():
    """A cone of slope k raised by d along its normals has the radius r + d·√(1 + k²) at the same height; a sector's arc
    is its angle times the radius there, measured on the cone."""
    bottom, slope = 40.0, 0.1
    _, _, laid = laid_on(cone(bottom, slope), BADGE)
    flat = laid.parts[0].flat
    for boundary, height in zip(flat.panel.boundaries[::2], (120.0, 240.0), strict=True):
        run = np.linalg.norm(np.diff(flat.uv[boundary.vertices], axis=0), axis=1).sum()
        # The base's neutral surface is the cone raised by 1.6 mm, the plate's by 3.2 mm more; its edge lies on the
        # normals above the base's height, so the normal carries it down by d·k/√(1 + k²) and out by d/√(1 + k²).
        lean = np.sqrt(1 + slope**2)
        radius = bottom + slope * height + 1.6 * lean + 3.2 / lean
        assert run == pytest.approx(np.radians(100.0) * radius, abs=0.06)
        assert np.allclose(flat.panel.heights[boundary.vertices], height)


def test_holes_of_both_layers_meet_across_the_axis_and_copied_ones_would_not(on_cylinder):
    job, found, laid = on_cylinder
    result = finished(job, found, laid)
    (report,) = result.report.limbs
    far = across_axes(laid, report.pieces, dict(result.files)["pattern.dxf"])
    assert set(far) == {"badge", "boss"}
    assert max(values.max() for values in far.values()) < 0.1
    # On a cylinder the plate's rows of holes, 145 mm apart, lie 1 − 61.6/64.8 of that further apart than the base's;
    # half of it on each side: 3.6 mm.
    rows = width(laid.parts[0]) - 2 * 6.6
    assert laid.held[0].copied == pytest.approx(0.5 * rows * (1.0 - 61.6 / 64.8), abs=0.05)
    assert 2.0 < laid.held[0].copied < 5.0


def test_holes_meet_on_a_calf_with_lips_and_an_overlapping_seam():
    """The base rises under the plate, where the upper layer steps down and where the lip begins."""
    plate = {
        "name": "guard",
        "curve": [[110, "150 mm"], [168, "140 mm"], [165, "290 mm"], [120, "285 mm"]],
        "corners": "sharp",
        "inset": "4 mm",
    }
    seam = {"kind": "riveted", "on_top": "outside"}
    tables = {"seam": [{"gap": "25 mm", "along": "inside", "name": "lace"}, {**seam, "name": "back"}]}
    edges = {"bottom": "120 mm", "top": "300 mm", "flare": {"top": "8 mm", "depth": "40 mm"}}
    job, found, laid = laid_on(limb_of(calf), plate, side="right", edges=edges, mesh=8.0, **tables)
    rise = sum(rise.height(np.array([280.0]), np.array([2.5]))[0] for rise in laid.parts[0].flat.panel.rises)
    assert rise > 0.5
    result = finished(job, found, laid)
    (report,) = result.report.limbs
    far = across_axes(laid, report.pieces, dict(result.files)["pattern.dxf"], hand=hand_of(report))
    assert far["guard"].max() < 0.1


def test_what_is_punched_flat_and_what_comes_after_forming(on_cylinder):
    job, found, laid = on_cylinder
    result = finished(job, found, laid)
    (report,) = result.report.limbs
    base, plate, _ = report.pieces
    assert (plate.part, plate.thickness, base.part) == ("plate", 3.2, "base")
    assert not any(hole.after for hole in plate.holes if hole.seam == "badge")
    beneath = [hole for hole in base.holes if hole.seam == "badge"]
    flat = np.array([(hole.x, hole.y) for hole in beneath if not hole.after])
    assert len(flat) == 2
    # One on each side of the plate's middle, on a line through it.
    np.testing.assert_allclose(flat.mean(axis=0), np.mean([(hole.x, hole.y) for hole in beneath], axis=0), atol=1.0)
    numbers = json.loads(dict(result.files)["report.json"])
    assert [(row["name"], row["on"], row["stack"]) for row in numbers["parts"]] == [
        ("badge", "base", 6.4),
        ("boss", "badge", 6.4),
    ]
    rivets = [row for row in numbers["hardware"] if row["name"] == "rivet"]
    # A rivet's post is the stack and about 3 mm [practice].
    assert [(row["seam"], row["count"], row["length"]) for row in rivets] == [
        ("badge", laid.held[0].count, 9.4),
        ("boss", laid.held[1].count, 9.4),
    ]
    assert [row["verdict"] for row in numbers["panels"]] == [panel.stretch.verdict for panel in laid.all_panels]
    assert [row["least_spread"] for row in numbers["panels"][1:]] == [None, None]
    # Which limbs it can be worn on is told of the base alone.
    assert dict(result.files)["report.html"].decode().count("at the widest</span>") == 1


@pytest.mark.parametrize(("punch", "flat"), [("all", 14), ("none", 0)])
def test_the_job_may_say_which_holes_are_punched_flat(punch, flat):
    _, _, laid = laid_on(cylinder(60.0), {**BADGE, "punch": punch}, mesh=10.0)
    assert laid.held[0].punched == flat
    assert sum(not hole.after for hole in laid.added[0].holes) == flat


def test_a_mirrored_pair_has_exact_mirror_images(on_cylinder):
    job, found, laid = on_cylinder
    both = replace(laid, design=replace(laid.design, mirrored=True))
    result = finished(job, found, both)
    (report,) = result.report.limbs
    assert len(report.mirrored) == len(report.pieces) == 3
    for one, other in zip(report.pieces, report.mirrored, strict=True):
        here, there = (
            [(h.x, h.y, h.after) for h in piece.holes if h.seam in ("badge", "boss")] for piece in (one, other)
        )
        assert here == [(-x, y, after) for x, y, after in there]
        assert one.thickness == other.thickness
    # Twice as many rivets are bought.
    bought = {one.seam: one.count for one in result.report.hardware if one.name == "rivet"}
    assert bought["badge"] == 2 * laid.held[0].count


def test_a_plate_offset_from_the_panels_own_edges_keeps_its_inset_and_clears_the_eyelets():
    job, found, laid = laid_on(cylinder(60.0), {"name": "shell", "inset": "8 mm"}, mesh=8.0)
    base, plate = laid.panels[0].flat, laid.parts[0].flat
    assert np.ptp(plate.panel.heights) == pytest.approx(280.0 - 2 * 8.0, abs=0.1)
    # Eyelets of 5 mm are 10 mm from the gap's edges [memory], so their rims reach 12.5 mm inside.
    turn = np.ptp(base.panel.bearings) - 2 * 20.5 / 61.6
    assert np.ptp(plate.panel.bearings) == pytest.approx(turn, abs=0.3 / 61.6)
    assert len(finished(job, found, laid).report.limbs[0].pieces) == 2


def test_between_two_heights_it_keeps_its_inset_only_where_edges_are():
    _, _, laid = laid_on(cylinder(60.0), {"name": "belt", "heights": ["120 mm", "200 mm"]}, mesh=8.0)
    assert laid.parts[0].flat.panel.heights.min() == pytest.approx(120.0, abs=1e-4)
    assert laid.parts[0].flat.panel.heights.max() == pytest.approx(200.0, abs=1e-4)


def test_a_smooth_curve_gets_rivets_evenly_all_round():
    angles = np.radians(np.arange(0, 360, 30))
    curve = [[float(55 * np.cos(a)), float(160 + 70 * np.sin(a))] for a in angles]
    job, found, laid = laid_on(cylinder(60.0), {"name": "disc", "curve": curve}, mesh=8.0)
    points = np.array(
        [hole.at.on(laid.parts[0].flat.uv, laid.parts[0].flat.panel.mesh.faces)[0] for hole in laid.added[1].holes]
    )
    steps = np.linalg.norm(np.diff(np.vstack([points, points[:1]]), axis=0), axis=1)
    assert np.ptp(steps) < 1.0
    assert 25.0 < steps.mean() < 40.0
    finished(job, found, laid)


def test_rivets_stand_on_the_sides_that_are_named_alone():
    _, _, laid = laid_on(cylinder(60.0), {**BADGE, "rivets": ["outside", "inside"]}, mesh=8.0)
    flat = laid.parts[0].flat
    points = np.array([hole.at.on(flat.uv, flat.panel.mesh.faces)[0] for hole in laid.added[1].holes])
    np.testing.assert_allclose(np.abs(points[:, 0]), 0.5 * width(laid.parts[0]) - 6.6, atol=0.1)


@pytest.mark.parametrize(("side", "at"), [("outside", 1.0), ("inside", -1.0)])
def test_one_side_alone_is_the_one_that_looks_to_its_quarter(side, at):
    """Bearings grow to the outside of the limb, and x with them."""
    _, _, laid = laid_on(cylinder(60.0), {**BADGE, "rivets": [side, "top"]}, mesh=12.0)
    flat = laid.parts[0].flat
    x, y = np.array([hole.at.on(flat.uv, flat.panel.mesh.faces)[0] for hole in laid.added[1].holes]).T
    far = 0.5 * width(laid.parts[0]) - 6.6
    lower = y < y.max() - 1.0
    np.testing.assert_allclose(x[lower], at * far, atol=0.1)
    assert {round(value) for value in x[~lower]} >= {round(far), -round(far)}


def test_copied_points_miss_by_what_no_turn_and_no_move_takes_away():
    corners = np.array([[0.0, 0.0], [80.0, 0.0], [80.0, 60.0], [0.0, 60.0]])
    turn = np.array([[np.cos(0.7), np.sin(0.7)], [-np.sin(0.7), np.cos(0.7)]])
    assert missed_if_copied(corners, corners @ turn + 30.0) == pytest.approx(0.0, abs=1e-9)
    # Scaled by 1.05 about the middle, each corner moves by 5 % of half the diagonal of 100 mm.
    assert missed_if_copied(corners, 1.05 * corners @ turn) == pytest.approx(2.5)


@pytest.mark.parametrize(
    ("plates", "error", "words"),
    [
        ([{**BADGE, "heights": ["120 mm", "296 mm"]}], PlateError, "comes to 4.0 mm from the 'top edge' of 'whole'"),
        ([{**BADGE, "heights": ["120 mm", "310 mm"]}], PlateError, "reaches 10.0 mm over the 'top edge'"),
        ([{**BADGE, "around": [100, 200]}], PlateError, "over the seam 'back' of 'whole'"),
        ([{**BADGE, "around": [100, 157]}], PlateError, "must lie at least 20.5 mm inside"),
        ([{**BADGE, "on": "nothing"}], PlateError, "no such panel and no plate of that name before it"),
        (
            [{**BADGE, "around": [-4, 4]}],
            PatternError,
            "is 9 mm wide; rivets 6.6 mm from its edge need more than 13 mm",
        ),
        (
            [BADGE, {**BADGE, "name": "two", "around": [40, 90]}],
            PlateError,
            "'badge' and 'two' lie over one another by 11 mm",
        ),
        ([{**BADGE, "rivets": ["front"]}], PlateError, "none of its sides is the front"),
        ([{**BADGE, "pitch": "60 mm"}], PatternError, "plate 'badge': a rivet pitch of 60 mm is outside 25 to 40 mm"),
        ([{"name": "none", "inset": "60 mm", "heights": ["20 mm", "30 mm"]}], PlateError, "nothing of 'whole' is left"),
        (
            [{"name": "eight", "corners": "sharp", "curve": [[-30, 100], [30, 200], [30, 100], [-30, 200]]}],
            PlateError,
            "no simple closed curve",
        ),
    ],
)
def test_a_plate_that_cannot_be_is_told(plates, error, words):
    with pytest.raises(error, match=words):
        laid_on(cylinder(60.0), *plates, mesh=12.0)


def test_a_plate_goes_by_one_panels_edges_and_lies_on_the_one_beneath_it():
    seams = [
        {"gap": "25 mm", "name": "outer", "along": "outside"},
        {"gap": "25 mm", "name": "inner", "along": "inside"},
    ]
    with pytest.raises(PlateError, match="write on = one of 'back', 'front'"):
        laid_on(cylinder(60.0), {"name": "any"}, seam=seams, mesh=12.0)
    _, _, laid = laid_on(
        cylinder(60.0), {**BADGE, "around": [140, 220]}, {"name": "fore", "on": "front"}, seam=seams, mesh=12.0
    )
    holes = [{hole.part for hole in added.holes} for added in laid.added]
    names = [panel.flat.panel.name for panel in laid.all_panels]
    assert dict(zip(names, holes, strict=True)) == {
        "front": {"fore"},
        "back": {"badge"},
        "badge": {"badge"},
        "fore": {"fore"},
    }


def test_the_base_shows_where_the_plate_comes():
    job, found, laid = laid_on(cylinder(60.0), BADGE, mesh=8.0)
    piece = finished(job, found, laid).report.limbs[0].pieces[0]
    lines = [mark.path for mark in piece.marks if mark.kind == "overlap"]
    box = np.array([bounds(line) for line in lines])
    # Beneath the plate's edges the base is 61.6 mm from the axis.
    assert box[:, 2].max() - box[:, 0].min() == pytest.approx(np.radians(100.0) * 61.6, abs=0.3)
    assert box[:, 3].max() - box[:, 1].min() == pytest.approx(120.0, abs=0.3)


def test_plates_of_a_symmetrical_base_follow_the_limb_and_their_holes_still_meet():
    plate = {"name": "badge", "around": [-70, 60], "heights": ["100 mm", "240 mm"]}
    job, found, laid = laid_on(limb_of(calf), plate, mesh=12.0, piece={"symmetry": "centre line"})
    result = finished(job, found, laid)
    (report,) = result.report.limbs
    assert report.even
    assert across_axes(laid, report.pieces, dict(result.files)["pattern.dxf"])["badge"].max() < 0.1
    told = [one for one in report.findings if one.code == "part.own shape"]
    assert "“badge” follows the limb’s own shape" in text(told[0])


def test_each_limb_of_a_pair_with_its_own_scan_has_its_own_plate():
    tables = {"piece": {"pair": "own scan"}, "other_scan": {"file": "other.ply"}}
    plate = {"name": "badge", "around": [-70, 70], "heights": ["80 mm", "240 mm"]}
    job, found, laid = laid_on(cylinder(60.0), plate, mesh=12.0, **tables)
    other = found_on(cylinder(62.0), side="right")
    there = shown(job, other, mesh=12.0)
    result = finish(job, [(found, laid), (other, there)], text="", announce=lambda step: None)
    assert [(piece.part, piece.side) for piece in result.report.cut] == [
        ("base", "left"),
        ("plate", "left"),
        ("base", "right"),
        ("plate", "right"),
    ]
    turn = np.radians(140.0)
    assert width(there.parts[0]) - width(laid.parts[0]) == pytest.approx(2.0 * turn, abs=0.05)


def test_a_plate_is_cut_larger_by_what_its_leather_shrinks_and_its_holes_with_it():
    job, found, laid = laid_on(cylinder(60.0), BADGE, mesh=12.0)
    lost, unread = Reading(0.02, 0.02, 0.02, 1), (None, None)
    strips = StripTest(10.0, 20.0, 3.2, unread, (lost, lost), unread, unread, (lost, lost))
    limits = replace(PRESETS["cased"], test=strips)
    shrinking = [replace(panel, stretch=replace(panel.stretch, limits=limits)) for panel in laid.all_panels]
    shrunk = replace(laid, panels=(shrinking[0],), parts=(shrinking[1],))
    plain, larger = (
        [hole for hole in finished(job, found, one).report.limbs[0].pieces[1].holes if hole.kind == "rivet"]
        for one in (laid, shrunk)
    )
    for one, other in zip(plain, larger, strict=True):
        assert (other.x, other.y) == pytest.approx((one.x / 0.98, one.y / 0.98), abs=1e-9)


def test_a_job_without_plates_has_none():
    assert job_with().plate == ()
    _, _, laid = laid_on(cylinder(60.0), mesh=12.0)
    assert (laid.parts, laid.held, len(laid.added)) == ((), (), 1)


MESHES = Path(make_demo.__file__).parent
DEMOS = {
    "harbour_watch_left_shin.ply": ("lower leg", "left", {"around": [-45, 45], "heights": ["110 mm", "230 mm"]}),
    "harbour_watch_right_shin.glb": ("lower leg", "right", {"around": [-45, 45], "heights": ["110 mm", "230 mm"]}),
    "harbour_watch_left_forearm.obj": ("forearm", "left", {"around": [-80, 80], "heights": ["45 mm", "165 mm"]}),
}


@pytest.mark.parametrize("file", DEMOS)
def test_holes_of_both_layers_meet_on_the_demo_limbs(file):
    limb, side, region = DEMOS[file]
    scan = {"file": file, "limb": limb, "side": side}
    job = job_with({"name": "badge", **region}, scan=scan, edges={}, wear={})
    (found,) = limbs_of(job, folder=MESHES, announce=lambda step: None)
    laid = shown(job, found, mesh=8.0)
    result = finished(job, found, laid)
    (report,) = result.report.limbs
    far = across_axes(laid, report.pieces, dict(result.files)["pattern.dxf"], hand=hand_of(report))
    assert far["badge"].max() < 0.1
    # Copied from one flat piece to the other they miss by millimetres.
    assert laid.held[0].copied > 2.0
