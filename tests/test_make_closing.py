"""Seams and pairs from a job to its files, read back from the DXF alone."""

import json

import ezdxf
import ezdxf.path
import numpy as np
import pytest
import shapely

from flatten.job.text import job_of
from flatten.leather.limits import leather_limits
from flatten.making import finish, lay
from tests.analytic_jobs import design_of
from tests.limbs import calf, limb_of
from tests.test_make import found_on


def files_of(folder, **table):
    edges = {"bottom": "60 mm", "top": "300 mm"}
    scan = {"file": "tube.ply", "limb": "upper arm"}
    job = job_of({"scan": scan, "edges": edges, "output": {"mesh": "quick"}, **table}, name="the test")
    found = found_on(limb_of(calf))
    limits = leather_limits(job.leather.limits, folder=folder)
    laid = lay(design_of(job, found), limits=limits, announce=lambda step: None, edge_length=8.0)
    files = dict(finish(job, [(found, laid)], text="", announce=lambda step: None).files)
    (folder / "read.dxf").write_bytes(files["pattern.dxf"])
    return ezdxf.readfile(folder / "read.dxf").modelspace(), json.loads(files["report.json"]), files


def circles(space, layer):
    return np.array([(c.dxf.center.x, c.dxf.center.y, c.dxf.radius) for c in space.query(f'CIRCLE[layer=="{layer}"]')])


@pytest.mark.parametrize(("kind", "layer"), [("laced", "HOLES"), ("riveted", "HOLES"), ("strapped", "HOLES")])
def test_the_drawing_alone_shows_as_many_holes_on_both_sides(tmp_path, kind, layer):
    space, report, _ = files_of(tmp_path, seam=[{"kind": kind}])
    (outline,) = space.query('LWPOLYLINE[layer=="CUT"]')
    middle = np.mean([point[0] for point in outline.get_points()])
    holes = circles(space, layer)
    left, right = holes[holes[:, 0] < middle], holes[holes[:, 0] > middle]
    assert len(left) == len(right) == sum(hole["count"] for hole in report["pieces"][0]["holes"]) / 2
    # Mates go up together: each at nearly its mate's height, on a piece that leans by a few mm.
    np.testing.assert_allclose(np.sort(left[:, 1]), np.sort(right[:, 1]), atol=12.0)


def test_stitches_are_holes_too_and_mates_are_equally_many(tmp_path):
    seams = [{"name": "one", "along": "outside", "kind": "stitched"}, {"name": "two", "along": "inside"}]
    space, report, _ = files_of(tmp_path, seam=seams)
    holes, told = circles(space, "HOLES"), {seam["name"]: seam for seam in report["seams"]}
    fine = np.isclose(2 * holes[:, 2], 1.3)
    stitches = holes[fine]
    assert (told["one"]["kind"], len(stitches)) == ("stitched", 2 * told["one"]["pairs"])
    assert np.count_nonzero(~fine) == 2 * told["two"]["pairs"]
    assert [hole["kind"] for hole in report["pieces"][0]["holes"]] in (["stitch", "eyelet"], ["eyelet", "stitch"])


def test_a_pair_is_two_mirror_images_named_left_and_right(tmp_path):
    space, report, files = files_of(tmp_path, piece={"pair": "mirrored"})
    left, right = space.query('LWPOLYLINE[layer=="CUT"]')
    points = [np.array(outline.get_points("xy")) for outline in (left, right)]
    turned = points[1] * [-1, 1]
    turned += [points[0][:, 0].min() - turned[:, 0].min(), 0.0]
    near = np.hypot(*(turned[:, None] - points[0][None]).transpose(2, 0, 1)).min(axis=1)
    assert near.max() < 0.01
    assert [piece["side"] for piece in report["pieces"]] == ["left", "right"]
    texts = {text.dxf.text for text in space.query("TEXT")}
    assert {"LEFT, grain side up", "RIGHT, grain side up"} <= texts
    assert [one["count"] for one in report["hardware"]] == [4 * report["seams"][0]["pairs"], 2]
    assert b"What to buy" in files["report.html"]
    assert f"{4 * report['seams'][0]['pairs']} eyelets".encode() in files["report.html"]


SIDES = {
    "riveted": [{"name": n, "along": n, "kind": "riveted"} for n in ("outside", "inside")],
    "stitched edge to edge": [{"name": n, "along": n, "kind": "stitched"} for n in ("outside", "inside")],
    "stitched overlap": [{"name": "back", "kind": "stitched", "overlap": "14 mm"}],
}


@pytest.mark.parametrize("seams", SIDES.values(), ids=SIDES.keys())
def test_mates_are_equally_long_along_their_holes_in_the_drawing(tmp_path, seams):
    """Both rows of holes of each seam within SEAM_MATCH, 0.2 mm, from the drawing alone."""
    limits = {"stretch_along": 0.1, "stretch_across": 0.1, "squeeze_along": 0.06, "squeeze_across": 0.06}
    space, report, files = files_of(tmp_path, seam=seams, leather={"limits": limits})
    outlines = [
        shapely.Polygon([(p.x, p.y) for p in ezdxf.path.make_path(e).flattening(0.01)])
        for e in space.query('LWPOLYLINE[layer=="CUT"]')
    ]
    holes = circles(space, "HOLES")
    rows = []
    for outline in outlines:
        own = holes[[outline.contains(shapely.Point(hole[:2])) for hole in holes]]
        middle = outline.centroid.x
        rows += [own[own[:, 0] < middle], own[own[:, 0] > middle]]
    lengths = [np.hypot(*np.diff(row[np.argsort(row[:, 1]), :2], axis=0).T).sum() for row in rows]
    # Going round, the right-hand row of each piece is sewn to the left-hand row of the next.
    for one, other in zip(lengths[1::2], [*lengths[2::2], lengths[0]], strict=True):
        assert abs(one - other) < 0.2
    assert [seam["ease"] for seam in report["seams"]] == [0.0] * len(seams)
    assert b" mm longer over " not in files["report.html"]


def test_limits_come_before_equality_and_the_ease_is_told(tmp_path):
    """Front and back of a leg whose back exceeds the limits for cased leather: no more is asked of it for the seam."""
    _, report, files = files_of(tmp_path, seam=SIDES["stitched edge to edge"])
    back = next(panel for panel in report["panels"] if panel["name"] == "back")
    assert back["excess"] > 0.0
    assert all(panel["converged"] for panel in report["panels"])
    # 1.05 of stretch and 0.97 of squeeze, by the least excess that any flat piece needs and 0.05 % more.
    assert back["spread"] <= np.log(1.05 / 0.97) + 2 * (back["excess"] + 5e-4) + 1e-9
    most = max(seam["ease"] for seam in report["seams"])
    assert most > 0.2
    # Less than a millimetre is not worth a word.
    assert (b"mm longer over" in files["report.html"]) == (most >= 1.0)
