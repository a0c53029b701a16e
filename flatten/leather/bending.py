"""How sharply a worn panel bends its leather round the limb."""

from __future__ import annotations

import numpy as np
from scipy.integrate import simpson

from flatten.leather.model import Bend, LeatherError
from flatten.limb.surface.model import LimbSurface
from flatten.mesh.surface import Floats
from flatten.worn.panel import Panel

LEAST_RADIUS = {"cased": 2.0, "dry": 5.0}
"""Least inside radius of a bend, in thicknesses. From memory."""


BEND_SPAN = 2.0
"""Thicknesses of leather along a bend over which its curvature is its mean: what acts on a plate over less than about
one thickness to either side is spread by the plate itself (Saint-Venant), so that it bridges a kink of a scan's noise
that is narrower. A bend that is too sharp for cased leather and turns by 50 degrees or more is longer than this."""

_SAMPLES = 9
"""Places along the span by which its length is integrated; Simpson's rule wants an odd number."""


def bending_strain(inside_radius: float, *, thickness: float) -> float:
    """Strain of the outer face of leather bent to `inside_radius`, neutral line in the middle: t / (2R + t).

    Raises LeatherError where the radius is negative or the thickness is not above 0.
    """
    if not inside_radius >= 0.0 or not thickness > 0.0:
        raise LeatherError(
            f"leather {thickness:g} mm thick cannot bend to an inside radius of {inside_radius:g} mm; "
            f"the thickness must be above 0 and the radius at least 0"
        )
    return thickness / (2.0 * inside_radius + thickness)


def curvature_around(surface: LimbSurface, heights: Floats, bearings: Floats) -> Floats:
    """Normal curvature (N,) of `surface` in the level direction round the limb, 1/mm, positive where it bulges.

    The level section r(b) about its centre has curvature (r² + 2r'² - r r'') / (r² + r'²)^(3/2); Meusnier's
    theorem takes the surface's normal curvature from it by the cosine between the section's and the surface's normal.
    """
    r, first, second = (surface.radius(heights, bearings, nu=(0, order)) for order in range(3))
    section = (r**2 + 2 * first**2 - r * second) / (r**2 + first**2) ** 1.5
    normal = surface.normals(heights, bearings)
    return section * np.hypot(normal[..., 0], normal[..., 1])


def bend_around(surface: LimbSurface, heights: Floats, bearings: Floats, *, thickness: float) -> Floats:
    """Curvature (N,) that leather of this thickness (mm) takes on round the limb, 1/mm, positive where it bulges.

    It is the mean of `curvature_around` over BEND_SPAN thicknesses about each place: the angle that the level section's
    tangent turns by, which is b + atan2(r, r'), over the length of that arc; then Meusnier's theorem as there.
    """
    r, first = (surface.radius(heights, bearings, nu=(0, order)) for order in range(2))
    half = BEND_SPAN * thickness / 2.0 / np.hypot(r, first)
    along = bearings + np.linspace(-1.0, 1.0, _SAMPLES)[:, None] * half
    r, first = (surface.radius(np.broadcast_to(heights, along.shape), along, nu=(0, order)) for order in range(2))
    tangent = along + np.arctan2(r, first)
    section = (tangent[-1] - tangent[0]) / simpson(np.hypot(r, first), x=along, axis=0)
    normal = surface.normals(heights, bearings)
    return np.asarray(section * np.hypot(normal[..., 0], normal[..., 1]))


def tightest_bend(panel: Panel, *, surface: LimbSurface, thickness: float, neutral: float) -> Bend:
    """The place of `panel` where its leather bends most sharply round the limb.

    `surface` is the neutral surface that the panel lies on, `neutral` the share of the thickness beneath it.

    Raises LeatherError where the panel has no vertices, bends more sharply than leather of this thickness can
    lie, or the thickness is not above 0.
    """
    if not len(panel.heights):
        raise LeatherError(f"panel '{panel.name}' is empty, so it has no bend; cut it again")
    if not thickness > 0.0:
        raise LeatherError(f"leather {thickness:g} mm thick cannot be bent; its thickness must be above 0")
    curvature = bend_around(surface, panel.heights, panel.bearings, thickness=thickness)
    inside = thickness * np.where(curvature >= 0.0, neutral, 1.0 - neutral)
    radii = np.divide(1.0, np.abs(curvature), out=np.full_like(curvature, np.inf), where=curvature != 0.0) - inside
    at = int(radii.argmin())
    radius, height, bearing = float(radii[at]), float(panel.heights[at]), float(panel.bearings[at])
    return Bend(
        radius=radius,
        strain=bending_strain(radius, thickness=thickness),
        thickness=thickness,
        height=height,
        bearing=bearing,
    )
