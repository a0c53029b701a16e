"""Runs of short straight spans drawn as the few lines and tangent arcs that stand for them."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from flatten.mesh.surface import Flags, Floats, Ints
from flatten.pattern.model import Path
from flatten.pattern.path import spans

LIGHT = 0.02
"""mm. What is drawn lies this far from what was worked out at most: a fifth of a cut line's own tolerance, a tenth of a
laser's kerf."""

_CORNER = np.radians(12.0)
"""rad. Where a polyline turns by more there is a corner: chords of 0.3 mm leave a bend of 3 mm radius by 6°."""

_STEEPEST = np.radians(40.0)
"""rad. Half of what one arc turns by at most, so that it is less than a quarter of a circle."""

_UNLIKE = 3.0
"""A span so many times longer than its neighbour is a line of its own, and the bend begins where it ends."""

_DETOUR = 0.02
"""Share by which arcs may be longer or shorter than the chords that they stand for: chords that turn by 12° are 0.2 %
shorter than their arc."""

_KINK = np.radians(0.1)
"""rad. A single arc stands for a pair where its tangents turn from theirs by no more: nobody feels it along an edge."""

_STRAIGHT = 1e-9
"""Bulge below which an arc is a line: its rise is below a millionth of a millimetre over a metre."""


@dataclass(frozen=True, eq=False)
class _Pairs:
    """Pairs of tangent arcs (k,): starts and joints (k,2), the tangents' angles there, both chords and bulges (k,2).

    `sound` are those that turn by little enough.
    """

    start: Floats
    joint: Floats
    leaving: Floats
    joining: Floats
    chords: Floats
    bulges: Floats
    sound: Flags


def lightened(path: Path, tolerance: float = LIGHT) -> Path:
    """The path with its runs of straight spans drawn as lines and tangent arcs, within `tolerance` mm of it.

    Neighbours are merged two and two, as long as one arc or a pair of tangent arcs stays near enough to every point and
    every middle of a span that it stands for. Points at which the path turns sharply stay, and so does what is an arc
    already. What comes back is `light`, and comes back from here as it is, wherever it was moved: merged once more it
    would lie twice as far off.
    """
    return path if path.light else replace(_lightened(path, tolerance), light=True)


def _lightened(path: Path, tolerance: float) -> Path:
    start, end, bulge = spans(path)
    count = len(start)
    if count < 3 or np.count_nonzero(bulge == 0.0) < 3:
        return path
    # A closed path is gone round from its sharpest point, so that no run goes over its beginning.
    first = int(np.argmax(np.abs(_turns(start, end)))) if path.closed else 0
    order = np.mod(first + np.arange(count + 1), len(path.points))
    run = _Run.of(path.points[order], np.roll(bulge, -first))
    blocks = _merged(run, tolerance)
    return path if len(blocks) == count + 1 else _drawn(run, blocks, tolerance, closed=path.closed)


@dataclass(frozen=True, eq=False)
class _Run:
    """Nodes (n+1,2) of n spans with their bulges (n,), the angles (n+1,) of the tangents that arrive at and leave each
    node, and which of them stay."""

    nodes: Floats
    bulges: Floats
    arriving: Floats
    leaving: Floats
    stays: Flags

    @staticmethod
    def of(nodes: Floats, bulges: Floats) -> _Run:
        """The run of spans with tangents as of the circle through three neighbouring nodes."""
        edge = np.diff(nodes, axis=0)
        heading, size = np.arctan2(edge[:, 1], edge[:, 0]), np.hypot(*edge.T)
        turn = _wrapped(np.diff(heading))
        before, after = size[:-1], size[1:]
        share = before / (before + after)
        share = np.where(before > _UNLIKE * after, 0.0, np.where(after > _UNLIKE * before, 1.0, share))
        between = heading[:-1] + share * turn
        arc = bulges != 0.0
        stays = np.ones(len(nodes), bool)
        stays[1:-1] = (np.abs(turn) > _CORNER) | arc[:-1] | arc[1:]
        half = 2.0 * np.arctan(bulges)
        # At a node that stays, the end of a bend is as steep as its next node says.
        arriving, leaving = np.append(0.0, heading + half), np.append(heading - half, 0.0)
        loose = ~stays[1:-1]
        arriving[1:-1][loose] = leaving[1:-1][loose] = between[loose]
        bent = np.flatnonzero(~arc & stays[:-1] & ~stays[1:])
        leaving[bent] = heading[bent] - _wrapped(arriving[bent + 1] - heading[bent])
        bent = np.flatnonzero(~arc & ~stays[:-1] & stays[1:])
        arriving[bent + 1] = heading[bent] + _wrapped(heading[bent] - leaving[bent])
        return _Run(nodes, bulges, arriving, leaving, stays)


def _merged(run: _Run, tolerance: float) -> Ints:
    """The nodes (m+1,) between which pairs of arcs, or the spans themselves where nothing is between, are drawn."""
    blocks = np.arange(len(run.nodes))
    parity, vain = 0, 0
    while vain < 2:
        first = np.arange(parity, len(blocks) - 2, 2)
        first = first[~run.stays[blocks[first + 1]]]
        low, high = blocks[first], blocks[first + 2]
        good = _near(run, low, high, _pairs(run, low, high), tolerance) if len(first) else np.zeros(0, bool)
        blocks = np.delete(blocks, first[good] + 1)
        vain = 0 if good.any() else vain + 1
        parity = 1 - parity
    return blocks


def _pairs(run: _Run, low: Ints, high: Ints) -> _Pairs:
    """The pairs of tangent arcs between nodes, whose control lengths are equal.

    With ends p and q, unit tangents s and t, v = q - p and w = s + t, the length d solves v·v - 2d v·w = 2d²(1 - s·t),
    and they meet midway between p + ds and q - dt (Bolton, "Biarc curves", 1975).
    """
    leaving, arriving = run.leaving[low], run.arriving[high]
    s, t = (np.stack([np.cos(angle), np.sin(angle)], axis=1) for angle in (leaving, arriving))
    p, q = run.nodes[low], run.nodes[high]
    v = q - p
    squared, along, gap = (v * v).sum(axis=1), (v * (s + t)).sum(axis=1), 1.0 - (s * t).sum(axis=1)
    # The root that stays finite where the tangents are parallel.
    root = np.sqrt(np.maximum(along**2 + 2.0 * gap * squared, 0.0))
    ahead = along + root > 0.0
    d = np.divide(squared, along + root, out=np.zeros_like(squared), where=ahead)
    joint = 0.5 * (p + d[:, None] * s + q - d[:, None] * t)
    first, second = joint - p, q - joint
    near, far = np.arctan2(first[:, 1], first[:, 0]), np.arctan2(second[:, 1], second[:, 0])
    halves = np.stack([_wrapped(near - leaving), _wrapped(arriving - far)], axis=1)
    sound = ahead & (np.abs(halves) < _STEEPEST).all(axis=1)
    chords = np.stack([np.hypot(*first.T), np.hypot(*second.T)], axis=1)
    return _Pairs(p, joint, leaving, leaving + 2.0 * halves[:, 0], chords, np.tan(0.5 * halves), sound)


def _singles(run: _Run, low: Ints, high: Ints) -> _Pairs:
    """The single arcs between nodes that fit the tangents at both ends best, as two halves each."""
    chord = run.nodes[high] - run.nodes[low]
    heading = np.arctan2(chord[:, 1], chord[:, 0])
    first, last = _wrapped(heading - run.leaving[low]), _wrapped(run.arriving[high] - heading)
    half = 0.5 * (first + last)
    left = np.stack([-chord[:, 1], chord[:, 0]], axis=1)
    joint = 0.5 * (run.nodes[low] + run.nodes[high]) - 0.5 * np.tan(0.5 * half)[:, None] * left
    chords = np.hypot(*(joint - run.nodes[low]).T)[:, None] * np.ones(2)
    bulges = np.tan(0.25 * half)[:, None] * np.ones(2)
    sound = (np.abs(half) < _STEEPEST) & (np.abs(first - last) < 2.0 * _KINK)
    return _Pairs(run.nodes[low], joint, heading - half, heading, chords, bulges, sound)


def _near(run: _Run, low: Ints, high: Ints, pairs: _Pairs, tolerance: float) -> Flags:
    """Which pairs of arcs stay within `tolerance` of all points and middles of spans that they stand for."""
    counts = high - low
    begins = np.cumsum(counts) - counts
    own = np.repeat(np.arange(len(low)), counts)
    at = np.arange(len(own)) - begins[own] + low[own]
    ends = run.nodes[at + 1]
    middles = 0.5 * (run.nodes[at] + ends)
    off = np.maximum(_off(pairs, own, ends), _off(pairs, own, middles))
    worst = np.maximum.reduceat(off, begins)
    chords = np.add.reduceat(np.hypot(*(ends - run.nodes[at]).T), begins)
    drawn = (pairs.chords / np.sinc(2.0 * np.arctan(pairs.bulges) / np.pi)).sum(axis=1)
    return np.asarray(pairs.sound & (worst <= tolerance) & (np.abs(drawn - chords) <= _DETOUR * chords))


def _off(pairs: _Pairs, own: Ints, points: Floats) -> Floats:
    """Distances (k,) of points (k,2) from the circles of their own pairs of arcs, each from the arc that it faces.

    From a circle of curvature c through a with the left normal n, a point at v from a lies 2f / (1 + √(1 - 2cf)) with
    f = n·v - c/2 v·v: so a straight arc is no case of its own.
    """
    joint, joining = pairs.joint[own], pairs.joining[own]
    ahead = ((points - joint) * np.stack([np.cos(joining), np.sin(joining)], axis=1)).sum(axis=1) > 0.0
    angle = np.where(ahead, joining, pairs.leaving[own])
    curvature = (2.0 * np.sin(2.0 * np.arctan(pairs.bulges)) / pairs.chords)[own, ahead.astype(int)]
    v = points - np.where(ahead[:, None], joint, pairs.start[own])
    f = v[:, 1] * np.cos(angle) - v[:, 0] * np.sin(angle) - 0.5 * curvature * (v * v).sum(axis=1)
    return np.asarray(np.abs(2.0 * f / (1.0 + np.sqrt(np.maximum(1.0 - 2.0 * curvature * f, 0.0)))))


def _drawn(run: _Run, blocks: Ints, tolerance: float, *, closed: bool) -> Path:
    """The path of the merged blocks: the spans themselves, single arcs, pairs of arcs."""
    low, high = blocks[:-1], blocks[1:]
    points, bulges = run.nodes[low], run.bulges[low].copy()
    merged = np.flatnonzero(high - low > 1)
    pairs, singles = (found(run, low[merged], high[merged]) for found in (_pairs, _singles))
    alone = _near(run, low[merged], high[merged], singles, tolerance)
    bulges[merged] = np.where(alone, np.tan(2.0 * np.arctan(singles.bulges[:, 0])), pairs.bulges[:, 0])
    two = merged[~alone]
    points = np.insert(points, two + 1, pairs.joint[~alone], axis=0)
    bulges = np.insert(bulges, two + 1, pairs.bulges[~alone, 1])
    bulges[np.abs(bulges) < _STRAIGHT] = 0.0
    if closed:
        return Path(points, bulges, closed=True)
    return Path(np.concatenate([points, run.nodes[-1:]]), np.append(bulges, 0.0), closed=False)


def _turns(start: Floats, end: Floats) -> Floats:
    """How much a closed path's chords turn (n,) at the start of each, rad."""
    chord = end - start
    heading = np.arctan2(chord[:, 1], chord[:, 0])
    return _wrapped(heading - np.roll(heading, 1))


def _wrapped(angle: Floats) -> Floats:
    """Angles from -π to π."""
    return np.asarray(np.mod(angle + np.pi, 2.0 * np.pi) - np.pi)
