"""The colours of a scan's points: pen marks on a stocking are how makers mark a seam."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
import trimesh
from numpy.typing import NDArray
from scipy.spatial import cKDTree
from trimesh.visual.color import ColorVisuals, uv_to_color
from trimesh.visual.texture import TextureVisuals

from flatten.findings import Finding, finding
from flatten.mesh.surface import Floats

Colours = NDArray[np.uint8]
"""(N,3): red, green, blue of each point, as a screen has them (sRGB)."""

MOST_PIXELS = 2**26
"""A picture of more pixels (8192 × 8192) is left alone: unpacked it takes 256 MB, and none is needed to see a line."""

UNCOLOURED = (200, 200, 200)
"""What a part without colours is given where others have some."""

_BROKEN = (ArithmeticError, AttributeError, LookupError, OSError, SyntaxError, TypeError, ValueError)
"""What the library's decoders raise at a broken picture."""


def colours_of(parts: Sequence[trimesh.Trimesh | trimesh.PointCloud]) -> tuple[Colours | None, list[Finding]]:
    """Colours of the vertices of all parts one after another, None where no part has any.

    A part's own colours at its vertices go before its picture, which is looked at where its vertices lie on it. A
    picture that cannot be read is told ("colours") and left out: the scan's shape does not hang on it.
    """
    found, repairs = [], []
    for part in parts:
        try:
            found.append(_part_colours(part))
        except _BROKEN as error:
            repairs.append(picture_unread(error))
            found.append(None)
    if all(colours is None for colours in found):
        return None, repairs
    rows = [
        np.full((len(part.vertices), 3), UNCOLOURED, np.uint8) if colours is None else colours
        for part, colours in zip(parts, found, strict=True)
    ]
    return np.concatenate(rows), repairs


def picture_unread(error: BaseException) -> Finding:
    """What is told where a scan's picture cannot be read ("colours")."""
    reason = " ".join(str(error).split())[:80] or type(error).__name__
    return finding("scan.colours", "note", count=1, reason=reason)


def colours_at(points: Floats, *, vertices: Floats, colours: Colours) -> Colours:
    """The colours of those `vertices` (V,3) that `points` (N,3) are: cleaning leaves points out, and moves none."""
    placed = np.isfinite(vertices).all(axis=1)
    _, nearest = cKDTree(vertices[placed], balanced_tree=False, compact_nodes=False).query(points)
    return colours[placed][nearest]


def _part_colours(part: trimesh.Trimesh | trimesh.PointCloud) -> Colours | None:
    if isinstance(part, trimesh.PointCloud):
        return _rows(part.colors, len(part.vertices)) if len(part.colors) else None
    visual = part.visual
    if isinstance(visual, ColorVisuals) and visual.kind == "vertex":
        return _rows(visual.vertex_colors, len(part.vertices))
    if not isinstance(visual, TextureVisuals):
        return None
    own = visual.vertex_attributes.get("color")
    if own is not None:
        return _rows(own, len(part.vertices))
    picture = getattr(visual.material, "baseColorTexture", None)
    if picture is None or visual.uv is None:
        return None
    if picture.width * picture.height > MOST_PIXELS:
        raise ValueError(f"{picture.width} × {picture.height} pixels")
    return _rows(uv_to_color(visual.uv, picture), len(part.vertices))


def _rows(colours: Any, count: int) -> Colours | None:
    """Red, green and blue of so many points; None where the file has another number of them."""
    rows = np.asarray(colours)
    if rows.dtype != np.uint8:
        rows = np.clip(np.round(np.asarray(rows, float) * 255.0), 0, 255).astype(np.uint8)
    return np.ascontiguousarray(rows[:, :3]) if rows.shape[:1] == (count,) and rows.shape[1] >= 3 else None
