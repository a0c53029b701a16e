"""A disk mesh laid flat: the order of the steps from its faces to a flat map."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from flatten.mesh.disk import check_disk
from flatten.mesh.gradient import Complexes, face_gradients, singular_values, spread
from flatten.mesh.surface import Floats, Mesh, frozen
from flatten.unwrap.bounds import Problem, bounds_of
from flatten.unwrap.dirichlet import distortion, most_isometric
from flatten.unwrap.initial import initial_parametrization
from flatten.unwrap.limits import TO_CUT, Accuracy, within_limits
from flatten.unwrap.model import UNSOUGHT, Attainable, Limits
from flatten.unwrap.overlap import count_overlaps
from flatten.unwrap.place import FrontLine, longest_line, upright
from flatten.unwrap.system import MeshSystem

UP = np.pi / 2
"""Radians. The grain's direction in a flat piece where nobody says otherwise: up the limb."""


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
    allowed: float

    def __post_init__(self) -> None:
        """Freeze the array."""
        object.__setattr__(self, "uv", frozen(self.uv))


def as_uv(flat: Complexes) -> Floats:
    """The points (V,2) of a flat map (V,)."""
    return np.stack([flat.real, flat.imag], axis=1)


def flatten_disk(
    mesh: Mesh,
    *,
    limits: Limits | None = None,
    line: FrontLine | None = None,
    grain_angle: float = UP,
    chart: Floats | None = None,
    room: float = 0.0,
    known: Attainable | None = None,
    accuracy: Accuracy = TO_CUT,
) -> FlatDisk:
    """A disk mesh laid flat with `line` upright (two far boundary vertices where none is given).

    Without limits the most isometric map. With them, the most isometric map that keeps to them and leaves the share
    `room` of what can be left to all of them at once, or that goes beyond them by hardly more than any map must;
    `grain_angle` (radians counter-clockwise from +x) is the grain's direction in the flat piece, along which the
    limits' "along" holds. `chart` (V,2) mm are plane coordinates of the vertices, in which no face is flipped, to start
    from: they save time and do not change the result.

    What any map needs at the least is found by minimax over all faces, to 0.2 % of the spread. That takes half of the
    time. Where `known` gives it, from a coarser mesh of the same piece, that least says how far the limits are shifted,
    and minimax goes only as far as to find a map inside the shifted limits. It is found here all the same where `known`
    leaves next to nothing between them and what is reachable, or where that shows; the cut map is then held to hardly
    more than this mesh's own least, where that is more. So both hang together continuously. `accuracy` is how near both
    searches go to their ends.

    Raises DiskError where the mesh is no disk, UnwrapError where no map without flipped faces is found or the limits
    leave no room at all.
    """
    boundary = check_disk(mesh)
    line = line or longest_line(mesh, boundary)
    gradients = face_gradients(mesh)
    system = MeshSystem(mesh, gradients, mesh.vertices if chart is None else chart)
    start = None if chart is None else chart[:, 0] + 1j * chart[:, 1]
    free = most_isometric(gradients, system, initial_parametrization(mesh, boundary, gradients, system, start))
    flat = upright(free.flat, line)
    if limits is None:
        attainable, allowed, steps, converged = UNSOUGHT, np.nan, free.steps, free.converged
    else:
        to_grain = np.exp(1j * (UP - grain_angle))
        turn = line.weights(len(flat)) * 1j * (1j * to_grain)
        problem = Problem(gradients, system, bounds_of(limits), turn)
        held = within_limits(problem, flat * to_grain, free.distortion, room=room, known=known, accuracy=accuracy)
        flat = upright(held.flat, line)
        attainable, allowed = held.attainable, held.allowed
        steps, converged = free.steps + held.steps, free.converged and held.converged
    return FlatDisk(
        uv=as_uv(flat),
        energy=4 + distortion(gradients, flat),
        steps=steps,
        converged=converged,
        spread=spread(*singular_values(gradients, flat)),
        spread_reachable=attainable.spread,
        excess=attainable.excess,
        allowed=allowed,
        overlaps=count_overlaps(flat, boundary),
    )
