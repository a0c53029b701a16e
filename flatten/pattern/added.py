"""Holes and lines that a piece has beside those of its seams: what other parts that lie on it want."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from flatten.findings import Message
from flatten.mesh.places import Places
from flatten.mesh.surface import Floats, Ints
from flatten.pattern.model import Hole


@dataclass(frozen=True, eq=False)
class AddedHole:
    """A hole of `kind` for a `part` (its name), by the place of its centre, or, of a slot, by those of both its ends.

    `after`: it is marked through the other layer after forming.
    """

    at: Places
    diameter: float
    kind: str
    part: str
    after: bool = False


@dataclass(frozen=True, eq=False)
class AddedLine:
    """Lines through places of a piece, each smooth from end to end, that are drawn as marks of `kind`; `name` is
    written beside the longest."""

    at: tuple[Places, ...]
    kind: str
    name: Message | None


@dataclass(frozen=True, eq=False)
class Added:
    """What is added to one piece."""

    holes: tuple[AddedHole, ...] = ()
    lines: tuple[AddedLine, ...] = ()

    def __add__(self, other: Added) -> Added:
        """What both add."""
        return Added((*self.holes, *other.holes), (*self.lines, *other.lines))


NOTHING = Added()
"""Nothing is added."""


def added_holes(added: Added, uv: Floats, faces: Ints) -> tuple[Hole, ...]:
    """The holes as they lie on the flat piece whose vertices are `uv` (V,2) mm and whose mesh has `faces` (F,3)."""
    return tuple(_hole(one, one.at.on(uv, faces)) for one in added.holes)


def _hole(one: AddedHole, ends: Floats) -> Hole:
    x, y = ends.mean(axis=0).tolist()
    run, angle = 0.0, 0.0
    if len(ends) > 1:
        along = ends[-1] - ends[0]
        run, angle = float(np.hypot(*along)), float(np.arctan2(along[1], along[0]))
    return Hole(x, y, one.diameter, one.kind, one.part, "", run, angle, one.after)
