"""Places on a triangle mesh: the same place of the leather, worn and flat."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.spatial import cKDTree

from flatten.mesh.surface import Floats, Ints, frozen, frozen_ints

CANDIDATES = 48
"""Faces nearest to a place that may hold it: three rings round a vertex of a well-shaped mesh."""

ROUNDING = 1e-9
"""A weight this little below 0 is rounding: the place lies on an edge."""


@dataclass(frozen=True, eq=False)
class Places:
    """Places by their `faces` (n,) and their barycentric `weights` (n,3) there; a weight below 0 lies outside."""

    faces: Ints
    weights: Floats

    def __post_init__(self) -> None:
        """Freeze the arrays."""
        object.__setattr__(self, "faces", frozen_ints(self.faces))
        object.__setattr__(self, "weights", frozen(self.weights))

    def on(self, points: Floats, faces: Ints) -> Floats:
        """Where the places lie (n,k), given the mesh's vertices `points` (V,k) and its `faces` (F,3)."""
        placed: Floats = (points[faces[self.faces]] * self.weights[..., None]).sum(axis=1)
        return placed

    def part(self, rows: slice) -> Places:
        """Some of the places."""
        return Places(self.faces[rows], self.weights[rows])


def located(points: Floats, faces: Ints, at: Floats) -> Places:
    """The places of plane points `at` (n,2) on a plane mesh of vertices `points` (V,2) and `faces` (F,3).

    A point that lies beside the mesh gets the face whose plane coordinates take it least far outside.
    """
    near = _near(points, faces, at)
    weights = _weights(points[faces[near]], at)
    best = weights.min(axis=-1).argmax(axis=-1)
    rows = np.arange(len(at))
    return Places(near[rows, best], weights[rows, best])


def pierced(points: Floats, faces: Ints, start: Floats, along: Floats) -> Places:
    """The places where lines through `start` (n,3) along `along` (n,3) pierce a mesh of vertices `points` (V,3).

    Of several the one by the nearest faces; a line that misses the mesh gets a place with a weight below 0.
    """
    near = _near(points, faces, start)
    flat = along / np.linalg.norm(along, axis=1, keepdims=True)
    helper = np.eye(3)[np.abs(flat).argmin(axis=1)]
    right = np.cross(flat, helper)
    right /= np.linalg.norm(right, axis=1, keepdims=True)
    up = np.cross(flat, right)
    # Seen along the line, a face that it pierces covers the line's foot.
    seen = points[faces[near]] - start[:, None, None]
    plane = np.stack([(seen * axis[:, None, None]).sum(axis=-1) for axis in (right, up)], axis=-1)
    weights = _weights(plane, np.zeros((len(start), 2)))
    depth = np.abs((weights * (seen * flat[:, None, None]).sum(axis=-1)).sum(axis=-1))
    least = weights.min(axis=-1)
    missed = least < -ROUNDING
    # The nearest that is pierced; where none is, the one that is missed least.
    best = np.where(missed.all(axis=1), least.argmax(axis=1), np.where(missed, np.inf, depth).argmin(axis=1))
    rows = np.arange(len(start))
    return Places(near[rows, best], weights[rows, best])


def _near(points: Floats, faces: Ints, at: Floats) -> Ints:
    """Faces (n,k) whose middles are nearest to points (n,d)."""
    count = min(CANDIDATES, len(faces))
    return np.asarray(cKDTree(points[faces].mean(axis=1)).query(at, k=count)[1]).reshape(len(at), count)


def _weights(corners: Floats, at: Floats) -> Floats:
    """Barycentric weights (n,k,3) of plane points (n,2) in triangles with corners (n,k,3,2)."""
    lifted = np.concatenate([corners, np.ones((*corners.shape[:-1], 1))], axis=-1).swapaxes(-1, -2)
    target = np.concatenate([at, np.ones((len(at), 1))], axis=1)[:, None, :, None]
    found: Floats = np.linalg.solve(lifted, np.broadcast_to(target, (*corners.shape[:2], 3, 1)))[..., 0]
    return found
