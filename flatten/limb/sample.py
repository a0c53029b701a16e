"""Points that lie evenly over a scan's surface, whatever its triangles are like."""

from __future__ import annotations

import numpy as np

from flatten.limb.model import LimbError
from flatten.mesh.surface import Floats
from flatten.scan.model import Scan

PLASTIC = 1.3247179572447460
"""The plastic number, real root of x³ = x + 1: its powers give the most even two-dimensional additive sequence
(M. Roberts, "The unreasonable effectiveness of quasirandom sequences", 2018)."""


def even_points(scan: Scan, *, count: int) -> Floats:
    """About `count` points (N,3) mm, evenly dense over the scan's faces; always the same ones.

    Long thin triangles get as many points as their area asks for. A point cloud is thinned to the means of equal
    cubes instead. Raises LimbError where the scan has neither faces with an area nor points.
    """
    if len(scan.faces) == 0:
        return _thinned(scan.points, count)
    a, b, c = (scan.points[scan.faces[:, corner]] for corner in range(3))
    areas = np.cumsum(np.linalg.norm(np.cross(b - a, c - a), axis=1))
    if not areas[-1] > 0:
        raise LimbError(f"the {len(scan.faces)} faces of the scan have no area; check the file")
    index = np.arange(count)
    face = np.searchsorted(areas, (index + 0.5) / count * areas[-1])
    u, v = np.mod((index + 1) / PLASTIC, 1.0), np.mod((index + 1) / PLASTIC**2, 1.0)
    outside = u + v > 1.0
    u, v = np.where(outside, 1 - u, u)[:, None], np.where(outside, 1 - v, v)[:, None]
    return a[face] + u * (b - a)[face] + v * (c - a)[face]


def _thinned(points: Floats, count: int) -> Floats:
    if len(points) == 0:
        raise LimbError("the scan holds no points")
    if len(points) <= count:
        return points
    # Points of a surface fill voxels in number as 1/size²; two trials settle the size.
    low = points.min(axis=0)
    size = float(np.linalg.norm(np.ptp(points, axis=0))) / np.sqrt(count)
    cells = _voxels(points - low, size)
    size *= np.sqrt((cells.max() + 1) / count)
    cells = _voxels(points - low, size)
    sizes = np.bincount(cells)
    return np.stack([np.bincount(cells, points[:, axis]) / sizes for axis in range(3)], axis=1)


def _voxels(offsets: Floats, size: float) -> np.ndarray:
    steps = np.floor(offsets / size).astype(np.int64)
    extent = steps.max(axis=0) + 1
    keys = (steps[:, 0] * extent[1] + steps[:, 1]) * extent[2] + steps[:, 2]
    return np.unique(keys, return_inverse=True)[1]
