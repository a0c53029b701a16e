"""Over and under for strands, alternating along every one of them."""

from __future__ import annotations

from collections import deque
from collections.abc import Sequence
from itertools import pairwise

import numpy as np
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components

from flatten.mesh.surface import Floats
from flatten.ornament.crossings import MEETING, Meeting, crossings_of, lengths_along
from flatten.ornament.model import Crossing, Region, Strand, Weave
from flatten.ornament.trouble import Trouble, TroubleError

Passes = list[list[tuple[float, int, int]]]
"""Of each strand its visits in order: where along, which crossing, and whether it is the crossing's first or second."""


def woven(strands: Sequence[Strand], *, field: Region | None = None) -> Weave:
    """The interlace of strands: each passes over and under in turn.

    What must hold between visits that follow each other is a system of parities, solved by walking along the strands;
    each connected part has two solutions, one the other's exchange, or none. For closed strands there always are two:
    every loop in the plane meets the rest an even number of times. The walk is chosen over the colouring of regions
    because it needs no regions: it holds for open strands and for fields with holes too, and finds what fails.

    Of the two solutions: from the part's lowest point (of several the leftmost) the strand that runs to the right
    there passes over at the first crossing that it meets. For closed strands that is the rule that a strand is over
    where the region to its left is dark, the outside of the part being light. So the choice hangs on the drawing
    alone, not on the order of the strands, where they begin or which way they run.

    Open ends inside the `field`, where one is given, are troubles; on its rim or outside they are not.
    Raises TroubleError with every trouble, and OrnamentError where a strand is no line.
    """
    found = crossings_of(strands, field=field)
    if found.troubles:
        raise TroubleError(found.troubles)
    passes = _passes(strands, found.crossings)
    first_over, odd = _alternating(passes, strands, found.crossings)
    if odd:
        raise TroubleError(odd)
    parts = _parts(len(strands), found.crossings)
    for part in sorted(set(parts)):
        if not _as_chosen([number for number, own in enumerate(parts) if own == part], strands, passes, first_over):
            for at, each in enumerate(found.crossings):
                first_over[at] ^= parts[each.first.strand] == part
    return Weave(
        tuple(strands),
        tuple(
            Crossing(each.x, each.y, *((each.first, each.second) if over else (each.second, each.first)))
            for each, over in zip(found.crossings, first_over, strict=True)
        ),
        parts,
    )


def _passes(strands: Sequence[Strand], crossings: Sequence[Meeting]) -> Passes:
    passes: Passes = [[] for _ in strands]
    for at, each in enumerate(crossings):
        for which, visit in enumerate((each.first, each.second)):
            passes[visit.strand].append((visit.along, at, which))
    return [sorted(own) for own in passes]


def _alternating(
    passes: Passes, strands: Sequence[Strand], crossings: Sequence[Meeting]
) -> tuple[list[bool], list[Trouble]]:
    """Whether each crossing's first visit is over, one solution of two for each part; where there is none, why."""
    links: list[list[tuple[int, bool]]] = [[] for _ in crossings]
    for strand, own in zip(strands, passes, strict=True):
        following = [*pairwise(own), *([(own[-1], own[0])] if strand.closed and own else [])]
        for (_, one, its), (_, other, others) in following:
            # Over at one and under at the other: first_over differs where both are first visits, or both second.
            links[one].append((other, its == others))
            links[other].append((one, its == others))
    first_over: list[bool | None] = [None] * len(crossings)
    odd: dict[int, Trouble] = {}
    for start in range(len(crossings)):
        if first_over[start] is not None:
            continue
        first_over[start] = True
        waiting, fails = deque([start]), None
        while waiting:
            at = waiting.popleft()
            for other, differs in links[at]:
                wanted = bool(first_over[at]) ^ differs
                if first_over[other] is None:
                    first_over[other] = wanted
                    waiting.append(other)
                elif first_over[other] != wanted and fails is None:
                    fails = other
        if fails is not None:
            each = crossings[fails]
            odd[fails] = Trouble("odd", each.x, each.y, (each.first.strand, each.second.strand))
    return [bool(over) for over in first_over], list(odd.values())


def _parts(count: int, crossings: Sequence[Meeting]) -> tuple[int, ...]:
    """The connected part of each strand, numbered in the order of their first strands."""
    links = [(each.first.strand, each.second.strand) for each in crossings]
    i, j = np.array(links, dtype=np.int64).reshape(-1, 2).T
    _, label = connected_components(coo_array((np.ones(len(i)), (i, j)), shape=(count, count)), directed=False)
    numbers: dict[int, int] = {}
    return tuple(numbers.setdefault(each, len(numbers)) for each in label.tolist())


def _as_chosen(members: Sequence[int], strands: Sequence[Strand], passes: Passes, first_over: Sequence[bool]) -> bool:
    """Whether over and under are, on the part of these strands, as the rule chooses them."""
    strand, at = _lowest(members, strands)
    own = passes[strand]
    if not own:
        return True
    points, closed = strands[strand].points, strands[strand].closed
    along = float(lengths_along(strands[strand])[at])
    ahead, behind = [each for each in own if each[0] >= along], [each for each in own if each[0] < along]
    forth = _runs_right(points, at, closed)
    right, left = (ahead, behind[::-1]) if forth else (behind[::-1], ahead)
    # To the left the outside lies on the other hand, so that the first crossing there is passed under.
    _, crossing, which = (right or left)[0]
    return (first_over[crossing] == (which == 0)) == bool(right)


def _lowest(members: Sequence[int], strands: Sequence[Strand]) -> tuple[int, int]:
    """Strand and point of the lowest of some strands' points that are lower than their neighbours; of several the
    leftmost."""
    found = []
    for number in members:
        x, y = strands[number].points.T
        before, after = np.roll(y, 1), np.roll(y, -1)
        if not strands[number].closed:
            before[0] = after[-1] = np.inf
        lows = np.flatnonzero((y <= before) & (y <= after)).tolist()
        found += [(float(y[at]), float(x[at]), number, at) for at in lows]
    least = min(found)[0]
    return min((x, y, number, at) for y, x, number, at in found if y <= least + MEETING)[2:]


def _runs_right(points: Floats, at: int, closed: bool) -> bool:
    """Whether a strand runs to the right, as it is drawn, at its point `at`, below which nothing lies."""
    if not closed and at in (0, len(points) - 1):
        return at == 0
    here = points[at]
    forth, back = points[(at + 1) % len(points)] - here, points[at - 1] - here
    # Both lead up: the one to the right is the one that is met first, turning left from the right.
    return bool(forth[0] * back[1] - forth[1] * back[0] > 0.0)
