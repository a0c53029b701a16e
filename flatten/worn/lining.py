"""The lining on the leather's inner face: the leather's own cuts, on the lining's neutral surface."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from flatten.limb.surface.model import LimbSurface
from flatten.mesh.surface import Mesh
from flatten.worn.curves import Seam
from flatten.worn.cut import cut_panels
from flatten.worn.cuts import Cuts
from flatten.worn.gap import lines_beside
from flatten.worn.neutral import Wear
from flatten.worn.panel import Panel


@dataclass(frozen=True)
class Lining:
    """A lining of `thickness` mm, cut larger than the leather by an `allowance` (mm) that is trimmed off when it is
    glued in; 0 cuts it flush."""

    thickness: float
    allowance: float


def lining_panels(
    surface: LimbSurface,
    cuts: Cuts,
    lining: Lining,
    *,
    wear: Wear,
    edge_length: float,
    side_names: Sequence[str],
) -> tuple[Panel, ...]:
    """The panels of a lining glued to leather that is worn as `wear` on the neutral `surface` and cut by `cuts`.

    Each lies beneath the leather's neutral surface, along its normals, by the leather's and its own share of their
    thicknesses: on the skin + under + ease/2π + neutral · its own thickness. No lining lies between the two layers of
    an overlap: that of the upper leather ends where the lower one begins. Seams are "open": what closes them is
    punched through the leather's own holes.

    Raises CutError where the cuts make no panels.
    """
    seams = tuple(_parted(surface, seam) for seam in cuts.seams)
    panels = cut_panels(surface, replace(cuts, seams=seams), edge_length=edge_length, side_names=side_names)
    beneath = wear.neutral * wear.thickness + (1.0 - wear.neutral) * lining.thickness
    return tuple(_lowered(panel, surface, by=beneath, alone=len(panels) == 1) for panel in panels)


def _parted(surface: LimbSurface, seam: Seam) -> Seam:
    """Where the lining parts at a seam: over the same gap, or along the lower leather's cut line."""
    if not seam.overlap:
        return Seam(seam.name, "open", seam.gap, seam.heights, seam.bearings)
    half = 0.5 * seam.overlap
    (line,) = lines_beside(surface, seam, offsets=(-half if seam.upper == "before" else half,), heights=surface.trusted)
    return Seam(seam.name, "open", 0.0, line[:, 0], line[:, 1])


def _lowered(panel: Panel, surface: LimbSurface, *, by: float, alone: bool) -> Panel:
    """The panel moved `by` mm along the surface's normals, inwards, and named as a lining."""
    normals = surface.normals(panel.heights, np.asarray(panel.bearings))
    mesh = Mesh(panel.mesh.vertices - by * normals, panel.mesh.faces)
    return replace(panel, name="lining" if alone else f"{panel.name} lining", mesh=mesh)
