"""A body as the bytes of a binary STL file, mm: the same body gives the same bytes."""

from __future__ import annotations

import numpy as np

from flatten.former.model import Body

_HEADER = 80
"""Bytes before the number of triangles: free text, which must not begin with "solid"."""


def stl_bytes(body: Body, title: str) -> bytes:
    """The body as binary STL; its header holds `title` and neither date nor name of a machine.

    Triangles stand in the order of their corners' places, each from its least corner on: whatever made them, and in
    whichever order, the bytes hang on the places alone.
    """
    corners = body.vertices.astype("<f4")[body.faces]
    first = np.lexsort((*np.moveaxis(corners[..., ::-1], -1, 0),), axis=-1)[:, 0]
    corners = np.take_along_axis(corners, (first[:, None, None] + np.arange(3)[None, :, None]) % 3, axis=1)
    corners = corners[np.lexsort(corners.reshape(-1, 9).T[::-1])]
    edges = corners.astype(float)
    normals = np.cross(edges[:, 1] - edges[:, 0], edges[:, 2] - edges[:, 0])
    lengths = np.linalg.norm(normals, axis=1, keepdims=True)
    normals = np.divide(normals, lengths, out=np.zeros_like(normals), where=lengths > 0.0)
    rows = np.zeros(len(corners), dtype=[("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("kind", "<u2")])
    rows["normal"], rows["corners"] = normals, corners
    head = f"Calfskin former, mm: {title}".encode("ascii", "replace")[:_HEADER].ljust(_HEADER)
    return head + np.uint32(len(rows)).tobytes() + rows.tobytes()
