"""Processor time of fitting a limb surface and of finding a limb in a scan."""

from pathlib import Path

import numpy as np
import pytest

from flatten.limb.find import find_limb
from flatten.limb.kind import kind_named
from flatten.limb.surface.fit import fit_surface
from flatten.scan.read import read_scan
from tests.bench.timing import least_seconds, yardstick_seconds

SCANS = Path(__file__).parent.parent / "data" / "scans"


def limb_points(count):
    index = np.arange(count)
    heights = (index + 0.5) / count * 400
    bearings = 2 * np.pi * np.mod(index * (np.sqrt(5) - 1) / 2, 1.0)
    radii = 50 + 15 * np.sin(heights / 100) + 4 * np.cos(2 * bearings)
    return np.column_stack([radii * np.cos(bearings), radii * np.sin(bearings), heights])


@pytest.mark.bench
@pytest.mark.parametrize(("count", "most"), [(50_000, 10.0), (1_000_000, 52.0)])
def test_a_surface_is_fitted_in_time(count, most):
    points = limb_points(count)
    taken, unit = least_seconds(lambda: fit_surface(points, heights=(0.0, 400.0))), yardstick_seconds()
    print(f"\nfit of {count} points: {taken:.3f} s, {taken / unit:.1f} yardsticks")
    # 6.0 to 7.7 of them, and 32 to 40.
    assert taken < most * unit


@pytest.mark.bench
@pytest.mark.parametrize(
    ("name", "kind", "most"), [("leg_a_clean.ply", "lower leg", 21.0), ("forearm_b_phone.ply", "forearm", 14.0)]
)
def test_a_limb_is_found_in_time(name, kind, most):
    scan = read_scan(SCANS / name, unit="mm")
    taken, unit = least_seconds(lambda: find_limb(scan, kind=kind_named(kind), side="left")), yardstick_seconds()
    print(f"\n{name}: {taken:.3f} s, {taken / unit:.1f} yardsticks")
    # 13.4 to 16.3 of them, and 8.8 to 10.8.
    assert taken < most * unit
