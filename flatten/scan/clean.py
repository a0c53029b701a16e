"""Cleaning of raw triangles: strays, welding, degenerate and duplicate faces, spikes."""

from __future__ import annotations

import numpy as np
from scipy.spatial import cKDTree

from flatten.findings import Finding, finding
from flatten.mesh.graph import components
from flatten.mesh.surface import Floats, Ints
from flatten.scan.areas import AT_ONCE, doubled_areas
from flatten.scan.model import ScanError

WELD = 0.01
"""mm. Scan vertices nearer than this are one vertex: a tenth of the best phone scan's noise."""

SPIKE_EDGES = 10.0
"""A vertex is a spike where each of its edges is longer than this many median edges: noise makes no such."""

SPIKE_LENGTH = 15.0
"""mm. ... and longer than this: a coarse but true mesh has edges like that."""

STRAY_GAPS = 10.0
"""A point is a stray where its third neighbour is farther than this many median distances, and than SPIKE_LENGTH."""

FAR = 25.0
"""Vertices farther from the middle than this many median distances may be strays: a limb on a floor stays below 5, but
where half of all vertices lie in its toes it does not."""

EMPTY = 2.0
"""A stray lies this many times as far as all that lies nearer: a limb is seen all along."""

FARTHEST = 1e30
"""A coordinate beyond this is no position: its square must not overflow."""

_CELLS = 2**21
"""Cells along one axis that fit three to a 64-bit key."""

Triangles = tuple[Floats, Ints]


def drop_misplaced(vertices: Floats, faces: Ints) -> tuple[Floats, Ints, list[Finding]]:
    """Triangles without vertices at NaN or infinity, without those far from all others, and without their faces.

    Far is more than FAR median distances from the middle and beyond an EMPTY space, whatever the unit. Codes
    "non-finite" and "stray".
    """
    somewhere = np.asarray((np.abs(vertices) < FARTHEST).all(axis=1))
    placed, near_faces, repairs = vertices, faces, []
    lost = int(np.count_nonzero(~somewhere))
    if lost:
        placed, near_faces = _only(somewhere, vertices, faces)
        repairs.append(finding("scan.non-finite", "note", count=lost, faces=len(faces) - len(near_faces)))
    if not len(placed):
        return placed, near_faces, repairs
    away = np.abs(placed - np.median(placed, axis=0)).max(axis=1)
    limit = FAR * np.median(away)
    # Where half of all points are one point, the median distance is 0 and says nothing.
    if limit == 0 or away.max() <= limit:
        return placed, near_faces, repairs
    ordered = np.sort(np.append(away[away > limit], limit))
    empty = np.flatnonzero(ordered[1:] > EMPTY * ordered[:-1])
    if not empty.size:
        return placed, near_faces, repairs
    near = away <= ordered[empty[0]]
    lost = int(np.count_nonzero(~near))
    stray = finding("scan.stray", "note", count=lost, of="vertices")
    return *_only(near, placed, near_faces), [*repairs, stray]


def _only(kept: np.ndarray[tuple[int], np.dtype[np.bool_]], vertices: Floats, faces: Ints) -> tuple[Floats, Ints]:
    index = np.cumsum(kept) - 1
    return vertices[kept], index[faces[kept[faces].all(axis=1)]]


def weld(vertices: Floats, faces: Ints) -> tuple[Floats, Ints, list[Finding]]:
    """Triangles in which vertices nearer than WELD (mm), by whatever chain, are one: the first of them.

    Cells of WELD/√3 first make one of what shares a cell (a soup has each vertex six times); a k-d tree of what
    is left then finds the pairs across cell walls.

    Raises ScanError where the scan is too wide, more than 12 m, for its cells to be numbered.
    """
    cell = WELD / np.sqrt(3.0)
    corner = vertices.min(axis=0)
    width = float(np.ptp(vertices, axis=0).max())
    if width >= (_CELLS - 1) * cell:
        raise ScanError(f"the scan is {width / 1000:.0f} m wide; cut the room away around the limb and export it again")
    cells = ((vertices - corner) / cell).astype(np.int64)
    key = (cells[:, 0] * _CELLS + cells[:, 1]) * _CELLS + cells[:, 2]
    del cells
    _, first, group = np.unique(key, return_index=True, return_inverse=True)
    near = cKDTree(vertices[first], balanced_tree=False, compact_nodes=False).query_pairs(WELD, output_type="ndarray")
    if len(near):
        group = components(near, len(first))[group]
    elif len(first) == len(vertices):
        return vertices, faces, []
    # Numbered by first appearance, so that the order of the file is kept.
    order = np.full(group.max() + 1, len(vertices), np.int64)
    np.minimum.at(order, group, np.arange(len(vertices)))
    rank = np.empty_like(order)
    rank[np.argsort(order)] = np.arange(len(order))
    lost = len(vertices) - len(order)
    repairs = [finding("scan.welded", "note", count=lost, within=WELD)] if lost else []
    return vertices[np.sort(order)], rank[group][faces], repairs


def drop_degenerate(vertices: Floats, faces: Ints) -> tuple[Ints, list[Finding]]:
    """Faces with three different corners and an area: more than half a WELD square."""
    a, b, c = faces.T
    good = (a != b) & (b != c) & (c != a)
    good &= doubled_areas(vertices, faces) > WELD**2
    lost = len(faces) - int(np.count_nonzero(good))
    return (faces[good], [finding("scan.degenerate", "note", count=lost)]) if lost else (faces, [])


def drop_duplicate(faces: Ints) -> tuple[Ints, list[Finding]]:
    """Faces without those whose three corners an earlier face has, in whatever order."""
    corners = np.sort(faces, axis=1)
    pair = corners[:, 0] * (int(faces.max(initial=0)) + 1) + corners[:, 1]
    order = np.lexsort((corners[:, 2], pair))
    same = (np.diff(pair[order]) == 0) & (np.diff(corners[order, 2]) == 0)
    again = np.zeros(len(faces), bool)
    again[order[1:][same]] = True
    lost = int(np.count_nonzero(again))
    return (faces[~again], [finding("scan.duplicate", "note", count=lost)]) if lost else (faces, [])


def drop_spikes(vertices: Floats, faces: Ints) -> tuple[Ints, list[Finding]]:
    """Faces without those at a spike: a vertex that only long edges reach (SPIKE_EDGES, SPIKE_LENGTH)."""
    if not len(faces):
        return faces, []
    lengths = np.empty((3, len(faces)))
    for start in range(0, len(faces), AT_ONCE):
        places = vertices[np.ascontiguousarray(faces[start : start + AT_ONCE].T)]
        for side in range(3):
            step = places[side] - places[side - 1]
            lengths[side, start : start + AT_ONCE] = np.sqrt(np.einsum("ij,ij->i", step, step))
    if lengths.max() <= SPIKE_LENGTH:
        return faces, []
    shortest = np.full(len(vertices), np.inf)
    for side in range(3):
        np.minimum.at(shortest, faces[:, side], lengths[side])
        np.minimum.at(shortest, faces[:, side - 1], lengths[side])
    limit = max(SPIKE_EDGES * float(np.median(lengths)), SPIKE_LENGTH)
    spike = np.isfinite(shortest) & (shortest > limit)
    lost = int(np.count_nonzero(spike))
    if not lost:
        return faces, []
    return faces[~spike[faces].any(axis=1)], [finding("scan.spike", "note", count=lost, length=limit)]


def drop_strays(points: Floats) -> tuple[Floats, list[Finding]]:
    """Points of a cloud without those far from their third neighbour (STRAY_GAPS, SPIKE_LENGTH)."""
    if len(points) < 5:
        return points, []
    gap = np.asarray(cKDTree(points).query(points, k=4)[0])[:, 3]
    near = gap <= max(STRAY_GAPS * float(np.median(gap)), SPIKE_LENGTH)
    lost = len(points) - int(np.count_nonzero(near))
    return (points[near], [finding("scan.stray", "note", count=lost, of="points")]) if lost else (points, [])


def drop_unused(vertices: Floats, faces: Ints) -> tuple[Floats, Ints, int]:
    """Triangles without the vertices that no face names, and how many those were."""
    used = np.zeros(len(vertices), bool)
    used[faces] = True
    if used.all():
        return vertices, faces, 0
    index = np.cumsum(used) - 1
    return vertices[used], index[faces], len(vertices) - int(np.count_nonzero(used))
