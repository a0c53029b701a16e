"""A panel laid flat."""

from __future__ import annotations

from dataclasses import fields

import numpy as np

from flatten.unwrap.disk import FlatDisk, flatten_disk
from flatten.unwrap.model import FlatPanel
from flatten.unwrap.place import front_line
from flatten.worn.panel import Panel

UP = np.pi / 2
"""Radians. The grain's direction in a flat piece where nobody says otherwise: up the limb."""


def flatten_panel(panel: Panel, *, grain_angle: float = UP) -> FlatPanel:
    """The panel laid flat as isometrically as can be, its front line upright on x = 0 with y towards the body.

    `grain_angle` is the grain's direction in the flat piece, radians counter-clockwise from +x.

    Raises DiskError where the panel's mesh is no disk, UnwrapError where no map without flipped faces is found or
    nothing says what is upright.
    """
    flat = flatten_disk(panel.mesh, line=front_line(panel))
    return FlatPanel(panel=panel, grain_angle=grain_angle, **{f.name: getattr(flat, f.name) for f in fields(FlatDisk)})
