"""Drying shrinkage from a strip test, from a job to its drawing."""

import io
import json

import ezdxf
import ezdxf.path
import numpy as np
import pytest
import shapely

from flatten.job.text import job_of
from flatten.leather.limits import leather_limits
from flatten.making import finish, lay
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


def files_of(folder, skin, readings, *, grain="up the limb", **table):
    (folder / "strips.toml").write_text(readings, "utf8")
    edges = {"bottom": "20 mm", "top": "300 mm"}
    leather = {"limits": "strips.toml", "grain": grain}
    job = job_of(
        {"scan": {"file": "made-up.ply", "side": "left"}, "leather": leather, "edges": edges, **table}, name="the test"
    )
    found = found_on(skin)
    limits = leather_limits(job.leather.limits, folder=folder)
    laid = lay(design_of(job, found), limits=limits, announce=lambda step: None, edge_length=8.0)
    return dict(finish(job, [(found, laid)], text="", announce=lambda step: None).files)


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
