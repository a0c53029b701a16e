"""A disk mesh laid flat: the order of the steps from its faces to a flat map."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from flatten.mesh.disk import check_disk
from flatten.mesh.gradient import Complexes, face_gradients, singular_values
from flatten.mesh.surface import Floats, Mesh, frozen
from flatten.unwrap.dirichlet import most_isometric
from flatten.unwrap.overlap import count_overlaps
from flatten.unwrap.place import FrontLine, longest_line, upright
from flatten.unwrap.start import first_map
from flatten.unwrap.system import MeshSystem


@dataclass(frozen=True, eq=False)
class FlatDisk:
    """A disk mesh laid flat: `uv` (V,2) mm, no face flipped; the other fields as in FlatPanel."""

    uv: Floats
    energy: float
    steps: int
    converged: bool
    spread: float
    spread_reachable: float
    excess: float
    overlaps: int

    def __post_init__(self) -> None:
        """Freeze the array."""
        object.__setattr__(self, "uv", frozen(self.uv))


def as_uv(flat: Complexes) -> Floats:
    """The points (V,2) of a flat map (V,)."""
    return np.stack([flat.real, flat.imag], axis=1)


def flatten_disk(mesh: Mesh, *, line: FrontLine | None = None) -> FlatDisk:
    """The most isometric flat map of a disk mesh, with `line` upright (two far border vertices where none is given).

    Raises DiskError where the mesh is no disk, UnwrapError where no map without flipped faces is found.
    """
    border = check_disk(mesh)
    line = line or longest_line(mesh, border)
    gradients = face_gradients(mesh)
    system = MeshSystem(mesh.faces, len(mesh.vertices))
    arrival = most_isometric(gradients, system, first_map(mesh, border, gradients, system))
    flat = upright(arrival.flat, line)
    large, small = singular_values(gradients, flat)
    return FlatDisk(
        uv=as_uv(flat),
        energy=4 + arrival.excess,
        steps=arrival.steps,
        converged=arrival.converged,
        spread=float(np.log(large.max() / small.min())),
        spread_reachable=float("nan"),
        excess=float("nan"),
        overlaps=count_overlaps(mesh.faces, flat, border),
    )
