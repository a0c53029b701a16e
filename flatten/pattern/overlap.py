"""Where the edge of an upper layer lies on the lower layer beneath it."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from flatten.mesh.surface import Floats
from flatten.pattern.isoline import isolines
from flatten.unwrap.model import FlatPanel
from flatten.worn.panel import Boundary, Panel


def upper_edges(flats: Sequence[FlatPanel], number: int, uv: Floats) -> tuple[Floats, ...]:
    """Polylines (k,2) on flat panel `number`, whose vertices lie at `uv` (V,2): the cut lines of what lies on it.

    The upper layer's vertices have the chart coordinates of the places beneath them, so its cut line is a bearing by
    height there too. None where no seam of the panel has it beneath.
    """
    panel = flats[number].panel
    found: list[Floats] = []
    for lower in panel.boundaries:
        if lower.layer == "lower":
            over, upper = _mate(flats, lower)
            ahead = panel.bearings - _cut_bearing(over, upper, panel.heights)
            found += isolines(uv, panel.mesh.faces, ahead, _turn(panel, lower, over, upper))
    return tuple(found)


def _mate(flats: Sequence[FlatPanel], lower: Boundary) -> tuple[Panel, Boundary]:
    """The panel and the boundary that lie on a lower one."""
    return next(
        (flat.panel, boundary)
        for flat in flats
        for boundary in flat.panel.boundaries
        if boundary.name == lower.name and boundary.layer == "upper"
    )


def _cut_bearing(panel: Panel, boundary: Boundary, heights: Floats) -> Floats:
    """Bearings (N,) of a seam's boundary at `heights` (N,); beyond its ends those of its ends."""
    order = np.argsort(panel.heights[boundary.vertices])
    return np.interp(heights, panel.heights[boundary.vertices][order], panel.bearings[boundary.vertices][order])


def _turn(panel: Panel, lower: Boundary, over: Panel, upper: Boundary) -> float:
    """rad, whole turns, by which a panel counts the bearing of a seam further on than the panel over it does."""
    apart = panel.bearings[lower.line].mean() - over.bearings[upper.line].mean()
    return 2 * np.pi * float(np.round(apart / (2 * np.pi)))
