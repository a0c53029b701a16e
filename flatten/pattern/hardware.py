"""What is bought for the seams of a piece: eyelets and laces, rivets, straps and buckles, thread."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from flatten.pattern.fastening import STRAP_RIVETS
from flatten.pattern.model import Join, PatternError

LACE_TAIL = 275.0
"""mm of lace left at each end to tie: 250 to 300 is usual. From memory."""

POST_MORE = 3.0
"""mm that a rivet's post is longer than the stack that it holds. Common practice."""

THREAD_TIMES = 4.0
"""Length of thread over the length of the seam, for two needles and their ends. Common practice."""

STRAP_END = 10.0
"""mm of strap behind its last rivet. Common practice."""

STRAP_HOLES = 5
"""Holes in a strap's tongue, the middle one for the gap as planned. Common practice."""

STRAP_HOLE_PITCH = 12.0
"""mm from hole to hole in a strap's tongue. Common practice."""

STRAP_TIP = 30.0
"""mm of strap beyond its last hole. Common practice."""

STRAP_FOLD = 30.0
"""mm of strap that are folded back through a slot and riveted to the strap itself. Common practice."""

BUCKLE_FOLD = 10.0
"""mm of strap that go round a buckle's bar. Common practice."""


@dataclass(frozen=True)
class Hardware:
    """`count` things of one size (mm) for the seam or dart `seam`.

    `name` is "eyelet" (size: its hole's diameter), "rivet" (the post's length), "lace", "thread", "strap" or "buckle
    strap" (their lengths), or "strip" (its length, beneath a dart or slash; `width` at the edge, mm).
    """

    name: str
    seam: str
    count: int
    size: float
    width: float = 0.0


def lace_length(pairs: int, apart: float, pitch: float, *, tail: float = LACE_TAIL) -> float:
    """Length of a criss-cross lace, mm: 2(n−1)√(g²+p²) + g + 2·tail.

    For n `pairs` of holes, g mm `apart`, `pitch` p mm from pair to pair, and a `tail` at each end.
    """
    return 2.0 * (pairs - 1) * float(np.hypot(apart, pitch)) + apart + 2.0 * tail


def strap_length(join: Join) -> float:
    """Length of a tongue strap, mm: its held end, the gap, the row of holes, the tip; a buckle sits at the edge."""
    held = (STRAP_FOLD if join.slotted else STRAP_END + STRAP_RIVETS) + join.row
    gap = join.apart - 2.0 * join.row
    return held + gap + 0.5 * (STRAP_HOLES - 1) * STRAP_HOLE_PITCH + STRAP_TIP


def buckle_strap_length(join: Join) -> float:
    """Length of a buckle's strap, mm: folded round its bar, with both ends riveted to the piece, or through a slot."""
    if join.slotted:
        return 2.0 * join.row + STRAP_FOLD + BUCKLE_FOLD
    return 2.0 * (STRAP_END + STRAP_RIVETS + join.row) + BUCKLE_FOLD


def hardware_of(joins: Sequence[Join], *, sets: int = 1) -> tuple[Hardware, ...]:
    """What is bought for seams and darts, `sets` times over (2 for a pair of limbs).

    Raises PatternError where one is closed in a way that nothing is known to be bought for.
    """
    found: list[Hardware] = []
    for join in joins:
        post = join.stack + POST_MORE
        if join.kind == "laced":
            found.append(Hardware("eyelet", join.name, 2 * join.count * sets, join.diameter))
            lace = lace_length(join.count, join.apart, join.pitch)
            found.append(Hardware("lace", join.name, sets, lace))
        elif join.kind == "strapped":
            found.append(Hardware("strap", join.name, join.count * sets, strap_length(join)))
            found.append(Hardware("buckle strap", join.name, join.count * sets, buckle_strap_length(join)))
            strap = join.stack - join.leather
            # The tongue strap lies once on the leather, the buckle's twice; in a slot each lies on itself.
            posts = [(2, 2.0 * strap + POST_MORE)] if join.slotted else [(2, post), (2, post + strap)]
            found += [Hardware("rivet", join.name, each * join.count * sets, length) for each, length in posts]
        elif join.kind == "riveted":
            rows = 2 if join.row else 1
            found.append(Hardware("rivet", join.name, rows * join.count * sets, post))
        elif join.kind == "stitched":
            rows = 2 if join.strip else 1
            found.append(Hardware("thread", join.name, sets, rows * THREAD_TIMES * max(join.lengths)))
        else:
            raise PatternError(f"seam '{join.name}' is {join.kind}, and nobody wrote what is bought for that")
        if join.strip or (join.kind == "riveted" and join.row):
            found.append(Hardware("strip", join.name, sets, max(join.lengths) + 2.0 * join.row, join.strip))
    return tuple(found)
