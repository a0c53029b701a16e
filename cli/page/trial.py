"""The leather of a line that is held by hand: on a mesh so coarse that it follows, and with few figures."""

from __future__ import annotations

from dataclasses import dataclass

from cli.page.display import panel_arrays
from cli.page.payload import packed
from flatten.findings import message
from flatten.job.design import Design
from flatten.job.pieces import laid_flat
from flatten.leather.model import LeatherLimits, Stretches
from flatten.leather.tensors import log_excess, patch_tensors, stretches
from flatten.limb.surface.model import LimbSurface
from flatten.mesh.surface import Floats, Ints
from flatten.steps import Announce
from flatten.unwrap.limits import TO_SHOW
from flatten.unwrap.model import UNSOUGHT, FlatPanel
from flatten.words import say

EDGE_TRIED = 18.0
"""mm. Edge length of a trial's mesh, still less than a patch is wide: against 8 mm edges the demo leg's outline moves
by 2 mm at most and its stretch by 0.1 %, for a quarter of the time, and for half of a preview's."""


@dataclass(frozen=True, eq=False)
class Tried:
    """A panel laid flat, and the stretch of its patches with their log-excess (F,) over the limits in force.

    Straight lines and pieces of rim are not looked at: on a mesh of their own length they tell what the patches tell.
    """

    flat: FlatPanel
    patch: Stretches
    over: Floats


def tried(design: Design, worn: LimbSurface, *, limits: LeatherLimits, announce: Announce) -> tuple[Tried, ...]:
    """The base's panels of a design, cut from the neutral surface `worn` and laid flat, coarse.

    Raises CutError or MeshError where edges, seams and darts cut no panels, UnwrapError where one cannot be laid flat
    or made symmetrical, PatternError where a seam's holes cannot be.
    """
    flats = laid_flat(
        design, worn, limits=limits, edge_length=EDGE_TRIED, known=UNSOUGHT, accuracy=TO_SHOW, announce=announce
    )
    found = []
    for flat in flats.panels:
        tensors = patch_tensors(flat)
        found.append(Tried(flat, stretches(tensors), log_excess(tensors, limits=limits.in_force)))
    return tuple(found)


def tried_payload(panels: tuple[Tried, ...], *, mirrored: bool) -> bytes:
    """The panels for the eye as `leather_payload` has them; the head says the most stretch and squeeze of each, and
    those of all."""
    arrays: dict[str, Floats | Ints] = {}
    heads = []
    for number, panel in enumerate(panels):
        most, least = int(panel.patch.greatest.argmax()), int(panel.patch.least.argmin())
        words = [_share(panel.patch.greatest[most]), _share(panel.patch.least[least])]
        name = panel.flat.panel.name
        heads.append({"name": name, "most_stretched": most, "most_squeezed": least, "words": words})
        arrays |= panel_arrays(panel.flat, panel, number=number, mirrored=mirrored)
    extremes = (max(panel.patch.greatest.max() for panel in panels), min(panel.patch.least.min() for panel in panels))
    return packed({"panels": heads, "words": [_share(stretch) for stretch in extremes]}, arrays)


def _share(stretch: float) -> str:
    return say.text(message("picture.share", share=float(stretch) - 1.0))
