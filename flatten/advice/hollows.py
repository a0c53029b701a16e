"""Where along its edges a panel bulges or is hollow: the places where a dart or a slash can help."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy.spatial import cKDTree

from flatten.mesh.angles import angle_sums
from flatten.mesh.surface import Floats, Ints
from flatten.unwrap.model import FlatPanel

BAND = 70.0
"""mm of height from an edge over which its curvature is gathered: what a dart of that depth can relieve."""

WINDOW = np.radians(25.0)
"""Half the width, in bearing, over which curvature is gathered for one cut."""

_STEP = 5


@dataclass(frozen=True)
class Hollow:
    """A place on an edge ("top", "bottom") at a bearing (whole degrees), and the curvature gathered there, rad.

    `lace` is how far (mm, straight) the nearest side lies that lacing or straps pull at; infinite where none does.
    Above 0 it bulges, and a dart there opens by about that angle when flat; below 0 it is a saddle, and a slit's
    sides would lie one over the other by as much (Gauss and Bonnet).
    """

    edge: str
    bearing_deg: int
    turning: float
    lace: float


def hollows_of(flat: FlatPanel, *, clear: float = 0.0) -> tuple[Hollow, ...]:
    """Each edge's place of greatest bulge and of greatest saddle, as far from the cut sides as a dart must be, and at
    least `clear` mm from those that are pulled at."""
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
        laces = _pulled_at(flat, edge, np.radians(places))
        there = np.flatnonzero(laces >= clear)
        sums = np.array(
            [defects[near & (np.abs(panel.bearings - b) < WINDOW)].sum() for b in np.radians(places[there])]
        )
        if len(sums):
            found += [
                Hollow(edge, int(places[there[at]]), float(sums[at]), float(laces[there[at]]))
                for at in (sums.argmax(), sums.argmin())
            ]
    return tuple(found)


def _pulled_at(flat: FlatPanel, edge: str, bearings: Floats) -> Floats:
    """Distance (n,), mm straight, from places on an edge to the nearest side of the panel that is laced or strapped."""
    panel = flat.panel
    sides = [boundary.vertices for boundary in panel.boundaries if boundary.kind in ("laced", "strapped")]
    if not sides or not len(bearings):
        return np.full(len(bearings), np.inf)
    line = _edge_line(flat, edge)
    at = np.column_stack([np.interp(bearings, panel.bearings[line], panel.mesh.vertices[line, k]) for k in range(3)])
    return np.asarray(cKDTree(panel.mesh.vertices[np.concatenate(sides)]).query(at)[0])


def _edge_line(flat: FlatPanel, edge: str) -> Ints:
    """The vertices of an edge, by rising bearing."""
    line = np.concatenate([b.vertices for b in flat.panel.boundaries if b.name == f"{edge} edge"])
    return line[np.argsort(flat.panel.bearings[line], kind="stable")]


def _in_band(flat: FlatPanel, edge: str) -> npt.NDArray[np.bool_]:
    """Which vertices (V,) lie within BAND of an edge, at their own bearing."""
    panel = flat.panel
    order = _edge_line(flat, edge)
    heights = np.interp(panel.bearings, panel.bearings[order], panel.heights[order])
    return np.asarray(np.abs(panel.heights - heights) < BAND)
