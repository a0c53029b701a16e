"""What is told of a job beyond its own pieces: what no other pattern could do better, and what to change."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from flatten.advice.advise import CONFIRMED, advice
from flatten.advice.model import Advice
from flatten.advice.trial import Trial, trial_of
from flatten.job.settings import Job
from flatten.leather.model import LeatherLimits
from flatten.measure import Announce, Found
from flatten.unwrap.certificate.binding import Binding, binding_of
from flatten.unwrap.certificate.least import least_spread
from flatten.unwrap.certificate.model import CertificateError
from flatten.unwrap.model import FlatPanel, UnwrapError
from flatten.worn.neutral import Neutral

STEPS = ("seeking what no pattern can beat", "seeking what to change")
"""What `judge` announces: the first where a job wants the bound, the second where it wants advice."""


@dataclass(frozen=True, eq=False)
class Bound:
    """The least spread of any flat map of a panel as meshed with edges of CONFIRMED mm, and where it binds."""

    least_spread: float
    binding: Binding | None


@dataclass(frozen=True, eq=False)
class Judged:
    """The bound of each panel, none where they were not asked for; advice, None where it was not asked for; cautions.

    A caution says in a sentence what was asked for and could not be had.
    """

    bounds: tuple[Bound, ...] = ()
    advice: tuple[Advice, ...] | None = None
    cautions: tuple[str, ...] = ()


UNJUDGED = Judged()
"""Nothing was asked for."""


def steps_of(job: Job) -> tuple[str, ...]:
    """The steps that `judge` announces for a job."""
    wanted = (job.output.bound, job.output.advice)
    return tuple(step for step, own in zip(STEPS, wanted, strict=True) if own)


def judge(
    job: Job,
    found: Found,
    *,
    limits: LeatherLimits,
    ground: Neutral,
    coarse: Sequence[FlatPanel],
    announce: Announce,
) -> Judged:
    """What no pattern with a job's cuts can beat, and what to change, as the job's [output] asks.

    Both are found on the `coarse` meshes of CONFIRMED mm of the panels that the job cuts from its neutral surface
    `ground`, as `coarse_flats` lays them flat. The bound is one for those meshes: of the finer ones that files are made
    from it says as much as they have the same lengths.
    """
    if not steps_of(job):
        return UNJUDGED
    try:
        laid = trial_of(job, coarse, found, limits=limits, ground=ground)
    except UnwrapError as error:
        return Judged(cautions=(f"Neither bound nor advice can be told: on a mesh of {CONFIRMED:.0f} mm {error}.",))
    bounds: tuple[Bound, ...] = ()
    cautions: tuple[str, ...] = ()
    if job.output.bound:
        announce(STEPS[0])
        try:
            bounds = tuple(_bound(flat, kind=found.limb.kind) for flat in laid.flats)
        except CertificateError as error:
            cautions = (f"What no pattern can beat was not found: {error}.",)
    return Judged(bounds, _advice(job, found, limits, laid, announce), cautions)


def _advice(
    job: Job, found: Found, limits: LeatherLimits, laid: Trial, announce: Announce
) -> tuple[Advice, ...] | None:
    if not job.output.advice:
        return None
    announce(STEPS[1])
    return advice(job, found, limits=limits, laid=laid)


def _bound(flat: FlatPanel, *, kind: str) -> Bound:
    found = least_spread(flat.panel.mesh, guide=flat.uv)
    return Bound(found.least_spread, binding_of(found, flat, kind=kind))
