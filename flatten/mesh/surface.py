"""A triangle mesh as a frozen pair of arrays, and what is measured on it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

from flatten.errors import CalfskinError

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]
Flags = npt.NDArray[np.bool_]


class MeshError(CalfskinError, ValueError):
    """A mesh does not have the form that a step needs."""


def frozen(array: npt.ArrayLike) -> Floats:
    """A read-only float copy of `array`; `array` itself where nobody can change it."""
    return _frozen(array, np.float64)


def frozen_ints(array: npt.ArrayLike) -> Ints:
    """A read-only integer copy of `array`; `array` itself where nobody can change it."""
    return _frozen(array, np.int64)


def _frozen(array: npt.ArrayLike, kind: type[np.generic]) -> npt.NDArray[Any]:
    given = np.asarray(array, dtype=kind, order="C")
    # What is read-only as a view of other memory may still be changed there.
    if given.flags.owndata and not given.flags.writeable:
        return given
    copy = given.copy()
    copy.flags.writeable = False
    return copy


@dataclass(frozen=True, eq=False)
class Mesh:
    """Triangles: `vertices` (V,3) mm, `faces` (F,3) counter-clockwise seen from outside."""

    vertices: Floats
    faces: Ints

    def __post_init__(self) -> None:
        """Freeze the arrays. Raises MeshError where a shape or an index is wrong."""
        object.__setattr__(self, "vertices", frozen(self.vertices))
        object.__setattr__(self, "faces", frozen_ints(self.faces))
        if self.vertices.ndim != 2 or self.vertices.shape[1] != 3:
            raise MeshError(f"vertices must be (V,3), found {self.vertices.shape}")
        if self.faces.ndim != 2 or self.faces.shape[1] != 3:
            raise MeshError(f"faces must be (F,3), found {self.faces.shape}")
        if self.faces.size and not (self.faces.min() >= 0 and self.faces.max() < len(self.vertices)):
            raise MeshError(f"faces name vertices outside 0 to {len(self.vertices) - 1}")


def face_areas(mesh: Mesh) -> Floats:
    """Area of each face (F,), mm²."""
    a, b, c = (mesh.vertices[mesh.faces[:, i]] for i in range(3))
    return 0.5 * np.linalg.norm(np.cross(b - a, c - a), axis=1)
