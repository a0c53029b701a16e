"""What the browser is given to draw: a scan thinned for the eye, and the leather with what is coloured on it."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from cli.page.payload import packed
from flatten.job.pieces import Laid
from flatten.leather.tensors import flat_areas
from flatten.mesh.surface import Floats, Ints
from flatten.report.ramp import Patched, vertex_fields
from flatten.scan.areas import area_normals
from flatten.scan.model import Scan
from flatten.unwrap.model import FlatPanel

SHOWN_FACES = 150_000
"""Faces of a scan that the browser is given; a larger one is thinned for the eye, never for the measure."""

SAMPLE_FACES = 10_000
"""Faces whose edges show how fine a scan is."""

SAME_POINT = 1e-3
"""mm. Points of a scan that are nearer than this are one: rounding of a scale that a tape gives, and far below what a
scanner tells apart."""

CUBE_GROWTH = 1.05
"""By so much wider than expected the cubes are tried, that few trials do."""


def scan_payload(scan: Scan) -> bytes:
    """The scan's triangles (or points) for the eye, in mm and in its own axes, its colours, and how it may stand."""
    points, faces = thinned(scan.points, scan.faces)
    middle = points.mean(axis=0)
    axes = np.linalg.svd(points[:: len(points) // 20_000 + 1] - middle, full_matrices=False)[2]
    right, up = axes[1], axes[0]
    upright = np.stack([right, up, np.cross(right, up)])
    reach = float(np.abs((points - middle) @ up).max())
    head = {"middle": middle.tolist(), "upright": upright.tolist(), "reach": reach}
    arrays: dict[str, NDArray[Any]] = {"points": points, "faces": faces}
    if scan.colours is not None:
        # Thinning moves points: each takes the colour of the scan's nearest.
        arrays["colours"] = scan.colours[cKDTree(scan.points).query(points)[1]]
    return packed(head, arrays)


def meant_payload(scan: Scan, limb: Scan) -> bytes:
    """For each point that `scan_payload` shows of a scan, whether it is of the limb, itself a scan of part of its
    points, perhaps scaled since; nothing where it is all of them."""
    if len(limb.points) == len(scan.points):
        return b""
    shown, _ = thinned(scan.points, scan.faces)
    own = limb.points * (scan.scale / limb.scale)
    # Thinning moves points: each goes with the scan's nearest.
    of_limb, of_any = (cKDTree(points).query(shown)[0] for points in (own, scan.points))
    return packed({}, {"meant": np.asarray(of_limb <= of_any + SAME_POINT, np.uint8)})


def thinned(points: Floats, faces: Ints) -> tuple[Floats, Ints]:
    """Triangles for the eye, SHOWN_FACES at most: all points in a small cube become their mean.

    A cube is as wide as one of so few triangles, a millimetre or two on a limb. Thinning by what each step costs in
    shape would keep more of it than a screen shows, for a quarter of a gigabyte more.
    """
    if len(faces) <= SHOWN_FACES:
        return points, faces
    some = points[faces[:: len(faces) // SAMPLE_FACES + 1]]
    size = float(np.linalg.norm(some[:, 1] - some[:, 0], axis=1).mean())
    count = len(faces)
    while count > SHOWN_FACES:
        size *= float(np.sqrt(count / SHOWN_FACES)) * CUBE_GROWTH
        cell = _cells(points, size)
        moved = cell[faces]
        kept = np.flatnonzero(
            (moved[:, 0] != moved[:, 1]) & (moved[:, 1] != moved[:, 2]) & (moved[:, 2] != moved[:, 0])
        )
        # Two faces of the same three cubes are a fold, and hide nothing.
        _, first, times = np.unique(np.sort(moved[kept], axis=1), axis=0, return_index=True, return_counts=True)
        kept = kept[np.sort(first[times % 2 == 1])]
        count = len(kept)
    points_in = np.bincount(cell)
    means = np.stack([np.bincount(cell, weights=points[:, k]) / points_in for k in range(3)], axis=1)
    triangles = moved[kept]
    # A face that was turned over by it is turned back, or it would be lit from behind.
    over = (area_normals(points, faces[kept]) * area_normals(means, triangles)).sum(axis=0) < 0.0
    triangles[over] = triangles[over][:, [0, 2, 1]]
    return means, triangles


def _cells(points: Floats, size: float) -> Ints:
    """The number (N,) of the cube of this size that each point lies in, among those that hold any."""
    at = ((points - points.min(axis=0)) / size).astype(np.int64)
    wide = at.max(axis=0) + 1
    return np.unique((at[:, 0] * wide[1] + at[:, 1]) * wide[2] + at[:, 2], return_inverse=True)[1].astype(np.int64)


def leather_payload(laid: Laid, *, mirrored: bool) -> bytes:
    """The panels for the eye: on the limb, flat as the wearer sees them, and what is coloured at their vertices."""
    arrays: dict[str, Floats | Ints] = {}
    heads = []
    for number, panel in enumerate(laid.panels):
        spots = (panel.stretch.most.face, panel.stretch.least.face)
        heads.append({"name": panel.stretch.panel, "most_stretched": spots[0], "most_squeezed": spots[1]})
        arrays |= panel_arrays(panel.flat, panel.stretch, number=number, mirrored=mirrored)
    return packed({"panels": heads}, arrays)


def panel_arrays(flat: FlatPanel, told: Patched, *, number: int, mirrored: bool) -> dict[str, Floats | Ints]:
    """A panel's arrays for the eye, by their names with its number behind; colours are of what is `told` of it."""
    shape = flat.panel
    faces = shape.mesh.faces
    fields = vertex_fields(told, faces=faces, count=len(flat.uv), areas=flat_areas(flat))
    lift = float((shape.heights - flat.uv[:, 1]).mean())
    uv = flat.uv * np.array([-1.0 if mirrored else 1.0, 1.0]) + np.array([0.0, lift])
    arrays = {
        "worn": shape.mesh.vertices,
        "flat": uv,
        "faces": faces,
        "chart": np.column_stack([shape.heights, shape.bearings]),
        "stretch": fields.stretch,
        "squeeze": fields.squeeze,
        "over": fields.over,
        "along": told.patch.along - 1.0,
        "across": told.patch.across - 1.0,
        "boundary": np.concatenate([boundary.vertices[:-1] for boundary in shape.boundaries]),
    }
    return {f"{name}{number}": array for name, array in arrays.items()}
