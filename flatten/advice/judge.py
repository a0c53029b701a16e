"""What is told of a job beyond its own pieces: what no other pattern could do better, and what to change."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from flatten.advice.advise import advice
from flatten.advice.model import Advice
from flatten.advice.trial import Trial, trial_of
from flatten.advice.wearer import CONFIRMED
from flatten.job.settings import Job
from flatten.leather.model import LeatherLimits
from flatten.limb.kind import LimbKind
from flatten.measure import Announce, Found
from flatten.threads import one_thread
from flatten.unwrap.certificate.binding import Binding, binding_of
from flatten.unwrap.certificate.least import least_spread
from flatten.unwrap.certificate.model import CertificateError
from flatten.unwrap.model import FlatPanel, UnwrapError
from flatten.worn.neutral import Neutral

BOUNDING, ADVISING = "seeking what no pattern can beat", "seeking what to change"
STEPS = (BOUNDING, ADVISING)
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


@dataclass(frozen=True, eq=False)
class Subject:
    """A limb that a job is judged on: its scan's finding, the job's neutral surface on it, and the panels cut from that
    on meshes of CONFIRMED mm, as `coarse_flats` lays them flat."""

    found: Found
    ground: Neutral
    coarse: tuple[FlatPanel, ...]


@one_thread
def judge(job: Job, subjects: Sequence[Subject], *, limits: LeatherLimits, announce: Announce) -> Judged:
    """What no pattern with a job's cuts can beat, and what to change, as the job's [output] asks.

    `subjects` are the limbs that the job makes pieces for, one or two. Changes are tried on all of them; the bound is
    one for the coarse meshes of the first: of the finer ones that files are made from it says as much as they have the
    same lengths.
    """
    if not steps_of(job):
        return UNJUDGED
    try:
        laid = [_laid(job, subject, limits) for subject in subjects]
    except UnwrapError as error:
        return Judged(cautions=(f"Neither bound nor advice can be told: on a mesh of {CONFIRMED:.0f} mm {error}.",))
    bounds: tuple[Bound, ...] = ()
    cautions: tuple[str, ...] = ()
    if job.output.bound:
        announce(BOUNDING)
        try:
            bounds = tuple(_bound(flat, kind=subjects[0].found.limb.kind) for flat in laid[0].flats)
        except CertificateError as error:
            cautions = (f"What no pattern can beat was not found: {error}.",)
    told: tuple[Advice, ...] | None = None
    if job.output.advice:
        announce(ADVISING)
        told = advice(job, [subject.found for subject in subjects], limits=limits, laid=laid)
    return Judged(bounds, told, cautions)


def _laid(job: Job, subject: Subject, limits: LeatherLimits) -> Trial:
    return trial_of(job, subject.coarse, subject.found, limits=limits, ground=subject.ground)


def _bound(flat: FlatPanel, *, kind: LimbKind) -> Bound:
    found = least_spread(flat.panel.mesh, guide=flat.uv)
    return Bound(found.least_spread, binding_of(found, flat, kind=kind))
