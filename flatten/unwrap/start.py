"""A first flat map without flipped faces: least-squares conformal, or on a disc where that folds."""

from __future__ import annotations

import numpy as np
from scipy.sparse import coo_array
from scipy.sparse.linalg import splu

from flatten.mesh.disk import corner_angles
from flatten.mesh.gradient import Complexes, FaceGradients
from flatten.mesh.surface import Floats, Ints, Mesh
from flatten.unwrap.model import UnwrapError
from flatten.unwrap.overlap import flat_angle_sums
from flatten.unwrap.system import MeshSystem, element_entries

PIN = 1e8
"""How many times stiffer than the mesh at its vertex a pin of the conformal map is: it then holds to 1e-8."""


def flat_areas(gradients: FaceGradients, flat: Complexes) -> Floats:
    """Signed area of each flat face over its area on the surface (F,)."""
    p, q = gradients.parts(flat)
    return (p * p.conj() - q * q.conj()).real


def farthest_pair(points: Floats) -> tuple[int, int]:
    """Two points (of (N,d)) nearly farthest apart: the farthest from the middle, and the farthest from that."""
    first = int(np.argmax(np.sum((points - points.mean(axis=0)) ** 2, axis=1)))
    return first, int(np.argmax(np.sum((points - points[first]) ** 2, axis=1)))


def conformal_map(gradients: FaceGradients, system: MeshSystem, pins: tuple[int, int], distance: float) -> Complexes:
    """The map (V,) that keeps angles best, its two pins at 0 and `distance`; it may flip faces.

    Least squares of the part q that is not a similarity (Lévy, Petitjean, Ray, Maillot 2002, "Least squares
    conformal maps for automatic texture atlas generation", eq. 3, in complex form).
    """
    first, second = gradients.hats[0].conj(), gradients.hats[1].conj()
    modes = [(gradients.share, first, second), (gradients.share, 1j * first, 1j * second)]
    sums = system.sums(element_entries(modes))
    right = np.zeros(gradients.count, dtype=np.complex128)
    for pin, place in zip(pins, (0.0, distance), strict=True):
        block = system.diagonal(sums, pin)
        stiffness = PIN * (block[0] + block[2])
        block[[0, 2]] += stiffness
        right[pin] = stiffness * place
    return system.factor(sums).solve(right)


def disc_map(mesh: Mesh, border: Ints) -> Complexes:
    """A map (V,) onto the unit disc without a fold: each inner vertex at a mean of its neighbours.

    The border keeps its length ratios on the circle. Weights are mean-value coordinates (Floater 2003, "Mean value
    coordinates", eq. 2.1), positive on any triangulation, so that the map is one to one (Tutte 1963; Floater 1997).
    """
    corners = mesh.vertices[mesh.faces]
    tangents = np.tan(corner_angles(mesh) / 2)
    rows, columns, weights = [], [], []
    for corner in range(3):
        for step in (1, 2):
            other = (corner + step) % 3
            length = np.linalg.norm(corners[:, other] - corners[:, corner], axis=1)
            rows.append(mesh.faces[:, corner])
            columns.append(mesh.faces[:, other])
            weights.append(tangents[:, corner] / length)
    count = len(mesh.vertices)
    row, column, weight = np.concatenate(rows), np.concatenate(columns), np.concatenate(weights)
    weight /= np.bincount(row, weights=weight, minlength=count)[row]
    inner = np.ones(count, dtype=bool)
    inner[border] = False
    place = np.cumsum(inner) - 1
    edge = np.linalg.norm(np.diff(mesh.vertices[border], axis=0, append=mesh.vertices[border[:1]]), axis=1)
    turn = np.concatenate([[0.0], np.cumsum(edge)[:-1]]) / edge.sum()
    flat = np.zeros(count, dtype=np.complex128)
    flat[border] = np.exp(2j * np.pi * turn)
    size = int(inner.sum())
    if size:
        free, held = inner[row] & inner[column], inner[row] & ~inner[column]
        entries = np.concatenate([np.ones(size), -weight[free]])
        at = np.concatenate([np.arange(size), place[row[free]]]), np.concatenate([np.arange(size), place[column[free]]])
        right = np.zeros(size, dtype=np.complex128)
        np.add.at(right, place[row[held]], weight[held] * flat[column[held]])
        solved = splu(coo_array((entries, at), shape=(size, size)).tocsc()).solve(
            np.stack([right.real, right.imag], axis=1)
        )
        flat[inner] = solved[:, 0] + 1j * solved[:, 1]
    return flat


def _winds_twice(faces: Ints, flat: Complexes, border: Ints) -> bool:
    """True where the faces about an inner vertex lie twice round it: no face is flipped, yet the map is not one."""
    sums = flat_angle_sums(faces, flat)
    sums[border] = 0.0
    return bool(sums.max() > 3 * np.pi)


def first_map(mesh: Mesh, border: Ints, gradients: FaceGradients, system: MeshSystem) -> Complexes:
    """A map (V,) of the mesh's own area with no flipped face: conformal, or on a disc where that flips one.

    Raises UnwrapError where even the map on the disc holds a flipped face: the mesh is then too fine or its faces
    too thin for rounding.
    """
    first, second = farthest_pair(mesh.vertices[border])
    pins = int(border[first]), int(border[second])
    distance = float(np.linalg.norm(mesh.vertices[pins[1]] - mesh.vertices[pins[0]]))
    flat = conformal_map(gradients, system, pins, distance)
    areas = flat_areas(gradients, flat)
    if not areas.min() > 0 or _winds_twice(mesh.faces, flat, border):
        flat = disc_map(mesh, border)
        areas = flat_areas(gradients, flat)
    if not areas.min() > 0:
        folded = np.flatnonzero(~(areas > 0))
        raise UnwrapError(
            f"{folded.size} of {len(mesh.faces)} faces have no flat area even on a disc, the first is face "
            f"{folded[0]}; mesh the panel again without thin faces"
        )
    return flat / np.sqrt(np.sum(gradients.share * areas))
