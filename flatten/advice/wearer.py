"""A limb that a job is made for: changed jobs laid flat on it, and what is worse about wearing them."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property

from flatten.advice.trial import Trial, edge_span, ground_of, reach, tried
from flatten.advice.wear import worse_to_wear
from flatten.job.pieces import drawn, worn_as
from flatten.job.settings import Job
from flatten.leather.model import LeatherLimits
from flatten.measure import Found
from flatten.mesh.surface import Floats
from flatten.pattern.model import PatternError
from flatten.tolerances import EDGE_PREVIEW
from flatten.unwrap.dart_openings import check_dart_openings
from flatten.unwrap.limits import TO_CUT, TO_SHOW
from flatten.unwrap.model import UnwrapError
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
    """A limb that a job is made for, and the job's neutral surface on it, which changes of the cut share.

    `grounds` keeps the neutral surfaces of changed jobs, by thickness and reach.
    """

    job: Job
    found: Found
    ground: Neutral
    grounds: dict[tuple[float, float, float], Neutral] = field(default_factory=dict)

    def tried(self, job: Job, *, limits: LeatherLimits, edge_length: float) -> Trial:
        """A changed job laid flat on this limb. Raises CutError, MeshError or UnwrapError where it cannot be."""
        coarse = edge_length == COARSE
        return tried(
            job,
            self.found,
            limits=limits,
            edge_length=edge_length,
            ground=self._ground(job, coarse=coarse),
            accuracy=TO_SHOW if coarse else TO_CUT,
        )

    def _ground(self, job: Job, *, coarse: bool) -> Neutral:
        """The neutral surface of a changed job: this one, unless it is of another thickness or reaches further; to a
        coarse trial it does not matter how far it reaches beyond the edges."""
        same = job.leather.thickness == self.job.leather.thickness
        low, high = reach(job, self.found)
        if coarse:
            (bottom, top), (lowest, highest) = edge_span(job, self.found), self.ground.surface.trusted
            reaches = bottom >= lowest and top <= highest
        else:
            lowest, highest = reach(self.job, self.found)
            reaches = low >= lowest and high <= highest
        if same and reaches:
            return self.ground
        key = (job.leather.thickness, low, high)
        if key not in self.grounds:
            self.grounds[key] = ground_of(job, self.found)
        return self.grounds[key]

    def can_be_drawn(self, job: Job, laid: Trial) -> bool:
        """Whether the pieces of a changed job can be cut from one leather, with their holes and marks."""
        try:
            check_dart_openings(laid.flats)
            drawn(job, laid.flats, limb=self.found.limb, even=laid.even)
        except (PatternError, UnwrapError):
            return False
        return True

    def worse(self, job: Job) -> list[str] | None:
        """What is worse about wearing a changed job, a sentence each; None where it cannot be worn at all."""
        try:
            after = self._worn(job, self._ground(job, coarse=True))
        except CutError:
            return None
        return worse_to_wear(self.worn, after)

    def _worn(self, job: Job, ground: Neutral) -> Wearing:
        return worn_as(job, limb=self.found.limb, skin=self.found.skin, worn=ground.surface, points=self.points)

    @cached_property
    def worn(self) -> Wearing:
        """How the job is worn as it is."""
        return self._worn(self.job, self.ground)

    @cached_property
    def points(self) -> Floats:
        """The scan's points (N,3), limb coordinates mm: the foot or hand among them is what a joint turns."""
        return self.found.limb.frame.to_limb(self.found.scan.points)
