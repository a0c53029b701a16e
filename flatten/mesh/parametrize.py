"""Parametrizations of a disk mesh in the plane: least-squares conformal, as-rigid-as-possible, Tutte's embedding."""

from __future__ import annotations

import igl
import numpy as np
from scipy.sparse import coo_array
from scipy.sparse.linalg import splu

from flatten.mesh.angles import corner_angles
from flatten.mesh.gradient import Complexes
from flatten.mesh.surface import Floats, Ints, Mesh, MeshError

THIN = "faces of the mesh are too thin for a conformal map; mesh it again without them"


def conformal_map(mesh: Mesh, pins: tuple[int, int], distance: float) -> Floats:
    """The places (V,2) of the map that keeps angles best, its two pins at the origin and `distance` along +x.

    It may flip faces. Least squares of f_z̄, which a similarity has not (Lévy, Petitjean, Ray, Maillot 2002, "Least
    squares conformal maps for automatic texture atlas generation").

    Raises MeshError where rounding leaves the map undetermined: the mesh holds faces that are too thin.
    """
    places = np.array([[0.0, 0.0], [distance, 0.0]])
    try:
        found = igl.lscm(mesh.vertices, mesh.faces, np.array(pins), places)[0]
    except RuntimeError as error:
        raise MeshError(THIN) from error
    if not np.isfinite(found).all():
        raise MeshError(THIN)
    return np.asarray(found, np.float64)


def rigid_map(mesh: Mesh, places: Floats, *, passes: int) -> Floats:
    """The places (V,2) after local-global passes towards an as-rigid-as-possible map; vertex 0 stays where it is.

    It may flip faces (Liu, Zhang, Xu, Gotsman, Gortler 2008, "A local/global approach to mesh parameterization").
    """
    data = igl.ARAPData()
    data.max_iter = passes
    # One vertex is held: the library's solver fails without any.
    igl.arap_precomputation(mesh.vertices, mesh.faces, 2, np.zeros(1, np.int32), data)
    return np.asarray(igl.arap_solve(places[:1], data, places), np.float64)


def tutte_embedding(mesh: Mesh, boundary: Ints) -> Complexes:
    """A map (V,) onto the unit disc without a fold, whose boundary keeps its length ratios: a `convex_embedding`."""
    edge = np.linalg.norm(np.diff(mesh.vertices[boundary], axis=0, append=mesh.vertices[boundary[:1]]), axis=1)
    turn = np.concatenate([[0.0], np.cumsum(edge)[:-1]]) / edge.sum()
    return convex_embedding(mesh, boundary, np.exp(2j * np.pi * turn))


def convex_embedding(mesh: Mesh, boundary: Ints, images: Complexes) -> Complexes:
    """A map (V,) into a convex region without a fold: each inner vertex at a mean of its neighbours.

    `images` (n,) are where the `boundary` (n,) goes, in turn round the convex region. Weights are
    mean-value coordinates (Floater 2003, "Mean value coordinates", eq. 2.1), positive on any triangulation, so that the
    map is one to one (Tutte 1963; Floater 1997).
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
    flat = np.zeros(count, dtype=np.complex128)
    flat[boundary] = images
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
