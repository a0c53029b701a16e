"""The lines of a job on the worn limb, and the places that clicks are read from."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from cli.page.dart import dart_line
from cli.page.known import SessionState
from cli.page.plate import plate_lines
from flatten.job.resolve import resolve
from flatten.job.settings import EdgeHeights, Job
from flatten.limb.kind import QUARTERS
from flatten.limb.surface.model import LimbSurface
from flatten.mesh.surface import Floats
from flatten.worn.curves import Edge, Seam

AROUND = 120
"""Points that an edge is drawn by: 3 mm apart on a calf."""

UP = 60
"""Points that a seam is drawn by."""


def curves(current: SessionState, job: Job) -> dict[str, Any] | None:
    """The lines of a job (edges, seams, darts, plates) on the worn surface, limb coordinates in mm, with the points
    that shape them.

    Raises CutError where a line cannot be.
    """
    if current.limb is None or current.worn is None:
        return None
    surface = current.worn.surface
    design = resolve(job, current.limb.limb, skin=current.limb.skin)
    return {
        "top": _edge(surface, design.cuts.top, job.edges.top),
        "bottom": _edge(surface, design.cuts.bottom, job.edges.bottom),
        "seams": [
            _seam(surface, seam, given.along, *design.cuts.edges)
            for seam, given in zip(design.cuts.seams, job.seam, strict=True)
        ],
        "darts": [
            dart_line(surface, dart, design.cuts.top if dart.edge == "top" else design.cuts.bottom)
            for dart in design.cuts.darts
        ],
        "plates": [
            line
            for plate in job.plate
            for line in plate_lines(surface, plate, top=design.cuts.top, bottom=design.cuts.bottom)
        ],
    }


def _edge(surface: LimbSurface, edge: Edge, given: EdgeHeights) -> dict[str, Any]:
    around = np.linspace(0.0, 2 * np.pi, AROUND + 1)
    quarters = [None] * len(edge.heights) if given.points else list(QUARTERS)
    handles = [
        {
            "quarter": quarter,
            "height": height,
            "bearing": float(np.degrees(bearing)),
            "auto": quarter is not None and getattr(given, quarter) is None,
            "at": _at(surface, np.array([height]), np.array([bearing]))[0],
        }
        for quarter, height, bearing in zip(quarters, edge.heights.tolist(), edge.bearings, strict=True)
    ]
    return {"points": _at(surface, edge.height(around), around), "handles": handles}


def _seam(surface: LimbSurface, seam: Seam, along: Any, bottom: Edge, top: Edge) -> dict[str, Any]:
    low, high = surface.trusted
    around = np.linspace(0.0, 2 * np.pi, AROUND)
    if isinstance(along, tuple):
        low, high = max(low, float(seam.heights[0])), min(high, float(seam.heights[-1]))
        handles = [
            {"bearing": bearing, "height": height, "at": _at(surface, np.array([height]), np.radians([bearing]))[0]}
            for bearing, height in sorted(along, key=lambda point: point[1])
        ]
    else:
        low = max(low, float(bottom.height(around).min()) - 10.0)
        high = min(high, float(top.height(around).max()) + 10.0)
        handles = []
    heights = np.linspace(low, high, UP)
    return {"name": seam.name, "points": _at(surface, heights, seam.bearing(heights)), "handles": handles}


def _at(surface: LimbSurface, heights: Floats, bearings: Floats) -> list[list[float]]:
    inside = np.clip(heights, *surface.trusted)
    return np.round(surface.points(inside, bearings), 2).tolist()


def grid(surface: LimbSurface) -> tuple[Floats, Floats]:
    """Points (n, m, 3) of a surface and their chart (n, m, 2), closed round the limb: what clicks are read from."""
    low, high = surface.trusted
    heights = np.linspace(low, high, max(2, math.ceil((high - low) / 5.0)))
    bearings = np.linspace(-np.pi, np.pi, 97)
    chart = np.stack(np.meshgrid(heights, bearings, indexing="ij"), axis=-1)
    return surface.points(chart[..., 0], chart[..., 1]), chart
