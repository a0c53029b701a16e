"""What a certificate says: the bound, the argument that gave it, and the place where it binds."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

import numpy as np

from flatten.errors import CalfskinError
from flatten.mesh.surface import Floats, Ints, frozen, frozen_ints

Argument = Literal["none", "disc", "wheel", "pairs"]


class CertificateError(CalfskinError, ArithmeticError):
    """A bound on the spread cannot be computed."""


@dataclass(frozen=True, eq=False)
class Certificate:
    """A computed lower bound on the spread of any flat piece of a panel as meshed.

    `least_spread` is the bound on log(greatest / least stretch), 0 where no argument gives more; `argument` says
    which gave it, "none" for 0. `centre` is the mesh vertex about which it binds (of pairs the one that carries most),
    −1 where no place can be named. `vertices` (n,) are the mesh vertices to mark: of a disc none but the centre, with
    `radius` mm; of a wheel its rim once round; of pairs all those that carry load. `pairs` (k,2) are mesh vertices and
    `load` (k,) their share of the argument: below 0 where the panel holds two points apart, above 0 where it holds them
    together. `disc` is what the disc gave by itself.
    """

    argument: Argument
    disc: float
    least_spread: float = 0.0
    centre: int = -1
    radius: float = 0.0
    vertices: Ints = field(default_factory=lambda: np.empty(0, np.int64))
    pairs: Ints = field(default_factory=lambda: np.empty((0, 2), np.int64))
    load: Floats = field(default_factory=lambda: np.empty(0))

    def __post_init__(self) -> None:
        """Freeze the arrays."""
        object.__setattr__(self, "vertices", frozen_ints(self.vertices))
        object.__setattr__(self, "pairs", frozen_ints(self.pairs))
        object.__setattr__(self, "load", frozen(self.load))
