"""The connected parts of a scan: the limb is the largest, and there must be one."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
from scipy.spatial import cKDTree

from flatten.findings import Finding, finding
from flatten.mesh.graph import components
from flatten.mesh.surface import Floats, Ints
from flatten.scan.areas import doubled_areas
from flatten.scan.model import ScanError, SeveralPartsError
from flatten.units import place_text, share_text, unit_mm

COMPARABLE = 0.5
"""A second part with this share of the largest part's area is another limb, or the limb's other half."""

MAIN_SHARE = 0.5
"""The largest part must hold this share of all area, or the scan is in pieces and not a limb with fragments."""

PARTS_APART = 30.0
"""mm. Points of a cloud are of one part where steps no longer than this lead from one to the other: less than lies
between a limb and what floats beside it, more than between the points of any scan that shows a limb."""

ASK_ONE = (
    "click the one that is meant on the page (calfskin page), or put one of these lines under [scan] of the job file, "
    "or its three numbers after --pick"
)
"""What is to be done about several limbs, before the lines."""

THINNED = 8.0
"""mm. A cloud's points are thinned to one in each cell of this size before they are joined."""

FRAGMENT = 0.05
"""A part of a cloud with less than this share of the largest part's surface is no limb: a forearm with its hand has
0.05 of a whole body's skin and hangs on it."""

GROUND_SHARE = 0.1
"""A part with less of all area is no floor that could be taken for a limb; confetti has none with more."""

FLAT = 0.04
"""Spread of a part's points along their thinnest axis over that along the next: less is no limb. A floor that a phone
scanned has 0.01, a limb's half, cut lengthwise, 0.4."""

ENCLOSED = 0.5
"""Two parts lie over each other where the second's reach along each of the first's own axes overlaps the first's by
this share of it, as two shells of a limb do. Two limbs, or a limb's two halves, lie side by side along one of them."""


def part_of_faces(faces: Ints, *, vertices: int) -> Ints:
    """Number of the connected part (F,) of each face; faces that share a vertex are connected."""
    return components(np.concatenate([faces[:, :2], faces[:, 1:]]), vertices)[faces[:, 0]]


def keep_largest(
    vertices: Floats, faces: Ints, *, pick: Floats | None = None, unit: str = "mm", scale: float = 1.0
) -> tuple[Ints, list[Finding]]:
    """Faces of the largest connected part by area, or of the one that lies nearest to the point `pick` (3,), mm.

    What is flat through and through is no limb, and is left out first.

    Raises, where nothing is picked, SeveralPartsError where a second part is comparable in size and lies elsewhere (two
    limbs, or one in two halves), with a point of each in the file's `unit`, and ScanError where no part is the main
    one.
    """
    faces, floors = _without_flat(vertices, faces)
    part = part_of_faces(faces, vertices=len(vertices))
    names, part = np.unique(part, return_inverse=True)
    if len(names) == 1:
        return faces, floors
    kept, told = _largest(vertices, faces, part, names, pick=pick, unit=unit, scale=scale)
    return kept, [*floors, *told]


def _without_flat(vertices: Floats, faces: Ints) -> tuple[Ints, list[Finding]]:
    """The faces without parts that are flat through and through, whatever the scan's unit: a floor, a table, a wall."""
    part = part_of_faces(faces, vertices=len(vertices))
    _, part = np.unique(part, return_inverse=True)
    areas = np.bincount(part, doubled_areas(vertices, faces)) / 2
    large = np.flatnonzero(areas >= GROUND_SHARE * areas.sum())
    flat = [number for number in large if _flatness(vertices[np.unique(faces[part == number])]) < FLAT]
    if not flat or len(flat) == len(large):
        return faces, []
    kept = faces[~np.isin(part, flat)]
    return kept, [finding("scan.floor", "note", count=len(faces) - len(kept), of="faces")]


def _flatness(points: Floats) -> float:
    """How thick points (N,3) are beside how wide they are the narrower way: by the spread along their own axes."""
    spread = np.sqrt(np.maximum(np.linalg.eigvalsh(np.cov(points.T)), 0.0))
    return float(spread[0] / spread[1]) if spread[1] > 0.0 else 1.0


def _largest(
    vertices: Floats,
    faces: Ints,
    part: Ints,
    names: Ints,
    *,
    pick: Floats | None,
    unit: str,
    scale: float,
) -> tuple[Ints, list[Finding]]:
    """As `keep_largest`, of faces of several parts, each with its number (F,)."""
    areas = np.bincount(part, doubled_areas(vertices, faces)) / 2
    order = np.argsort(-areas, kind="stable")
    if pick is not None:
        corners = np.unique(faces)
        nearest = corners[np.argmin(np.linalg.norm(vertices[corners] - pick, axis=1))]
        picked = part[np.flatnonzero((faces == nearest).any(axis=1))[0]]
        share = float(areas[picked] / areas.sum())
        return faces[part == picked], [_fragments(len(names) - 1, share, kept="picked")]
    largest, second = order[:2]
    share = float(areas[largest] / areas.sum())
    alike = areas[second] >= COMPARABLE * areas[largest]
    if share >= MAIN_SHARE and not alike:
        return faces[part == largest], [_fragments(len(names) - 1, 1.0 - share, kept="largest")]
    if alike and _over_each_other(vertices, faces, part, largest, second):
        return faces[part == largest], [_fragments(len(names) - 1, 1.0 - share, kept="largest")]
    if alike and areas[largest] + areas[second] >= MAIN_SHARE * areas.sum():
        two = [faces[part == number] for number in (largest, second)]
        places = [_place(vertices, own) for own in two]
        raise SeveralPartsError(
            f"the scan shows two parts of like size ({areas[largest] / 100:.0f} and {areas[second] / 100:.0f} cm²): "
            "two limbs, or one in two halves",
            way=f"{ASK_ONE}:{pick_lines([('one of them', place) for place in places], unit=scale * unit_mm(unit))}",
            parts=[(place, vertices[np.unique(own)]) for place, own in zip(places, two, strict=True)],
            points=vertices,
            faces=faces,
            unit=unit,
            scale=scale,
        )
    raise ScanError(
        f"the scan is in {len(names)} parts, the largest with {share_text(share)} of the surface; "
        "join its vertices by distance in the scanning program and export it again"
    )


def drop_fragments(points: Floats) -> tuple[Floats, list[Finding]]:
    """Points (N,3) mm of a cloud without the small parts that float beside it (PARTS_APART, FRAGMENT).

    Parts are compared by the cells that they occupy, a measure of their surface and not of how densely it was scanned.
    """
    if len(points) == 0:
        return points, []
    _, first, cell = np.unique(np.floor(points / THINNED), axis=0, return_index=True, return_inverse=True)
    near = cKDTree(points[first]).query_pairs(PARTS_APART, output_type="ndarray")
    part = components(near, len(first))
    cells = np.bincount(part)
    small = cells < FRAGMENT * cells.max()
    if not small.any():
        return points, []
    share = float(cells[small].sum() / len(first))
    return points[~small[part[cell.ravel()]]], [_fragments(int(small.sum()), share, kept="large")]


def _place(vertices: Floats, faces: Ints) -> Floats:
    """A point (3,) mm of a part, the nearest to its middle."""
    points = vertices[np.unique(faces)]
    return np.asarray(points[np.argmin(np.linalg.norm(points - points.mean(axis=0), axis=1))])


def pick_lines(limbs: Iterable[tuple[str, Floats]], *, unit: float) -> str:
    """A line of the job file for each limb, of its name and a place (3,) mm on it, in the file's unit of so many mm."""
    return "".join(f"\n    pick = {place_text(place, unit=unit)}  # {name}" for name, place in limbs)


def _fragments(count: int, share: float, *, kept: str) -> Finding:
    return finding("scan.fragments", "note", count=count, share=share, kept=kept)


def _over_each_other(vertices: Floats, faces: Ints, part: Ints, one: int, other: int) -> bool:
    first, second = (vertices[np.unique(faces[part == number])] for number in (one, other))
    middle = first.mean(axis=0)
    axes = np.linalg.eigh((first - middle).T @ (first - middle))[1]
    first, second = (first - middle) @ axes, (second - middle) @ axes
    low, high = np.maximum(first.min(axis=0), second.min(axis=0)), np.minimum(first.max(axis=0), second.max(axis=0))
    return bool((high - low >= ENCLOSED * np.ptp(second, axis=0)).all())
