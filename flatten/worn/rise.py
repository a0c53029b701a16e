"""Where leather lies above the neutral surface: an upper layer over a lower one, flared lips, and parts on it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Protocol

import numpy as np
from scipy.interpolate import CubicSpline

from flatten.limb.surface.model import LimbSurface
from flatten.mesh.surface import Floats
from flatten.worn.curves import Edge
from flatten.worn.panel import CutError

STEP_THICKNESSES = 5.0
"""Leather thicknesses over which an upper layer comes down beside the lower one's cut line: a smooth step of height t
and length l bends to a radius of l²/6t, here 4.2 t, and cased leather bends to 2 t inside (2.5 t at its middle)."""


class Rise(Protocol):
    """A height above the neutral surface, told by chart places."""

    def height(self, heights: Floats, bearings: Floats) -> Floats:
        """mm (N,) along the surface's normal at chart places (N,)."""


@dataclass(frozen=True, eq=False)
class LayerStep:
    """The rise of an upper layer: the leather's `thickness` as far as the lower layer's cut line, then a smooth step.

    Both layers' middles lie one thickness apart where one lies on the other, so the upper layer is longer round a
    full turn by 2π · thickness. `full` and `none` are bearings by height: the cut line of the lower layer, and the
    line where the upper one is down again.
    """

    full: CubicSpline
    none: CubicSpline
    thickness: float

    def height(self, heights: Floats, bearings: Floats) -> Floats:
        """mm (N,) along the surface's normal at chart places (N,)."""
        full, none = self.full(heights), self.none(heights)
        share = np.clip((bearings - none) / (full - none), 0.0, 1.0)
        return self.thickness * share**2 * (3.0 - 2.0 * share)


@dataclass(frozen=True, eq=False)
class SkivedUpper:
    """The rise of an upper layer where both taper over the overlap: the upper one's underside and the lower one's top.

    With `left` mm of the thickness t at each edge, t + left lie on one another all over the overlap. At the lower
    layer's cut line (`full`) the upper one is t thick and lies `left` higher; from there to its own edge (`edge`) its
    underside rises by t − left and its neutral line by `gain` = (1 − neutral) · (t − left), evenly. Beyond `full` it
    comes down to `none` by a cubic, without a kink. As wide as 5 √(t · left) the step bends as that of leather that is
    not skived: a height h over a length l turns on a radius of l²/6h.
    """

    full: CubicSpline
    none: CubicSpline
    edge: CubicSpline
    left: float
    gain: float

    def height(self, heights: Floats, bearings: Floats) -> Floats:
        """mm (N,) along the surface's normal at chart places (N,)."""
        full, none, edge = self.full(heights), self.none(heights), self.edge(heights)
        step = np.clip((bearings - none) / (full - none), 0.0, 1.0)
        slope = self.gain * (full - none) / (edge - full)
        come_up = self.left * step**2 * (3.0 - 2.0 * step) - slope * step**2 * (1.0 - step)
        return come_up + self.gain * np.clip((bearings - full) / (edge - full), 0.0, 1.0)


@dataclass(frozen=True, eq=False)
class SkivedLower:
    """How a lower layer's neutral line sinks where its top is skived: evenly from `line` by `loss` mm at its `edge`."""

    edge: CubicSpline
    line: CubicSpline
    loss: float

    def height(self, heights: Floats, bearings: Floats) -> Floats:
        """mm (N,) along the surface's normal at chart places (N,), 0 or less."""
        edge, line = self.edge(heights), self.line(heights)
        return -self.loss * np.clip((bearings - line) / (edge - line), 0.0, 1.0)


@dataclass(frozen=True, eq=False)
class Lip:
    """A flared lip: over the last `depth` mm of height to an edge the leather turns outwards, by `flare` mm at it.

    A parabola of the height to the edge, so it leaves the limb without a kink and bends to a radius of depth²/2·flare.
    `inward` is the way from the edge into the leather: 1 (up) at a bottom edge, -1 (down) at a top edge.
    """

    edge: Edge
    flare: float
    depth: float
    inward: float

    @property
    def radius(self) -> float:
        """mm, of the bend in which the lip leaves the limb: depth²/2·flare."""
        return self.depth**2 / (2.0 * self.flare)

    def height(self, heights: Floats, bearings: Floats) -> Floats:
        """mm (N,) along the surface's normal at chart places (N,)."""
        inside = self.inward * (heights - self.edge.height(bearings))
        share = np.clip(1.0 - inside / self.depth, 0.0, None)
        return self.flare * share**2


def check_lips(lips: Iterable[Lip], *, thickness: float, neutral: float) -> None:
    """Raises CutError where a lip turns more sharply than leather of a `thickness` (mm) can lie, whose neutral surface
    is at the share `neutral` of it from beneath."""
    least = (1.0 - neutral) * thickness
    for lip in lips:
        if lip.radius <= least:
            raise CutError(
                f"the lip of the {lip.edge.name} flares by {lip.flare:g} mm over {lip.depth:g} mm, so it turns out of "
                f"the limb on a radius of {lip.radius:.1f} mm, and leather {thickness:g} mm thick needs more than "
                f"{least:.1f} mm; flare it by less than {lip.depth**2 / (2 * least):.0f} mm, or over more height"
            )


_STEP = (1e-3, 1e-5)
"""mm of height and rad by which the raised surface is compared with itself for its normals: a central difference is
then off by some 1e-7, of a normal that carries leather by a few mm."""


def raised_points(
    surface: LimbSurface, heights: Floats, bearings: Floats, *, rises: tuple[Rise, ...], beyond: float = 0.0
) -> Floats:
    """Points (N,3) above the surface's chart places (N,) by the sum of `rises` along its normals, mm, and `beyond` that
    raised surface by so many mm along its own normals: a part on it is parallel to it."""
    points = surface.points(heights, bearings)
    if rises:
        lifted = np.sum([rise.height(heights, bearings) for rise in rises], axis=0)
        points = points + surface.normals(heights, bearings) * lifted[:, None]
    return points + raised_normals(surface, heights, bearings, rises=rises) * beyond if beyond else points


def raised_normals(surface: LimbSurface, heights: Floats, bearings: Floats, *, rises: tuple[Rise, ...]) -> Floats:
    """Unit normals (N,3), outward, of the surface that `rises` lift the leather to, at chart places (N,).

    Surfaces parallel to it have the same normals.
    """
    if not rises:
        return surface.normals(heights, bearings)
    up, on = _STEP
    along = raised_points(surface, heights + up, bearings, rises=rises) - raised_points(
        surface, heights - up, bearings, rises=rises
    )
    around = raised_points(surface, heights, bearings + on, rises=rises) - raised_points(
        surface, heights, bearings - on, rises=rises
    )
    cross = np.cross(around, along)
    return cross / np.linalg.norm(cross, axis=-1, keepdims=True)
