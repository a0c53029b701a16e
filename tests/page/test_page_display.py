"""What is drawn of a scan keeps to its places, colours too."""

import json
from importlib.resources import files
from pathlib import Path

import numpy as np
import pytest

from cli.demo import SCANS
from cli.page import display
from cli.page.stages import Stages
from cli.page.updates import LeatherLaid, WorkRequest
from flatten.job.text import job_from
from flatten.scan.model import Scan


def unpacked(body):
    """The arrays of a payload by name."""
    length = int.from_bytes(body[:4], "little")
    entries = json.loads(body[4 : 4 + length])["arrays"]
    return {
        name: np.frombuffer(body, f"<{one['kind']}", int(np.prod(one["shape"])), 4 + length + one["start"]).reshape(
            one["shape"]
        )
        for name, one in entries.items()
    }


def test_the_points_of_a_thinned_scan_have_the_colours_of_their_places(monkeypatch):
    monkeypatch.setattr(display, "SHOWN_FACES", 600)
    n = 40
    x, y = (k.ravel() for k in np.meshgrid(np.arange(float(n)), np.arange(float(n)), indexing="ij"))
    points = np.stack([x, y, 3.0 * np.sin(x / 6.0)], axis=1)
    a = (np.arange(n - 1)[:, None] * n + np.arange(n - 1)).ravel()
    faces = np.concatenate([np.stack([a, a + n, a + n + 1], 1), np.stack([a, a + n + 1, a + 1], 1)])
    red = points[:, :1] < n / 2
    colours = np.where(red, [[200, 0, 0]], [[0, 0, 200]]).astype(np.uint8)
    none = np.zeros_like(points)
    scan = Scan("sheet.ply", points, none, faces, "mm", "given", 1.0, len(faces), (), colours=colours)
    arrays = unpacked(display.scan_payload(scan))
    assert len(arrays["points"]) == len(arrays["colours"]) < len(points) / 2
    # Thinning moves a point by some cells of the grid; one so far from the boundary keeps its side.
    across = arrays["points"][:, 0] - n / 2
    for side, wanted in ((across < -3.0, [200, 0, 0]), (across > 3.0, [0, 0, 200])):
        assert side.sum() > 20
        assert (arrays["colours"][side] == wanted).all()


@pytest.fixture(scope="module")
def laid():
    """The demo's leather as a drag shows it."""
    demo, updates = SCANS[0], []
    path = Path(str(files("cli.meshes") / demo.file))
    Stages().run(WorkRequest(job_from(demo.text, name=demo.job), path, 1, fine=False), updates.append)
    return next(item.laid for item in updates if isinstance(item, LeatherLaid))


@pytest.mark.parametrize(("mirrored", "sign"), [(False, 1.0), (True, -1.0)])
def test_leather_lies_flat_as_it_is_seen_on_the_limb(laid, mirrored, sign):
    arrays = unpacked(display.leather_payload(laid, mirrored=mirrored))
    (height, bearing), (across, up) = arrays["chart0"].T, arrays["flat0"].T
    # Seen from the front, bearings grow to the right, and on a mirrored limb to the left; heights always upwards.
    assert sign * np.corrcoef(bearing, across)[0, 1] > 0.9
    assert np.corrcoef(height, up)[0, 1] > 0.9
    assert abs((height - up).mean()) < 1.0
