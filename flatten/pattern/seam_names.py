"""What a seam is called to a person: one named as a side of a leg by the limb's own word for the side it lies on."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from flatten.limb.kind import QUARTERS, LimbKind
from flatten.worn.panel import Panel


def seam_bearing(name: str, panels: Iterable[Panel]) -> float | None:
    """The bearing (rad) half-way between both cut edges of a seam, the short way round; None where no two are there."""
    edges = {
        edge.side: float(panel.bearings[edge.vertices].mean())
        for panel in panels
        for edge in panel.boundaries
        if edge.name == name and edge.kind != "edge"
    }
    if len(edges) < 2:
        return None
    own, mate = edges.values()
    return own - 0.5 * float(np.mod(own - mate + np.pi, 2 * np.pi) - np.pi)


def called_seam(name: str, *, kind: LimbKind, panels: Iterable[Panel]) -> str:
    """The key of a seam's name: the side of the limb that it lies on where the job names it as a side of a leg and the
    limb has words of its own for its sides; else the name itself."""
    if name not in QUARTERS or kind.sides == QUARTERS:
        return name
    bearing = seam_bearing(name, panels)
    return name if bearing is None else kind.side_at(bearing)
