"""Pieces laid on a hide or a bed, from the job to the files: read back by a library, and told in the report."""

import io
import json

import ezdxf
import ezdxf.path
import numpy as np
import pytest
import shapely

from flatten.job.laid_out import grounds_of
from flatten.job.text import job_of
from flatten.leather.limits import PRESETS
from flatten.making import finish, lay
from flatten.pattern.path import area
from flatten.report.layouts import layout_findings, layout_messages, shown_layouts
from flatten.steps import quietly
from flatten.words import say
from tests.analytic_jobs import design_of, found_on
from tests.limbs import calf, limb_of

GUARD = {
    "scan": {"file": "made-up.ply", "side": "right"},
    "edges": {"bottom": "20 mm", "top": "300 mm"},
    "seam": [{"gap": "25 mm", "along": 160.0}],
    "piece": {"pair": "mirrored"},
    "plate": [{"name": "wave", "around": [-20.0, 20.0], "heights": ["100 mm", "180 mm"], "thickness": "2 mm"}],
}
"""The seam is not in the middle behind, and the limb's coordinates are the scan's mirror image."""

LIGHT = 0.15
"""mm that a drawing may leave its piece by at most, on both sides of a space together, and rounding."""

SHOULDER = {"shape": "double shoulder", "flaws": [["330 mm", "150 mm", "60 mm"]]}
CASES = {
    "bed": {"bed": {"width": "620 mm", "height": "410 mm"}},
    "hides": {"hide": [SHOULDER, {"shape": "bend", "thickness": "2 mm"}]},
    "small hide": {"hide": {"shape": "double shoulder", "length": "330 mm", "width": "500 mm"}},
    "small bed": {"bed": {"width": "310 mm", "height": "310 mm"}},
}


@pytest.fixture(scope="module")
def laid():
    wish = job_of(GUARD, name="the test")
    found = found_on(limb_of(calf, high=400.0), side="right")
    return found, lay(design_of(wish, found), limits=PRESETS["cased"], announce=quietly, edge_length=9.0)


@pytest.fixture(scope="module")
def made(laid):
    """The results of each case, made when they are first asked for."""
    kept = {}

    def of(name):
        if name not in kept:
            job = job_of(GUARD | CASES[name], name="the test")
            grounds = grounds_of(job, folder=None)
            kept[name] = finish(job, [laid], text="", grounds=grounds, announce=quietly)
        return kept[name]

    return of


def read(result, name):
    return ezdxf.read(io.StringIO(dict(result.files)[name].decode()))


def polygons(drawing, layer):
    cuts = drawing.modelspace().query(f'LWPOLYLINE[layer=="{layer}"]')
    return [shapely.Polygon([(p.x, p.y) for p in ezdxf.path.make_path(cut).flattening(0.01)]) for cut in cuts]


def told(result):
    laying = result.report.laying
    kind = result.report.limbs[0].limb.kind
    said = [*layout_messages(laying), *layout_findings(laying, kind=kind)]
    return " ".join(say.text(each) for each in said)


def test_a_bed_holds_whole_pieces_where_the_file_has_them(made):
    result = made("bed")
    names = [name for name, _ in result.files if name.startswith("layout")]
    # Two thicknesses are cut on two beds.
    assert names == ["layout_1.dxf", "layout_1.svg", "layout_2.dxf", "layout_2.svg"]
    drawing = read(result, "layout_1.dxf")
    assert not drawing.audit().errors
    assert {text.dxf.layer for text in drawing.modelspace().query("TEXT")} == {"TEXT"}
    (bed,) = polygons(drawing, "LEATHER")
    assert bed.bounds == pytest.approx((0, 0, 620, 410))
    guards = polygons(drawing, "CUT")
    assert len(guards) == 2
    assert all(bed.buffer(LIGHT - 5).contains(guard) for guard in guards)
    assert guards[0].distance(guards[1]) >= 5 - LIGHT
    base = [piece for piece in result.report.cut if piece.part == "base"]
    assert sum(guard.area for guard in guards) == pytest.approx(
        sum(abs(area(piece.outline)) for piece in base), rel=1e-3
    )
    holes = drawing.modelspace().query('CIRCLE[layer=="HOLES"]')
    assert len(holes) == sum(len(piece.holes) for piece in base) - sum(hole.after for p in base for hole in p.holes)
    discs = [shapely.Point(hole.dxf.center.x, hole.dxf.center.y).buffer(hole.dxf.radius) for hole in holes]
    assert all(any(guard.contains(disc) for guard in guards) for disc in discs)


def test_a_pair_mirrors_itself_on_a_shoulder_and_its_plates_lie_on_their_own_leather(made):
    result = made("hides")
    sheets = json.loads(dict(result.files)["report.json"])["leather"]["sheets"]
    assert [sheet["name"] for sheet in sheets] == ["double shoulder", "bend"]
    assert [len(sheet["places"]) for sheet in sheets] == [2, 2]
    one, other = sheets[0]["places"]
    assert one["y"] == pytest.approx(-other["y"])
    assert one["x"] == pytest.approx(other["x"])
    assert sheets[0]["yield"] == pytest.approx(sheets[0]["covered"] / sheets[0]["area"], abs=1e-6)
    assert sheets[1]["thickness"] == 2.0
    assert "Left and right come from like leather" in told(result)
    # The flaw is drawn, and nothing lies over it.
    leather = sorted(polygons(read(result, "layout_1.dxf"), "LEATHER"), key=lambda shape: shape.area)
    assert len(leather) == 2
    assert leather[0].centroid.coords[0] == pytest.approx((330, 150), abs=0.1)
    assert min(leather[0].distance(cut) for cut in polygons(read(result, "layout_1.dxf"), "CUT")) >= 5 - LIGHT


def test_what_has_no_room_is_told_with_what_would_hold_it(made):
    words = told(made("small hide"))
    assert "There is no room on the leather for" in words
    assert "one more hide like the last holds" in words
    assert "No hide is 2.0 mm thick" in words


def test_a_guard_that_a_bed_does_not_take_is_told_where_to_split(made, laid):
    """In the job's own words: with that seam the job's pieces do lie on it."""
    result = made("small bed")
    words = told(result)
    # Not in front, where the plate is.
    assert 'Split it by one more seam, at the middle of the inside: a [[seam]] with along = "inside".' in words
    found, _ = laid
    more = {"seam": [*GUARD["seam"], {"name": "another", "along": "inside", "kind": "riveted"}]}
    job = job_of(GUARD | CASES["small bed"] | more, name="the test")
    split = lay(design_of(job, found), limits=PRESETS["cased"], announce=quietly, edge_length=9.0)
    again = finish(job, [(found, split)], text="", grounds=grounds_of(job, folder=None), announce=quietly)
    assert again.report.laying.short == ()
    assert sum(len(layout.pieces) for layout in again.report.laying.layouts) == len(again.report.cut)


def test_grain_and_sizes_are_told_for_each_leather(made):
    for name in CASES:
        for shown in shown_layouts(made(name).report.laying):
            assert all(say.text(each) for each in (shown.title, *shown.told, shown.picture.title))
            assert np.isfinite(shown.picture.box).all()


def test_a_job_without_leather_has_no_layout(laid):
    job = job_of(GUARD, name="the test")
    result = finish(job, [laid], text="", announce=quietly)
    assert not [name for name, _ in result.files if name.startswith("layout")]
    assert json.loads(dict(result.files)["report.json"])["leather"]["sheets"] is None
