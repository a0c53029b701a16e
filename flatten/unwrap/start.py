"""A first flat map without flipped faces: least-squares conformal, or on a disc where that folds."""

from __future__ import annotations

import numpy as np
from scipy.sparse import coo_array
from scipy.sparse.linalg import splu

from flatten.mesh.angles import angle_sums, corner_angles
from flatten.mesh.gradient import Complexes, FaceGradients, jacobian_determinants
from flatten.mesh.surface import Ints, Mesh
from flatten.unwrap.dirichlet import FLIP_MARGIN, distortion, flip_free_step
from flatten.unwrap.model import UnwrapError
from flatten.unwrap.place import farthest_pair
from flatten.unwrap.system import MeshSystem, element_entries

PIN = 1e8
"""How many times stiffer than the mesh at its vertex a pin of the conformal map is: it then holds to 1e-8."""


def conformal_map(gradients: FaceGradients, system: MeshSystem, pins: tuple[int, int], distance: float) -> Complexes:
    """The map (V,) that keeps angles best, its two pins at 0 and `distance`; it may flip faces.

    Least squares of f_z̄, which a similarity has not (Lévy, Petitjean, Ray, Maillot 2002, "Least squares
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


def tutte_embedding(mesh: Mesh, boundary: Ints) -> Complexes:
    """A map (V,) onto the unit disc without a fold: each inner vertex at a mean of its neighbours.

    The boundary keeps its length ratios on the circle. Weights are mean-value coordinates (Floater 2003, "Mean value
    coordinates", eq. 2.1), positive on any triangulation, so that the map is one to one (Tutte 1963; Floater 1997).
    """
    corners = mesh.vertices[mesh.faces]
    tangents = np.tan(corner_angles(mesh.vertices, mesh.faces) / 2)
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
    inner[boundary] = False
    place = np.cumsum(inner) - 1
    edge = np.linalg.norm(np.diff(mesh.vertices[boundary], axis=0, append=mesh.vertices[boundary[:1]]), axis=1)
    turn = np.concatenate([[0.0], np.cumsum(edge)[:-1]]) / edge.sum()
    flat = np.zeros(count, dtype=np.complex128)
    flat[boundary] = np.exp(2j * np.pi * turn)
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


ROUNDS = 8
"""Cheap passes towards a rigid map before the first Newton step; each costs a twentieth of one and saves one in all."""


def _local_global(gradients: FaceGradients, system: MeshSystem, flat: Complexes) -> Complexes:
    """The map after some passes towards as-rigid-as-possible, each without a flip and lowering the energy.

    Each face is given its nearest turn, and the map fitted to the turns: one Laplacian solve, factorised already
    (Liu, Zhang, Xu, Gotsman, Gortler 2008, "A local/global approach to mesh parameterization", sec. 3).
    """
    value = distortion(gradients, flat)
    laplacian = system.laplacian(gradients)
    for _ in range(ROUNDS):
        f_z, _ = gradients.derivatives(flat)
        right = gradients.vertex_sums(gradients.share * f_z / np.abs(f_z) * gradients.hats)
        step = laplacian.solve(right) - flat
        moved = flat + min(1.0, FLIP_MARGIN * flip_free_step(gradients, flat, step)) * step
        lower = distortion(gradients, moved)
        if not lower < value:
            break
        flat, value = moved, lower
    return flat


def flips(gradients: FaceGradients, faces: Ints, flat: Complexes, boundary: Ints) -> bool:
    """True where a map (V,) flips a face, or lays the faces about an inner vertex twice round it."""
    if not jacobian_determinants(gradients, flat).min() > 0:
        return True
    sums = angle_sums(np.stack([flat.real, flat.imag], axis=1), faces)
    sums[boundary] = 0.0
    return bool(sums.max() > 3 * np.pi)


def initial_parametrization(
    mesh: Mesh, boundary: Ints, gradients: FaceGradients, system: MeshSystem, chart: Complexes | None
) -> Complexes:
    """A map (V,) without flipped faces, already fairly rigid.

    It grows from `chart`, plane coordinates of the vertices, where these flip no face, else from the conformal map,
    or from one on a disc where that flips a face.

    Raises UnwrapError where even the map on the disc holds a flipped face: the mesh is then too fine or its faces
    too thin for rounding.
    """
    flat = None if chart is None or flips(gradients, mesh.faces, chart, boundary) else chart
    if flat is None:
        flat = _conformal_start(mesh, boundary, gradients, system)
    if flips(gradients, mesh.faces, flat, boundary):
        flat = tutte_embedding(mesh, boundary)
    areas = jacobian_determinants(gradients, flat)
    if not areas.min() > 0:
        folded = np.flatnonzero(~(areas > 0))
        raise UnwrapError(
            f"{folded.size} of {len(mesh.faces)} faces have no flat area even on a disc, the first is face "
            f"{folded[0]}; mesh the panel again without thin faces"
        )
    return _local_global(gradients, system, flat / np.sqrt(np.sum(gradients.share * areas)))


def _conformal_start(mesh: Mesh, boundary: Ints, gradients: FaceGradients, system: MeshSystem) -> Complexes:
    first, second = farthest_pair(mesh.vertices[boundary])
    pins = int(boundary[first]), int(boundary[second])
    distance = float(np.linalg.norm(mesh.vertices[pins[1]] - mesh.vertices[pins[0]]))
    return conformal_map(gradients, system, pins, distance)
