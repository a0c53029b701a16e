"""All that the leather on a limb is cut by, together."""

from __future__ import annotations

from dataclasses import dataclass

from flatten.worn.curves import Dart, Edge, Seam
from flatten.worn.rise import Lip


@dataclass(frozen=True, eq=False)
class Cuts:
    """The edges, seams, and darts that leather on a limb is cut by, and the lips that flare its edges."""

    bottom: Edge
    top: Edge
    seams: tuple[Seam, ...]
    darts: tuple[Dart, ...] = ()
    lips: tuple[Lip, ...] = ()

    @property
    def edges(self) -> tuple[Edge, Edge]:
        """The bottom and the top edge."""
        return self.bottom, self.top
