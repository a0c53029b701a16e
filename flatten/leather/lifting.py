"""Where formed leather is pulled off what it lies on, and has to be tied or clamped until it is dry."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.sparse import csr_array, eye_array
from scipy.spatial import cKDTree

from flatten.leather.giving import ABOUT, MOST_PLACES
from flatten.leather.tensors import PATCH_RADIUS, flat_areas
from flatten.limb.surface.model import LimbSurface
from flatten.mesh.surface import Floats
from flatten.unwrap.model import FlatPanel

POISSON = 0.35
"""Poisson's ratio of leather in its own plane. From memory; what is told of limbs hangs on it very little."""

PULLED_OFF = 2e-4
"""1/mm, the pull on a square mm over the leather's stiffness per mm of width: from which on a place is told. With a
modulus of 15 MPa, an opinion, and 3.2 mm that is 0.01 N/mm², a kilogram on a hand's area. Of the invented and scanned
limbs that were tried a fifth of the leather is pulled off by more, and half of it by something."""


@dataclass(frozen=True)
class Lift:
    """A place where the leather is pulled off what it lies on most of all about it.

    It is the middle of a patch, at a height (mm) and a bearing (rad); `pull` (1/mm, above 0) is the patch's mean.
    """

    height: float
    bearing: float
    pull: float


def places_that_lift(flat: FlatPanel, surface: LimbSurface) -> tuple[Lift, ...]:
    """The places where a panel, formed on `surface`, is pulled off it, the strongest pull first; MOST_PLACES at most.

    None is nearer to another than ABOUT on the flat piece.

    Raises StretchError where the panel has no face, or a flat face has no area or is turned over.
    """
    areas, faces = flat_areas(flat), flat.panel.mesh.faces
    centres = flat.uv[faces].mean(axis=1)
    tree = cKDTree(centres)
    pairs = tree.query_pairs(PATCH_RADIUS, output_type="ndarray")
    half = csr_array((np.ones(len(pairs)), (pairs[:, 0], pairs[:, 1])), shape=(len(areas),) * 2)
    near = half + half.T + eye_array(len(areas), format="csr")
    pulls = -(near @ (contact_pressures(flat, surface) * areas)) / (near @ areas)
    found: list[int] = []
    for face in np.argsort(-pulls, kind="stable").tolist():
        if len(found) == MOST_PLACES or pulls[face] <= PULLED_OFF:
            break
        about = tree.query_ball_point(centres[face], ABOUT)
        if pulls[about].max() <= pulls[face] and not set(about) & set(found):
            found.append(face)
    heights, bearings = flat.panel.heights[faces].mean(axis=1), flat.panel.bearings[faces].mean(axis=1)
    return tuple(Lift(float(heights[face]), float(bearings[face]), float(pulls[face])) for face in found)


def contact_pressures(flat: FlatPanel, surface: LimbSurface) -> Floats:
    """How strongly each face (F,) presses on `surface` when it is formed to it, 1/mm; below 0: it is pulled off.

    It is Laplace's law, the sum of tension times curvature over two directions square to each other, here those of
    greatest and least stretch. Tensions (e₁ + ν e₂) / ((1 − ν²) λ₁ λ₂), over the worn width and per stiffness E·t, are
    those of a sheet that answers to logarithmic strains e = ln λ alike in all directions (Hencky).

    Raises StretchError as `flat_areas` does.
    """
    flat_areas(flat)
    faces, worn = flat.panel.mesh.faces, flat.panel.mesh.vertices
    flat_edges, worn_edges = (
        np.stack([points[faces[:, k]] - points[faces[:, 0]] for k in (1, 2)], axis=-1) for points in (flat.uv, worn)
    )
    ways, stretches, _ = np.linalg.svd(worn_edges @ np.linalg.inv(flat_edges), full_matrices=False)
    strains = np.log(stretches)
    tensions = (strains + POISSON * strains[:, ::-1]) / (1.0 - POISSON**2) / stretches.prod(axis=1)[:, None]
    heights, bearings = flat.panel.heights[faces].mean(axis=1), flat.panel.bearings[faces].mean(axis=1)
    curved = np.stack([normal_curvature(surface, heights, bearings, ways[..., k]) for k in range(2)], axis=1)
    return np.asarray((tensions * curved).sum(axis=1))


def normal_curvature(surface: LimbSurface, heights: Floats, bearings: Floats, ways: Floats) -> Floats:
    """Normal curvature (N,) of `surface` in the directions `ways` (N,3), 1/mm, positive where it bulges.

    Of a direction only its part in the surface counts: II(v, v) / I(v, v), v = a·p_h + c·p_b.
    """
    by_height, by_bearing = surface.tangents(heights, bearings)
    normals = surface.normals(heights, bearings)
    twice_height, both, twice_bearing = (
        np.einsum("nx,nx->n", normals, second) for second in surface.second_derivatives(heights, bearings)
    )
    hh, hb, bb = (
        np.einsum("nx,nx->n", one, other)
        for one, other in ((by_height, by_height), (by_height, by_bearing), (by_bearing, by_bearing))
    )
    along, around = (np.einsum("nx,nx->n", ways, tangent) for tangent in (by_height, by_bearing))
    a, c = bb * along - hb * around, hh * around - hb * along
    second = twice_height * a**2 + 2.0 * both * a * c + twice_bearing * c**2
    return np.asarray(-second / (hh * a**2 + 2.0 * hb * a * c + bb * c**2))
