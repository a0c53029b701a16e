"""Angles of triangles, in space or in the plane."""

from __future__ import annotations

import numpy as np

from flatten.mesh.surface import Floats, Ints


def corner_angles(points: Floats, faces: Ints) -> Floats:
    """Interior angle of each corner (F,3) of faces between points (V,3) or (V,2), radians, from 0 to π."""
    corners = points[faces]
    onward = np.roll(corners, -1, axis=1) - corners
    back = np.roll(corners, 1, axis=1) - corners
    if points.shape[1] == 2:
        area = np.abs(onward[..., 0] * back[..., 1] - onward[..., 1] * back[..., 0])
    else:
        area = np.linalg.norm(np.cross(onward, back), axis=2)
    return np.arctan2(area, np.sum(onward * back, axis=2))


def angle_sums(points: Floats, faces: Ints) -> Floats:
    """Sum of the face angles about each of the points (V,), radians.

    That is 2π less the curvature at an inner vertex of a surface, and π less the boundary's turn at one on it. Over a
    disk, the sum of 2π − angle inside and π − angle on the boundary is 2π (Gauss–Bonnet).
    """
    angles = corner_angles(points, faces)
    return np.asarray(np.bincount(faces.ravel(), weights=angles.ravel(), minlength=len(points)), float)
