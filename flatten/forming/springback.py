"""How far formed leather opens when it comes off its former: its bends spring back, R' = R / (1 − s), its arcs stay."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

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

    A ring is taken for the circle of its girth, of radius R. Its leather, L long, is bent by the angle L/R; when the
    share s of that comes back its radius is R/(1 − s), and its edges, 2R·sin(L/2R) apart before, part as the chord
    of an arc of length L grows. Rings are taken one by one: what a doubly curved shell hinders is not worked out.

    Raises LimbError where the surface has no section at a ring's height.
    """
    bent = [] if test is None else [each for each in test.bent if each is not None]
    least, most = (min(r.least for r in bent), max(r.greatest for r in bent)) if bent else UNTESTED
    found = []
    for ring in rings:
        girth = section_girth(worn, ring.height)
        leather, radius = girth - gaps, girth / (2.0 * np.pi)
        grows = [_chord(leather, radius / (1.0 - share)) - _chord(leather, radius) for share in (least, most)]
        found.append(RingOpening(ring.name, ring.height, leather, *grows))
    return Springback(least, most, bool(bent), tuple(found))


def _chord(length: float, radius: float) -> float:
    """The distance of the ends of an arc, mm."""
    return 2.0 * radius * float(np.sin(0.5 * length / radius))
