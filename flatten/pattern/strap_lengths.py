"""How the straps of a strapped seam are cut: their lengths, part by part, and where their holes are."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from flatten.pattern.fastening import STRAP_RIVETS
from flatten.pattern.model import Join
from flatten.worn.wearing import STRAP

STRAP_THICKNESS = 2.5
"""mm. Straps are cut from thinner leather than the piece: about 6 oz. Common practice."""

STRAP_END = 10.0
"""mm of strap behind its first rivet. Common practice."""

STRAP_HOLE_PITCH = 10.0
"""mm from hole to hole in a strap's tongue. Common practice."""

STRAP_TIP = 30.0
"""mm of strap beyond its last hole. Common practice."""

STRAP_HOLE = 4.0
"""mm. Holes in a strap's tongue, for the pin of its buckle. Common practice."""

BUCKLE_FOLD = 10.0
"""mm of strap that go round a buckle's bar. Common practice."""

PIN_SLOT = 20.0
"""mm. Length of the slot in the fold round a buckle's bar, through which its pin comes. Common practice."""

BUCKLE_BEHIND = 60.0
"""mm from a slot to the bar of the buckle whose strap goes through it: the strap lies double for 40 mm behind the bar,
held by two rivets, and no double strap goes through a slot."""


@dataclass(frozen=True)
class StrapCut:
    """A strap as it is cut: all mm from its square end.

    `parts` are its lengths one after another, each with what it is for; they make up `length`. `rivets` are the rivet
    holes, `holes` those of the tongue, of which that at `planned` closes the gap as drawn, `pin` the middle of the slot
    for a buckle's pin (None: no buckle on it).
    """

    parts: tuple[tuple[str, float], ...]
    rivets: tuple[float, ...]
    holes: tuple[float, ...] = ()
    planned: float | None = None
    pin: float | None = None

    @property
    def length(self) -> float:
        """Length of the strap, mm."""
        return sum(size for _, size in self.parts)


def tongue_strap(join: Join) -> StrapCut:
    """The strap with the tongue of a seam whose straps are held by rivets; the buckle's bar comes to the other edge."""
    bare = join.apart - 2.0 * join.row
    parts = (
        ("end", STRAP_END),
        ("rivets", STRAP_RIVETS),
        ("to edge", join.row),
        ("gap", bare),
        ("holes", STRAP),
        ("tip", STRAP_TIP),
    )
    buckle = sum(size for _, size in parts[:4])
    return StrapCut(parts, (STRAP_END, STRAP_END + STRAP_RIVETS), _tongue_holes(buckle, bare, times=1), buckle)


def buckle_strap(join: Join) -> StrapCut:
    """The buckle's strap of a seam whose straps are held by rivets: folded round the bar, its ends on one another."""
    half = STRAP_END + STRAP_RIVETS + join.row
    parts = (
        ("end", STRAP_END),
        ("rivets", STRAP_RIVETS),
        ("to edge", join.row),
        ("bar", BUCKLE_FOLD),
        ("from edge", join.row),
        ("rivets again", STRAP_RIVETS),
        ("behind", STRAP_END),
    )
    whole = 2.0 * half + BUCKLE_FOLD
    ends = (STRAP_END, STRAP_END + STRAP_RIVETS)
    return StrapCut(parts, (*ends, *(whole - at for at in ends[::-1])), pin=0.5 * whole)


def slotted_strap(join: Join) -> StrapCut:
    """The one strap of a seam with slots, with its buckle: from the bar in through the slot beside it, beneath both
    edges, out through the other slot and back over the gap to the bar."""
    bare = join.apart - 2.0 * join.row
    fold = STRAP_END + STRAP_RIVETS + 0.5 * PIN_SLOT + 0.5 * BUCKLE_FOLD
    parts = (
        ("fold", fold),
        ("to slot", BUCKLE_BEHIND),
        ("beneath", join.apart),
        ("over", join.apart),
        ("to bar", BUCKLE_BEHIND),
        ("holes", 2.0 * STRAP),
        ("tip", STRAP_TIP),
    )
    ends = (STRAP_END, STRAP_END + STRAP_RIVETS)
    buckle = sum(size for _, size in parts[:5])
    rivets = (*ends, *(2.0 * fold - at for at in ends[::-1]))
    return StrapCut(parts, rivets, _tongue_holes(buckle, bare, times=2), buckle, fold)


def _tongue_holes(middle: float, gap: float, *, times: int) -> tuple[float, ...]:
    """Holes about the `middle` one, which closes the gap as planned; each mm of gap takes `times` as much strap.

    They close and open it by STRAP, for which a piece is told to fit; none closes it further than shut.
    """
    steps = round(times * STRAP / STRAP_HOLE_PITCH)
    offsets = STRAP_HOLE_PITCH * np.arange(-steps, steps + 1)
    return tuple(float(middle + offset) for offset in offsets if offset >= -times * round(gap, 6))
