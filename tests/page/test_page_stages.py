"""The long work for the page."""

import json
import multiprocessing
import threading
from dataclasses import replace
from importlib.resources import files
from pathlib import Path

import numpy as np
import pytest

from cli.demo import SCANS
from cli.page.display import SHOWN_FACES, thinned
from cli.page.stages import Stages, WorkError, _Worn, failure_of, question_of, serve_requests
from cli.page.updates import Done, LeatherLaid, LimbFound, ScanRead, StageBegun, WorkRequest, WornReady
from flatten.job.errors import JobError
from flatten.job.settings import Job, ScanSettings
from flatten.job.text import job_from
from flatten.leather.model import LeatherError
from flatten.limb.model import FrontError, KindError, LimbError
from flatten.scan.model import ScanError
from flatten.steps import Step
from flatten.worn.defaults import JointError
from flatten.worn.neutral import Wear
from flatten.worn.panel import CutError, DartCutError, LayersError, SeamCutError
from tests.figures import cropped
from tests.limb.test_limb_choose import tube
from tests.scan.scan_files import ply_bytes


@pytest.mark.parametrize(
    ("error", "question"),
    [
        (ScanError("x"), "scan"),
        (FrontError("x"), "front"),
        (KindError("x"), "limb"),
        (LimbError("x"), "scan"),
        (JobError("x"), "under"),
        (LeatherError("x"), "leather"),
        (LayersError("x"), "under"),
        (SeamCutError("x"), "opening"),
        (DartCutError("x"), "darts"),
        (JointError("x"), "limb"),
        (CutError("x"), "edges"),
    ],
)
def test_an_error_belongs_to_a_question(error, question):
    assert question_of(error) == question


def test_a_gltf_that_names_other_files_is_refused(tmp_path):
    path = tmp_path / "scan.gltf"
    path.write_text('\n{"asset": {"version": "2.0"}, "buffers": [{"uri": "../../secret.bin", "byteLength": 12}]}')
    job = Job(scan=ScanSettings(file="leg.gltf"))
    with pytest.raises(WorkError, match="another file"):
        Stages().run(WorkRequest(job, path, 1, fine=False), lambda update: None)


def test_a_large_scan_is_thinned_for_the_eye_alone():
    n = 400
    x, y = np.meshgrid(np.arange(float(n)), np.arange(float(n)), indexing="ij")
    points = np.stack([x.ravel(), y.ravel(), 10.0 * np.sin(x.ravel() / 60.0)], axis=1)
    i, j = (k.ravel() for k in np.meshgrid(np.arange(n - 1), np.arange(n - 1), indexing="ij"))
    a = i * n + j
    faces = np.concatenate([np.stack([a, a + n, a + n + 1], 1), np.stack([a, a + n + 1, a + 1], 1)])
    fewer, triangles = thinned(points, faces)
    assert len(triangles) <= SHOWN_FACES < len(faces)
    assert triangles.max() < len(fewer)
    # A mean of points that are w apart lies off a wave of curvature 10 / 60² by at most w² / 8 times that, cubes being
    # some √2 wider than the grid.
    assert np.abs(fewer[:, 2] - 10.0 * np.sin(fewer[:, 0] / 60.0)).max() < 3.0**2 / 8 * 10.0 / 60.0**2
    # It is still the whole sheet, and looks up everywhere.
    a, b, c = (fewer[triangles[:, k], :2] for k in range(3))
    areas = ((b - a)[:, 0] * (c - a)[:, 1] - (b - a)[:, 1] * (c - a)[:, 0]) / 2
    assert (areas >= 0.0).all()
    assert areas.sum() == pytest.approx((n - 1) ** 2, rel=4 * 3.0 / n)


def test_a_small_scan_is_shown_as_it_is():
    points, faces = np.eye(3), np.array([[0, 1, 2]])
    assert thinned(points, faces) == (points, faces)


def test_a_scan_that_cannot_be_read_is_called_by_its_makers_name(tmp_path):
    path = tmp_path / "scan.unknown"
    path.write_text("no scan")
    job = Job(scan=ScanSettings(file="README.md"))
    with pytest.raises(ScanError, match=r"^README\.md is no 3D scan"):
        Stages().run(WorkRequest(job, path, 1, fine=False), lambda update: None)


def test_one_limb_of_several_is_asked_for_by_a_click(tmp_path):
    legs = cropped("pair of legs")
    path = tmp_path / "scan.ply"
    path.write_bytes(ply_bytes(legs.points, legs.faces))
    job = Job(scan=ScanSettings(file="legs.ply", unit="mm"))
    wanted = r"^the scan shows 2 limbs or other long parts; click the one that is meant$"
    with pytest.raises(WorkError, match=wanted) as caught:
        Stages().run(WorkRequest(job, path, 1, fine=False), lambda update: None)
    failure = failure_of(caught.value)
    assert (failure.question, failure.pick) == ("limb", "limb")


def test_a_limb_that_is_of_another_kind_is_not_asked_for_by_a_click_on_one_of_several():
    for error, pick in ((KindError("it is no forearm"), "front"), (JointError("the knee is not seen"), "joint")):
        failure = failure_of(error)
        assert (failure.question, failure.pick) == ("limb", pick)


def test_of_several_limbs_the_one_that_is_meant_is_told_from_the_rest(tmp_path):
    legs = cropped("pair of legs")
    path = tmp_path / "scan.ply"
    path.write_bytes(ply_bytes(legs.points, legs.faces))
    # The wearer's left leg is on the side of the positive y; the middle of its shin is 300 mm above the floor.
    left = legs.points[legs.points[:, 1] > 50.0]
    pick = tuple(left[np.abs(left[:, 2] - 300.0).argmin()].tolist())
    job = Job(scan=ScanSettings(file="legs.ply", unit="mm", limb="lower leg", pick=pick))
    updates = []
    Stages().run(WorkRequest(job, path, 1, fine=False), updates.append)
    (read,) = (item for item in updates if isinstance(item, ScanRead))
    (found,) = (item for item in updates if isinstance(item, LimbFound))
    points = payload_points(read.payload)
    meant = payload_array(found.meant, "meant", np.uint8).astype(bool)
    assert len(meant) == len(points)
    foot, trunk = points[:, 2] < 400.0, points[:, 2] > 850.0
    np.testing.assert_array_equal(meant[foot], points[foot, 1] > 0.0)
    assert not meant[trunk & (points[:, 1] < -20.0)].any()


def two_tubes():
    """A tube 500 mm long and 80 mm thick, and another 400 mm beside it, in mm."""
    vertices, faces = tube(500.0)
    apart = np.array([400.0, 0.0, 0.0])
    return np.concatenate([vertices, vertices + apart]), np.concatenate([faces, faces + len(vertices)])


def test_limbs_in_parts_of_their_own_are_all_shown_and_the_picked_one_is_read(tmp_path):
    path = tmp_path / "scan.ply"
    vertices, faces = two_tubes()
    path.write_bytes(ply_bytes(vertices / 10, faces))
    job = Job(scan=ScanSettings(file="both.ply", unit="cm"))
    stages, updates = Stages(), []
    wanted = r"^the scan shows two parts of like size \([^[]*; click the one that is meant$"
    with pytest.raises(WorkError, match=wanted) as caught:
        stages.run(WorkRequest(job, path, 1, fine=False), updates.append)
    assert question_of(caught.value) == "limb"
    (seen,) = (item for item in updates if isinstance(item, ScanRead))
    assert (seen.faces, seen.scan.unit) == (len(faces), "cm")
    points = payload_points(seen.payload)
    assert np.ptp(points[:, 0]) == pytest.approx(480.0, abs=0.1)

    # The click's place, in the file's unit: of the tube at the right alone. A tube has no front: the next error.
    picked = job.model_copy(update={"scan": job.scan.model_copy(update={"pick": (44.0, 0.0, 25.0)})})
    updates.clear()
    with pytest.raises(LimbError):
        stages.run(WorkRequest(picked, path, 1, fine=False), updates.append)
    (seen,) = (item for item in updates if isinstance(item, ScanRead))
    assert payload_points(seen.payload)[:, 0].min() == pytest.approx(360.0, abs=0.1)

    # And the click taken back: both are read and shown again.
    updates.clear()
    with pytest.raises(WorkError, match="two parts of like size"):
        stages.run(WorkRequest(job, path, 1, fine=False), updates.append)
    assert any(isinstance(item, ScanRead) for item in updates)


def payload_points(payload):
    return payload_array(payload, "points", "<f4")


def payload_array(payload, name, kind):
    length = int.from_bytes(payload[:4], "little")
    table = json.loads(payload[4 : 4 + length])["arrays"][name]
    start, count = 4 + length + table["start"], int(np.prod(table["shape"]))
    return np.frombuffer(payload, kind, count, start).reshape(table["shape"])


def test_one_worn_surface_does_where_it_is_the_same_limb_and_layers_and_reaches_far_enough():
    found, wear = object(), Wear(under=3.0, ease=8.0, thickness=3.2, neutral=0.5)
    worn = _Worn(found, wear, (10.0, 100.0), None)
    assert worn.does_for(found, wear, (10.0, 100.0))
    assert not worn.does_for(found, wear, (9.0, 100.0))
    assert not worn.does_for(found, wear, (10.0, 101.0))
    assert not worn.does_for(object(), wear, (10.0, 100.0))
    assert not worn.does_for(found, replace(wear, ease=9.0), (10.0, 100.0))
    whole = _Worn(found, wear, None, None)
    assert whole.does_for(found, wear, (-500.0, 500.0))


class Newer:
    """A pipe by which something comes once it was looked at so often, and nothing that must be read away."""

    def __init__(self, looks):
        self.looks = looks

    def poll(self):
        self.looks -= 1
        return self.looks < 0


def test_work_is_left_at_its_next_step_and_what_was_done_is_kept():
    demo = SCANS[0]
    request = WorkRequest(job_from(demo.text, name=demo.job), Path(str(files("cli.meshes") / demo.file)), 1, fine=False)
    ours, theirs = multiprocessing.Pipe()
    newer = Newer(3)
    thread = threading.Thread(target=serve_requests, args=(theirs, newer), daemon=True)
    thread.start()

    def sent():
        ours.send(request)
        updates = []
        while not updates or not isinstance(updates[-1], Done):
            assert ours.poll(60)
            updates.append(ours.recv())
        return updates

    # Reading and finding are begun; before the third step something newer is wanted.
    assert [type(item) for item in sent()] == [StageBegun, ScanRead, StageBegun, LimbFound, WornReady, Done]
    newer.looks = 100
    again = sent()
    assert [item.name for item in again if isinstance(item, StageBegun)] == [
        Step.DRESSING,
        Step.CUTTING,
        Step.LAYING,
        Step.STRETCHING,
    ]
    assert isinstance(again[-2], LeatherLaid)
    ours.close()
    thread.join(10)
    assert not thread.is_alive()
