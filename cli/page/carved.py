"""What is carved of a limb's pieces, as lines for the eye: on the flat pieces as they are shown, and on the limb."""

from __future__ import annotations

import numpy as np
import shapely

from cli.page.payload import packed
from flatten.mesh.surface import Floats
from flatten.ornament.result import Ornament
from flatten.report.model import LimbReport
from flatten.report.ornaments import carved_lines

FINE = 0.15
"""mm that a shown line may lie off the carved one: less than half a pixel of the largest screen."""


def carved_payload(limb: LimbReport) -> bytes:
    """The carved lines of a limb's pieces, empty where there is none.

    `flat` (N,2), mm as the leather is shown, and `worn` (N,3), limb coordinates, are the lines' points one line after
    another, `starts` (L,) the number of each line's first point, `panels` (L,) the panel that it lies on.
    """
    drawn = [(each, run) for each in limb.ornaments for run in _runs(each)]
    if not drawn:
        return b""
    flat = [run + np.array([0.0, _lift(limb, each.panel)]) for each, run in drawn]
    worn = [points for each in limb.ornaments for points in _carried(each)]
    counts = [len(run) for run in flat]
    arrays = {
        "flat": np.concatenate(flat),
        "worn": np.concatenate(worn),
        "starts": np.cumsum([0, *counts[:-1]]),
        "panels": np.array([each.panel for each, _ in drawn]),
    }
    return packed({}, arrays)


def _runs(ornament: Ornament) -> list[Floats]:
    lines = shapely.simplify([shapely.LineString(points) for points in carved_lines(ornament)], FINE)
    return [shapely.get_coordinates(line) for line in lines]


def _carried(ornament: Ornament) -> list[Floats]:
    """The same lines on the worn grain side; all at once: to find them on the mesh takes longest."""
    runs = _runs(ornament)
    if not runs:
        return []
    there = ornament.face.carried(np.concatenate(runs))
    return list(np.split(there, np.cumsum([len(run) for run in runs])[:-1]))


def _lift(limb: LimbReport, panel: int) -> float:
    """mm by which a flat piece is shown higher than it lies, so that it lies beside its heights on the limb."""
    flat = limb.panels[panel].flat
    return float((flat.panel.heights - flat.uv[:, 1]).mean())
