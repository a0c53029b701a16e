"""Gradients of piecewise linear maps from a triangle mesh to the plane, as complex numbers.

A flat map is z = x + iy at each vertex. On a face with plane coordinate w = s + it it reads
z(w) = p·w + q·conj(w) + constant, so that |p| ± |q| are its two singular values and |p|² − |q|² its
determinant: p turns and scales, q stretches one way and squeezes the other.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from flatten.mesh.surface import Floats, Ints, Mesh

Complexes = npt.NDArray[np.complex128]


def corner_coordinates(mesh: Mesh) -> Complexes:
    """Each face laid in its own plane: its corners (3,F), the first at 0, the second on the positive real axis."""
    a, b, c = (mesh.vertices[mesh.faces[:, i]] for i in range(3))
    along, other = b - a, c - a
    length = np.linalg.norm(along, axis=1)
    third = (np.sum(along * other, axis=1) + 1j * np.linalg.norm(np.cross(along, other), axis=1)) / length
    return np.stack([np.zeros_like(third), length.astype(np.complex128), third])


@dataclass(frozen=True, eq=False)
class FaceGradients:
    """Hat gradients (3,F) of a mesh's corners, 1/mm, complex; `share` (F,) of the mesh's area; `area` mm²."""

    faces: Ints
    hats: Complexes
    share: Floats
    area: float
    count: int

    def parts(self, flat: Complexes) -> tuple[Complexes, Complexes]:
        """The turning part p and the stretching part q, (F,) each, of a map or a displacement (V,)."""
        corners = flat[self.faces.T]
        near, far = corners[1] - corners[0], corners[2] - corners[0]
        p = 0.5 * (near * self.hats[1].conj() + far * self.hats[2].conj())
        q = 0.5 * (near * self.hats[1] + far * self.hats[2])
        return p, q

    def spread_to_vertices(self, corners: Complexes) -> Complexes:
        """Sum (V,) at each vertex of what its faces' corners (3,F) bring."""
        at = self.faces.T.ravel()
        real = np.bincount(at, weights=corners.real.ravel(), minlength=self.count)
        return real + 1j * np.bincount(at, weights=corners.imag.ravel(), minlength=self.count)


def face_gradients(mesh: Mesh) -> FaceGradients:
    """Hat gradients of each face in its own plane. The faces must have area."""
    corners = corner_coordinates(mesh)
    double_area = (corners[1].conj() * corners[2]).imag
    # The gradient of a corner's hat is the opposite edge turned by 90° towards the corner, over twice the area.
    opposite = np.stack([corners[2] - corners[1], corners[0] - corners[2], corners[1] - corners[0]])
    total = float(double_area.sum()) / 2
    return FaceGradients(mesh.faces, 1j * opposite / double_area, double_area / 2 / total, total, len(mesh.vertices))


def singular_values(gradients: FaceGradients, flat: Complexes) -> tuple[Floats, Floats]:
    """Greatest and least singular value (F,) of flat / surface; the least is negative where a face is flipped."""
    p, q = gradients.parts(flat)
    return np.abs(p) + np.abs(q), np.abs(p) - np.abs(q)


def jacobian_determinants(gradients: FaceGradients, flat: Complexes) -> Floats:
    """Signed area of each flat face over its area on the surface (F,)."""
    p, q = gradients.parts(flat)
    return (p * p.conj() - q * q.conj()).real
