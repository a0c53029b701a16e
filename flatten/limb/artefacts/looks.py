"""Cloth that several looks agree on, each at other points of the scan and with other rows."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from flatten.limb.anatomy.midline import Midline, midline_of
from flatten.limb.artefacts.cloth import ROW, Cloth, ClothEdge, Cuff, rings_in, with_limb_for_cuffs
from flatten.limb.model import Frame
from flatten.mesh.surface import Floats

LOOKS = 4
"""Looks for a piece of cloth, of which nearly all must see it. A ring of hand or elbow that one look takes for a cuff
comes and goes with the points and the rows that it is told by: on one sound forearm at 3 of 41 sizes within one per
cent of each other."""

NEAR = 3 * ROW
"""mm within which two looks may see an edge: rows that are shifted put it off by one, an uneven edge by another, and
the triangles of a phone's scan by a third."""


def agreed(points: Floats, look: Callable[[Floats, float], Cloth], *, but: int) -> Cloth:
    """The cloth of a `look` at points (N,3) that looks at parts of them, with other rows, see too, all `but` so many.

    `look` takes points and by how many mm its rows are shifted.
    """
    first, *others = [look(points if not n else _part(points, n), n * ROW / LOOKS) for n in range(LOOKS)]
    enough = len(others) - but
    cuffs = tuple(
        one for one in first.cuffs if sum(any(_same(one, cuff) for cuff in seen.cuffs) for seen in others) >= enough
    )
    edges = tuple(
        one for one in first.edges if sum(any(_alike(one, edge) for edge in seen.edges) for seen in others) >= enough
    )
    return Cloth(first.frame, cuffs, edges)


def with_limb_for_rings(points: Floats, line: Midline) -> tuple[Floats, Midline]:
    """The points (N,3) with rings of cloth along a limb's middle line put back to the limb, and the line through them.

    For a first look, before foot, hand and trunk are known: rows lie across the line, so that a bend makes no ring.
    """
    straight, turns = _straightened(points, line)
    low, high = line.trusted
    middles = np.array([[0.0, 0.0, low], [0.0, 0.0, high]])
    frame = Frame(np.zeros(3), np.eye(3))
    inside = (straight[:, 2] > low) & (straight[:, 2] < high)
    rings = agreed(
        straight[inside], lambda some, shift: rings_in(some, frame=frame, middles=middles, shift=shift), but=0
    )
    if not rings.cuffs:
        return points, line
    moved = with_limb_for_cuffs(straight, rings)[:, :2] - straight[:, :2]
    bare = points + np.einsum("nk,nkj->nj", moved, turns)
    return bare, midline_of(bare)


def _straightened(points: Floats, line: Midline) -> tuple[Floats, Floats]:
    """Points (N,3) as they would lie if the line were straight along the third axis, and the two units (N,2,3) across
    it at each."""
    along = line.nearest(points)
    at = np.clip(np.round(np.interp(along, line.along, np.arange(len(line.along)))), 0, len(line.along) - 1).astype(int)
    turns = np.stack([line.rows[at], line.columns[at]], axis=1)
    middle = np.stack([np.interp(along, line.along, column) for column in line.places.T], axis=1)
    return np.column_stack([np.einsum("nkj,nj->nk", turns, points - middle), along]), turns


def _part(points: Floats, number: int) -> Floats:
    """All points but every third one, another third for each number."""
    return points[np.arange(len(points)) % LOOKS != number - 1]


def _same(one: Cuff, other: Cuff) -> bool:
    return abs(one.low - other.low) <= NEAR and abs(one.high - other.high) <= NEAR


def _alike(one: ClothEdge, other: ClothEdge) -> bool:
    return abs(one.height - other.height) <= NEAR and one.step * other.step > 0
