"""A panel: a disk of the neutral surface, with the chart coordinates and the boundaries it was cut by."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np

from flatten.errors import CalfskinError
from flatten.mesh.surface import Floats, Ints, Mesh, frozen, frozen_ints

if TYPE_CHECKING:
    from flatten.worn.rise import Rise


class CutError(CalfskinError, ValueError):
    """Edges and seams do not cut a wearable panel out of the surface."""


class EdgeCutError(CutError):
    """An edge runs where the surface cannot be trusted: `edge` is its name, and higher by `by` mm (lower, where that is
    negative) all of it lies where it can."""

    def __init__(self, words: str, *, edge: str, by: float) -> None:
        """`words` are the whole sentence."""
        super().__init__(words)
        self.edge, self.by = edge, by


class LayersError(CutError):
    """What is worn beneath the leather folds over itself, or the limb is too short for it."""


class SeamCutError(CutError):
    """A seam cannot be as it is drawn."""


class DartCutError(CutError):
    """A dart or a slash has no room where it is."""


def _none() -> Ints:
    return np.zeros(0, dtype=np.int64)


@dataclass(frozen=True, eq=False)
class Boundary:
    """One side of a panel between two corners: `vertices` (n,) in counter-clockwise order, ends included.

    `kind` tells what the side is, and what its mate is:

    - "edge": part of the top or bottom edge, `name` "top edge" or "bottom edge" (an edge that a dart opens on has
      several parts, each with that name); no mate.
    - a seam's kind ("laced", "strapped", "open", "snapped", "stitched", "riveted"), `name` the seam's. Its mate is the
      boundary of the same name and the other `side`, on this panel or another.
    - "dart" or "slash", `name` the dart's. Its mate is the neighbouring boundary of that name; both meet at the
      tip, the first one's last vertex and the second one's first, which wants a stop hole.

    `side` tells mates apart: "low" at the panel's lower bearings, "high" at its higher ("" for an edge); for a dart
    "low" is the side of lower bearings of the slit.

    `line` (m,) are the panel's vertices on the seam itself, going up, where leather runs past it (riveted, or
    stitched with an overlap); empty where the seam lies in the gap or is the boundary. `layer` is "upper" or "lower"
    then. Equal chart heights on two mates' lines, or on the boundaries of a seam stitched edge to edge, are the same
    place of the limb: holes through both layers stand at equal heights on both, whatever each flat piece makes of
    the distance between them.
    """

    name: str
    kind: str
    side: str
    vertices: Ints
    line: Ints = field(default_factory=_none)
    layer: str = ""

    def __post_init__(self) -> None:
        """Freeze the arrays."""
        object.__setattr__(self, "vertices", frozen_ints(self.vertices))
        object.__setattr__(self, "line", frozen_ints(self.line))


@dataclass(frozen=True, eq=False)
class Panel:
    """A disk mesh on a limb's neutral surface, in limb coordinates mm.

    `heights` and `bearings` (V,) are each vertex's chart coordinates; bearings run on without a jump.
    `boundaries` go once round counter-clockwise (seen from outside, bearing to the right, height up), each from
    corner to corner: bottom edge, high seam boundary, top edge, low seam boundary; where a dart opens on an edge, that
    edge's part before it, the dart's two sides, and the part after it.

    An upper layer's vertices have the chart coordinates of the places beneath them, and lie higher by the leather's
    thickness; so do those of a flared lip, by its flare: its `rises`. Those of a part that lies on the base lie
    `beyond` the base's by so many mm, along the base's normals.
    """

    name: str
    mesh: Mesh
    heights: Floats
    bearings: Floats
    boundaries: tuple[Boundary, ...]
    rises: tuple[Rise, ...] = ()
    beyond: float = 0.0

    def __post_init__(self) -> None:
        """Freeze the arrays."""
        object.__setattr__(self, "heights", frozen(self.heights))
        object.__setattr__(self, "bearings", frozen(self.bearings))

    @property
    def corners(self) -> Ints:
        """The vertex at the start of each boundary."""
        return frozen_ints([boundary.vertices[0] for boundary in self.boundaries])
