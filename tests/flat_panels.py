"""Analytic flat panels: opened cone frustums with their own small mesh."""

import numpy as np

from flatten.mesh.surface import Mesh
from flatten.pattern.piece import TitleBlock, pattern_from
from flatten.unwrap.model import FlatPanel
from flatten.worn.panel import Boundary, Panel


def grid_faces(columns, rows):
    index = np.arange((columns + 1) * (rows + 1)).reshape(rows + 1, columns + 1)
    a, b, c, d = (x.ravel() for x in (index[:-1, :-1], index[:-1, 1:], index[1:, 1:], index[1:, :-1]))
    return index, np.concatenate([np.stack([a, b, c], 1), np.stack([a, c, d], 1)])


def grid_panel(points, uv, heights, bearings, index, faces, *, name="shin guard", kind="laced", seam="back"):
    boundaries = (
        Boundary("bottom edge", "edge", "", index[0]),
        Boundary(seam, kind, "high", index[:, -1]),
        Boundary("top edge", "edge", "", index[-1, ::-1]),
        Boundary(seam, kind, "low", index[::-1, 0]),
    )
    panel = Panel(name, Mesh(points, faces), heights, bearings, boundaries)
    return FlatPanel(panel, uv, np.pi / 2, 4.0, 0, True, 0.0, float("nan"), float("nan"), 0)


def opened_frustum(
    *,
    bottom=229.34 / (2 * np.pi),
    top=392.26 / (2 * np.pi),
    height=395.30,
    gap=0.0,
    columns=64,
    rows=48,
    arch=0.0,
    **more,
):
    """A frustum of radii `bottom` and `top` mm, slit at the back; arch lifts both edges by arch·cos(2·bearing)."""
    slant = np.hypot(height, top - bottom)
    sine = (top - bottom) / slant
    index, faces = grid_faces(columns, rows)
    share, level = np.meshgrid(np.linspace(-1.0, 1.0, columns + 1), np.linspace(0.0, 1.0, rows + 1))
    bearing = share * np.pi
    h = level * height + arch * np.cos(2 * bearing)
    radius = bottom + (top - bottom) * h / height
    bearing = bearing * (1.0 - gap / (2 * np.pi * radius))
    points = np.stack([radius * np.cos(bearing), radius * np.sin(bearing), h], axis=-1)
    rho, angle = radius / sine, bearing * sine
    uv = np.stack([rho * np.sin(angle), bottom / sine - rho * np.cos(angle)], axis=-1)
    if top > bottom:
        # The apex lies below: y grows towards the body.
        uv = np.stack([rho * np.sin(angle), rho * np.cos(angle) - bottom / sine], axis=-1)
    flat = [
        array.reshape(-1, array.shape[-1]) if array.ndim == 3 else array.ravel() for array in (points, uv, h, bearing)
    ]
    return grid_panel(*flat, index, faces, **more)


def piece_from(flat, *, side, job, thickness, work=None, **given):
    """The one piece of one flat panel."""
    return pattern_from((flat,), TitleBlock(job, side, thickness, work), **given).pieces[0]
