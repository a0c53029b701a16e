"""Places on a triangle mesh: the same place of the leather, worn and flat."""

from __future__ import annotations

from dataclasses import dataclass

from flatten.mesh.surface import Floats, Ints, frozen, frozen_ints


@dataclass(frozen=True, eq=False)
class Places:
    """Places by their `faces` (n,) and their barycentric `weights` (n,3) there."""

    faces: Ints
    weights: Floats

    def __post_init__(self) -> None:
        """Freeze the arrays."""
        object.__setattr__(self, "faces", frozen_ints(self.faces))
        object.__setattr__(self, "weights", frozen(self.weights))

    def on(self, points: Floats, faces: Ints) -> Floats:
        """Where the places lie (n,k), given the mesh's vertices `points` (V,k) and its `faces` (F,3)."""
        placed: Floats = (points[faces[self.faces]] * self.weights[..., None]).sum(axis=1)
        return placed
