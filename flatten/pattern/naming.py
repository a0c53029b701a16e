"""What errors call the things on a piece: its sides, and its holes by number."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from flatten.pattern.model import Hole

EDGE_STITCH = "edge stitch"
"""What a hole has for its side that belongs to a row of stitches along the edges."""


def side_called(kind: str, name: str) -> str:
    """What a side of a piece is called: "the bottom edge", "seam 'back'", "dart 'heel'"."""
    if kind == "edge":
        return f"the {name}"
    return f"{kind if kind in ('dart', 'slash') else 'seam'} '{name}'"


def holes_called(holes: Sequence[Hole]) -> tuple[str, ...]:
    """What each hole of a piece is called: its kind, its number among its like, and what it belongs to.

    A hole of a seam or dart lies along a side of it, another part's along none.
    """
    darts = {hole.seam for hole in holes if hole.kind == "stop"}
    counts: Counter[tuple[str, str, str]] = Counter()
    names = []
    for hole in holes:
        counts[hole.kind, hole.seam, hole.side] += 1
        kind = "stop hole" if hole.kind == "stop" else hole.kind
        if hole.side == EDGE_STITCH:
            names.append(f"{EDGE_STITCH} {counts[hole.kind, hole.seam, hole.side]}")
            continue
        whose = "dart" if hole.seam in darts else "seam" if hole.side else "part"
        names.append(f"{kind} {counts[hole.kind, hole.seam, hole.side]} of {whose} '{hole.seam}'")
    return tuple(names)
