"""What the browser is given to draw: a scan thinned for the eye, and the leather with what is coloured on it."""

from __future__ import annotations

from typing import Any

import fast_simplification
import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from cli.page.parcel import packed
from flatten.leather.stretch import flat_areas
from flatten.make import Laid
from flatten.mesh.surface import Floats, Ints
from flatten.report.model import PanelReport
from flatten.report.ramp import vertex_fields
from flatten.scan.model import Scan

SHOWN_FACES = 150_000
"""Faces of a scan that the browser is given; a larger one is thinned for the eye, never for the measure."""


def scan_parcel(scan: Scan) -> bytes:
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


def thinned(points: Floats, faces: Ints) -> tuple[Floats, Ints]:
    """Triangles for the eye: SHOWN_FACES at most, the shape kept as well as quadrics can."""
    if len(faces) <= SHOWN_FACES:
        return points, faces
    share = 1.0 - SHOWN_FACES / len(faces)
    fewer, triangles = fast_simplification.simplify(
        np.ascontiguousarray(points, np.float32), np.ascontiguousarray(faces, np.int32), target_reduction=share
    )
    return np.asarray(fewer, float), np.asarray(triangles, np.int64)


def leather_parcel(laid: Laid, *, mirrored: bool) -> bytes:
    """The panels for the eye: on the limb, flat as the wearer sees them, and what is coloured at their vertices."""
    arrays: dict[str, Floats | Ints] = {}
    told = []
    for number, panel in enumerate(laid.panels):
        patch = panel.stretch.patch
        spots = (int(patch.greatest.argmax()), int(patch.least.argmin()))
        told.append({"name": panel.stretch.panel, "most_stretched": spots[0], "most_squeezed": spots[1]})
        arrays |= {f"{name}{number}": array for name, array in _panel_arrays(panel, mirrored=mirrored).items()}
    return packed({"panels": told}, arrays)


def _panel_arrays(panel: PanelReport, *, mirrored: bool) -> dict[str, Floats | Ints]:
    shape, flat = panel.flat.panel, panel.flat
    faces = shape.mesh.faces
    fields = vertex_fields(panel.stretch, faces=faces, count=len(flat.uv), areas=flat_areas(flat))
    lift = float((shape.heights - flat.uv[:, 1]).mean())
    uv = flat.uv * np.array([-1.0 if mirrored else 1.0, 1.0]) + np.array([0.0, lift])
    patch = panel.stretch.patch
    return {
        "worn": shape.mesh.vertices,
        "flat": uv,
        "faces": faces,
        "chart": np.column_stack([shape.heights, shape.bearings]),
        "stretch": fields.stretch,
        "squeeze": fields.squeeze,
        "over": fields.over,
        "along": patch.along - 1.0,
        "across": patch.across - 1.0,
        "rim": np.concatenate([border.vertices[:-1] for border in shape.borders]),
    }
