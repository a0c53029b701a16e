"""A panel: a disk of the neutral surface, with the chart coordinates and the borders it was cut by."""

from __future__ import annotations

from dataclasses import dataclass

from flatten.errors import CalfskinError
from flatten.mesh.surface import Floats, Ints, Mesh, frozen, frozen_ints


class CutError(CalfskinError, ValueError):
    """Edges and seams do not cut a wearable panel out of the surface."""


@dataclass(frozen=True, eq=False)
class Border:
    """One side of a panel between two corners: `vertices` (n,) in counter-clockwise order, ends included.

    `name` is "bottom edge", "top edge" or the seam's name; `kind` is "edge" or the seam's kind ("laced");
    `side` tells the two borders of one seam apart: "low" at the panel's lower bearings, "high" at its higher,
    "" for an edge.
    """

    name: str
    kind: str
    side: str
    vertices: Ints

    def __post_init__(self) -> None:
        """Freeze the array."""
        object.__setattr__(self, "vertices", frozen_ints(self.vertices))


@dataclass(frozen=True, eq=False)
class Panel:
    """A disk mesh on a limb's neutral surface, in limb coordinates mm.

    `heights` and `bearings` (V,) are each vertex's chart coordinates; bearings run on without a jump.
    `borders` go once round counter-clockwise (seen from outside, bearing to the right, height up), each from
    corner to corner: bottom edge, high seam border, top edge, low seam border.
    """

    name: str
    mesh: Mesh
    heights: Floats
    bearings: Floats
    borders: tuple[Border, ...]

    def __post_init__(self) -> None:
        """Freeze the arrays."""
        object.__setattr__(self, "heights", frozen(self.heights))
        object.__setattr__(self, "bearings", frozen(self.bearings))

    @property
    def corners(self) -> Ints:
        """The vertex at the start of each border."""
        return frozen_ints([border.vertices[0] for border in self.borders])
