"""The whole front end, from a scan's file to all that `calfskin measure` tells, beside loading its triangles alone."""

import re
import subprocess
import sys
from pathlib import Path

import pytest
import trimesh

from flatten.job.text import job_of
from flatten.limb.girths.girth import girth_table
from flatten.measuring import measure
from flatten.report.messages import joint_messages
from flatten.report.scanpicture import bridge_messages
from flatten.words.say import texts
from tests.bench.big_scan import leg_on_a_floor
from tests.bench.timing import least_seconds

pytestmark = pytest.mark.bench

PEAK = r"""
import re, sys
from pathlib import Path
from tests.bench.test_bench_front import told
told(Path(sys.argv[1]))
print(re.search(r"VmHWM:\s*(\d+) kB", Path("/proc/self/status").read_text("ascii"))[1])
"""


def told(path):
    """What `calfskin measure` finds in a scan and says of it."""
    scan = {"file": path.name, "unit": "mm", "limb": "lower leg", "side": "left"}
    found = measure(job_of({"scan": scan}, name="bench").scan, folder=path.parent, announce=lambda step: None)
    sentences = texts((*found.findings, *joint_messages(found.limb), *bridge_messages(found.limb, found.skin)))
    return girth_table(found.limb, found.skin), sentences


def test_fifty_thousand_faces_cost_a_few_loadings_of_their_text(tmp_path):
    path, text = tmp_path / "leg.ply", tmp_path / "leg.obj"
    # No triangle of the leg is so wide that it is parted; 5 thousand of the floor and the crumbs come to its 48.
    count = leg_on_a_floor(path, near=40.0, far=40.0)
    trimesh.load_mesh(path).export(text)
    loading, whole = least_seconds(lambda: trimesh.load_mesh(text)), least_seconds(lambda: told(path))
    print(f"\n{count} faces: text {loading:.2f} s, front end {whole:.2f} s CPU, {whole / loading:.1f} times")
    # 0.6 s on a machine that loads this text in 0.08 s.
    assert whole < 7.5 * loading


def test_a_million_faces_cost_six_loadings_at_most(tmp_path):
    path = tmp_path / "leg.ply"
    count = leg_on_a_floor(path, near=0.9, far=2.5)
    assert count >= 1_000_000
    loading, whole = least_seconds(lambda: trimesh.load_mesh(path)), least_seconds(lambda: told(path))
    here = Path(__file__).parent.parent.parent
    spoken = subprocess.run(
        [sys.executable, "-c", PEAK, str(path)], capture_output=True, text=True, check=True, cwd=here
    )
    peak = int(re.search(r"\d+", spoken.stdout)[0]) * 1024 / 1e6
    print(f"\n{count} faces: {loading:.2f} s, front end {whole:.2f} s, {whole / loading:.1f} times; {peak:.0f} MB")
    assert whole < 6 * loading
    # 559 MB.
    assert peak < 730
