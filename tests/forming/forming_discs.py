"""A disc of leather laid on a ball by its own lengths from the middle."""

import numpy as np

from flatten.mesh.disk import boundary_loops, twins_of
from flatten.mesh.edges import mesh_edges
from flatten.mesh.surface import Mesh
from flatten.unwrap.model import FlatPanel
from flatten.worn.neutral import through
from flatten.worn.panel import Boundary, Panel
from tests.limbs import cylinder

BALL, DISC = 100.0, 60.0


def ball(radius=BALL):
    """The ball as a limb's surface, about an axis through its middle."""
    heights = np.linspace(-0.8 * radius, 0.8 * radius, 161)
    radii = np.repeat(np.sqrt(radius**2 - heights**2)[:, None], 60, axis=1)
    return through(heights, radii, np.zeros((len(heights), 2)), like=cylinder())


def disc_mesh(step):
    """Rings of triangles over a disc: places (V,2) and faces (F,3)."""
    rings = round(DISC / step)
    places, starts = [np.zeros((1, 2))], [0, 1]
    for ring in range(1, rings + 1):
        angle = 2 * np.pi * np.arange(6 * ring) / (6 * ring)
        places.append(ring * DISC / rings * np.stack([np.cos(angle), np.sin(angle)], axis=1))
        starts.append(starts[-1] + 6 * ring)
    faces = []
    for ring in range(1, rings + 1):
        inner, outer, few, many = starts[ring - 1], starts[ring], max(6 * (ring - 1), 1), 6 * ring
        for side in range(6):
            for k in range(ring):
                a, b = outer + side * ring + k, outer + (side * ring + k + 1) % many
                low = inner + (side * (ring - 1) + k) % few
                faces.append((a, b, low))
                if k:
                    faces.append((low, inner + (side * (ring - 1) + k - 1) % few, a))
    return np.vstack(places), np.array(faces)


def disc_on_ball(step, turn=0.0):
    """The disc laid on the ball by its own lengths from the middle, its flat piece turned by `turn`."""
    places, faces = disc_mesh(step)
    rho, angle = np.hypot(*places.T), np.arctan2(places[:, 1], places[:, 0])
    # About the place that faces the front: x to the side, y up.
    x, y = BALL * np.sin(rho / BALL) * np.cos(angle), BALL * np.sin(rho / BALL) * np.sin(angle)
    front = BALL * np.cos(rho / BALL)
    surface = ball()
    heights, bearings = y, np.arctan2(x, front)
    mesh = Mesh(surface.points(heights, bearings), faces)
    rim = next(iter(boundary_loops(mesh, twins_of(mesh, mesh_edges(mesh)))))
    panel = Panel("disc", mesh, heights, bearings, (Boundary("top edge", "edge", "", rim),))
    cos, sin = np.cos(turn), np.sin(turn)
    flat = FlatPanel(
        panel, places @ np.array([[cos, sin], [-sin, cos]]), 0.5 * np.pi + turn, 4.0, 0, True, 0.0, 0.0, 0.0, 0
    )
    return flat, surface
