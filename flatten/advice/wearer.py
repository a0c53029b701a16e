"""A limb that a job is made for: changed jobs laid flat on it, and what is worse about wearing them."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property

from flatten.advice.trial import Trial, tried
from flatten.advice.wear import worse_to_wear
from flatten.findings import Message
from flatten.job.design import Design
from flatten.job.pieces import dressed, worn_as
from flatten.job.resolve import resolve
from flatten.job.settings import Job
from flatten.leather.model import LeatherLimits
from flatten.measuring import Found
from flatten.mesh.surface import Floats
from flatten.tolerances import EDGE_PREVIEW
from flatten.unwrap.limits import TO_CUT, TO_SHOW
from flatten.worn.neutral import Neutral
from flatten.worn.panel import CutError
from flatten.worn.wearing import Wearing

COARSE = 24.0
"""mm. Edges of the meshes on which changes are tried: what they ask differs by 0.001 from that on CONFIRMED. So they
are laid flat with the care of what is only shown, which is good to half of that."""

CONFIRMED = EDGE_PREVIEW
"""mm. Edges of the meshes on which advice is confirmed."""


@dataclass(frozen=True, eq=False)
class Wearer:
    """A limb that a job is made for, and the job laid flat for it as it is; changes of its cut share that ground.

    `grounds` keeps the neutral surfaces of changed designs, by thickness and heights.
    """

    found: Found
    laid: Trial
    grounds: dict[tuple[float, float, float], Neutral] = field(default_factory=dict)

    def resolved(self, job: Job) -> Design:
        """What a changed job asks for on this limb. Raises CutError where an edge or a seam cannot be."""
        return resolve(job, self.found.limb, skin=self.found.skin)

    def tried(self, design: Design, *, limits: LeatherLimits, edge_length: float) -> Trial:
        """A changed design laid flat on this limb.

        Raises CutError, MeshError, UnwrapError, StretchError or PatternError where it cannot be.
        """
        coarse = edge_length == COARSE
        ground = self._ground(design, coarse=coarse)
        return tried(design, ground, limits=limits, edge_length=edge_length, accuracy=TO_SHOW if coarse else TO_CUT)

    def _ground(self, design: Design, *, coarse: bool) -> Neutral:
        """The neutral surface of a changed design: this one, unless it is of another thickness or reaches further; to a
        coarse trial it does not matter how far it reaches beyond the edges."""
        own, ground, thickness = self.laid.design, self.laid.ground, design.wear.thickness
        (low, high), there = (design.span, ground.surface.trusted) if coarse else (design.heights, own.heights)
        if thickness == own.wear.thickness and low >= there[0] and high <= there[1]:
            return ground
        key = (thickness, *design.heights)
        if key not in self.grounds:
            self.grounds[key] = dressed(design)
        return self.grounds[key]

    def worse(self, design: Design) -> list[Message] | None:
        """What is worse about wearing a changed design; None where it cannot be worn at all.

        Raises LimbError where the limb has no widest place.
        """
        try:
            after = self._worn(design, self._ground(design, coarse=True))
        except CutError:
            return None
        return worse_to_wear(self.worn, after)

    def _worn(self, design: Design, ground: Neutral) -> Wearing:
        return worn_as(design, ground.surface, points=self.points)

    @cached_property
    def worn(self) -> Wearing:
        """How the job is worn as it is.

        Raises CutError where its edges leave no height between them, LimbError where the limb has no widest place.
        """
        return self._worn(self.laid.design, self.laid.ground)

    @cached_property
    def points(self) -> Floats:
        """The scan's points (N,3), limb coordinates mm: the foot or hand among them is what a joint turns."""
        return self.found.limb.frame.to_limb(self.found.scan.points)
