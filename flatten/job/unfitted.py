"""The pieces of a job as they were before any of its fittings: what the report lays beneath what they are now."""

from __future__ import annotations

from flatten.job.pieces import drawn, dressed, laid_flat
from flatten.job.resolve import resolve
from flatten.job.settings import Job
from flatten.leather.model import LeatherLimits
from flatten.leather.shrinking import cut_larger
from flatten.limb.model import Limb
from flatten.limb.surface.model import LimbSurface
from flatten.report.model import Before
from flatten.steps import quietly
from flatten.threads import one_thread
from flatten.tolerances import EDGE_PREVIEW
from flatten.unwrap.limits import TO_SHOW
from flatten.words.english import ENGLISH
from flatten.words.language import Language


@one_thread
def before_of(
    job: Job, limb: Limb, *, skin: LimbSurface, limits: LeatherLimits, language: Language = ENGLISH
) -> Before:
    """The base's pieces on a limb without the job's fittings, on a coarse mesh: they are only looked at.

    Raises what resolving, cutting, laying flat and drawing such a job raises.
    """
    design = resolve(job.model_copy(update={"fitting": ()}), limb, skin=skin)
    flats = laid_flat(
        design,
        dressed(design).surface,
        limits=limits,
        edge_length=EDGE_PREVIEW,
        known=None,
        accuracy=TO_SHOW,
        announce=quietly,
    )
    cut = [cut_larger(flat, limits.lost) for flat in flats.panels]
    return Before(flats.panels, drawn(design, cut, even=flats.even, language=language).pieces)
