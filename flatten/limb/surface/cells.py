"""Points about a limb's centre, averaged in small cells."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from flatten.mesh.surface import Floats, Ints

TALL = 2.0
"""mm. Height of the cells in which points are averaged: a third of the finest knot spacing."""

AROUND = 144
"""Cells round the limb: three for each of the finest bearing columns, 2 to 4 mm wide."""

THICK = 2.0
"""mm. Depth of the cells, so that cloth and skin at one place are never averaged with each other."""

DEPTHS = 4096
"""Cells from the centre outwards: 8 m, and what lies beyond is in the last."""


@dataclass(frozen=True, eq=False)
class Polar:
    """Points about the centre: heights, bearings and radii (N,)."""

    heights: Floats
    bearings: Floats
    radii: Floats


@dataclass(frozen=True, eq=False)
class Cells:
    """Means of points about the centre: heights, bearings, radii and how many points each stands for, (M,) each.

    `cell` (N,) is the cell of each point.
    """

    heights: Floats
    bearings: Floats
    radii: Floats
    counts: Floats
    cell: Ints


def averaged(points: Polar) -> Cells:
    """Points averaged in cells of TALL by a part of AROUND by THICK, each as heavy as what it holds."""
    keys = np.floor((points.heights - points.heights.min()) / TALL).astype(np.int64)
    keys = keys * AROUND + np.floor((points.bearings / (2 * np.pi) + 0.5) * AROUND).astype(np.int64)
    keys = keys * DEPTHS + np.minimum(np.floor(points.radii / THICK).astype(np.int64), DEPTHS - 1)
    order = np.argsort(keys)
    first = np.diff(keys[order], prepend=-1) != 0
    starts = np.flatnonzero(first)
    counts = np.diff(starts, append=len(keys)).astype(float)
    heights, bearings, radii = (
        np.add.reduceat(each[order], starts) / counts for each in (points.heights, points.bearings, points.radii)
    )
    cell = np.empty(len(keys), np.int64)
    cell[order] = np.cumsum(first) - 1
    return Cells(heights, bearings, radii, counts, cell)


def freed_of_curvature(cells: Cells, points: Polar, *, at_points: Floats, at_cells: Floats) -> Cells:
    """The cells with their radii at their mean places, where a surface near them has the values that are given.

    The mean of radii is not the radius at the mean place: a bend r'' adds r''/2 times the variance of the places.
    What is left of the points over a surface that bends alike has no such error.
    """
    over = np.bincount(cells.cell, points.radii - at_points, len(cells.counts)) / cells.counts
    return replace(cells, radii=at_cells + over)
