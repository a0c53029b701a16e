"""How near strands come to each other beside their crossings."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from scipy.spatial import cKDTree

from flatten.mesh.surface import Floats

_SAMPLING = 0.5
"""mm. Strands are looked at this far apart: two of their lines are then told too far apart by less than 0.02 mm where
they are 6 mm apart."""

_ALONG = 2.0
"""Times the distance wanted that two places on one strand have to be apart along it to be two lines of it, not one: a
turn of half the distance's radius is 1.57 of it long."""


def nearest_beside(
    lines: Sequence[Floats], crossings: Floats, wanted: float, angle: Floats
) -> tuple[float, tuple[float, float]] | None:
    """The least distance, mm, of closed strands (n,2) to each other that is below `wanted`, and where; None if none is.

    Near a crossing (n,2) whose strands meet at an `angle` (n,) rad, they are nearer than `wanted` of necessity: as far
    as two straight lines would be, and as far again, that is not counted.
    """
    points, owner, along, total = [], [], [], []
    for number, line in enumerate(lines):
        closed = np.vstack([line, line[:1]])
        arcs = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(closed, axis=0).T))])
        places = np.linspace(0.0, arcs[-1], max(int(arcs[-1] / _SAMPLING), 8), endpoint=False)
        points.append(np.stack([np.interp(places, arcs, closed[:, k]) for k in (0, 1)], axis=1))
        owner.append(np.full(len(places), number))
        along.append(places)
        total.append(arcs[-1])
    everywhere, whose, where = np.concatenate(points), np.concatenate(owner), np.concatenate(along)
    pairs = cKDTree(everywhere).query_pairs(wanted, output_type="ndarray")
    if len(pairs) == 0:
        return None
    one, other = pairs.T
    between = np.abs(where[one] - where[other])
    between = np.minimum(between, np.asarray(total)[whose[one]] - between)
    pairs = pairs[(whose[one] != whose[other]) | (between > _ALONG * wanted)]
    if len(crossings):
        middles = (everywhere[pairs[:, 0]] + everywhere[pairs[:, 1]]) / 2.0
        far, nearest = cKDTree(crossings).query(middles)
        # Straight lines that cross at an angle are `wanted` apart this far along the line between them.
        reach = 2.0 * wanted / (2.0 * np.tan(angle / 2.0))
        pairs = pairs[far > reach[nearest]]
    if len(pairs) == 0:
        return None
    gaps = np.hypot(*(everywhere[pairs[:, 0]] - everywhere[pairs[:, 1]]).T)
    worst = int(gaps.argmin())
    x, y = everywhere[pairs[worst]].mean(axis=0)
    return float(gaps[worst]), (float(x), float(y))
