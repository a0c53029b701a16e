"""Lines beside a seam, at a constant distance along the surface: its cut lines, and where a layer comes down."""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from flatten.limb.surface.model import LimbSurface
from flatten.mesh.surface import Floats, frozen
from flatten.worn.curves import Seam
from flatten.worn.panel import SeamCutError

STEP = 2.0
"""mm. Step of the geodesic integration (Runge-Kutta 4) and spacing of its starts on the seam: on a limb
the error per mm is then of the order (step · curvature)^4, far below a thousandth."""

LINES_KEPT = 32
"""Sets of lines that are remembered: those of every seam of a job, on the few surfaces that it is cut from."""


def cut_lines(surface: LimbSurface, seam: Seam, *, heights: tuple[float, float]) -> tuple[Floats, Floats]:
    """Chart points (n,2) of the cut lines of the leather before and of the leather after the seam, going up.

    Each is the parallel at its distance of `seam.offsets`; see `lines_beside`.
    """
    before, after = lines_beside(surface, seam, offsets=seam.offsets, heights=heights)
    return before, after


@lru_cache(maxsize=LINES_KEPT)
def lines_beside(
    surface: LimbSurface, seam: Seam, *, offsets: tuple[float, ...], heights: tuple[float, float]
) -> tuple[Floats, ...]:
    """Chart points (n,2), going up, of the lines at each of `offsets` mm from the seam, positive to higher bearings.

    The distance is measured along geodesics that leave the seam at right angles, so it is constant on the surface
    (Gauss's lemma: such geodesics meet the parallel curve at right angles too). The seam is taken over `heights`, and
    the line ends where it ends: it is made before the edges are cut, else it would round off there. So an edge that is
    dragged asks for the same lines again, and a job's meshes share them: they are remembered, and read-only.

    Raises CutError where a line folds, because the seam bends more sharply than the distance allows.
    """
    low, high = heights
    along = np.linspace(low, high, max(8, int(np.ceil((high - low) / STEP))) + 1)
    bearing = seam.bearing(along)
    start = np.column_stack([along, bearing])
    if not any(offsets):
        return (frozen(start),) * len(offsets)
    by_height, by_bearing = surface.tangents(along, bearing)
    tangent = by_height + by_bearing * seam.bearing(along, nu=1)[:, None]
    # (up the seam) × normal points to higher bearings: bearing, height and outward are right-handed in that order.
    across = np.cross(tangent, surface.normals(along, bearing))
    across /= np.linalg.norm(across, axis=1, keepdims=True)
    away = _in_chart(by_height, by_bearing, across)
    # All lines at once: a run's time goes by its steps, not by its points.
    steps = int(np.ceil(max(map(abs, offsets)) / STEP))
    velocity = np.vstack([offset * away for offset in offsets])
    ends = _geodesics(surface, np.vstack([start] * len(offsets)), velocity, steps)
    lines = tuple(map(frozen, np.split(ends, len(offsets))))
    for line in lines:
        _check_climbs(line, along, seam)
    return lines


def _check_climbs(line: Floats, along: Floats, seam: Seam) -> None:
    if (np.diff(line[:, 0]) <= 0).any():
        where = along[np.argmax(np.diff(line[:, 0]) <= 0)]
        what = "lacing gap" if seam.kind == "laced" else "gap" if seam.gap else "overlap"
        raise SeamCutError(
            f"seam '{seam.name}' bends too sharply at height {where:.0f} mm for a {what} of "
            f"{seam.gap or seam.overlap:g} mm; draw it straighter or make the {what} narrower"
        )


def _in_chart(by_height: Floats, by_bearing: Floats, vector: Floats) -> Floats:
    """Chart components (n,2) of tangent vectors (n,3): the normal equations of the two tangents."""
    e = np.einsum("ij,ij->i", by_height, by_height)
    f = np.einsum("ij,ij->i", by_height, by_bearing)
    g = np.einsum("ij,ij->i", by_bearing, by_bearing)
    p = np.einsum("ij,ij->i", by_height, vector)
    q = np.einsum("ij,ij->i", by_bearing, vector)
    determinant = e * g - f * f
    return np.column_stack([(g * p - f * q) / determinant, (e * q - f * p) / determinant])


def _acceleration(surface: LimbSurface, place: Floats, velocity: Floats) -> Floats:
    """Chart acceleration (n,2) of a geodesic: the surface's own bending of the path, taken back."""
    h, b = place.T
    twice_height, mixed, twice_bearing = surface.second_derivatives(h, b)
    u, v = velocity[:, :1], velocity[:, 1:]
    bend = twice_height * u * u + 2 * mixed * u * v + twice_bearing * v * v
    return -_in_chart(*surface.tangents(h, b), bend)


def _geodesics(surface: LimbSurface, start: Floats, velocity: Floats, steps: int) -> Floats:
    """Ends (n,2) after unit time of geodesics that start with the given chart velocities, by Runge-Kutta steps."""
    dt = 1.0 / steps
    x, v = start, velocity
    for _ in range(steps):
        a1 = _acceleration(surface, x, v)
        a2 = _acceleration(surface, x + dt / 2 * v, v + dt / 2 * a1)
        a3 = _acceleration(surface, x + dt / 2 * v + dt * dt / 4 * a1, v + dt / 2 * a2)
        a4 = _acceleration(surface, x + dt * v + dt * dt / 2 * a2, v + dt * a3)
        x = x + dt * v + dt * dt / 6 * (a1 + a2 + a3)
        v = v + dt / 6 * (a1 + 2 * a2 + 2 * a3 + a4)
    return x
