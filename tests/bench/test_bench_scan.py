"""Speed and memory of reading a scan, beside the time that only loading the file takes."""

import subprocess
import sys

import pytest

from flatten.scan.load import load
from flatten.scan.read import read_scan
from tests.bench.timing import least_seconds, yardstick_seconds
from tests.scan import scan_files as files

pytestmark = pytest.mark.bench

# ru_maxrss of a child starts at its parent's.
PEAK = r"""
import re, sys
from pathlib import Path
from flatten.scan.read import read_scan
read_scan(sys.argv[1], unit="mm")
print(re.search(r"VmHWM:\s*(\d+) kB", Path("/proc/self/status").read_text("ascii"))[1])
"""


@pytest.mark.parametrize("name", ["little.ply", "limb.obj", "limb.stl"])
def test_fifty_thousand_faces_are_cleaned_in_four_yardsticks(tmp_path, name):
    path = tmp_path / name
    path.write_bytes(files.WRITERS[name](*files.tube(columns=250, rows=100)))
    loading, reading = least_seconds(lambda: load(path)), least_seconds(lambda: read_scan(path, unit="mm"))
    unit = yardstick_seconds()
    print(f"{name}: loading {loading:.3f} s, cleaning {(reading - loading) / unit:.1f} yardsticks")
    # 1.5 to 3.1 of them.
    assert reading - loading < 4.0 * unit


@pytest.mark.parametrize(
    ("name", "most", "most_mb"), [("little.ply", 50, 570), ("limb.obj", 65, 590), ("limb.stl", 75, 850)]
)
def test_a_million_faces_take_little_more_than_their_loading_and_little_memory(tmp_path, name, most, most_mb):
    path = tmp_path / name
    path.write_bytes(files.WRITERS[name](*files.tube(columns=1000, rows=500)))
    loading, reading = least_seconds(lambda: load(path)), least_seconds(lambda: read_scan(path, unit="mm"))
    told = subprocess.run([sys.executable, "-c", PEAK, str(path)], capture_output=True, text=True, check=True)
    peak, unit = int(told.stdout) * 1024 / 1e6, yardstick_seconds()
    print(f"{name}: loading {loading:.2f} s, cleaning {(reading - loading) / unit:.1f} yardsticks, peak {peak:.0f} MB")
    # 32 to 38 yardsticks and 440 MB, 37 to 50 and 452, 46 to 57 and 656.
    assert reading - loading < most * unit
    assert peak < most_mb
