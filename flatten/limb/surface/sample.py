"""Points that lie evenly over a scan's surface, whatever its triangles are like."""

from __future__ import annotations

import numpy as np

from flatten.limb.model import LimbError
from flatten.mesh.surface import Floats, Ints
from flatten.scan.model import Scan

PLASTIC = 1.3247179572447460
"""The plastic number, real root of x³ = x + 1: its powers give the most even two-dimensional additive sequence
(M. Roberts, "The unreasonable effectiveness of quasirandom sequences", 2018)."""


def even_points(scan: Scan, *, count: int) -> Floats:
    """About `count` points (N,3) mm, evenly dense over the scan's faces; always the same ones.

    Long thin triangles get as many points as their area asks for. A point cloud is thinned to the means of equal
    cubes instead. Raises LimbError where the scan has neither faces with an area nor points.
    """
    return even_places(scan, count=count)[0] if len(scan.faces) else _thinned(scan.points, count)


def even_faces(scan: Scan, *, count: int) -> Ints:
    """Numbers (count,) of the scan's faces, each as often as its area asks for.

    Raises LimbError where no face has an area.
    """
    summed = np.cumsum(scan.areas)
    if not summed[-1] > 0:
        raise LimbError(f"the {len(scan.faces)} faces of the scan have no area; check the file")
    return np.searchsorted(summed, (np.arange(count) + 0.5) / count * summed[-1])


def even_places(scan: Scan, *, count: int) -> tuple[Floats, Floats]:
    """The points (count,3) of `even_points` on a scan with faces, and the normals (count,3) at the nearest corners of
    their faces.

    Raises LimbError where no face has an area.
    """
    corners = scan.faces[even_faces(scan, count=count)]
    a, b, c = (scan.points[corner] for corner in corners.T)
    index = np.arange(count)
    u, v = np.mod((index + 1) / PLASTIC, 1.0), np.mod((index + 1) / PLASTIC**2, 1.0)
    outside = u + v > 1.0
    u, v = np.where(outside, 1 - u, u)[:, None], np.where(outside, 1 - v, v)[:, None]
    places = a + u * (b - a) + v * (c - a)
    away = np.stack([np.linalg.norm(places - corner, axis=1) for corner in (a, b, c)])
    return places, scan.normals[corners[index, np.argmin(away, axis=0)]]


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
