"""The straight line of the flat leather that grows most when it is worn: drawn on it, it tells what was survived."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from flatten.leather.aims import MOST
from flatten.leather.sighted import sighted_lines
from flatten.leather.tensors import grain_places, grain_tensors
from flatten.limb.surface.model import LimbSurface
from flatten.mesh.raster import rastered
from flatten.mesh.surface import Floats
from flatten.mesh.tracing import PlaneFaces, plane_faces, traced
from flatten.unwrap.model import FlatPanel

LENGTHS = (100.0, 50.0)
"""mm. The line's length, and what is taken where a panel does not hold it: a ruler reads 0.5 mm, 0.5 % of the first."""

CLEAR = 8.0
"""mm of leather beyond both of its ends: it does not run into the edge."""

PIXEL = 2.5
"""mm of the picture by which the line is sighted: 40 samples of it; its growth is then reckoned from face to face."""

STEPS = 20
"""Chords of the worn line on the flesh side: of 5 mm each, short of their arc by 0.03 % on a radius of 60 mm."""


@dataclass(frozen=True)
class TrialLine:
    """A line of `length` mm of flat leather: its `growth` (worn / flat) half-way through the leather, and `flesh`, mm,
    its length on the flesh side of the worn piece, where bending makes it shorter.

    `height` mm and `bearing` rad are its middle's; `up` is the share of it that leads up the limb: 1 straight up.
    """

    length: float
    growth: float
    flesh: float
    height: float
    bearing: float
    up: float


def trial_line(flat: FlatPanel, worn: LimbSurface, *, inward: float) -> TrialLine | None:
    """The line of LENGTHS that grows most of a flat panel; None where the panel holds none.

    `worn` is the neutral surface that the panel lies on, the flesh side `inward` mm inside it.

    Raises StretchError where the panel is not laid flat, DiskError where its faces do not meet two at an edge.
    """
    mesh, grain, tensors = flat.panel.mesh, grain_places(flat), grain_tensors(flat)
    plane = plane_faces(mesh, grain)
    for length in LENGTHS:
        whole = length + 2 * CLEAR
        # A line that is sighted by pixels may reach beyond the leather by one at each end.
        sighted = whole + 4 * PIXEL
        raster = rastered(grain, mesh.faces, pixel=PIXEL, margin=int(np.ceil(0.5 * sighted / PIXEL)))
        lines = sighted_lines(raster, tensors, [MOST], length=sighted)[MOST]
        if not len(lines.angles):
            continue
        reach = np.concatenate([lines.ways, -lines.ways])
        middles, faces = np.tile(lines.middles, (2, 1)), np.tile(lines.faces, 2)
        lengths, _ = traced(plane, faces, middles, 0.5 * length * reach, growth=tensors)
        _, ends = traced(plane, faces, middles, 0.5 * whole * reach, growth=tensors)
        growth = lengths.reshape(2, -1).sum(axis=0) / length
        growth[~(ends.reshape(2, -1) >= 0).all(axis=0)] = -np.inf
        best = int(growth.argmax())
        if not np.isfinite(growth[best]):
            continue
        steps = np.linspace(-0.5, 0.5, STEPS + 1)[:, None] * length * lines.ways[best]
        chart = _chart(flat, plane, grain, int(lines.faces[best]), lines.middles[best], steps)
        heights, bearings = chart.T
        points = worn.points(heights, bearings) - inward * worn.normals(heights, bearings)
        flesh = float(np.linalg.norm(np.diff(points, axis=0), axis=1).sum())
        middle = chart[STEPS // 2]
        up = abs(float(heights[-1] - heights[0])) / flesh
        return TrialLine(length, float(growth[best]), flesh, float(middle[0]), float(middle[1]), up)
    return None


def _chart(flat: FlatPanel, plane: PlaneFaces, grain: Floats, face: int, middle: Floats, steps: Floats) -> Floats:
    """Chart places (n,2) of the flat places that lie `steps` (n,2) from a middle on a face."""
    panel, count = flat.panel, len(steps)
    plain = np.tile([1.0, 1.0, 0.0], (len(panel.mesh.faces), 1))
    _, found = traced(plane, np.full(count, face), np.tile(middle, (count, 1)), steps, growth=plain)
    corners = panel.mesh.faces[found]
    a, b, c = (grain[corners[:, k]] for k in range(3))
    sides = np.stack([b - a, c - a], axis=-1)
    second, third = np.linalg.solve(sides, (middle + steps - a)[..., None])[..., 0].T
    weights = np.stack([1.0 - second - third, second, third], axis=1)
    chart = np.stack([panel.heights, panel.bearings], axis=-1)
    return np.einsum("nk,nkx->nx", weights, chart[corners])
