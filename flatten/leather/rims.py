"""The pieces of a flat panel's rim that grow and that shrink most when it is worn."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from flatten.leather.aims import Aim, Found, Line
from flatten.leather.lines import LINE
from flatten.leather.tensors import grain_places
from flatten.mesh.disk import boundary_loops, twins_of
from flatten.mesh.edges import half_edges, mesh_edges
from flatten.mesh.surface import Floats, Ints
from flatten.unwrap.model import FlatPanel


def worst_rims(flat: FlatPanel, aims: Iterable[Aim]) -> Found:
    """For each aim the worst piece of the rim that is LINE mm long when flat; the whole rim where that is shorter.

    What is allowed of a piece that bends is the sum over its sides, each in its own direction. While both its ends
    move between the same vertices, each of its lengths is linear in its place along the rim, and the ratio of two such
    is monotone: so the worst piece begins or ends at a vertex, and all that do are tried.

    Raises DiskError where the panel's faces do not meet two at an edge, wound alike, or its boundaries touch.
    """
    mesh, grain = flat.panel.mesh, grain_places(flat)
    twins = twins_of(mesh, mesh_edges(mesh))
    rims = np.flatnonzero(twins < 0)
    face_after = np.empty(len(mesh.vertices), dtype=np.int64)
    face_after[half_edges(mesh.faces)[rims, 0]] = rims % len(mesh.faces)
    aims = tuple(aims)
    found: Found = {}
    for loop in boundary_loops(mesh, twins):
        steps = np.roll(grain[loop], -1, axis=0) - grain[loop]
        worn = np.linalg.norm(np.roll(mesh.vertices[loop], -1, axis=0) - mesh.vertices[loop], axis=1)
        for aim in aims:
            line = _worst(steps, worn, face_after[loop], aim)
            if aim not in found or line.beyond > found[aim].beyond:
                found[aim] = line
    return found


def _worst(steps: Floats, worn: Floats, faces: Ints, aim: Aim) -> Line:
    """The worst piece of a closed rim of flat `steps` (n,2) and `worn` lengths (n,), each beside one of the `faces`."""
    flat = np.hypot(steps[:, 0], steps[:, 1])
    # Gone round three times, so that a piece from the second round may begin in the first or end in the third.
    run, grown, allowed = (
        np.concatenate([[0.0], np.cumsum(np.tile(each, 3))]) for each in (flat, worn, aim.allowed(steps))
    )
    count = len(flat)
    round_length = run[count]
    long = min(LINE, float(round_length))
    vertices = run[count : 2 * count]
    starts = np.concatenate([vertices, vertices - long])

    def over(lengths: Floats) -> Floats:
        return np.interp(starts + long, run, lengths) - np.interp(starts, run, lengths)

    beyond = aim.sign * np.log(over(grown) / over(allowed))
    worst = int(beyond.argmax())
    side = int(np.searchsorted(run, starts[worst] + 0.5 * long, side="right")) - 1
    return Line(float(over(grown)[worst]) / long, float(beyond[worst]), int(faces[side % count]))
