"""Waves in a flat edge that the worn edge has not: where leather is at its limits all along it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.signal import savgol_filter

from flatten.mesh.angles import angle_sums
from flatten.mesh.surface import Floats
from flatten.tolerances import CUT_LINE
from flatten.unwrap.model import FlatPanel
from flatten.worn.panel import Boundary

SEEN = 2.0 * CUT_LINE
"""mm. Waves from which on no smooth line is within a cut line's tolerance of crest and trough alike."""

WINDOW = 60.0
"""mm of an edge over which it is held against a fair curve: the waves of a lip that asks too much are this long, and a
knife's sweep is longer."""

_STEP = 2.0
"""mm between the places that are compared: below the edges of the finest mesh."""


@dataclass(frozen=True)
class Wave:
    """Where the flat edge called `edge` leaves a fair curve most: by `size` mm, at a place of the limb (mm, rad)."""

    edge: str
    size: float
    height: float
    bearing: float


def waves_of(flat: FlatPanel) -> tuple[Wave, ...]:
    """The waves of a flat panel's edges, one at most for each edge, none where they are below SEEN.

    A flat edge turns at each vertex by what the worn one turns (π less the angles of its faces there), and by what the
    stretch beside it adds. Only the latter is laid out here, as heights over the edge's length, and held against the
    parabola that fits best within WINDOW about each place (Savitzky and Golay, Analytical Chemistry 36, 1964; from
    memory): so an edge's own shape is no wave. Its ends, half a window long, are left out.

    Where leather can keep to its limits it grows smoothly and so does its edge. Where it cannot, both stretches of
    every face near the edge stand at their bounds; what is left free is which way they point, and the edge kinks
    wherever that changes.
    """
    mesh = flat.panel.mesh
    turns = angle_sums(mesh.vertices, mesh.faces) - angle_sums(flat.uv, mesh.faces)
    found: dict[str, Wave] = {}
    for boundary in flat.panel.boundaries:
        if boundary.kind != "edge":
            continue
        wave = _wave(flat, boundary, turns[boundary.vertices])
        if wave is not None and wave.size > max(SEEN, found[wave.edge].size if wave.edge in found else 0.0):
            found[wave.edge] = wave
    return tuple(found.values())


def _wave(flat: FlatPanel, boundary: Boundary, turns: Floats) -> Wave | None:
    """Where a boundary leaves a fair curve most; None where it is shorter than a window."""
    steps = np.linalg.norm(np.diff(flat.uv[boundary.vertices], axis=0), axis=1)
    run = np.concatenate([[0.0], np.cumsum(steps)])
    if run[-1] <= WINDOW + _STEP:
        return None
    heading = np.cumsum(turns[1:-1])
    laid = np.concatenate([[0.0, 0.0], np.cumsum(heading * steps[1:])])
    places = np.arange(0.0, run[-1], _STEP)
    heights = np.interp(places, run, laid)
    half = round(0.5 * WINDOW / _STEP)
    off = np.abs(heights - savgol_filter(heights, 2 * half + 1, 2))[half:-half]
    at = int(off.argmax())
    vertex = boundary.vertices[int(np.abs(run - places[half + at]).argmin())]
    return Wave(boundary.name, float(off[at]), float(flat.panel.heights[vertex]), float(flat.panel.bearings[vertex]))
