"""The whole front end, from a scan's file to the fitted limb, beside what only loading its triangles takes."""

import re
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
import trimesh

from flatten.limb.find import find_limb
from flatten.scan.read import read_scan
from tests.bench.timing import least_seconds
from tests.scan import scan_files as files

pytestmark = pytest.mark.bench

SCANS = Path(__file__).parent.parent / "data" / "scans"

PEAK = r"""
import re, sys
from pathlib import Path
from flatten.limb.find import find_limb
from flatten.scan.read import read_scan
find_limb(read_scan(sys.argv[1], unit="mm"), kind="lower leg", side="left")
print(re.search(r"VmHWM:\s*(\d+) kB", Path("/proc/self/status").read_text("ascii"))[1])
"""


def front_end(path):
    return find_limb(read_scan(path, unit="mm"), kind="lower leg", side="left")


def finer(path, *, times):
    """A scan of the clean leg with each of its 50 thousand triangles parted in four, `times` over; noisy, with its
    triangles welded, as binary PLY."""
    mesh = trimesh.load_mesh(SCANS / "leg_a_clean.ply")
    vertices, faces = np.array(mesh.vertices), np.array(mesh.faces)
    for _ in range(times):
        vertices, faces = trimesh.remesh.subdivide(vertices, faces)
    noise = np.random.default_rng(0).normal(0, 0.2, vertices.shape)
    path.write_bytes(files.ply_bytes(vertices + noise, faces))
    return len(faces)


def test_fifty_thousand_faces_cost_a_few_loadings_of_their_text(tmp_path):
    path, text = tmp_path / "leg.ply", tmp_path / "leg.obj"
    count = finer(path, times=0)
    mesh = trimesh.load_mesh(path)
    text.write_bytes(files.obj_bytes(np.array(mesh.vertices), np.array(mesh.faces)))
    loading, whole = least_seconds(lambda: trimesh.load_mesh(text)), least_seconds(lambda: front_end(path))
    print(f"\n{count} faces: text {loading:.2f} s, front end {whole:.2f} s CPU, {whole / loading:.1f} times")
    # 0.6 s on a machine that loads this text in 0.08 s.
    assert whole < 7.5 * loading


def test_eight_hundred_thousand_faces_cost_six_loadings_at_most(tmp_path):
    path = tmp_path / "leg.ply"
    count = finer(path, times=2)
    loading, whole = least_seconds(lambda: trimesh.load_mesh(path)), least_seconds(lambda: front_end(path))
    told = subprocess.run([sys.executable, "-c", PEAK, str(path)], capture_output=True, text=True, check=True)
    peak = int(re.search(r"\d+", told.stdout)[0]) * 1024 / 1e6
    print(f"\n{count} faces: {loading:.2f} s, front end {whole:.2f} s, {whole / loading:.1f} times; {peak:.0f} MB")
    assert whole < 6 * loading
    assert peak < 900
