"""A flat piece as an elastic sheet on the limb: its energy, forces and stiffness where its vertices lie there.

Worn places are chart coordinates q (V,2): height mm, and bearing times the mean radius of the piece, mm too. Triangles
are straight chords between points of the worn surface, as they are wherever stretch is told.
"""

from __future__ import annotations

from copy import copy
from dataclasses import dataclass

import numpy as np
from scipy.sparse import csr_array

from flatten.forming.errors import FormingError
from flatten.forming.law import Law
from flatten.leather.tensors import flat_areas, grain_places
from flatten.limb.surface.model import LimbSurface
from flatten.mesh.gradient import face_gradients
from flatten.mesh.surface import Floats, Ints
from flatten.unwrap.model import FlatPanel
from flatten.unwrap.system import MeshSystem

_PAIRS = ((0, 1), (0, 2), (1, 2))


@dataclass(frozen=True, eq=False)
class Elements:
    """The flat triangles: `faces` (F,3), `hats` (3,F,2) gradients of their corners, 1/mm, in the grain's frame, and
    `areas` (F,), mm²."""

    faces: Ints
    hats: Floats
    areas: Floats
    count: int


def elements_of(flat: FlatPanel) -> Elements:
    """The triangles of a flat piece.

    Raises StretchError where a flat face has no area or is turned over.
    """
    return flat_elements(grain_places(flat), flat.panel.mesh.faces, flat_areas(flat))


def flat_elements(places: Floats, faces: Ints, areas: Floats) -> Elements:
    """The triangles (F,3) of flat places (V,2) whose areas (F,) are not 0."""
    corners = places[faces]
    opposite = np.stack([corners[:, 2] - corners[:, 1], corners[:, 0] - corners[:, 2], corners[:, 1] - corners[:, 0]])
    hats = np.stack([-opposite[..., 1], opposite[..., 0]], axis=-1) / (2 * areas[:, None])
    return Elements(faces, hats, areas, len(places))


class Sheet:
    """A flat piece on its worn surface; kept for the order in which its unknowns are eliminated."""

    def __init__(self, flat: FlatPanel, surface: LimbSurface, *, law: Law) -> None:
        """A panel laid flat, on the surface that it was cut from.

        What lifts a vertex off the surface, such as another layer beneath it, lifts it in the same direction wherever
        it slips: over 3 mm that is wrong by less than 0.2 mm.

        Raises StretchError where a flat face has no area or is turned over.
        """
        panel = flat.panel
        self.name = panel.name
        self.surface, self.law, self.elements = surface, law, elements_of(flat)
        self.scale = float(np.mean(surface.radius(panel.heights, panel.bearings)))
        self.start = np.stack([panel.heights, panel.bearings * self.scale], axis=1)
        self.lift = panel.mesh.vertices - surface.points(panel.heights, panel.bearings)
        gradients = face_gradients(panel.mesh)
        self.system = MeshSystem(panel.mesh, gradients, self.start[:, ::-1])

    def points(self, places: Floats) -> Floats:
        """Worn points (V,3), limb coordinates mm, of places (V,2)."""
        return self.surface.points(places[:, 0], places[:, 1] / self.scale) + self.lift

    def tangents(self, places: Floats) -> Floats:
        """Derivatives (V,3,2) of the worn points by their places (V,2)."""
        along, around = self.surface.tangents(places[:, 0], places[:, 1] / self.scale)
        return np.stack([along, around / self.scale], axis=-1)

    def gradients(self, places: Floats) -> Floats:
        """J (F,3,2), from the flat leather to worn points, at places (V,2)."""
        return gradients_of(self.elements, self.points(places))

    def tensors(self, places: Floats) -> Floats:
        """The right Cauchy–Green tensor C = JᵀJ (F,3) of each face at places (V,2), the first axis along the grain."""
        return tensors_of(self.gradients(places))

    def reshaped(self, flat: Floats) -> Sheet:
        """The same sheet cut to other flat places (V,2) in the grain's frame, mm.

        Raises FormingError where a flat face would have no area or be turned over.
        """
        faces = self.elements.faces
        corners = flat[faces]
        one, other = corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]
        areas = 0.5 * (one[:, 0] * other[:, 1] - one[:, 1] * other[:, 0])
        if not (areas > 0.0).all():
            raise FormingError(f"panel '{self.name}' folds over itself when its flat shape is changed")
        found = copy(self)
        found.elements = flat_elements(flat, faces, areas)
        return found

    def energy(self, places: Floats) -> float:
        """Energy at places (V,2), mm² times E·t."""
        return float(np.sum(self.elements.areas * self.law.energy(self.tensors(places))))


def gradients_of(elements: Elements, points: Floats) -> Floats:
    """J (F,3,2) of the map from the flat elements to points (V,3)."""
    corners = points[elements.faces]
    near, far = corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]
    return near[:, :, None] * elements.hats[1][:, None, :] + far[:, :, None] * elements.hats[2][:, None, :]


def tensors_of(gradients: Floats) -> Floats:
    """C = JᵀJ (F,3) of gradients (F,3,2): 11, 22, 12."""
    one, other = gradients[..., 0], gradients[..., 1]
    return np.stack([np.sum(one * one, axis=1), np.sum(other * other, axis=1), np.sum(one * other, axis=1)], axis=1)


class Stiffness:
    """Energy, slope (V,2) and the sums of the exact Hessian at places (V,2)."""

    def __init__(self, sheet: Sheet, places: Floats) -> None:
        """Work it out at places (V,2)."""
        elements = sheet.elements
        gradients = sheet.gradients(places)
        answer = sheet.law.response(tensors_of(gradients))
        weight = elements.areas
        self.energy = float(np.sum(weight * answer.energy))
        pulls = pulls_of(elements, answer.stress)
        forces = np.einsum("fij,cfj->cfi", gradients, pulls)
        self.forces = vertex_sums(elements, forces)
        self.tangents = sheet.tangents(places)
        self.slope = np.einsum("vik,vi->vk", self.tangents, self.forces)
        self.sums = sheet.system.sums(self._entries(elements, gradients, pulls, answer.tangent * weight[:, None, None]))
        self._bend(sheet, places)

    def _entries(self, elements: Elements, gradients: Floats, pulls: Floats, tangent: Floats) -> Floats:
        """The 21 entries (21,F) of the faces' 6×6 matrices, as `element_entries` orders them."""
        hats = elements.hats
        turned = [self.tangents[elements.faces[:, corner]] for corner in range(3)]
        strains = [_strains(gradients, turned[corner], hats[corner]) for corner in range(3)]
        stiff = [tangent @ each for each in strains]
        out = np.empty((21, len(elements.faces)))

        def block(a: int, b: int) -> Floats:
            geometric = np.sum(hats[a] * pulls[b], axis=1)
            return np.swapaxes(strains[a], 1, 2) @ stiff[b] + geometric[:, None, None] * (
                np.swapaxes(turned[a], 1, 2) @ turned[b]
            )

        for corner in range(3):
            own = block(corner, corner)
            out[3 * corner : 3 * corner + 3] = own[:, 0, 0], own[:, 0, 1], own[:, 1, 1]
        for pair, (a, b) in enumerate(_PAIRS):
            mixed = block(a, b)
            start = 9 + 4 * pair
            out[start : start + 4] = mixed[:, 0, 0], mixed[:, 0, 1], mixed[:, 1, 0], mixed[:, 1, 1]
        return out

    def _bend(self, sheet: Sheet, places: Floats) -> None:
        """Add what the surface's own bend does: each vertex's force times the point's second derivatives."""
        scale = sheet.scale
        seconds = sheet.surface.second_derivatives(places[:, 0], places[:, 1] / scale)
        for k, (second, by) in enumerate(zip(seconds, (1.0, scale, scale**2), strict=True)):
            self.sums[k : 3 * sheet.elements.count : 3] += np.sum(self.forces * second, axis=1) / by


def pulls_of(elements: Elements, stress: Floats) -> Floats:
    """Area · S · ∇N (3,F,2) of each corner."""
    hats = elements.hats
    x = stress[:, 0] * hats[..., 0] + stress[:, 2] * hats[..., 1]
    y = stress[:, 2] * hats[..., 0] + stress[:, 1] * hats[..., 1]
    return np.stack([x, y], axis=-1) * elements.areas[:, None]


def _strains(gradients: Floats, turned: Floats, hats: Floats) -> Floats:
    """Green strains (F,3,2), 11, 22, 2·12, by the place of a corner whose tangents are `turned` (F,3,2)."""
    along = np.swapaxes(gradients, 1, 2) @ turned
    one, other = along[:, 0], along[:, 1]
    x, y = hats[:, 0, None], hats[:, 1, None]
    return np.stack([one * x, other * y, one * y + other * x], axis=1)


def vertex_sums(elements: Elements, corners: Floats) -> Floats:
    """Sums (V,k) at each vertex over the corners (3,F,k) of its faces."""
    at = elements.faces.T.ravel()
    columns = [
        np.bincount(at, weights=corners[..., k].ravel(), minlength=elements.count) for k in range(corners.shape[2])
    ]
    return np.stack(columns, axis=1)


def corner_sums(elements: Elements, corners: Floats) -> Floats:
    """The same sums (K,V,d) for K at once, over corners (K,3,F,d)."""
    many, _, faces, width = corners.shape
    at = elements.faces.T.ravel()
    into = csr_array((np.ones(len(at)), (at, np.arange(len(at)))), shape=(elements.count, len(at)))
    rows = corners.transpose(1, 2, 0, 3).reshape(3 * faces, many * width)
    return np.asarray(into @ rows).reshape(elements.count, many, width).transpose(1, 0, 2)
