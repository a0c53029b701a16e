"""A lining: the leather larger by it, pieces of its own, and what is told and bought."""

import json

import numpy as np
import pytest
import shapely

from flatten.job.errors import JobError
from flatten.job.text import job_from, job_of, job_text
from flatten.leather.limits import PRESETS
from flatten.making import finish, lay
from flatten.pattern.path import polyline
from tests.analytic_jobs import design_of, found_on
from tests.limbs import calf, cylinder, limb_of

R, UNDER, EASE, THICK, GAP = 60.0, 3.0, 8.0, 3.2, 25.0


def job(top="100 mm", **tables):
    edges = {"bottom": "20 mm", "top": top}
    return job_of({"scan": {"file": "x.ply", "side": "left"}, "edges": edges, **tables}, name="the test")


def made(skin=None, *, mesh=6.0, **tables):
    found = found_on(cylinder(R) if skin is None else skin)
    asked = job(**tables)
    laid = lay(design_of(asked, found), limits=PRESETS["cased"], announce=lambda step: None, edge_length=mesh)
    return finish(asked, [(found, laid)], text="", announce=lambda step: None)


def shapes(result, part):
    return [shapely.Polygon(polyline(piece.outline, 0.005)) for piece in result.report.cut if piece.part == part]


def width(shape):
    return shape.bounds[2] - shape.bounds[0]


@pytest.mark.parametrize(("thickness", "neutral"), [(1.0, 0.5), (2.0, 0.4)])
def test_leather_and_lining_of_a_cylinder_in_closed_form(thickness, neutral):
    """2π(r + under + ease/2π + lining + n·t), and 2π(r + under + ease/2π + n·lining), each less the gap on it."""
    lining = {"thickness": f"{thickness} mm", "allowance": "flush"}
    leather = {"neutral": neutral}
    result = made(leather=leather, lining=lining, mesh=4.0)
    (base,), (lined,) = (shapes(result, part) for part in ("base", "lining"))
    inner = R + UNDER + EASE / (2 * np.pi)
    outside, beneath = inner + thickness + neutral * THICK, inner + neutral * thickness
    # Chords of 4 mm: (4/66)²/24 of 400 mm is 0.06 mm.
    assert width(base) == pytest.approx(2 * np.pi * outside - GAP, abs=0.08)
    # Both are cut at the same bearings, where the gap is as much narrower as the lining is.
    assert width(lined) == pytest.approx(2 * np.pi * beneath - GAP * beneath / outside, abs=0.08)


def test_an_allowance_is_as_wide_all_round_and_its_trim_line_is_the_flush_cut():
    wide, flush = (made(lining={"allowance": given}) for given in ("7 mm", "flush"))
    (larger,), (net,) = shapes(wide, "lining"), shapes(flush, "lining")
    outline = shapely.LineString(larger.exterior.coords)
    away = shapely.distance(net.exterior, shapely.points(shapely.get_coordinates(outline.segmentize(1.0))))
    # Lines within 0.1 mm of the one, drawn within 0.1 mm of the other.
    np.testing.assert_allclose(away, 7.0, atol=0.1)
    (piece,) = (piece for piece in wide.report.cut if piece.part == "lining")
    (trim,) = (mark for mark in piece.marks if mark.kind == "trim")
    assert shapely.Polygon(polyline(trim.path, 0.005)).symmetric_difference(net).area < 1e-6
    assert piece.holes == ()
    assert not any(mark.kind == "trim" for piece in flush.report.cut for mark in piece.marks)


def test_no_lining_lies_between_the_layers_of_an_overlap():
    """On a cylinder the two linings meet where the lower leather begins: together they go once round, less the gap."""
    seams = [
        {"name": "outer", "along": "outside", "kind": "riveted", "overlap": "22 mm", "on_top": "front"},
        {"name": "inner", "along": "inside", "gap": f"{GAP} mm"},
    ]
    result = made(top="130 mm", seam=seams, lining={"allowance": "flush"}, mesh=5.0)
    front, back = sorted(shapes(result, "lining"), key=lambda shape: shape.area)
    inner = R + UNDER + EASE / (2 * np.pi)
    outside, beneath = inner + 1.0 + 0.5 * THICK, inner + 0.5
    whole = 2 * np.pi * beneath - GAP * beneath / outside
    # Chords of 5 mm: (5/65)²/24 of 400 mm is 0.1 mm.
    assert width(front) + width(back) == pytest.approx(whole, abs=0.12)
    # The upper one, the front's, ends half an overlap before the seam, the lower one's half an overlap past it.
    assert width(back) - width(front) == pytest.approx(22.0 * beneath / outside, abs=0.1)
    numbers = json.loads(dict(result.files)["report.json"])
    rivet = next(one for one in numbers["hardware"] if one["name"] == "rivet")
    assert rivet["size"] == pytest.approx(2 * THICK + 1.0 + 3.0)
    assert "Between the layers of an overlap lies none" in dict(result.files)["report.html"].decode()
    assert [panel["part"] for panel in numbers["panels"]] == ["base", "base", "lining", "lining"]
    assert [(one["name"], one["thickness"]) for one in numbers["pieces"][2:]] == [
        ("shin guard, back lining", 1.0),
        ("shin guard, front lining", 1.0),
    ]
    thin = next(one for one in numbers["leather"]["by_thickness"] if one["thickness"] == 1.0)
    assert thin["area"] == pytest.approx(front.area + back.area, rel=1e-3)


def test_a_pair_of_symmetrical_guards_gets_linings_that_are_mirror_images():
    tables = {"piece": {"pair": "mirrored", "symmetry": "centre line"}, "lining": {"allowance": "flush"}}
    result = made(limb_of(calf), mesh=8.0, **tables)
    left, right = shapes(result, "lining")
    turned = shapely.transform(left, lambda points: points * np.array([-1.0, 1.0]))
    assert right.symmetric_difference(turned).area < 1e-3
    # Each has equal halves, too.
    assert left.symmetric_difference(turned).area < 1e-3
    (base, _), area = shapes(result, "base"), left.area
    assert 0.0 < base.area - area < 2 * np.pi * 2.1 * 80.0


def test_a_lining_is_written_and_read_again_and_not_there_where_nobody_asks():
    assert 'lining = "no"' in job_text(job())
    assert job_from(job_text(job()), name="again").lining is None
    assert job(lining={}).lining.model_dump(mode="json") == {"thickness": "1 mm", "allowance": "5 mm"}
    for allowance in ("flush", "2.5 mm"):
        text = job_text(job(lining={"allowance": allowance}))
        assert job_text(job_from(text, name="again")) == text
        assert f'allowance = "{allowance}"' in text


@pytest.mark.parametrize(
    ("lining", "why"),
    [
        ({"thickness": "4 mm"}, "outside 0.2 to 3 mm"),
        ({"allowance": "50 mm"}, "outside 0 to 30 mm"),
        ({"allowance": "0 mm"}, "'flush' leaves none"),
        ({"thick": "1 mm"}, "did you mean 'thickness'"),
    ],
)
def test_what_is_no_lining_is_refused(lining, why):
    with pytest.raises(JobError, match=why):
        job(lining=lining)
