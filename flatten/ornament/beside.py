"""The edges of a band: lines beside a strand at a constant distance, and where it bends too tightly for them."""

from __future__ import annotations

from itertools import count

import numpy as np

from flatten.mesh.surface import Flags, Floats, Ints

CORNER = np.radians(30.0)
"""rad. A turn from here on at one point of a strand is a corner that is meant; less is part of a smooth bend."""

SHARPEST = np.radians(120.0)
"""rad. The most that a strand may turn in a corner: its mitre is then as far out as the band is wide."""

TIGHT = 0.02
"""Relative. A bend's radius, told from a polyline, may be this much below half the band's width: a chord of a tenth of
the turn makes that difference."""


def beside(line: Floats, *, closed: bool, distance: float) -> Floats:
    """Points (n,2) beside those of a line, to its left at a distance (mm; to its right where that is negative).

    A closed line repeats its first point at its end, and no two points in a row are equal. Corners are mitred: the
    edges on both sides of a corner are at the true distance to its tip. On the inner side what would fold over is
    taken off, so that a point may stand there more than once; where a fold has no end it is left (`tight_bends`).
    """
    steps = np.diff(line, axis=0)
    normals = np.stack([-steps[:, 1], steps[:, 0]], axis=1) / np.hypot(*steps.T)[:, None]
    before = np.concatenate([normals[-1:] if closed else normals[:1], normals])
    after = np.concatenate([normals, normals[:1] if closed else normals[-1:]])
    # The mitre of unit normals m, n is (m + n) / (1 + m·n); at a corner sharper than SHARPEST it is held back.
    least = 1.0 + np.cos(SHARPEST)
    share = np.maximum(1.0 + (before * after).sum(axis=1), least)
    return _unfolded(
        line + distance * (before + after) / share[:, None], line, closed=closed, reach=6.0 * abs(distance)
    )


def _unfolded(side: Floats, line: Floats, *, closed: bool, reach: float) -> Floats:
    """The same without folds: where it runs backwards, it is cut short where it crosses itself."""
    side = side[:-1].copy() if closed else side.copy()
    ends = np.diff(line, axis=0)
    segments = len(ends)
    left: set[int] = set()
    for _ in count():
        runs = np.roll(side, -1, axis=0) - side if closed else np.diff(side, axis=0)
        backwards = [k for k in np.flatnonzero((runs * ends).sum(axis=1) < 0.0).tolist() if k not in left]
        if not backwards:
            return np.concatenate([side, side[:1]]) if closed else side
        cut = _cut_short(side, runs, backwards[0], segments, closed=closed, reach=reach)
        if cut is None:
            left.add(backwards[0])
        else:
            numbers, tip = cut
            side[numbers % len(side)] = tip
    raise AssertionError


def _cut_short(
    side: Floats, runs: Floats, fold: int, segments: int, *, closed: bool, reach: float
) -> tuple[Ints, Floats] | None:
    """Which points of a side the fold at a segment takes off, and where they all come to lie; None where it has no
    end."""
    lengths = np.hypot(*runs.T)
    before: list[int] = []
    after: list[int] = []
    for found, step in ((before, -1), (after, 1)):
        gone = 0.0
        for k in range(1, segments // 2):
            at = fold + step * k
            if not closed and not 0 <= at < segments:
                break
            found.append(at)
            gone += lengths[at % segments]
            if gone > reach:
                break
    if not before or not after:
        return None
    i, j = np.array(before), np.array(after)
    a, d = side[i % len(side)], runs[i % segments]
    c, e = side[j % len(side)], runs[j % segments]
    across = d[:, None, 0] * e[None, :, 1] - d[:, None, 1] * e[None, :, 0]
    apart = c[None] - a[:, None]
    with np.errstate(divide="ignore", invalid="ignore"):
        s = (apart[..., 0] * e[None, :, 1] - apart[..., 1] * e[None, :, 0]) / across
        t = (apart[..., 0] * d[:, None, 1] - apart[..., 1] * d[:, None, 0]) / across
        met = np.argwhere((s >= 0.0) & (s <= 1.0) & (t >= 0.0) & (t <= 1.0))
    if not len(met):
        return None
    # The nearest to the fold on both sides.
    m, n = met[np.argmin(met.sum(axis=1))]
    return np.arange(i[m] + 1, j[n] + 1), a[m] + s[m, n] * d[m]


def tight_bends(line: Floats, *, closed: bool, half: float) -> Ints:
    """Points of a line where a band, `half` mm to each side of it, does not follow: one for each tight bend.

    Over a quarter of the band's width the line turns by more than a circle of radius `half`, or in a corner by more
    than SHARPEST.
    """
    steps = np.diff(line, axis=0)
    if closed:
        steps = np.concatenate([steps, steps, steps[:1]])
    lengths = np.hypot(*steps.T)
    turned = np.arctan2(
        steps[:-1, 0] * steps[1:, 1] - steps[:-1, 1] * steps[1:, 0], (steps[:-1] * steps[1:]).sum(axis=1)
    )
    corner = np.abs(turned) >= CORNER
    gone = np.concatenate([[0.0], np.cumsum(0.5 * (lengths[:-1] + lengths[1:]))])
    turning = np.concatenate([[0.0], np.cumsum(np.where(corner, 0.0, turned))])
    last = np.searchsorted(gone, gone + 0.5 * half)
    whole = np.flatnonzero(last < len(gone))
    last = last[whole]
    tight: Flags = np.zeros(len(turned) + 1, dtype=bool)
    tight[whole] = gone[last] - gone[whole] < (1.0 - TIGHT) * half * np.abs(turning[last] - turning[whole])
    tight[:-1] |= np.abs(turned) > SHARPEST + 1e-9
    at = np.flatnonzero(tight)
    first = at[np.diff(at, prepend=-2) > 1] + 1
    return np.unique(first % (len(line) - 1) if closed else np.minimum(first, len(line) - 1))
