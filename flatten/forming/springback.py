"""How far formed leather opens when it comes off its former: its bends spring back, R' = R / (1 − s), its arcs stay."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from flatten.leather.model import StripTest
from flatten.limb.girths.girth import section_girth
from flatten.limb.surface.model import LimbSurface
from flatten.worn.rings import Ring

UNTESTED = (0.05, 0.3)
"""Least and greatest share of a bend that springs back where no strip tells. An opinion: no table of formed leather was
found."""


@dataclass(frozen=True)
class RingOpening:
    """A ring of the piece at a height, mm: the length of its leather, and by how much its gap opens, least and most."""

    name: str
    height: float
    leather: float
    least: float
    most: float


@dataclass(frozen=True)
class Springback:
    """The share of its bend that leather springs back by, least and most, whether strips told it, and the rings."""

    least: float
    most: float
    tested: bool
    rings: tuple[RingOpening, ...]


def springback_of(rings: Sequence[Ring], worn: LimbSurface, *, gaps: float, test: StripTest | None) -> Springback:
    """What rings of a piece on the neutral surface `worn` do, of whose girth `gaps` mm are its open seams'.

    A ring's leather of length L is bent by the angle L/R, of which the share s comes back; with L the same, the two
    edges part by s·L along the ring. Rings are taken one by one: what a doubly curved shell hinders is not worked out.

    Raises LimbError where the surface has no section at a ring's height.
    """
    bent = [] if test is None else [each for each in test.bent if each is not None]
    least, most = (min(r.least for r in bent), max(r.greatest for r in bent)) if bent else UNTESTED
    found = []
    for ring in rings:
        leather = section_girth(worn, ring.height) - gaps
        found.append(RingOpening(ring.name, ring.height, leather, least * leather, most * leather))
    return Springback(least, most, bool(bent), tuple(found))
