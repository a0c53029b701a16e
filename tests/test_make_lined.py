"""A lining: the leather larger by it, pieces of its own, and what is told and bought."""

import io
import json

import ezdxf
import numpy as np
import pytest
import shapely

from flatten.job.errors import JobError
from flatten.job.text import job_from, job_of, job_text
from flatten.leather.limits import PRESETS
from flatten.making import finish, lay
from flatten.pattern.cutting import cut_line
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


DARTS = {
    "a dart": [{"name": "pleat", "kind": "dart", "edge": "top", "along": "front", "depth": "50 mm"}],
    "a slash": [
        {"name": "slit", "kind": "slash", "edge": "bottom", "along": "front", "depth": "40 mm", "opening": "12 mm"}
    ],
    "several": [
        {"name": "right", "kind": "dart", "edge": "top", "along": 60, "depth": "50 mm"},
        {"name": "left", "kind": "dart", "edge": "top", "along": 300, "depth": "50 mm"},
        {"name": "slit", "kind": "slash", "edge": "bottom", "along": "front", "depth": "40 mm", "opening": "12 mm"},
    ],
}


def domed(h, b):
    """A barrel, on which flat darts open."""
    return 62.0 - 0.0007 * (h - 100.0) ** 2


@pytest.mark.parametrize(
    ("which", "symmetry"), [("a dart", "own shape"), ("a slash", "centre line"), ("several", "centre line")]
)
def test_an_allowance_never_grows_across_a_dart(which, symmetry):
    """Every dart stays open to its tip and is cut through the allowance; elsewhere that is as wide as ever."""
    darts = DARTS[which]
    tables = {"dart": darts, "piece": {"pair": "mirrored", "symmetry": symmetry}, "top": "190 mm"}
    result = made(limb_of(domed), lining={"allowance": "6 mm"}, mesh=10.0, **tables)
    drawing = ezdxf.read(io.StringIO(dict(result.files)["pattern.dxf"].decode()))
    points = [point for line in drawing.modelspace().query("LWPOLYLINE") for point in line.get_points()]
    assert np.isfinite(points).all()
    for piece in (piece for piece in result.report.cut if piece.part == "lining"):
        shape, rim = (shapely.Polygon(polyline(path, 0.005)) for path in (piece.outline, cut_line(piece)))
        (trim,) = (mark for mark in piece.marks if mark.kind == "trim")
        net = shapely.Polygon(polyline(trim.path, 0.005))
        assert shape.is_valid
        assert rim.is_valid
        assert shape.buffer(0.2).contains(net)
        stops = [shapely.Point(hole.x, hole.y) for hole in piece.holes if hole.kind == "stop"]
        assert len(stops) == len(darts)
        for stop in stops:
            # The tip is on the outline; the rim is drawn here within 0.005 mm.
            assert shape.exterior.distance(stop) < 1e-6
            assert rim.exterior.distance(stop) == pytest.approx(2.0, abs=0.006)
        away = shapely.distance(net.exterior, shapely.points(shapely.get_coordinates(shape.exterior.segmentize(1.0))))
        assert away.max() == pytest.approx(6.0, abs=0.2)
        # All round but for the darts' own two sides of 40 or 50 mm, and the run-on at their mouths.
        along_darts = sum(2 * (float(dart["depth"].split()[0]) + 6.0) for dart in darts)
        assert (away < 5.8).mean() == pytest.approx(along_darts / shape.exterior.length, abs=0.02)
    lining = [piece for piece in result.report.cut if piece.part == "lining"]
    one, other = (shapely.Polygon(polyline(piece.outline, 0.005)) for piece in lining)
    turned = shapely.transform(one, lambda points: points * np.array([-1.0, 1.0]))
    assert turned.symmetric_difference(other).area < 1e-3
