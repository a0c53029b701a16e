"""What a piece's edges are given: how its corners are rounded."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Edging:
    """What the edges of all pieces are given. `radius` is that of their corners, mm (0: points); None: the usual one,
    smaller where there is no room for it."""

    radius: float | None = None


USUAL = Edging()
"""What edges are given where nobody says more."""

POINTED = Edging(radius=0.0)
"""Edges as the panels have them, with points for corners."""
