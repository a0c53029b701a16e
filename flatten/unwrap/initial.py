"""An initial parametrization without flipped faces: from a chart, conformal, or Tutte's where that folds."""

from __future__ import annotations

import numpy as np

from flatten.mesh.angles import angle_sums
from flatten.mesh.gradient import Complexes, FaceGradients, jacobian_determinants
from flatten.mesh.parametrize import conformal_map, tutte_embedding
from flatten.mesh.surface import Ints, Mesh, MeshError
from flatten.unwrap.dirichlet import FLIP_MARGIN, distortion, flip_free_step
from flatten.unwrap.model import UnwrapError
from flatten.unwrap.place import farthest_pair
from flatten.unwrap.system import MeshSystem

RIGID_PASSES = 8
"""Cheap passes towards a rigid map before the first Newton step; each costs a twentieth of one and saves one in all."""


def _more_rigid(gradients: FaceGradients, system: MeshSystem, flat: Complexes) -> Complexes:
    """The map after some passes towards as-rigid-as-possible, each without a flip and lowering the distortion.

    Each face is given its nearest rotation, and the map fitted to the rotations: one Laplacian solve, factorised
    already (Liu, Zhang, Xu, Gotsman, Gortler 2008, "A local/global approach to mesh parameterization", sec. 3).
    libigl's passes, which `rigid_map` takes, can neither stop short of a flip nor share the order of elimination.
    """
    value = distortion(gradients, flat)
    laplacian = system.laplacian(gradients)
    for _ in range(RIGID_PASSES):
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
    or from Tutte's embedding where that flips a face or faces are too thin for it.

    Raises UnwrapError where even Tutte's embedding holds a flipped face: the mesh is then too fine or its faces too
    thin for rounding.
    """
    flat = chart
    if flat is None or flips(gradients, mesh.faces, flat, boundary):
        flat = _unfolded(mesh, boundary, gradients)
    areas = jacobian_determinants(gradients, flat)
    if not areas.min() > 0:
        folded = np.flatnonzero(~(areas > 0))
        raise UnwrapError(
            f"{folded.size} of {len(mesh.faces)} faces have no flat area even on a disc, the first is face "
            f"{folded[0]}; mesh the panel again without thin faces"
        )
    return _more_rigid(gradients, system, flat / np.sqrt(np.sum(gradients.share * areas)))


def _unfolded(mesh: Mesh, boundary: Ints, gradients: FaceGradients) -> Complexes:
    """The conformal map with two far boundary vertices pinned, or Tutte's embedding where that folds or fails."""
    first, second = (int(boundary[i]) for i in farthest_pair(mesh.vertices[boundary]))
    try:
        places = conformal_map(
            mesh, (first, second), float(np.linalg.norm(mesh.vertices[second] - mesh.vertices[first]))
        )
    except MeshError:
        return tutte_embedding(mesh, boundary)
    flat = np.asarray(places[:, 0] + 1j * places[:, 1])
    return tutte_embedding(mesh, boundary) if flips(gradients, mesh.faces, flat, boundary) else flat
