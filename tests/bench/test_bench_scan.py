"""Speed and memory of reading a scan, beside the time that only loading the file takes."""

import subprocess
import sys
import time

import pytest

from flatten.scan.load import load
from flatten.scan.read import read_scan
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


def best_of_three(work):
    times = []
    for _ in range(3):
        start = time.process_time()
        work()
        times.append(time.process_time() - start)
    return min(times)


@pytest.mark.parametrize("name", ["little.ply", "limb.obj", "limb.stl"])
def test_fifty_thousand_faces_are_cleaned_in_a_third_of_a_second(tmp_path, name, record_property):
    path = tmp_path / name
    path.write_bytes(files.WRITERS[name](*files.tube(columns=250, rows=100)))
    loading, reading = best_of_three(lambda: load(path)), best_of_three(lambda: read_scan(path, unit="mm"))
    record_property("seconds", (loading, reading))
    print(f"{name}: loading {loading:.3f} s, reading {reading:.3f} s CPU")
    assert reading - loading < 0.3


@pytest.mark.parametrize("name", ["little.ply", "limb.obj", "limb.stl"])
def test_a_million_faces_take_seconds_and_stay_below_900_megabytes(tmp_path, name):
    path = tmp_path / name
    path.write_bytes(files.WRITERS[name](*files.tube(columns=1000, rows=500)))
    loading, reading = best_of_three(lambda: load(path)), best_of_three(lambda: read_scan(path, unit="mm"))
    told = subprocess.run([sys.executable, "-c", PEAK, str(path)], capture_output=True, text=True, check=True)
    peak = int(told.stdout) * 1024 / 1e6
    print(f"{name}: loading {loading:.2f} s, reading {reading:.2f} s CPU, peak {peak:.0f} MB")
    assert peak < 900
    # A text file takes longer to load than to clean; a binary one is loaded in no time.
    assert reading < (4 * loading if name == "limb.obj" else 4.0)
