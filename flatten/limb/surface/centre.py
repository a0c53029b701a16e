"""The smooth centre line that a limb's radius is measured from."""

from __future__ import annotations

import numpy as np
from scipy.interpolate import BSpline
from scipy.linalg import lstsq, solve

from flatten.limb.surface.model import DEGREE
from flatten.mesh.surface import Floats, Ints

CENTRE_SMOOTHING = 40.0
"""mm. The centre line follows bends of the limb (250 mm and longer) and not its bulges, so that the bearing
lines on the surface stay straight."""

SLAB = 10.0
"""mm. Sections are judged in slabs of this height: a knot spacing, with hundreds of points of any scan."""

SECTORS = 36
"""Sectors of a section whose median radii give its area centroid, whatever the density of points round it."""

ROUNDS = 4
"""Each round takes off about nine tenths of the centroid's error (a circle's own error is of second order)."""


def cell_medians(cells: Ints, values: Floats, count: int) -> Floats:
    """Median (count,) of the values of each cell; nan where a cell has none."""
    # One sort by cell + value in [0, 1) is much faster than one by two keys; 52 bits hold both to 1e-9 mm.
    low, span = (float(values.min()), float(np.ptp(values))) if len(values) else (0.0, 0.0)
    ordered = values[np.argsort(cells + (values - low) / (2 * span if span > 0 else 1.0))]
    sizes = np.bincount(cells, minlength=count)
    starts = np.concatenate([[0], np.cumsum(sizes)[:-1]])
    filled = sizes > 0
    medians = np.full(count, np.nan)
    before, after = starts + (sizes - 1) // 2, starts + sizes // 2
    medians[filled] = (ordered[before[filled]] + ordered[after[filled]]) / 2
    return medians


def centre_coefficients(points: Floats, knots: Floats) -> Floats:
    """Coefficients (nh, 2) over cubic height `knots` of the smooth line through the sections' area centroids.

    `points` (N,3) limb coordinates, all within the knots' range, about evenly dense along the limb. Sectors
    without points are bridged from their neighbours; a slab weighs as much as the share of it that is seen.
    """
    low, high = knots[0], knots[-1]
    slabs = max(2, round((high - low) / SLAB))
    slab = np.minimum(((points[:, 2] - low) / (high - low) * slabs).astype(np.int64), slabs - 1)
    middles = low + (np.arange(slabs) + 0.5) * (high - low) / slabs
    medians = np.stack([cell_medians(slab, points[:, axis], slabs) for axis in range(2)], axis=1)
    seen = np.isfinite(medians[:, 0])
    coefficients = _smooth_line(middles[seen], medians[seen], np.ones(seen.sum()), knots)
    for _ in range(ROUNDS):
        line = BSpline(knots, coefficients, DEGREE)
        offset = points[:, :2] - line(points[:, 2])
        bearing = np.arctan2(offset[:, 1], offset[:, 0])
        sector = np.minimum(((bearing / (2 * np.pi) + 0.5) * SECTORS).astype(np.int64), SECTORS - 1)
        radii = cell_medians(slab * SECTORS + sector, np.hypot(*offset.T), slabs * SECTORS).reshape(slabs, SECTORS)
        shift, _, share = section_centroids(radii)
        coefficients = _smooth_line(middles, line(middles) + np.nan_to_num(shift), share, knots)
    return coefficients


def projected(line: BSpline, knots: Floats) -> Floats:
    """Coefficients (nh, 2) over `knots` nearest to another centre line; exact where the knots refine its own."""
    at = np.linspace(knots[0], knots[-1], 8 * len(knots))
    matrix = BSpline.design_matrix(at, knots, DEGREE).toarray()
    return np.asarray(lstsq(matrix, line(at))[0], dtype=np.float64)


def section_centroids(radii: Floats) -> tuple[Floats, Floats, Floats]:
    """Of sections of sector radii (m, k): area centroid (m,2), mean radius (m,), share of the sectors seen (m,).

    Sector j is centred on bearing 2π(j + ½)/k − π; a sector without a radius (nan) is bridged from its neighbours.
    A section without any is nan.
    """
    count = radii.shape[1]
    sectors = np.arange(count)
    turn = (sectors + 0.5) * (2 * np.pi / count) - np.pi
    full = radii.copy()
    seen = np.isfinite(radii)
    for row in np.flatnonzero(seen.any(axis=1) & ~seen.all(axis=1)):
        full[row] = np.interp(sectors, sectors[seen[row]], radii[row, seen[row]], period=count)
    moment = np.stack([np.mean(full**3 * np.cos(turn), axis=1), np.mean(full**3 * np.sin(turn), axis=1)], axis=1)
    square = np.mean(full**2, axis=1)[:, None]
    shift = np.divide(moment * (2 / 3), square, out=np.zeros_like(moment), where=square > 0)
    return np.where(np.isnan(square), np.nan, shift), full.mean(axis=1), seen.mean(axis=1)


def _smooth_line(at: Floats, values: Floats, weights: Floats, knots: Floats) -> Floats:
    matrix = BSpline.design_matrix(at, knots, DEGREE).toarray()
    step = (knots[-1] - knots[0]) / len(at)
    nodes = np.linspace(knots[0], knots[-1], 4 * len(knots))
    bend = BSpline(knots, np.eye(len(knots) - DEGREE - 1), DEGREE)(nodes, nu=2)
    energy = bend.T @ bend * (nodes[1] - nodes[0])
    normal = step * (matrix.T * weights) @ matrix + CENTRE_SMOOTHING**4 * energy
    return solve(normal, step * (matrix.T * weights) @ values, assume_a="pos")
