"""Where along its edges a panel bulges or is hollow: the places where a dart or a slash can help."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from flatten.mesh.angles import angle_sums
from flatten.unwrap.model import FlatPanel

BAND = 70.0
"""mm of height from an edge over which its curvature is gathered: what a dart of that depth can relieve."""

WINDOW = np.radians(25.0)
"""Half the width, in bearing, over which curvature is gathered for one cut."""

_STEP = 5


@dataclass(frozen=True)
class Hollow:
    """A place on an edge ("top", "bottom") at a bearing (whole degrees), and the curvature gathered there, rad.

    Above 0 it bulges, and a dart there opens by about that angle when flat; below 0 it is a saddle, and a slit's
    sides would lie one over the other by as much (Gauss and Bonnet).
    """

    edge: str
    bearing_deg: int
    turning: float


def hollows_of(flat: FlatPanel) -> tuple[Hollow, ...]:
    """Each edge's place of greatest bulge and of greatest saddle, as far from the cut sides as a dart must be."""
    panel = flat.panel
    defects = 2 * np.pi - angle_sums(panel.mesh.vertices, panel.mesh.faces)
    inner = np.ones(len(defects), bool)
    for boundary in panel.boundaries:
        inner[boundary.vertices] = False
    low, high = float(panel.bearings.min()), float(panel.bearings.max())
    places = np.arange(np.ceil(np.degrees(low + WINDOW) / _STEP), np.degrees(high - WINDOW) / _STEP) * _STEP
    found = []
    for edge in ("bottom", "top"):
        near = inner & _in_band(flat, edge)
        sums = np.array([defects[near & (np.abs(panel.bearings - b) < WINDOW)].sum() for b in np.radians(places)])
        if len(sums):
            found += [Hollow(edge, int(places[at]), float(sums[at])) for at in (sums.argmax(), sums.argmin())]
    return tuple(found)


def _in_band(flat: FlatPanel, edge: str) -> npt.NDArray[np.bool_]:
    """Which vertices (V,) lie within BAND of an edge, at their own bearing."""
    panel = flat.panel
    parts = [boundary.vertices for boundary in panel.boundaries if boundary.name == f"{edge} edge"]
    line = np.concatenate(parts)
    order = line[np.argsort(panel.bearings[line], kind="stable")]
    heights = np.interp(panel.bearings, panel.bearings[order], panel.heights[order])
    return np.asarray(np.abs(panel.heights - heights) < BAND)
