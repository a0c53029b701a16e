"""How a sheet's place of rest, and what it is asked for there, follow small changes of its flat shape.

At rest the slope g(q, P) of the energy by the worn places q is 0 where nothing is held, so q' = −H⁻¹ g_P for a change
of the flat places P, with the Hessian H that is factorised there anyway (implicit function theorem).
"""

from __future__ import annotations

import numpy as np

from flatten.forming.settling import Settled
from flatten.forming.sheet import Sheet, corner_sums, pulls_of, tensors_of
from flatten.mesh.surface import Flags, Floats


def moves_by(sheet: Sheet, rest: Settled, fields: Floats, *, held: Flags) -> Floats:
    """Changes (K,V,2) of the places of rest, by 1 mm of each of the flat changes (K,V,2) in the grain's frame."""
    slopes = slopes_by(sheet, rest.places, fields)
    slopes[:, held] = 0.0
    solved = -rest.factor.solve((slopes[..., 0] + 1j * slopes[..., 1]).T)
    return np.stack([solved.real.T, solved.imag.T], axis=-1)


def slopes_by(sheet: Sheet, places: Floats, fields: Floats) -> Floats:
    """Changes (K,V,2) of the energy's slope at worn places (V,2), by 1 mm of each of the flat changes (K,V,2)."""
    elements = sheet.elements
    gradients = sheet.gradients(places)
    tensors = tensors_of(gradients)
    answer = sheet.law.response(tensors)
    pulls = pulls_of(elements, answer.stress)
    inside = _inside(sheet, fields)
    grown = inside[..., 0, 0] + inside[..., 1, 1]
    # With u the change and G = ∇u: ∇N' = −Gᵀ∇N, J' = −JG, C' = −(GᵀC + CG), area' = area · tr G.
    strains = _tensors_inside(tensors, inside) * np.array([0.5, 0.5, 1.0])
    stresses = np.einsum("fij,kfj->kfi", answer.tangent, strains)
    turned = -np.einsum("kfji,cfj->kcfi", inside, elements.hats)
    area = elements.areas[:, None]
    own = grown[:, None, :, None] * pulls + area * (
        _stressed(stresses[:, None], elements.hats) + _stressed(answer.stress, turned)
    )
    lost = np.einsum("kfij,cfj->kcfi", inside, pulls)
    forces = np.einsum("fij,kcfj->kcfi", gradients, own - lost)
    return np.einsum("vij,kvi->kvj", sheet.tangents(places), corner_sums(elements, forces))


def tensors_by(sheet: Sheet, places: Floats, fields: Floats, moves: Floats) -> tuple[Floats, Floats]:
    """Changes (K,F,3) of the faces' tensors, and relative ones (K,F) of their flat areas, by flat changes (K,V,2) and
    the changes (K,V,2) of the worn places that go with them."""
    elements, gradients = sheet.elements, sheet.gradients(places)
    inside = _inside(sheet, fields)
    worn = np.einsum("vij,kvj->kvi", sheet.tangents(places), moves)
    steps = np.einsum("kfci,cfj->kfij", worn[:, elements.faces], elements.hats)
    products = np.einsum("fia,kfib->kfab", gradients, steps)
    by_worn = np.stack(
        [2 * products[..., 0, 0], 2 * products[..., 1, 1], products[..., 0, 1] + products[..., 1, 0]], axis=-1
    )
    changes = _tensors_inside(tensors_of(gradients), inside) + by_worn
    return changes, inside[..., 0, 0] + inside[..., 1, 1]


def _inside(sheet: Sheet, fields: Floats) -> Floats:
    """Gradients (K,F,2,2), ∂u_i/∂X_j, of flat changes (K,V,2)."""
    return np.einsum("kfci,cfj->kfij", fields[:, sheet.elements.faces], sheet.elements.hats)


def _tensors_inside(tensors: Floats, inside: Floats) -> Floats:
    """−(GᵀC + CG) (K,F,3) of tensors (F,3) and gradients G (K,F,2,2)."""
    along, across, shear = tensors.T
    one = along * inside[..., 0, 0] + shear * inside[..., 1, 0]
    other = shear * inside[..., 0, 1] + across * inside[..., 1, 1]
    mixed = (
        along * inside[..., 0, 1] + shear * inside[..., 1, 1] + shear * inside[..., 0, 0] + across * inside[..., 1, 0]
    )
    return -np.stack([2 * one, 2 * other, mixed], axis=-1)


def _stressed(stress: Floats, hats: Floats) -> Floats:
    """S·∇N (…,2) of stresses (…,3) and hats (…,2)."""
    return np.stack(
        [
            stress[..., 0] * hats[..., 0] + stress[..., 2] * hats[..., 1],
            stress[..., 2] * hats[..., 0] + stress[..., 1] * hats[..., 1],
        ],
        axis=-1,
    )
