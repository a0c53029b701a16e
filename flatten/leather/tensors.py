"""The stretch of flat faces and patches as metric tensors, and how far it lies beyond limits."""

from __future__ import annotations

import numpy as np
from scipy.sparse import csr_array, eye_array
from scipy.spatial import cKDTree

from flatten.leather.aims import Aim, limit_aims
from flatten.leather.model import StretchError, Stretches
from flatten.mesh.surface import Floats, Ints
from flatten.unwrap.model import FlatPanel, Limits

PATCH_RADIUS = 10.0
"""mm. Stretch is told over discs of this radius: leather bridges anything smaller."""


def flat_areas(flat: FlatPanel) -> Floats:
    """Area (F,) of each flat face, mm².

    Raises StretchError where the panel has no face, or a flat face has no area or is turned over.
    """
    faces = flat.panel.mesh.faces
    if not len(faces):
        raise StretchError(f"panel '{flat.panel.name}' has no faces, so it has no stretch; cut it again")
    a, b = _edges(flat.uv, faces)
    areas = 0.5 * (a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0])
    bad = np.flatnonzero(~(areas > 0.0))
    if bad.size:
        raise StretchError(
            f"{bad.size} of {len(faces)} flat faces of panel '{flat.panel.name}' have no area or are turned over, "
            f"the first is face {bad[0]}; flatten it again"
        )
    return areas


def grain_places(flat: FlatPanel) -> Floats:
    """The flat vertices (V,2), mm, turned so that the first axis lies along the grain."""
    cos, sin = np.cos(flat.grain_angle), np.sin(flat.grain_angle)
    return flat.uv @ np.array([[cos, -sin], [sin, cos]])


def grain_tensors(flat: FlatPanel) -> Floats:
    """The right Cauchy–Green tensor of each face in the grain's frame, (F,3): along², across², and their product.

    With F the linear map of a face from the flat leather to the worn surface, C = FᵀF: a flat line of direction d
    grows by √(dᵀCd). The flat frame is turned so that its first axis lies along the grain.

    Raises StretchError where the panel has no face, or a flat face has no area or is turned over.
    """
    flat_areas(flat)
    faces = flat.panel.mesh.faces
    grain = grain_places(flat)
    flat_edges = np.stack(_edges(grain, faces), axis=-1)
    worn_edges = np.stack(_edges(flat.panel.mesh.vertices, faces), axis=-1)
    gradient = worn_edges @ np.linalg.inv(flat_edges)
    tensor = np.swapaxes(gradient, 1, 2) @ gradient
    return np.stack([tensor[:, 0, 0], tensor[:, 1, 1], tensor[:, 0, 1]], axis=1)


def patch_tensors(flat: FlatPanel, *, radius: float = PATCH_RADIUS) -> Floats:
    """The mean tensor (F,3) of the patch about each face: all faces whose flat centres lie within `radius` mm.

    Each face counts by its flat area, the leather that is there. Distance is straight, on the flat piece; at a
    boundary the patch is the part of the disc that is leather.
    The tensor is what is averaged, and stretches are taken from the mean: so a line's mean squared growth in one
    and the same direction counts, neighbours that shear to and fro cancel, as leather bridges them, and the worn
    faces' different tilts do not matter (C does not know them, F does). The limits are convex in C, so no patch
    is beyond them where no face is; the mean of each face's own greatest stretch would mix directions.

    Raises StretchError where the panel has no face, or a flat face has no area or is turned over.
    """
    areas = flat_areas(flat)
    centres = flat.uv[flat.panel.mesh.faces].mean(axis=1)
    near = near_each(centres, radius)
    sums: Floats = near.dot(np.column_stack([grain_tensors(flat) * areas[:, None], areas]))
    return sums[:, :3] / sums[:, 3:]


def near_each(points: Floats, radius: float) -> csr_array:
    """Which points (N,d) lie within `radius` mm of each, itself among them: 1 there, (N,N)."""
    pairs = cKDTree(points).query_pairs(radius, output_type="ndarray")
    count = len(points)
    half = csr_array((np.ones(len(pairs)), (pairs[:, 0], pairs[:, 1])), shape=(count, count))
    return csr_array(half + half.T + eye_array(count, format="csr"))


def stretches(tensors: Floats) -> Stretches:
    """Stretches (worn / flat) of tensors (F,3) as `grain_tensors` gives them."""
    along, across, shear = tensors.T
    middle, half = 0.5 * (along + across), np.hypot(0.5 * (along - across), shear)
    greatest = middle + half
    # The least eigenvalue from the determinant: middle - half would cancel where the two are nearly equal in size.
    least = (along * across - shear**2) / greatest
    return Stretches(np.sqrt(greatest), np.sqrt(least), np.sqrt(along), np.sqrt(across))


def log_excess(tensors: Floats, *, limits: Limits) -> Floats:
    """How far tensors (F,3) lie beyond `limits` in their worst direction, as a logarithm (F,); <= 0: within.

    The limit in a direction d of the flat leather is |Dd|, D = diag(1 + stretch along, 1 + stretch across), and
    |Kd| from below, K = diag(1 - squeeze along, 1 - squeeze across).
    """
    stretched, squeezed = (beyond_aim(tensors, aim) for aim in limit_aims(limits))
    return np.maximum(stretched, squeezed)


def beyond_aim(tensors: Floats, aim: Aim) -> Floats:
    """How far tensors (F,3) lie beyond what an aim allows in their worst direction, as a logarithm (F,)."""
    scaled = stretches(tensors / np.array([aim.along**2, aim.across**2, aim.along * aim.across]))
    return np.log(scaled.greatest) if aim.sign > 0 else -np.log(scaled.least)


def _edges(points: Floats, faces: Ints) -> tuple[Floats, Floats]:
    first = points[faces[:, 0]]
    return points[faces[:, 1]] - first, points[faces[:, 2]] - first
