"""What it costs leather to be stretched in its plane, and how it pulls back: two laws of an elastic sheet.

Energies are per flat area in units of E·t, the sheet's stiffness times its thickness, so forces per length are shares
of E·t. With C = JᵀJ the energy W has the second Piola–Kirchhoff stress S = 2 ∂W/∂C; tensors are (F,3): 11, 22, 12.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

import numpy as np

from flatten.mesh.surface import Floats

POISSON = 0.35
"""Poisson's ratio in the plane, an opinion: from 0 to 0.45 it moves what is foretold by 0.1 % of a length."""

NEAR_EQUAL = 1e-5
"""Relative difference of the two principal stretches below which a difference quotient is taken as the derivative."""


@dataclass(frozen=True, eq=False)
class Response:
    """A law's answer on F faces: energy (F,), stress S (F,3), and `tangent` (F,3,3).

    The tangent D takes strains (11, 22, 2·12) to stresses (11, 22, 12): dS = D · (dC/2).
    """

    energy: Floats
    stress: Floats
    tangent: Floats


class Law(Protocol):
    """A law of a sheet."""

    def energy(self, tensors: Floats) -> Floats:
        """Energy (F,) per flat area at right Cauchy–Green tensors (F,3)."""

    def response(self, tensors: Floats) -> Response:
        """Energy, stress and tangent at right Cauchy–Green tensors (F,3)."""


@dataclass(frozen=True)
class Hencky:
    """Logarithmic strains e and the same in every direction: W = (e₁² + e₂² + 2ν e₁e₂) / 2(1 − ν²), in plane stress.

    Hencky 1928; a stretch and its inverse cost the same.
    """

    poisson: float = POISSON

    def energy(self, tensors: Floats) -> Floats:
        """Energy (F,) per flat area."""
        squares, _ = _principal(tensors)
        one, other = 0.5 * np.log(squares)
        return (one**2 + other**2 + 2 * self.poisson * one * other) / (2 * (1 - self.poisson**2))

    def response(self, tensors: Floats) -> Response:
        """Energy, stress and tangent."""
        squares, turn = _principal(tensors)
        nu, scale = self.poisson, 1 / (1 - self.poisson**2)
        logs = 0.5 * np.log(squares)
        energy = 0.5 * scale * (logs[0] ** 2 + logs[1] ** 2 + 2 * nu * logs[0] * logs[1])
        pull = scale * (logs + nu * logs[::-1])
        stress = pull / squares
        # ∂s_i/∂λ_j / λ_j with s_i = W_,i / λ_i.
        own = (scale - 2 * pull) / squares**2
        mixed = scale * nu / (squares[0] * squares[1])
        difference = squares[0] - squares[1]
        equal = difference <= NEAR_EQUAL * squares[0]
        shear = np.divide(stress[0] - stress[1], difference, out=0.5 * (own[0] - mixed), where=~equal)
        return Response(energy, _turned_back(stress, turn), _tangent(own, mixed, shear, turn))


@dataclass(frozen=True)
class Orthotropic:
    """Stiffer along one axis of the flat leather than across it, linear in Green strains (Saint Venant–Kirchhoff).

    The first axis is the grain's. `across` is E across over E along, of which E·t is the unit; the shear modulus is
    √(E₁E₂) / 2(1 + ν) (Huber 1923), where `poisson` is √(ν₁₂ν₂₁).
    """

    across: float
    poisson: float = POISSON

    def _stiffness(self) -> Floats:
        root = np.sqrt(self.across)
        plane = np.array([[1.0, self.poisson * root, 0.0], [self.poisson * root, self.across, 0.0], [0.0, 0.0, 0.0]])
        plane /= 1 - self.poisson**2
        plane[2, 2] = root / (2 * (1 + self.poisson))
        return plane

    def energy(self, tensors: Floats) -> Floats:
        """Energy (F,) per flat area."""
        strain = _green(tensors)
        return np.asarray(0.5 * np.einsum("fi,ij,fj->f", strain, self._stiffness(), strain))

    def response(self, tensors: Floats) -> Response:
        """Energy, stress and tangent."""
        stiffness, strain = self._stiffness(), _green(tensors)
        stress = strain @ stiffness
        energy = 0.5 * np.sum(stress * strain, axis=1)
        return Response(energy, stress, np.broadcast_to(stiffness, (len(tensors), 3, 3)))


def _green(tensors: Floats) -> Floats:
    """Green's strains (F,3): 11, 22, 2·12."""
    return np.stack([0.5 * (tensors[:, 0] - 1), 0.5 * (tensors[:, 1] - 1), tensors[:, 2]], axis=1)


def _principal(tensors: Floats) -> tuple[Floats, tuple[Floats, Floats]]:
    """Squared principal stretches (2,F), the greater first, and (cos, sin) (F,) of the greater one's direction."""
    along, across, shear = tensors.T
    middle, half = 0.5 * (along + across), 0.5 * (along - across)
    radius = np.hypot(half, shear)
    greatest = middle + radius
    angle = 0.5 * np.arctan2(shear, half)
    squares = np.stack([greatest, (along * across - shear**2) / greatest])
    return squares, (np.cos(angle), np.sin(angle))


def _turned_back(principal: Floats, turn: tuple[Floats, Floats]) -> Floats:
    """Tensors (F,3) of principal values (2,F)."""
    cos, sin = turn
    one, other = principal
    return np.stack([one * cos**2 + other * sin**2, one * sin**2 + other * cos**2, (one - other) * sin * cos], axis=1)


def _tangent(own: Floats, mixed: Floats, shear: Floats, turn: tuple[Floats, Floats]) -> Floats:
    """Tangents (F,3,3) from those in the principal directions."""
    cos, sin = turn
    # Strains (11, 22, 2·12) in the principal directions.
    zero = np.zeros_like(cos)
    into = np.stack(
        [
            np.stack([cos**2, sin**2, sin * cos], axis=-1),
            np.stack([sin**2, cos**2, -sin * cos], axis=-1),
            np.stack([-2 * sin * cos, 2 * sin * cos, cos**2 - sin**2], axis=-1),
        ],
        axis=-2,
    )
    rows = np.stack(
        [
            np.stack([own[0], mixed, zero], axis=-1),
            np.stack([mixed, own[1], zero], axis=-1),
            np.stack([zero, zero, shear], axis=-1),
        ],
        axis=-2,
    )
    return np.asarray(np.swapaxes(into, 1, 2) @ rows @ into)
