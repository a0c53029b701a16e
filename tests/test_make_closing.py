"""Seams and pairs from a job to its files, read back from the DXF alone."""

import json

import ezdxf
import numpy as np
import pytest

from flatten.job.text import job_of
from flatten.leather.limits import leather_limits
from flatten.make import finish, lay
from tests.limbs import calf, limb_of
from tests.test_make import found_on


def files_of(folder, **table):
    edges = {"bottom": "60 mm", "top": "300 mm"}
    scan = {"file": "tube.ply", "limb": "upper arm"}
    job = job_of({"scan": scan, "edges": edges, "output": {"mesh": "quick"}, **table}, name="the test")
    found = found_on(limb_of(calf))
    laid = lay(job, found, limits=leather_limits("cased", folder=folder), announce=lambda step: None)
    files = dict(finish(job, found, laid, text="", announce=lambda step: None).files)
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


def test_stitches_lie_on_their_own_layer_and_mates_are_equally_many(tmp_path):
    seams = [{"name": "one", "along": "outside", "kind": "stitched"}, {"name": "two", "along": "inside"}]
    space, report, _ = files_of(tmp_path, seam=seams)
    stitches, told = circles(space, "STITCH"), {seam["name"]: seam for seam in report["seams"]}
    assert (told["one"]["kind"], len(stitches)) == ("stitched", 2 * told["one"]["pairs"])
    assert set(np.round(2 * stitches[:, 2], 6)) == {1.3}
    assert len(circles(space, "HOLES")) == 2 * told["two"]["pairs"]
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
    assert b"Hardware to buy" in files["report.html"]
