"""Lames from the job file to the drawing: their size, holes of both layers, and what is told and refused."""

import json

import numpy as np
import pytest
import shapely

from flatten.job.errors import JobError
from flatten.job.text import job_from, job_of, job_text
from flatten.leather.limits import PRESETS
from flatten.making import finish, lay
from flatten.pattern.path import polyline
from flatten.worn.lames import LameError
from tests.analytic_jobs import design_of, found_on
from tests.limbs import calf, cylinder, limb_of

RADIUS, THICK = 60.0, 3.2
NEUTRAL = RADIUS + 3.0 + 8.0 / (2 * np.pi) + 0.5 * THICK


def job(*lames, top="250 mm", **tables):
    table = {"scan": {"file": "x.ply", "side": "left"}, "edges": {"bottom": "150 mm", "top": top}, "lames": list(lames)}
    return job_of({**table, **tables}, name="the test")


def laid_on(skin, *lames, mesh=6.0, **tables):
    asked, found = job(*lames, **tables), found_on(skin)
    laid = lay(design_of(asked, found), limits=PRESETS["cased"], announce=lambda step: None, edge_length=mesh)
    return asked, found, laid


def made(skin, *lames, **given):
    asked, found, laid = laid_on(skin, *lames, **given)
    return laid, finish(asked, [(found, laid)], text="", announce=lambda step: None)


@pytest.fixture(scope="module")
def on_cylinder():
    return made(cylinder(RADIUS), {}, piece={"pair": "mirrored"})


def holes(piece, kind, seam=None):
    return [hole for hole in piece.holes if hole.kind == kind and seam in (None, hole.seam)]


def test_each_lame_lies_one_leather_further_out(on_cylinder):
    laid, result = on_cylinder
    (row,) = laid.rows
    for number, piece in enumerate(result.report.limbs[0].pieces[1:], 1):
        assert (piece.part, piece.thickness, piece.name) == ("lame", THICK, f"shin guard, lame {number} of 2")
        x0, y0, x1, y1 = shapely.Polygon(polyline(piece.outline, 0.005)).bounds
        # A quarter turn to each pivot, which lies where the layers meet, and 15 mm on, told on the base.
        turn = np.pi + 2 * 15.0 / NEUTRAL
        assert x1 - x0 == pytest.approx(turn * (NEUTRAL + number * THICK), abs=0.15)
        assert y1 - y0 == pytest.approx(60.0, abs=0.05)
        assert row.row.overlap > 2 * row.row.away


def test_pivots_and_slots_of_both_layers_lie_on_the_same_bearings(on_cylinder):
    """Flat, a cylinder's leather of radius r has the bearing b at x = r · b: so each hole's place on the limb."""
    laid, result = on_cylinder
    base, first, second = result.report.limbs[0].pieces
    sign = np.sign([laid.panels[0].flat.uv[:, 0] @ laid.panels[0].flat.panel.bearings])[0]
    assert sign == 1.0
    (moved,) = laid.rows
    for pair, lower, upper, radius in zip(
        moved.pairs, (base, first), (first, second), (NEUTRAL, NEUTRAL + THICK), strict=True
    ):
        name = upper.name.removeprefix("shin guard, ")
        above = sorted(hole.x / (radius + THICK) for hole in holes(upper, "pivot", name))
        beneath = sorted(hole.x / radius for hole in holes(lower, "pivot", name))
        np.testing.assert_allclose(np.abs(above), 0.5 * np.pi, atol=2e-3)
        # 0.1 mm across the axis.
        np.testing.assert_allclose(np.array(above) * radius, np.array(beneath) * radius, atol=0.1)
        slots = sorted(holes(lower, "sliding rivet", name), key=lambda hole: hole.x)
        rivets = sorted(holes(upper, "sliding rivet", name), key=lambda hole: hole.x)
        assert all(hole.after for hole in slots)
        assert not any(hole.after or hole.run for hole in rivets)
        for slot, told in zip(slots, pair.slots, strict=True):
            # The slot is the rivet's way and its play, told where the layers meet: half a leather further out.
            assert slot.run == pytest.approx(told.run, abs=0.3)
            assert told.run == pytest.approx(told.travel + 1.0)
        middle, way = slots[1], np.sin(slots[1].angle)
        assert abs(way) == pytest.approx(1.0, abs=1e-3)
        assert middle.x == pytest.approx(0.0, abs=0.05)
        np.testing.assert_allclose(slots[0].x / radius, -slots[2].x / radius, atol=1e-3)


def test_a_mirrored_pair_and_the_posts_to_buy(on_cylinder):
    laid, result = on_cylinder
    limb = result.report.limbs[0]
    for own, mirrored in zip(limb.pieces, limb.mirrored, strict=True):
        one = sorted((-hole.x, hole.y) for hole in own.holes)
        np.testing.assert_allclose(one, sorted((hole.x, hole.y) for hole in mirrored.holes), atol=1e-6)
    numbers = json.loads(dict(result.files)["report.json"])
    rivets = [one for one in numbers["hardware"] if one["name"] == "rivet"]
    # Two pivots and three sliding rivets a lame, for two limbs; the stack and about 3 mm.
    assert [(one["seam"], one["count"]) for one in rivets] == [("lame 1 of 2", 10), ("lame 2 of 2", 10)]
    assert rivets[0]["length"] == pytest.approx(2 * THICK + 3.0)
    (told,) = numbers["lames"]
    assert [len(pair["slots"]) for pair in told["pairs"]] == [3, 3]
    bent = told["pairs"][0]["overlap_bent"]["middle"]
    assert bent == pytest.approx(laid.rows[0].pairs[0].middle, abs=1e-6)
    html = dict(result.files)["report.html"].decode()
    assert "They turn on pivots at the outside and the inside" in html
    assert "from where the joint would carry it" in html


@pytest.mark.parametrize(
    ("lames", "seam"),
    [
        ({"where": "below", "hinge": "60 mm", "bend": 12, "ahead": "-5 mm"}, "back"),
        ({"where": "on", "start": "180 mm", "side": "back", "bend": 8, "hinge": "240 mm", "width": "50 mm"}, "front"),
    ],
)
def test_rows_on_a_calf_below_the_bottom_edge_and_on_the_base(lames, seam):
    seams = [{"along": seam, "name": "closing", "gap": "20 mm"}]
    laid, result = made(limb_of(calf), {**lames, "count": 1}, mesh=8.0, seam=seams, top="300 mm")
    (moved,) = laid.rows
    assert moved.pairs[0].least >= 2 * moved.row.away - 1e-6
    near = moved.row.heights(moved.row.near(1), np.zeros(1))[0]
    assert near == pytest.approx(180.0 if lames["where"] == "on" else 150.0 + moved.row.overlap)
    assert [piece.part for piece in result.report.cut] == ["base", "lame"]


@pytest.mark.parametrize(
    ("lames", "tables", "why"),
    [
        ({"overlap": "20 mm"}, {}, r"lame 1 of 'lame' overlaps by only \d+\.\d mm when it is bent by 15°"),
        ({"width": "45 mm"}, {}, r"lame 2 of 'lame' slides over its neighbour until they overlap by"),
        ({"count": 6}, {}, "the surface can be trusted only up to"),
        ({"ahead": "80 mm"}, {}, "lies 80 mm ahead of the limb's middle line"),
        ({"side": "back", "bend": 6}, {}, "meets no leather of the base"),
        ({}, {"edges": {"bottom": "150 mm", "top": "250 mm", "flare": {"top": "4 mm"}}}, "cannot slide on a lip"),
        ({}, {"seam": [{"along": "outside", "name": "outer"}]}, "a rivet of lame 1 of 2 at 90°"),
    ],
)
def test_what_a_row_cannot_do_is_refused_with_a_way_out(lames, tables, why):
    with pytest.raises(LameError, match=why):
        laid_on(cylinder(RADIUS), lames, mesh=10.0, **tables)


def test_lames_are_written_and_read_again_and_slips_are_named():
    asked = job({"where": "on", "start": "150 mm"}, {"name": "ankle", "ahead": "-12 mm"})
    assert job_text(job_from(job_text(asked), name="again")) == job_text(asked)
    for given, why in (
        ({"where": "on"}, "give 'start'"),
        ({"start": "9 mm"}, "give 'start'"),
        ({"with": 1}, "did you mean"),
    ):
        with pytest.raises(JobError, match=why):
            job(given)
