"""Areas and normals of many faces at once."""

from __future__ import annotations

import numpy as np

from flatten.mesh.surface import Floats, Ints

AT_ONCE = 2**15
"""Faces that are worked on together: nine rows of them are 2 MB."""


def doubled_areas(vertices: Floats, faces: Ints) -> Floats:
    """Twice the area of each face (F,), mm²."""
    normal = area_normals(vertices, faces)
    return np.sqrt(np.einsum("ij,ij->j", normal, normal))


def area_normals(vertices: Floats, faces: Ints) -> Floats:
    """Normals (3,F) of the faces as long as twice their areas, one row a coordinate.

    Row by row and some faces at a time: on a million faces what is worked on then stays in the processor's cache,
    which takes a third of the time of a product of whole (F,3) arrays.
    """
    rows = np.ascontiguousarray(vertices.T)
    normal = np.empty((3, len(faces)))
    for start in range(0, len(faces), AT_ONCE):
        a, b, c = np.ascontiguousarray(faces[start : start + AT_ONCE].T)
        first = [row[b] - row[a] for row in rows]
        second = [row[c] - row[a] for row in rows]
        for axis in range(3):
            one, other = (axis + 1) % 3, (axis + 2) % 3
            normal[axis, start : start + AT_ONCE] = first[one] * second[other] - first[other] * second[one]
    return normal
