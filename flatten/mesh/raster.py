"""A plane triangle mesh seen on a grid of pixels: which face lies at each."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from flatten.mesh.surface import Floats, Ints

HAIR = 1e-9
"""Share of a face within which a pixel on its side counts as inside: one on a common side must not fall between."""


@dataclass(frozen=True, eq=False)
class Raster:
    """The face at each pixel's middle (rows, columns), −1 beside the mesh.

    The middle of the pixel in row i and column j is `origin` + `pixel` · (j, i). `margin` pixels at least on every side
    are empty.
    """

    faces: Ints
    origin: Floats
    pixel: float
    margin: int

    def middles(self, rows: Ints, columns: Ints) -> Floats:
        """The middles (N,2) of pixels."""
        return self.origin + self.pixel * np.stack([columns, rows], axis=-1)


def rastered(uv: Floats, faces: Ints, *, pixel: float, margin: int = 0) -> Raster:
    """The pixels of side `pixel` over faces (F,3) at `uv` (V,2), with `margin` empty ones on every side.

    Each face is counter-clockwise. Where several lie over one another the last counts.
    """
    corners = (uv[faces] - uv.min(axis=0)) / pixel
    low = np.ceil(corners.min(axis=1) - HAIR).astype(np.int64)
    size = np.maximum(np.floor(corners.max(axis=1) + HAIR).astype(np.int64) - low + 1, 0)
    count = size[:, 0] * size[:, 1]
    # Every pixel of every face's box, as if each box were unrolled behind the last.
    face = np.repeat(np.arange(len(faces)), count)
    place = np.arange(len(face)) - np.repeat(np.cumsum(count) - count, count)
    across, up = low[face, 0] + place % size[face, 0], low[face, 1] + place // size[face, 0]
    inside = np.ones(len(face), dtype=bool)
    for one, other in ((0, 1), (1, 2), (2, 0)):
        start, along = corners[face, one], corners[face, other] - corners[face, one]
        room = along[:, 0] * (up - start[:, 1]) - along[:, 1] * (across - start[:, 0])
        inside &= room >= -HAIR
    columns, rows = np.floor(corners.max(axis=(0, 1))).astype(np.int64) + 1 + 2 * margin
    found = np.full((rows, columns), -1, dtype=np.int64)
    found[up[inside] + margin, across[inside] + margin] = face[inside]
    return Raster(found, uv.min(axis=0) - margin * pixel, pixel, margin)
