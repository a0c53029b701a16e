"""Flat panels by formulas: sheets, a cap of a sphere, and an invented calf's as the solver lays it without limits."""

import numpy as np

from flatten.limb.surface.model import LimbSurface
from flatten.mesh.surface import Mesh
from flatten.unwrap.model import FlatPanel
from flatten.unwrap.panel import flatten_panel
from flatten.worn.curves import Edge, Seam
from flatten.worn.cut import cut_panels
from flatten.worn.cuts import Cuts
from flatten.worn.panel import Panel


def grid(columns, rows, edge=4.0):
    """A sheet of right triangles: points (V,2) about the origin and faces."""
    x, y = np.meshgrid((np.arange(columns + 1) - columns / 2) * edge, (np.arange(rows + 1) - rows / 2) * edge)
    first = (np.arange(columns)[None] + (columns + 1) * np.arange(rows)[:, None]).ravel()
    up = first + columns + 1
    faces = np.concatenate([np.stack([first, first + 1, up + 1], 1), np.stack([first, up + 1, up], 1)])
    return np.stack([x.ravel(), y.ravel()], 1), faces


def sheet(uv, worn, faces, *, grain=np.pi / 2):
    """A flat panel laid at `uv` whose worn form is `worn`."""
    panel = Panel("leg", Mesh(worn, faces), uv[:, 1], uv[:, 0] / 60.0, ())
    return FlatPanel(panel, uv, grain, 4.0, 1, True, 0.0, 0.0, 0.0, 0)


def disk_cap(*, sphere, border, rings):
    """A cap of a sphere, laid out by true distances from its middle and true bearings (azimuthal equidistant)."""
    uv, faces = [np.zeros((1, 2))], []
    starts = [0]
    for ring in range(1, rings + 1):
        turn = np.arange(6 * ring) * (np.pi / (3 * ring))
        starts.append(starts[-1] + max(1, 6 * (ring - 1)))
        uv.append(border * ring / rings * np.stack([np.cos(turn), np.sin(turn)], axis=1))
    for ring in range(1, rings + 1):
        outer, inner = 6 * ring, max(1, 6 * (ring - 1))
        for sector in range(6):
            for step in range(ring):
                a = starts[ring] + (sector * ring + step) % outer
                b = starts[ring] + (sector * ring + step + 1) % outer
                c = starts[ring - 1] + (sector * (ring - 1) + step) % inner
                faces.append([a, b, c])
                if step < ring - 1:
                    faces.append([c, b, starts[ring - 1] + (sector * (ring - 1) + step + 1) % inner])
    uv = np.concatenate(uv)
    rho = np.hypot(*uv.T)
    turn = np.arctan2(uv[:, 1], uv[:, 0])
    worn = (
        sphere * np.c_[np.sin(rho / sphere) * np.cos(turn), np.sin(rho / sphere) * np.sin(turn), np.cos(rho / sphere)]
    )
    return sheet(uv, worn, np.array(faces))


def opened_calf(*, edge_length):
    """A calf that swells backwards above an ankle that flares, opened at the back."""
    knots = np.r_[[-30.0] * 3, np.linspace(-30.0, 390.0, 43), [390.0] * 3]
    heights = np.array([knots[i + 1 : i + 4].mean() for i in range(len(knots) - 4)])[:, None]
    bearings = (np.arange(30) * 2 * np.pi / 30)[None]
    swell = np.exp(-(((heights - 245.0) / np.where(heights < 245.0, 95.0, 190.0)) ** 2))
    instep = np.exp(-(((heights + 60.0) / 40.0) ** 2))
    radii = 42.0 + 0.038 * np.maximum(heights, 0.0) + swell * (17.0 - 6.0 * np.cos(bearings))
    radii = radii + 25.0 * instep * (0.4 + np.cos(bearings))
    worn = LimbSurface(knots, radii, np.zeros((len(heights), 2)), (-25.0, 385.0), 0.12, 0.41, 0.031, ())
    quarters = np.arange(4) * np.pi / 2
    cuts = Cuts(
        Edge("bottom edge", quarters, np.array([35.0, 15.0, 35.0, 15.0])),
        Edge("top edge", quarters, np.array([330.0, 300.0, 270.0, 300.0])),
        (Seam("back", "laced", 25.0, np.array([0.0]), np.array([np.pi])),),
    )
    (panel,) = cut_panels(worn, cuts, edge_length=edge_length)
    return flatten_panel(panel)
