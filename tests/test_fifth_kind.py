"""A fifth kind of limb, added in one place, is measured, made and reported as the others are."""

import io

import ezdxf
import numpy as np
import pytest
import trimesh

from flatten.job.errors import JobError
from flatten.job.text import job_of
from flatten.limb.kind import KINDS, QUARTERS, ClothSearch, DistalLimb, JointMotion, TopEdge
from flatten.making import make

TAIL = DistalLimb(
    name="tail",
    piece="tail guard",
    sides=QUARTERS,
    side_words=(("ridge", 0),),
    zero="wrist",
    widest="widest tail",
    far_end="hand",
    joint="elbow",
    joint_mark="elbow",
    right_handed="left",
    front_from=None,
    to_joint=False,
    cloth=ClothSearch(below=30.0, thicker=-30.0, thinner=16.0),
    tape_places=("wrist",),
    scan_error=4.0,
    swelling=0.0,
    bottom_edge=(15.0, 20.0, 25.0, 20.0),
    top_edge=TopEdge("elbow", (35.0, 40.0, 55.0, 40.0)),
    held_by="held.forearm",
    motions=(JointMotion("curling the tail", "bottom", "wrist", -15.0, np.pi, 60.0, far=True),),
)

WAIST, TOP = 60.0, 400.0


def radius(heights):
    """A tapered tube with a tuft at its end below the waist."""
    return 30.0 + 0.06 * np.maximum(heights - WAIST, 0.0) + 0.004 * np.minimum(heights - WAIST, 0.0) ** 2


def tube(path):
    heights, bearings = np.arange(0.0, TOP + 1.0, 5.0), np.arange(72) * (2 * np.pi / 72)
    r, b = np.broadcast_arrays(radius(heights)[:, None], bearings)
    z = np.broadcast_to(heights[:, None], r.shape)
    vertices = np.stack([r * np.cos(b), r * np.sin(b), z], axis=-1).reshape(-1, 3)
    row, column = np.meshgrid(np.arange(len(heights) - 1), np.arange(72), indexing="ij")
    one, two = row * 72 + column, row * 72 + (column + 1) % 72
    faces = np.concatenate([np.stack([one, two, two + 72], -1), np.stack([one, two + 72, one + 72], -1)])
    trimesh.Trimesh(vertices, faces.reshape(-1, 3), process=False).export(path)


def tail_job():
    scan = {"file": "tail.ply", "unit": "mm", "limb": "tail", "front": [1, 0, 0], "joint": "290 mm"}
    scan["tape"] = [{"at": "wrist", "girth": f"{2 * np.pi * radius(WAIST):.1f} mm"}]
    return {"scan": scan, "seam": [{"name": "ridge", "along": "ridge"}], "output": {"mesh": "quick"}}


def test_a_kind_that_is_added_in_one_place_gets_a_pattern(tmp_path, monkeypatch):
    monkeypatch.setitem(KINDS, TAIL.name, TAIL)
    tube(tmp_path / "tail.ply")
    job = job_of(tail_job(), name="the test")
    result = make(job, folder=tmp_path, out=tmp_path)
    files = dict(result.files)

    drawing = ezdxf.read(io.StringIO(files["pattern.dxf"].decode()))
    texts = {entity.dxf.text for entity in drawing.modelspace().query("TEXT")}
    assert any("tail guard" in text for text in texts), texts
    page = files["report.html"].decode()
    assert "It is a left tail" in page
    assert "Curling the tail" in page
    assert "above the wrist" in page
    assert job.seam[0].along == "front"


def test_a_kind_that_nobody_added_is_refused_by_naming_those_that_there_are():
    with pytest.raises(JobError) as caught:
        job_of(tail_job(), name="the test")
    told = "the test: [scan] limb is 'tail'; it must be 'auto', 'lower leg', 'thigh', 'forearm' or 'upper arm'"
    assert str(caught.value) == told
