"""The face that a former gives the leather: the piece's inner face, bent further by what springs back."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from scipy.interpolate import CubicSpline

from flatten.former.model import FormerError
from flatten.limb.surface.model import LimbSurface
from flatten.mesh.surface import Floats
from flatten.worn.neutral import Wear, neutral_surface
from flatten.worn.panel import Panel

LEAST_RADIUS = 5.0
"""mm. Nothing of a former is nearer to its middle line: a wall or a cover that leaves less leaves no inside."""

ARC_STEPS = 720
"""Steps round a section in which the way along it is summed: on a girth of 400 mm an error below 0.001 mm."""

_ROUNDING = 1e-9
"""mm. A surface that ends so near to a height reaches it."""


@dataclass(frozen=True, eq=False)
class Face:
    """The former's outside between the heights `low` and `high`, as a limb surface.

    `inner` is the piece's own inner face. `surface` bends so much more round the limb that leather which springs back
    by the share `springback` of its bend ends on `inner`: R' = R / (1 − s) for a bend formed to the radius R. `short`
    is what is missing at the bottom and at the top, mm, of what was asked.
    """

    inner: LimbSurface
    surface: LimbSurface
    springback: float
    low: float
    high: float
    short: tuple[float, float]

    @cached_property
    def _ways(self) -> tuple[Floats, CubicSpline]:
        """Bearings (n,) and, over the heights, the way (n,) along the inner face's section from bearing -π on."""
        bearings = np.linspace(-np.pi, np.pi, ARC_STEPS + 1)
        heights = np.linspace(self.low, self.high, max(8, int(np.ceil((self.high - self.low) / 5.0))) + 1)
        radii, slopes = self.inner.sections(heights, bearings)
        speed = CubicSpline(bearings, np.hypot(radii, slopes), axis=1).antiderivative()
        return bearings, CubicSpline(heights, speed(bearings))

    def radius(self, height: float, bearing: float) -> float:
        """The former's radius at one chart place, mm."""
        return float(self.surface.radius(np.array(height), np.array(bearing)))

    def laid(self, chart: Floats, *, middle: float) -> Floats:
        """Chart places (n,2) of the former on which leather lies that belongs at chart places (n,2) of the inner face.

        Leather keeps its length round the former, from its own middle at the bearing `middle` on.
        """
        if self.springback == 0.0:
            return chart
        bearings, ways = self._ways
        found = np.empty_like(chart)
        for row, (height, bearing) in enumerate(chart):
            way = ways(height)
            start, end = _along(bearings, way, middle), _along(bearings, way, bearing)
            found[row] = height, _back(bearings, way, start + (end - start) / (1.0 - self.springback))
        return found


def _along(bearings: Floats, way: Floats, bearing: float) -> float:
    """The way along a section to a bearing, whole turns counted."""
    turns = np.floor((bearing + np.pi) / (2.0 * np.pi))
    return float(turns * way[-1] + np.interp(bearing - turns * 2.0 * np.pi, bearings, way))


def _back(bearings: Floats, way: Floats, along: float) -> float:
    """The bearing at a way along a section, whole turns counted."""
    turns = np.floor(along / way[-1])
    return float(turns * 2.0 * np.pi + np.interp(along - turns * way[-1], way, bearings))


def face_of(skin: LimbSurface, wear: Wear, *, span: tuple[float, float], past: float, springback: float) -> Face:
    """The face of a former for leather between the heights `span` (mm), reaching `past` mm beyond it where skin is.

    The leather's inner face is skin + under + ease/2π + lining − over: the neutral surface less the share of the
    thickness inside it. A section bends by 1/(1−s) more when it is smaller by the factor 1−s, and so is its girth; it
    shrinks to its middle line, so that heights stay.

    Raises LayersError where the layers beneath the leather make no surface, CutError where edges are too near.
    """
    asked = span[0] - past, span[1] + past
    inner = neutral_surface(skin, replace(wear, neutral=0.0), heights=asked).surface
    low, high = inner.trusted
    short = tuple(0.0 if miss < _ROUNDING else miss for miss in (low - asked[0], asked[1] - high))
    return Face(
        inner,
        replace(inner, radii=(1.0 - springback) * inner.radii),
        springback,
        low,
        high,
        (short[0], short[1]),
    )


def section(surface: LimbSurface, height: float, bearings: Floats, *, inset: float = 0.0) -> Floats:
    """Points (n,2), front and lateral mm, of the surface's section at a height, `inset` mm inside the surface.

    A parallel of a cone, and of all that bends little across a mm of inset, is nearer to the middle by inset over the
    cosine between its normal and the radius.

    Raises FormerError where so much inset leaves no inside.
    """
    radius = radii(surface, np.full(bearings.shape, height), bearings, inset=inset)
    return surface.centre_line(height) + radius[:, None] * np.stack([np.cos(bearings), np.sin(bearings)], axis=1)


def radii(surface: LimbSurface, heights: Floats, bearings: Floats, *, inset: float) -> Floats:
    """Radius (N,) mm at chart places (N,), `inset` mm inside the surface. Raises FormerError as `section` does."""
    found = surface.radius(heights, bearings)
    if inset:
        outward = np.stack([np.cos(bearings), np.sin(bearings), np.zeros_like(bearings)], axis=-1)
        found = found - inset / (surface.normals(heights, bearings) * outward).sum(axis=-1)
    if found.min() < LEAST_RADIUS:
        at = float(np.ravel(heights)[int(np.argmin(found))])
        raise FormerError(
            f"{inset:g} mm of wall or cover leave no inside to the former at height {at:.0f} mm; "
            "make it thinner, or print the former solid"
        )
    return found


def edge_lines(panels: Sequence[Panel], worn: LimbSurface, face: Face, *, depth: float) -> list[Floats]:
    """Chart places (n,2) on the former of each side of the panels: where the leather's edges lie on it.

    Panels lie on the neutral surface `worn`, `depth` mm outside the inner face along its normals.
    """
    lines = []
    for panel in panels:
        middle = 0.5 * float(panel.bearings.min() + panel.bearings.max())
        for side in panel.boundaries:
            heights, bearings = panel.heights[side.vertices], panel.bearings[side.vertices]
            points = worn.points(heights, bearings) - depth * worn.normals(heights, bearings)
            x, y = (points[:, :2] - face.inner.centre_line(points[:, 2])).T
            turned = bearings + np.mod(np.arctan2(y, x) - bearings + np.pi, 2.0 * np.pi) - np.pi
            lines.append(face.laid(np.column_stack([points[:, 2], turned]), middle=middle))
    return lines
