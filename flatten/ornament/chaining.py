"""Lines whose ends meet become one line: at each place the straightest ways on are paired."""

from __future__ import annotations

import itertools
from collections.abc import Mapping, Sequence

import numpy as np
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components
from scipy.spatial import cKDTree

from flatten.mesh.surface import Floats
from flatten.ornament.model import Strand

End = tuple[int, int]
"""A line's end: the line's number, and 0 for its first point or −1 for its last."""

LOOK = 1.0
"""mm. A line's direction at its end is that from a point so far back: shorter ones show how a hand lifts the pen."""


def groups(points: Floats, apart: float) -> list[list[int]]:
    """The numbers of points (n,2) that hang together by steps of at most `apart`, group by group in their order."""
    pairs = cKDTree(points).query_pairs(apart, output_type="ndarray") if len(points) else np.zeros((0, 2), int)
    graph = coo_array((np.ones(len(pairs)), (pairs[:, 0], pairs[:, 1])), shape=(len(points), len(points)))
    _, label = connected_components(graph, directed=False)
    found: dict[int, list[int]] = {}
    for at, one in enumerate(label.tolist()):
        found.setdefault(one, []).append(at)
    return list(found.values())


def outward(points: Floats, end: int) -> Floats:
    """The unit direction (2,) in which a line (n,2) leaves itself at an end, 0 or −1."""
    ordered = points if end == -1 else points[::-1]
    back = ordered[-1] - ordered[::-1]
    far = np.flatnonzero(np.hypot(*back.T) >= LOOK)
    way = back[far[0]] if len(far) else back[-1]
    if not way.any():
        # A small ring's ends: the last step tells.
        way = ordered[-1] - ordered[-2]
    return np.asarray(way / np.hypot(*way))


def turning(one: Floats, other: Floats) -> float:
    """The angle, rad, by which a line turns that leaves along `one` and goes on in a line that leaves along `other`."""
    return float(np.arctan2(abs(one[0] * other[1] - one[1] * other[0]), -(one @ other)))


def straightest(ends: Sequence[End], lines: Sequence[Floats]) -> list[tuple[End, End]]:
    """The ends that meet at one place, paired so that the straightest goes on first; an odd one is left over."""
    ways = {end: outward(lines[end[0]], end[1]) for end in ends}
    ranked = sorted(
        itertools.combinations(ends, 2), key=lambda pair: (turning(ways[pair[0]], ways[pair[1]]), pair[0], pair[1])
    )
    pairs: list[tuple[End, End]] = []
    taken: set[End] = set()
    for one, other in ranked:
        if one not in taken and other not in taken:
            pairs.append((one, other))
            taken |= {one, other}
    return pairs


def chained(lines: Sequence[Floats], links: Mapping[End, End]) -> tuple[Strand, ...]:
    """The strands that lines (n,2) make where linked ends are one point; `links` tells both ways. In the order of each
    strand's first line, open ones from a free end, closed where they come back."""
    done: set[int] = set()
    strands = []
    for first in range(len(lines)):
        if first in done:
            continue
        start = _free_end(first, links)
        pieces: list[Floats] = []
        at, closed = start, False
        while True:
            number, end = at
            done.add(number)
            points = lines[number] if end == 0 else lines[number][::-1]
            pieces.append(points if not pieces else points[1:])
            following = links.get((number, -1 if end == 0 else 0))
            if following is None:
                break
            if following == start:
                closed = True
                break
            at = following
        points = np.concatenate(pieces)
        strands.append(Strand(points[:-1] if closed else points, closed))
    return tuple(strands)


def _free_end(first: int, links: Mapping[End, End]) -> End:
    """The end at which the chain of a line begins: a free one, or that line's first point where the chain is a ring."""
    at: End = (first, 0)
    while at in links:
        number, end = links[at]
        at = (number, -1 if end == 0 else 0)
        if at == (first, 0):
            break
    return at


def both_ways(pairs: Sequence[tuple[End, End]]) -> dict[End, End]:
    """The links that pairs of ends make."""
    return {one: other for pair in pairs for one, other in (pair, pair[::-1])}
