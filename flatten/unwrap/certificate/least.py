"""The least spread that any flat map of a panel can have: the best of what the arguments give."""

from __future__ import annotations

import numpy as np

from flatten.mesh.surface import Floats, Mesh
from flatten.unwrap.certificate.disc import best_disc
from flatten.unwrap.certificate.model import Certificate
from flatten.unwrap.certificate.survey import survey
from flatten.unwrap.certificate.wheel import best_wheel

LEAST_RADIUS = 3.0
"""Edges. Smaller discs and wheels would tell of single vertices of the mesh, not of the panel."""


def least_spread(mesh: Mesh, *, guide: Floats) -> Certificate:
    """A computed lower bound on the spread of every flat map of a disk mesh, and where it binds.

    No flat piece of the panel as meshed, of whatever outline, has log(greatest / least stretch) below it, provided that
    it does not overlap itself. `guide` (V,2) is any flat map of the mesh, such as the one to be judged: it proposes
    orders and directions and has no part in the proof.

    Raises DiskError where the mesh is no disk.
    """
    panel = survey(mesh)
    radius = LEAST_RADIUS * panel.longest
    disc = best_disc(
        panel.distances,
        centres=panel.points.tolist(),
        clear=panel.clear,
        defects=panel.defects,
        least_radius=radius,
    )
    wheel = best_wheel(panel.pairs, guide=guide[panel.points], least_radius=radius)
    nothing = np.empty(0, np.int64)
    if disc.bound >= wheel.bound > 0.0 or wheel.bound == 0.0:
        argument = "disc" if disc.bound > 0.0 else "none"
        return Certificate(
            disc.bound, argument, disc.centre, disc.radius, nothing, nothing.reshape(0, 2), np.empty(0),
            disc.bound, wheel.bound,
        )
    return Certificate(
        wheel.bound, "wheel", int(panel.points[wheel.hub]), 0.0, panel.points[wheel.rim], nothing.reshape(0, 2),
        np.empty(0), disc.bound, wheel.bound,
    )
