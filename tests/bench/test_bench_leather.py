import numpy as np
import pytest

from flatten.leather.limits import PRESETS
from flatten.leather.stretch import stretch_report
from flatten.limb.kind import LOWER_LEG
from flatten.mesh.surface import Mesh
from flatten.unwrap.model import FlatPanel
from flatten.worn.panel import Panel
from tests.bench.timing import least_seconds, yardstick_seconds


@pytest.mark.bench
def test_the_stretch_of_fifteen_thousand_faces_is_told_in_a_few_yardsticks():
    columns, rows, edge = 100, 75, 3.0
    x, y = np.meshgrid(np.arange(columns + 1) * edge, np.arange(rows + 1) * edge)
    uv = np.stack([x.ravel(), y.ravel()], axis=1)
    first = (np.arange(columns)[None] + (columns + 1) * np.arange(rows)[:, None]).ravel()
    up = first + columns + 1
    faces = np.concatenate([np.stack([first, first + 1, up + 1], 1), np.stack([first, up + 1, up], 1)])
    worn = np.column_stack([1.03 * uv[:, 0], 0.002 * uv[:, 0] ** 2, uv[:, 1]])
    panel = Panel("leg", Mesh(worn, faces), uv[:, 1], uv[:, 0] / 50.0, ())
    flat = FlatPanel(panel, uv, np.pi / 2, 4.0, 1, True, 0.0, 0.0, 0.0, 0)

    def report():
        return stretch_report(flat, kind=LOWER_LEG, limits=PRESETS["cased"])

    assert len(report().over) == 15_000
    taken, unit = least_seconds(report), yardstick_seconds()
    print(f"\nstretch of 15 000 faces: {taken:.3f} s, {taken / unit:.1f} yardsticks")
    # 2.2 of them.
    assert taken < 2.9 * unit
