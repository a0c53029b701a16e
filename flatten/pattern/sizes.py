"""What eyelets, rivets, snaps, laces and buckles are sold in, by hole, length and width."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np


@dataclass(frozen=True)
class Sold:
    """Hardware for a hole of `hole` mm: its barrel or post is `inner` mm wide inside (an eyelet) or thick (a rivet, a
    snap), and its flange or cap `flange` mm wide."""

    hole: float
    inner: float
    flange: float


EYELETS = (
    Sold(4.0, 3.0, 6.5),
    Sold(5.0, 4.0, 8.0),
    Sold(6.0, 5.0, 9.5),
    Sold(7.0, 6.0, 11.0),
    Sold(9.0, 8.0, 14.0),
    Sold(11.0, 10.0, 17.0),
)
"""Eyelets by the hole that they go through. Common practice is 5 to 6.5 mm; sizes from memory."""

RIVETS = (
    Sold(2.5, 2.0, 7.0),
    Sold(3.0, 2.5, 9.0),
    Sold(3.5, 3.0, 10.0),
    Sold(4.0, 3.5, 12.0),
    Sold(5.0, 4.5, 13.0),
)
"""Two-part rivets by their hole. Common practice is about 3 mm; sizes from memory."""

LINE = 25.4 / 40.0
"""mm. Snaps and buttons are measured in lines (lignes) of 1/40 inch. Common practice."""

SNAPS = (Sold(4.0, 3.5, 12.5), Sold(5.0, 4.5, 15.0))
"""Snaps (press studs) by the hole of their posts, with the caps of 20 and 24 lines. From memory."""

SOLD_BY_HOLE = {"eyelet": EYELETS, "rivet": RIVETS, "strap rivet": RIVETS, "snap": SNAPS}
"""What is set into a hole of each kind; nothing into the others."""

EYELET_FITS = 0.5
"""mm by which a hole may differ from the one that an eyelet's or snap's barrel is made for. From memory."""

RIVET_FITS = 0.3
"""mm by which a rivet's hole may differ from the one for its post: in a wider one it leans. From memory."""

POST_MORE = 3.0
"""mm that a rivet's or snap's post is longer than the stack that it holds. Common practice."""

BARREL_MORE = 2.0
"""mm that an eyelet's barrel is longer than the leather, to be rolled over behind it. From memory."""

POST_STEP = 1.0
"""mm. Posts of rivets and snaps are sold by whole millimetres. From memory."""

BARREL_STEP = 0.5
"""mm. Barrels of eyelets are sold by half millimetres. From memory."""

LACES = (600.0, 750.0, 900.0, 1200.0, 1500.0, 1800.0, 2400.0, 3000.0)
"""mm. Lengths that laces are sold in. From memory."""

LACE_STEP = 500.0
"""mm. Longer laces are cut from the roll by so much."""

BUCKLES = (10.0, 12.0, 16.0, 20.0, 25.0, 30.0, 40.0, 50.0, 60.0)
"""mm. Widths of straps that buckles are sold for. From memory."""

BUCKLE_PLAY = 2.0
"""mm that a strap may be narrower than its buckle is wide: in more it slides to and fro. From memory."""

THREAD_STEP = 1000.0
"""mm. Thread is told by whole metres."""

_ROUNDING = 1e-6
"""mm. What arithmetic adds to a length that is a whole step does not ask for the next one."""


def sold_for(kind: str, hole: float) -> Sold:
    """What is sold for the nearest hole to one of a kind ("eyelet", "rivet", "strap rivet", "snap") of `hole` mm; of
    two equally near the smaller, whose barrel goes through."""
    return min(SOLD_BY_HOLE[kind], key=lambda sold: (round(abs(sold.hole - hole), 6), sold.hole))


def is_sold(kind: str, hole: float) -> bool:
    """Whether something is sold that sits well in a hole of a kind and diameter (mm)."""
    fits = RIVET_FITS if SOLD_BY_HOLE[kind] is RIVETS else EYELET_FITS
    return abs(sold_for(kind, hole).hole - hole) <= fits + _ROUNDING


def flange_of(kind: str, hole: float) -> float:
    """Width (mm) of the flange or cap over a hole of a kind and diameter; 0 where nothing is set into it."""
    return sold_for(kind, hole).flange if kind in SOLD_BY_HOLE else 0.0


def rounded_up(length: float, step: float) -> float:
    """The least whole number of steps, in mm, that is no shorter than a length."""
    return float(np.ceil((length - _ROUNDING) / step) * step)


def lace_sold(length: float) -> float:
    """The shortest lace that is sold, mm, no shorter than a length; beyond the longest it is cut from the roll."""
    return next((sold for sold in LACES if sold >= length - _ROUNDING), rounded_up(length, LACE_STEP))


def buckle_for(strap: float) -> float:
    """Width (mm) of the strap that the narrowest buckle is sold for which a strap of this width goes through; the
    widest one's where none is wide enough."""
    return next((sold for sold in BUCKLES if sold >= strap - _ROUNDING), BUCKLES[-1])


def buckle_fits(strap: float) -> bool:
    """Whether a buckle is sold that a strap of this width (mm) goes through and fills."""
    return -_ROUNDING <= buckle_for(strap) - strap <= BUCKLE_PLAY + _ROUNDING


def buckles_beside(strap: float) -> tuple[float, float]:
    """The widths (mm) of the buckles next below and above a strap's; both the same at the ends of what is sold."""
    below = [sold for sold in BUCKLES if sold <= strap]
    above = [sold for sold in BUCKLES if sold >= strap]
    return (below or above)[-1 if below else 0], (above or below)[0 if above else -1]
