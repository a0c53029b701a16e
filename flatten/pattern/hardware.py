"""What is bought for all that is laced, riveted, snapped, strapped or stitched, by what it is for, and in all."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from flatten.pattern.model import Join, PatternError, Piece
from flatten.pattern.naming import EDGE_STITCH
from flatten.pattern.path import length as path_length
from flatten.pattern.sizes import (
    BARREL_MORE,
    BARREL_STEP,
    POST_MORE,
    POST_STEP,
    THREAD_STEP,
    buckle_for,
    lace_sold,
    rounded_up,
    sold_for,
)
from flatten.pattern.strap_lengths import StrapCut, buckle_strap, slotted_strap, tongue_strap

LACE_TAIL = 275.0
"""mm of lace left at each end to tie: 250 to 300 is usual. From memory."""

STRAP_RIVET = 3.0
"""mm. Rivet holes in a strap that goes through slots, whose piece has none: common practice."""

STRAP_LEATHER_STEP = 100.0
"""mm. Strap leather is told by tenths of a metre."""

THREAD_TIMES = 4.0
"""Length of thread over the length of the seam, for two needles and their ends. Common practice."""

_ORDER = ("eyelet", "rivet", "snap", "buckle", "strap leather", "lace", "thread")
"""What is bought, in the order of the list: what is set with tools first."""

_BY_LENGTH = {"thread": THREAD_STEP, "strap leather": STRAP_LEATHER_STEP}
"""What is cut from one length, and the steps (mm) that it is told by."""


@dataclass(frozen=True)
class Hardware:
    """`count` like things for one use: what a seam, dart, plate or lame (`what`; rivets of straps: "strap", "buckle
    strap") of the name `seam` is closed by.

    `name` is "eyelet", "rivet", "snap", "lace", "thread", "strap", "buckle strap", "buckle" or "strip". `length` is
    what is needed, `sold` what to ask for: of an eyelet's barrel, a rivet's or snap's post, a lace, a seam's thread, a
    strap, a strip. What goes through a hole has its diameter `hole`, is `inner` wide inside (an eyelet) or thick, and
    its flange or cap is `flange` wide. `width` is that of a strap, of the strap that a buckle is sold for, or of a
    strip at the edge. `cut` is how a strap is cut, `parts` what a lace's length is made of. All mm; 0: has none.
    """

    name: str
    what: str
    seam: str
    count: int
    length: float = 0.0
    sold: float = 0.0
    hole: float = 0.0
    inner: float = 0.0
    flange: float = 0.0
    width: float = 0.0
    cut: StrapCut | None = None
    parts: tuple[float, ...] = ()

    @property
    def size(self) -> float:
        """mm that it is known by: an eyelet's or snap's hole, a buckle's width, else the length that is needed."""
        return self.hole if self.name in ("eyelet", "snap") else self.width if self.name == "buckle" else self.length


def lace_length(pairs: int, apart: float, pitch: float, *, tail: float = LACE_TAIL) -> float:
    """Length of a criss-cross lace, mm: 2(n−1)√(g²+p²) + g + 2·tail.

    For n `pairs` of holes, g mm `apart`, `pitch` p mm from pair to pair, and a `tail` at each end.
    """
    return 2.0 * (pairs - 1) * float(np.hypot(apart, pitch)) + apart + 2.0 * tail


def hardware_of(joins: Iterable[Join], *, sets: int = 1) -> tuple[Hardware, ...]:
    """What is bought for joins of any kind, `sets` times over (2 for a pair of limbs).

    A rivet, snap or eyelet goes into each hole of the upper layer, so a join of a plate or a lame is "riveted" with
    `row` 0 and its rivets for `count`; one side's stitches alone are "stitched".

    Raises PatternError where one is closed in a way that nothing is known to be bought for.
    """
    return tuple(replace(one, count=one.count * sets) for join in joins for one in _bought(join))


def edge_thread(pieces: Iterable[Piece], *, sets: int = 1) -> tuple[Hardware, ...]:
    """Thread for the lines of stitches along the edges of pieces, `sets` times over; nothing for one without."""
    found = []
    for piece in pieces:
        run = sum(path_length(mark.path) for mark in piece.marks if mark.kind == "stitch line")
        if run and any(hole.side == EDGE_STITCH for hole in piece.holes):
            found.append(Hardware("thread", "edge", piece.name, sets, THREAD_TIMES * run, THREAD_TIMES * run))
    return tuple(found)


def gathered(found: Sequence[Hardware]) -> tuple[Hardware, ...]:
    """Hardware of several limbs, equal things for one use counted together, in the order in which each first appears.

    What is sold alike is equal; the greatest of the lengths that are needed is told.
    """
    alike: dict[object, Hardware] = {}
    for one in found:
        cut = None if one.cut is None else (len(one.cut.holes), round(one.cut.length))
        key = (one.name, one.what, one.seam, *_sold_as(one), cut)
        there = alike.get(key)
        longer = one if there is None or one.length > there.length else there
        alike[key] = replace(longer, count=one.count + (0 if there is None else there.count))
    return tuple(alike.values())


def in_all(found: Sequence[Hardware]) -> tuple[Hardware, ...]:
    """What to buy in all, whatever it is for: equal things of one size counted once.

    Thread is one length. Straps of one width are cut from one "strap leather", as long as all together. What is cut
    from the piece's own leather is not bought.
    """
    alike: dict[object, Hardware] = {}
    for one in (_as_bought(one) for one in found if one.name != "strip"):
        key = (one.name, *_sold_as(one))
        there = alike.get(key)
        if there is None:
            alike[key] = one
        elif one.name in _BY_LENGTH:
            alike[key] = replace(there, length=there.length + one.length)
        else:
            alike[key] = replace(there, count=there.count + one.count, length=max(there.length, one.length))
    sums = [
        replace(one, sold=rounded_up(one.length, _BY_LENGTH[one.name])) if one.name in _BY_LENGTH else one
        for one in alike.values()
    ]
    return tuple(sorted(sums, key=lambda one: (_ORDER.index(one.name), one.hole, one.width, one.sold)))


def _as_bought(one: Hardware) -> Hardware:
    """A thing of one use as the shop has it, for no use of its own; what is cut from one length as that length."""
    if one.name == "thread":
        return Hardware("thread", "", "", 1, one.count * one.length)
    if one.cut is not None:
        return Hardware("strap leather", "", "", 1, one.count * one.sold, width=one.width)
    return replace(one, what="", seam="", parts=())


def _sold_as(one: Hardware) -> tuple[float, ...]:
    """What it is asked for by, to a hundredth of a millimetre."""
    return tuple(round(value, 2) for value in (one.hole, one.inner, one.flange, one.width, one.sold))


def _bought(join: Join) -> list[Hardware]:
    """What is bought for one join."""
    found: list[Hardware] = []
    if join.kind == "laced":
        crossing = float(np.hypot(join.apart, join.pitch))
        length = lace_length(join.count, join.apart, join.pitch)
        parts = (2.0 * (join.count - 1), crossing, join.apart, LACE_TAIL)
        found = [
            _set_in("eyelet", join, 2 * join.count, join.leather),
            Hardware("lace", join.what, join.name, 1, length, lace_sold(length), parts=parts),
        ]
    elif join.kind == "strapped":
        found = _for_straps(join)
    elif join.kind == "snapped":
        found = [_set_in("snap", join, join.count, join.leather)]
    elif join.kind == "riveted":
        found = [_set_in("rivet", join, (2 if join.row else 1) * join.count, join.stack)]
    elif join.kind == "stitched":
        length = (2 if join.strip else 1) * THREAD_TIMES * max(join.lengths)
        found = [Hardware("thread", join.what, join.name, 1, length, length)]
    else:
        raise PatternError(f"{join.what} '{join.name}' is {join.kind}, and nobody wrote what is bought for that")
    if join.strip or (join.kind == "riveted" and join.row):
        length = max(join.lengths) + 2.0 * join.row
        found.append(Hardware("strip", join.what, join.name, 1, length, rounded_up(length, 1.0), width=join.strip))
    return found


def _set_in(name: str, join: Join, count: int, stack: float) -> Hardware:
    """Eyelets or rivets through `stack` mm of leather, as they are sold for the hole."""
    more, step = (BARREL_MORE, BARREL_STEP) if name == "eyelet" else (POST_MORE, POST_STEP)
    sold, length = sold_for(name, join.diameter), stack + more
    return Hardware(
        name,
        join.what,
        join.name,
        count,
        length,
        rounded_up(length, step),
        hole=join.diameter,
        inner=sold.inner,
        flange=sold.flange,
    )


def _for_straps(join: Join) -> list[Hardware]:
    """Straps, buckles and the rivets that hold them: each end of a strap by two, in a slotted one's fold too."""
    strap = join.stack - join.leather

    def cut(name: str, found: StrapCut) -> Hardware:
        sold = rounded_up(found.length, 1.0)
        return Hardware(name, join.what, join.name, join.count, found.length, sold, width=join.strap, cut=found)

    buckle = Hardware("buckle", join.what, join.name, join.count, width=buckle_for(join.strap))
    if join.slotted:
        held = replace(join, diameter=STRAP_RIVET, what="strap")
        return [cut("strap", slotted_strap(join)), buckle, _set_in("rivet", held, 2 * join.count, 2.0 * strap)]
    return [
        cut("strap", tongue_strap(join)),
        cut("buckle strap", buckle_strap(join)),
        buckle,
        # The tongue strap lies once on the leather, the buckle's twice.
        _set_in("rivet", replace(join, what="strap"), 2 * join.count, join.stack),
        _set_in("rivet", replace(join, what="buckle strap"), 2 * join.count, join.stack + strap),
    ]
