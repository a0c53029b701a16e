"""Where the scan shows nothing of the limb, and the edges that run over such a place."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
from scipy.ndimage import binary_dilation

from flatten.findings import Finding, finding
from flatten.limb.find import FINE_POINTS
from flatten.limb.model import Limb
from flatten.limb.surface.coverage import Coverage, Mask, coverage_of, wrapped
from flatten.limb.surface.model import Bridge, LimbSurface
from flatten.limb.surface.sample import even_points
from flatten.mesh.surface import Floats
from flatten.scan.model import Scan
from flatten.worn.curves import Edge

OFF_SKIN, NOISY = 1.0, 4.0
"""A point is no skin where it lies farther from the surface than so many mm and so many times the rms of its points."""

UNSURE = 3.0
"""mm. An edge where the limb may be this far off, in 1 of 20 such places, is not to be cut by: the usual padding, 3 mm
of stockings, takes up less, and a rim that presses or stands off by more is seen [judgement]."""

AROUND = 720
"""Places round the limb at which an edge is looked at: half a degree, less than a cell of the coverage."""


def shown_cells(scan: Scan, limb: Limb, skin: LimbSurface) -> Coverage:
    """Where the scan shows the surface: points far off it are cloth or another layer.

    Raises LimbError where the scan has neither faces with an area nor points.
    """
    points = limb.frame.to_limb(even_points(scan, count=FINE_POINTS))
    bearings, away = skin.apart(points)
    return coverage_of(skin, points[:, 2], bearings, kept=np.abs(away) < OFF_SKIN + NOISY * skin.rms)


def empty_cells(cells: Coverage) -> Mask:
    """The cells in which the scan shows no skin, as holes of it.

    Cells that a hole's rim cuts hold some points: its own empty ones reach one beyond those that no neighbour covers,
    and no further, as a neighbour of such a one holds none.
    """
    empty: Mask = wrapped(binary_dilation, ~cells.covered, structure=np.ones((3, 3)))
    return empty


def unseen_edges(scan: Scan, limb: Limb, skin: LimbSurface, *, edges: Iterable[Edge]) -> list[Finding]:
    """The edges that run over what the scan does not show, where the limb may be far from the bridge over it.

    Raises LimbError as `shown_cells` does.
    """
    if not any(bridge.uncertainty >= UNSURE for bridge in skin.bridges):
        return []
    cells = shown_cells(scan, limb, skin)
    found = (_unseen(edge, limb, skin, cells) for edge in edges)
    return [each for each in found if each is not None]


def _unseen(edge: Edge, limb: Limb, skin: LimbSurface, cells: Coverage) -> Finding | None:
    bearings = np.arange(AROUND, dtype=np.float64) * (2 * np.pi / AROUND)
    heights = np.clip(edge.height(bearings), *skin.trusted)
    bare = _bare(heights, bearings, cells)
    if not bare.any():
        return None
    along = skin.points(heights, bearings)
    length = float((np.linalg.norm(np.roll(along, -1, axis=0) - along, axis=1))[bare].sum())
    middles = skin.points(*np.array([(bridge.height, bridge.bearing) for bridge in skin.bridges]).T)
    nearest = np.argmin(np.linalg.norm(along[bare][:, None] - middles, axis=2), axis=1)
    worst: Bridge = max((skin.bridges[number] for number in set(nearest.tolist())), key=lambda one: one.uncertainty)
    if worst.uncertainty < UNSURE:
        return None
    # The place of the edge that lies deepest in that bridge: nearest to its middle.
    number = skin.bridges.index(worst)
    own = np.flatnonzero(bare)[nearest == number]
    at = own[np.argmin(np.linalg.norm(along[own] - middles[number], axis=1))]
    height, bearing = float(heights[at]), float(bearings[at])
    return finding(
        "edge.unseen",
        "stop",
        place=limb.kind.place(height=height, bearing=bearing, part=edge.name),
        edge=edge.name,
        length=length,
        where=limb.kind.at(height, bearing),
        off=worst.uncertainty,
        sigma=worst.likely,
    )


def _bare(heights: Floats, bearings: Floats, cells: Coverage) -> Mask:
    """Whether each place (N,) lies in a cell that shows nothing."""
    rows, columns = cells.filled.shape
    step = (cells.heights[-1] - cells.heights[0]) / (rows - 1)
    row = np.clip(np.rint((heights - cells.heights[0]) / step).astype(np.int64), 0, rows - 1)
    column = (np.mod(bearings / (2 * np.pi) + 0.5, 1.0) * columns).astype(np.int64) % columns
    return np.asarray(empty_cells(cells)[row, column])
