"""The dashes of a path: those of its layer, made to end with a whole dash; short marks stay solid."""

from __future__ import annotations

from flatten.drawing.model import Look
from flatten.pattern.model import Path
from flatten.pattern.path import length

FEWEST = 3
"""Dashes that a line must have room for: one that holds fewer, like a notch or an arm of a cross, would be lost in a
gap or be read as two marks, and is drawn solid."""


def dashes_of(path: Path, look: Look) -> tuple[float, ...]:
    """What is drawn and left in turn along a path from its start, mm; empty for a solid line.

    Lengths are those of the look times one figure near 1, so that an open path ends with a whole dash, and a closed one
    with the gap before it: no corner and no end lies in a gap of another size.
    """
    period, whole = sum(look.dashes), length(path)
    if not look.dashes or whole < FEWEST * period:
        return ()
    last = 0.0 if path.closed else look.dashes[0]
    size = whole / (max(round((whole - last) / period), 1) * period + last)
    return tuple(size * share for share in look.dashes)
