"""Lines of equal value through a triangle mesh, traced across its faces."""

from __future__ import annotations

import numpy as np

from flatten.mesh.surface import Floats, Ints


def isolines(uv: Floats, faces: Ints, values: Floats, level: float) -> tuple[Floats, ...]:
    """Polylines (k,2) along which `values` (V,), linear on each face (F,3), equal `level`; ends lie on the boundary.

    A vertex at the level counts as above it, so that each face is crossed once or not at all. Each line has
    values above the level on its right where faces are counter-clockwise; longest first. Closed ones repeat
    their first point.
    """
    above = values >= level
    crossed = faces[above[faces].any(axis=1) & ~above[faces].all(axis=1)]
    if not len(crossed):
        return ()
    starts, ends = crossed, np.roll(crossed, -1, axis=1)
    down = above[starts] & ~above[ends]
    up = ~above[starts] & above[ends]
    # In each crossed face just one edge goes up and one goes down: enter by the one, leave by the other.
    enter = np.stack([starts[up], ends[up]], axis=1)
    leave = np.stack([ends[down], starts[down]], axis=1)
    edges, index = np.unique(np.concatenate([enter, leave]), axis=0, return_inverse=True)
    share = (level - values[edges[:, 0]]) / (values[edges[:, 1]] - values[edges[:, 0]])
    points = uv[edges[:, 0]] + share[:, None] * (uv[edges[:, 1]] - uv[edges[:, 0]])
    after = dict(zip(index[: len(crossed)].tolist(), index[len(crossed) :].tolist(), strict=True))
    lines = []
    first = [edge for edge in after if edge not in set(after.values())]
    while after:
        at = first.pop() if first else next(iter(after))
        chain = [at]
        while at in after:
            at = after.pop(at)
            chain.append(at)
        line = points[chain]
        apart = np.concatenate([[True], np.any(np.diff(line, axis=0) != 0.0, axis=1)])
        lines.append(line[apart])
    return tuple(sorted((line for line in lines if len(line) > 1), key=_size, reverse=True))


def _size(line: Floats) -> float:
    """Length of a polyline, mm."""
    return float(np.hypot(*np.diff(line, axis=0).T).sum())
