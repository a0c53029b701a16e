"""Gradients of piecewise linear maps from a triangle mesh to the plane, as complex numbers.

A flat map is f = x + iy at each vertex. On a face with plane coordinate z = s + it it reads
f(z) = f_z·z + f_z̄·z̄ + constant, with the Wirtinger derivatives f_z = ∂f/∂z and f_z̄ = ∂f/∂z̄ (`f_z` and `f_zbar`).
|f_z| ± |f_z̄| are its two singular values and |f_z|² − |f_z̄|² is its Jacobian determinant: f_z turns and scales; f_z̄,
which a conformal map has not, stretches one way and squeezes the other.
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

    def derivatives(self, flat: Complexes) -> tuple[Complexes, Complexes]:
        """f_z and f_z̄ on each face, (F,) each, of a map or a displacement (V,)."""
        corners = flat[self.faces.T]
        near, far = corners[1] - corners[0], corners[2] - corners[0]
        f_z = 0.5 * (near * self.hats[1].conj() + far * self.hats[2].conj())
        f_zbar = 0.5 * (near * self.hats[1] + far * self.hats[2])
        return f_z, f_zbar

    def vertex_sums(self, corners: Complexes) -> Complexes:
        """Sum (V,) at each vertex over the corners (3,F) of its faces."""
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
    f_z, f_zbar = gradients.derivatives(flat)
    return np.abs(f_z) + np.abs(f_zbar), np.abs(f_z) - np.abs(f_zbar)


def spread(greatest: Floats, least: Floats) -> float:
    """log(greatest / least stretch) over all faces (F,) and directions, from each face's greatest and least stretch."""
    return float(np.log(greatest.max() / least.min()))


def jacobian_determinants(gradients: FaceGradients, flat: Complexes) -> Floats:
    """Signed area of each flat face over its area on the surface (F,)."""
    f_z, f_zbar = gradients.derivatives(flat)
    return (f_z * f_z.conj() - f_zbar * f_zbar.conj()).real
