"""Where a layer of an overlap has the other layer's edge above or beneath it."""

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
    boundaries = flats[number].panel.boundaries
    lines = (other_edge(flats, number, own, uv) for own in boundaries if own.layer == "lower")
    return tuple(line for found in lines for line in found)


def other_edge(flats: Sequence[FlatPanel], number: int, own: Boundary, uv: Floats) -> tuple[Floats, ...]:
    """Polylines (k,2) on flat panel `number`, at `uv` (V,2): the other layer's cut line at the overlap of `own`.

    A skived overlap is skived from there to the boundary `own`.
    """
    panel = flats[number].panel
    over, other = _mate(flats, own)
    ahead = panel.bearings - _cut_bearing(over, other, panel.heights)
    return isolines(uv, panel.mesh.faces, ahead, _turn(panel, own, over, other))


def _mate(flats: Sequence[FlatPanel], own: Boundary) -> tuple[Panel, Boundary]:
    """The panel and the boundary that lie on a lower one, or beneath an upper one."""
    return next(
        (flat.panel, boundary)
        for flat in flats
        for boundary in flat.panel.boundaries
        if boundary.name == own.name and boundary.layer and boundary.layer != own.layer
    )


def _cut_bearing(panel: Panel, boundary: Boundary, heights: Floats) -> Floats:
    """Bearings (N,) of a seam's boundary at `heights` (N,); beyond its ends those of its ends."""
    order = np.argsort(panel.heights[boundary.vertices])
    return np.interp(heights, panel.heights[boundary.vertices][order], panel.bearings[boundary.vertices][order])


def _turn(panel: Panel, own: Boundary, over: Panel, other: Boundary) -> float:
    """rad, whole turns, by which a panel counts the bearing of a seam further on than its mate's panel does."""
    apart = panel.bearings[own.line].mean() - over.bearings[other.line].mean()
    return 2 * np.pi * float(np.round(apart / (2 * np.pi)))
