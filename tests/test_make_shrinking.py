"""What leather shrinks in drying and in hardening, from a job to its drawing."""

import io
import json
from dataclasses import replace
from pathlib import Path

import ezdxf
import ezdxf.path
import numpy as np
import pytest
import shapely

from flatten.job.mockup import mockup_of, sheet_of
from flatten.job.pieces import pieces_of
from flatten.job.text import job_of
from flatten.leather.limits import leather_limits
from flatten.leather.model import LeatherError
from flatten.making import finish, lay, make
from flatten.pattern.path import polyline
from tests.analytic_jobs import design_of, found_on
from tests.limbs import calf, cylinder, limb_of

STRIPS = """
load = "10 kg"
width = "20 mm"
thickness = "3.2 mm"
strip = [
    {direction = "along", L0 = "100 mm", L2 = "110 mm"},
    {direction = "across", L0 = "100 mm", L2 = "110 mm"},
]
"""
UNLOADED = """
unloaded = [
    {direction = "along", wet = "100 mm", dried = "98 mm"},
    {direction = "across", wet = "100 mm", dried = "99 mm"},
]
"""


HARDENED = """
hardened = [
    {direction = "along", before = "100 mm", after = "90 mm"},
    {direction = "across", before = "100 mm", after = "94 mm"},
]
"""
AS_STRIPS = {"hardened": True, "hardening": "as strips shrank"}


def result_of(folder, skin, readings, *, grain="up the limb", leather=None, **table):
    (folder / "strips.toml").write_text(readings, "utf8")
    edges = {"bottom": "20 mm", "top": "300 mm"}
    leather = {"limits": "strips.toml", "grain": grain, **(leather or {})}
    job = job_of(
        {"scan": {"file": "made-up.ply", "side": "left"}, "leather": leather, "edges": edges, **table}, name="the test"
    )
    found = found_on(skin)
    limits = leather_limits(job.leather.limits, folder=folder, hardening=job.leather.hardening)
    laid = lay(design_of(job, found), limits=limits, announce=lambda step: None, edge_length=8.0)
    return finish(job, [(found, laid)], text="", announce=lambda step: None)


def files_of(folder, skin, readings, **wanted):
    return dict(result_of(folder, skin, readings, **wanted).files)


def drawn(files):
    """The outline's polygon, arcs within 0.001 mm, and the centres and diameters of all holes (k,3)."""
    space = ezdxf.read(io.StringIO(files["pattern.dxf"].decode())).modelspace()
    (line,) = space.query('LWPOLYLINE[layer=="CUT"]')
    outline = shapely.Polygon([(p.x, p.y) for p in ezdxf.path.make_path(line).flattening(0.001)])
    circles = space.query('CIRCLE[layer=="HOLES"]')
    return outline, np.array([(c.dxf.center.x, c.dxf.center.y, 2 * c.dxf.radius) for c in circles])


def size(outline):
    x0, y0, x1, y1 = outline.bounds
    return np.array([x1 - x0, y1 - y0])


@pytest.mark.parametrize(("grain", "growth"), [("up the limb", (0.99, 0.98)), ("across the limb", (0.98, 0.99))])
def test_a_cylinder_is_drawn_larger_by_what_the_leather_shrinks(tmp_path, grain, growth):
    """2 % along the grain and 1 % across: 1 / 0.98 as long and 1 / 0.99 as wide."""
    plain, _ = drawn(files_of(tmp_path, cylinder(60.0), STRIPS, grain=grain))
    files = files_of(tmp_path, cylinder(60.0), STRIPS + UNLOADED, grain=grain)
    outline, holes = drawn(files)
    np.testing.assert_allclose(size(outline), size(plain) / growth, atol=1e-4)
    # A hole is punched in its own size, at its own distance from the edge that it is punched into.
    np.testing.assert_allclose(holes[:, 2], 5.0, atol=1e-9)
    edge = [outline.exterior.distance(shapely.Point(hole[:2])) for hole in holes]
    np.testing.assert_allclose(edge, edge[0], atol=0.01)
    # The check line of 100 mm is on the sheet as it is.
    lengths = [
        np.hypot(*np.subtract(line.get_points("xy")[-1], line.get_points("xy")[0]))
        for line in ezdxf.read(io.StringIO(files["pattern.dxf"].decode())).modelspace().query("LWPOLYLINE")
        if len(line) == 2
    ]
    assert min(abs(length - 100.0) for length in lengths) < 1e-9


def test_the_report_tells_the_shrinkage_and_judges_the_leather_as_it_dries(tmp_path):
    skin = limb_of(calf)
    plain, files = (files_of(tmp_path, skin, text) for text in (STRIPS, STRIPS + UNLOADED))
    was, told = (json.loads(found["report.json"]) for found in (plain, files))
    assert was["leather"]["shrinkage"] == {"along": 0.0, "across": 0.0}
    assert told["leather"]["shrinkage"] == pytest.approx({"along": 0.02, "across": 0.01})
    assert told["panels"] == was["panels"]
    assert told["pieces"][0]["area"] == pytest.approx(was["pieces"][0]["area"] / 0.98 / 0.99, rel=1e-3)
    assert b"drawn that much larger" in files["report.html"]
    assert b"drawn that much larger" not in plain["report.html"]


BESIDE = {
    "lining": {"thickness": "1 mm"},
    "plate": [{"name": "badge", "around": [-40, 40], "heights": ["70 mm", "150 mm"]}],
}


@pytest.fixture(scope="module")
def laid():
    """A lined cylinder with a plate, laid flat: what hardening takes does not change that."""
    edges = {"bottom": "20 mm", "top": "200 mm"}
    job = job_of({"scan": {"file": "made-up.ply", "side": "left"}, "edges": edges, **BESIDE}, name="the test")
    limits = leather_limits("cased", folder=Path())
    return lay(design_of(job, found_on(cylinder(60.0))), limits=limits, announce=lambda step: None, edge_length=12.0)


def cut_of(laid, folder, readings, hardening):
    """Size (mm) across and up the limb and the holes' diameters of each piece, by its part."""
    (folder / "strips.toml").write_text(readings, "utf8")
    limits = leather_limits("strips.toml", folder=folder, hardening=hardening)

    def tested(panels):
        return tuple(replace(panel, stretch=replace(panel.stretch, limits=limits)) for panel in panels)

    drawn = pieces_of(replace(laid, panels=tested(laid.panels), parts=tested(laid.parts)))
    sizes = {piece.part: np.ptp(polyline(piece.outline, 1e-4), axis=0) for piece in drawn.pieces}
    return sizes, {piece.part: {hole.diameter for hole in piece.holes} for piece in drawn.pieces}


@pytest.mark.parametrize(
    ("hardening", "kept"),
    [
        ("as strips shrank", (0.99 * 0.94, 0.98 * 0.90)),
        ((0.05, 0.05), (0.99 * 0.95, 0.98 * 0.95)),
        ((0.08, 0.0), (0.99, 0.98 * 0.92)),
    ],
)
def test_pieces_are_drawn_larger_by_what_drying_and_then_hardening_take(laid, tmp_path, hardening, kept):
    """Wet, a length is 1 / ((1 − d)(1 − h)) of what it is in the end; the grain runs up the limb."""
    plain, punched = cut_of(laid, tmp_path, STRIPS, "no")
    larger, holes = cut_of(laid, tmp_path, STRIPS + UNLOADED + HARDENED, hardening)
    for part in ("base", "plate"):
        # Corners are rounded by their own radius, however large the piece.
        np.testing.assert_allclose(larger[part], plain[part] / kept, rtol=1e-6)
    # A lining is glued in when all that is over; a punch does not grow.
    np.testing.assert_allclose(larger["lining"], plain["lining"], atol=1e-9)
    assert holes == punched


def test_leather_whose_strips_were_hardened_is_not_cut_larger_unless_the_job_asks(laid, tmp_path):
    plain, _ = cut_of(laid, tmp_path, STRIPS, "no")
    read, _ = cut_of(laid, tmp_path, STRIPS + HARDENED, "no")
    np.testing.assert_allclose(read["base"], plain["base"], atol=1e-9)


def test_a_mock_up_is_not_cut_larger_by_it():
    plain, larger = (
        job_of({"scan": {"file": "made-up.ply", "side": "left"}, "leather": leather, **MOCKUP}, name="the test")
        for leather in ({"hardened": True}, {"hardened": True, "hardening": "12 %"})
    )
    found = found_on(cylinder(60.0))
    designs = ((design_of(job, found), sheet_of(job)) for job in (plain, larger))
    (one,), (other,) = (mockup_of(design, sheet, edge_length=12.0).pieces for design, sheet in designs)
    np.testing.assert_array_equal(polyline(one.outline, 0.01), polyline(other.outline, 0.01))


MOCKUP = {"mockup": {"material": "felt"}, "edges": {"bottom": "20 mm", "top": "200 mm"}}


def test_making_a_job_asks_for_the_strips_that_it_names(tmp_path):
    (tmp_path / "strips.toml").write_text(STRIPS, "utf8")
    leather = {"limits": "strips.toml", **AS_STRIPS}
    job = job_of({"scan": {"file": "made-up.ply"}, "leather": leather}, name="the test")
    with pytest.raises(LeatherError, match="strips both ways"):
        make(job, folder=tmp_path, out=tmp_path)


def test_the_report_says_what_hardening_takes_and_to_try_a_scrap_before_cutting(tmp_path):
    result = result_of(tmp_path, cylinder(60.0), STRIPS + UNLOADED + HARDENED, leather=AS_STRIPS)
    told = json.loads(dict(result.files)["report.json"])
    assert told["leather"]["shrinkage"] == pytest.approx({"along": 0.02, "across": 0.01})
    assert told["leather"]["hardening"] == pytest.approx({"along": 0.1, "across": 0.06})
    (found,) = (one for one in told["findings"] if one["code"] == "leather.hardening")
    assert found["severity"] == "look"
    assert "10.0 % along the grain and 6.0 % across it" in found["text"]
    assert "harden a scrap of the same hide first" in found["text"]
    work = {one["step"]: one for one in told["order"]}
    said = {step: " ".join(line["text"] for line in one["work"]) for step, one in work.items()}
    # Both together: 1 − 0.98 · 0.90 and 1 − 0.99 · 0.94.
    assert "in drying and hardening, 11.8 % along the grain and 6.9 % across it" in said["try on"]
    assert "10.0 % of that along the grain" in said["cut"]
    assert "only when it is hardened" in said["dry"]
    assert "lose 10.0 % along the grain and 6.0 % across it" in said["harden"]
    assert "not drawn larger" not in said["harden"]
    assert work["harden"]["cautions"] == ["caution.heat"]
