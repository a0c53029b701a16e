"""What a piece's ornament came to: its field, how that warps, and each motif as it is worked."""

from __future__ import annotations

from dataclasses import dataclass

from flatten.findings import Message
from flatten.ornament.field import Size
from flatten.ornament.grain_face import GrainFace
from flatten.ornament.model import Carving, Field, Region, Weave
from flatten.ornament.tooling import Tooling
from flatten.ornament.warp import Warp
from flatten.pattern.model import Mark

NOTHING = Region(())
"""No place at all."""


@dataclass(frozen=True, eq=False)
class Motif:
    """One motif of a piece: its `kind`, `weave` and `carving` in the drawing plane, and what working it takes.

    `told` is what is to be known of how it was brought, placed or mended. Lengths on the worn grain side are
    `least` to `greatest` times those of the drawing plane; 1 and 1 where it is drawn as it lies flat.
    On a piece that is the same on both sides, of a limb that is not, lines lie up to `uneven` mm off what was drawn.
    """

    kind: str
    weave: Weave
    carving: Carving
    tooling: Tooling
    told: tuple[Message, ...] = ()
    least: float = 1.0
    greatest: float = 1.0
    uneven: float = 0.0


@dataclass(frozen=True, eq=False)
class Ornament:
    """A piece's ornament, by the number of its panel (`panel`): its field, how large that is and how forming warps it,
    its motifs, what is drawn of them on the piece, and their `background` there. `face` is the piece's worn grain side,
    which `field`, marks and background are carried to by it. `calm`: the field keeps off leather that moves too much in
    forming."""

    panel: int
    field: Field
    size: Size
    warp: Warp
    face: GrainFace
    motifs: tuple[Motif, ...] = ()
    marks: tuple[Mark, ...] = ()
    background: Region = NOTHING
    calm: bool = True
