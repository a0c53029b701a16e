"""The six scans with known truth: what each must have had done to it, and what must be left."""

import json
from pathlib import Path

import numpy as np
import pytest

from flatten.scan.read import read_scan
from flatten.units import MM_PER_UNIT
from tests.repairs import codes

SCANS = Path(__file__).parent.parent / "data" / "scans"
REPAIRS = {
    "forearm_b_phone.ply": {"unused", "duplicate", "fragments", "turned"},
    "forearm_c_nodes.glb": {"welded"},
    "leg_a_clean.ply": set(),
    "leg_a_soup.stl": {"welded", "duplicate", "floor", "fragments", "turned"},
    "leg_b_phone.obj": {"welded", "duplicate", "fragments", "turned"},
    "leg_c_floor.glb": {"floor", "fragments"},
}


@pytest.fixture(scope="module", params=sorted(REPAIRS))
def case(request):
    path = SCANS / request.param
    return request.param, read_scan(path), json.loads(path.with_suffix(".json").read_text("utf8"))


def test_each_scan_lists_its_repairs(case):
    name, scan, _ = case
    assert set(dict(codes(scan.repairs))) == REPAIRS[name]


def test_the_unit_is_the_true_one(case):
    name, scan, truth = case
    assert scan.unit == truth["unit"]
    assert scan.unit_from == ("file" if name.endswith(".glb") else "guessed")


def test_fragments_are_counted_as_they_were_put_in(case):
    _, scan, truth = case
    announced = [int(text.split()[0]) for text in truth["defects"] if "fragments" in text]
    counted = [repair.figures["count"] for repair in scan.repairs if repair.code == "scan.fragments"]
    # A floor that is cut off leaves crumbs of its rim behind.
    if announced and not any("floor" in text for text in truth["defects"]):
        assert counted == announced


def test_the_limb_keeps_its_faces(case):
    _, scan, truth = case
    lost = truth["limb_faces"] - len(scan.faces)
    duplicates = sum(count for code, count in codes(scan.repairs) if code in ("duplicate", "degenerate"))
    if any("floor" in text for text in truth["defects"]):
        assert "floor" in set(dict(codes(scan.repairs)))
    else:
        assert lost <= duplicates


def test_every_face_looks_outward_as_a_whole(case):
    _, scan, _ = case
    a, b, c = (scan.points[scan.faces[:, k]] - scan.points.mean(axis=0) for k in range(3))
    # The divergence theorem: an outward surface encloses a positive volume.
    assert np.einsum("ij,ij->", a, np.cross(b, c)) > 0


@pytest.mark.parametrize("name", ["leg_a_soup.stl", "leg_c_floor.glb"])
def test_no_point_lies_below_the_floor_or_far_from_the_foot(name):
    scan = read_scan(SCANS / name)
    truth = json.loads((SCANS / name).with_suffix(".json").read_text("utf8"))
    to_file = np.array(truth["canonical_mm_to_file"])
    points = np.c_[scan.points / MM_PER_UNIT[scan.unit], np.ones(len(scan.points))] @ np.linalg.inv(to_file).T
    *normal, offset = truth["floor_plane_mm"]
    assert (points[:, :3] @ normal + offset).min() > -3.0
    toe, ankle = (np.array(truth["landmarks_mm"][key]) for key in ("toe", "ankle"))
    low = points[(points[:, :3] @ normal + offset) < 10.0, :3]
    # What is left near the floor is the foot: nothing lies farther out than a foot is long.
    assert np.linalg.norm(low - (toe + ankle) / 2, axis=1).max() < 1.2 * np.linalg.norm(toe - ankle)
