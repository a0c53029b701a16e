"""A panel laid flat."""

from __future__ import annotations

from dataclasses import fields

import numpy as np

from flatten.mesh.surface import Floats
from flatten.unwrap.disk import UP, FlatDisk, flatten_disk
from flatten.unwrap.limits import TO_CUT, Accuracy
from flatten.unwrap.model import Attainable, FlatPanel, Limits
from flatten.unwrap.place import front_line
from flatten.worn.panel import Panel


def flatten_panel(
    panel: Panel,
    *,
    limits: Limits | None = None,
    grain_angle: float = UP,
    room: float = 0.0,
    known: Attainable | None = None,
    accuracy: Accuracy = TO_CUT,
) -> FlatPanel:
    """The panel laid flat, its front line upright on x = 0 with y towards the body, no face flipped.

    Without limits as isometrically as can be. With them, as isometrically as they allow when shifted inwards by the
    share `room` of what can be left to all of them at once (0: as they are; 1: to the least extremes); where no map
    keeps to them, beyond them by hardly more than any map must (`excess` says by how much). `grain_angle` is the
    grain's direction in the flat piece, radians counter-clockwise from +x.

    `known` is what is attainable with these limits: that of the same piece of the limb laid flat on a coarser mesh,
    which is the surface's and the same within 2 %, or UNSOUGHT, with which no room can be left without finding it.
    Where there is slack, this mesh then does not look for it again, `spread_reachable` and `excess` are those of
    `known`, and the flat piece is the same, in less than half the time. `accuracy` is how near to the least excess and
    to the most isometric map it goes: TO_SHOW for a preview.

    Raises DiskError where the panel's mesh is no disk, UnwrapError where no map without flipped faces is found,
    nothing says what is upright, or the limits leave no room at all.
    """
    flat = flatten_disk(
        panel.mesh,
        limits=limits,
        line=front_line(panel),
        grain_angle=grain_angle,
        chart=plane_chart(panel),
        room=room,
        known=known,
        accuracy=accuracy,
    )
    return FlatPanel(panel=panel, grain_angle=grain_angle, **{f.name: getattr(flat, f.name) for f in fields(FlatDisk)})


def plane_chart(panel: Panel) -> Floats:
    """Bearing times the mean radius, and height (V,2), mm: flips no face where the limb is star-shaped."""
    centre = panel.mesh.vertices[:, :2].mean(axis=0)
    radius = np.linalg.norm(panel.mesh.vertices[:, :2] - centre, axis=1).mean()
    return np.stack([panel.bearings * radius, panel.heights], axis=1)
