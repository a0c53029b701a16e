"""What is told of a job beyond its own pieces: what no other pattern could do better, and what to change."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from flatten.advice.advise import advice
from flatten.advice.model import Advice
from flatten.advice.trial import asked_of, trial_of
from flatten.advice.wearer import CONFIRMED
from flatten.findings import Finding, finding
from flatten.job.pieces import Laid
from flatten.job.settings import Job
from flatten.leather.model import LeatherLimits
from flatten.limb.kind import LimbKind
from flatten.measuring import Found
from flatten.mesh.surface import MeshError
from flatten.steps import TO_JUDGE, Announce, Step
from flatten.threads import one_thread
from flatten.unwrap.certificate.binding import Binding, binding_of
from flatten.unwrap.certificate.least import least_spread
from flatten.unwrap.certificate.model import CertificateError
from flatten.unwrap.model import FlatPanel, UnwrapError


@dataclass(frozen=True, eq=False)
class Bound:
    """The least spread of any flat map of a panel as meshed with edges of CONFIRMED mm, and where it binds."""

    least_spread: float
    binding: Binding | None


@dataclass(frozen=True, eq=False)
class Judged:
    """The bound of each panel, none where not asked for; advice, None where it was not asked for; and what was
    asked for and could not be had."""

    bounds: tuple[Bound, ...] = ()
    advice: tuple[Advice, ...] | None = None
    findings: tuple[Finding, ...] = ()


UNJUDGED = Judged()
"""Nothing was asked for."""


def steps_of(job: Job) -> tuple[Step, ...]:
    """The steps that `judge` announces for a job, as far as its [output] asks for them."""
    wanted = (job.output.bound, job.output.advice)
    return tuple(step for step, own in zip(TO_JUDGE, wanted, strict=True) if own)


@one_thread
def judge(job: Job, limbs: Sequence[tuple[Found, Laid]], *, limits: LeatherLimits, announce: Announce) -> Judged:
    """What no pattern with a job's cuts can beat, and what to change, as the job's [output] asks.

    `limbs` are those that the job makes pieces for, one or two, laid flat with meshes so fine that there are coarse
    ones too. Changes are tried on all of them; the bound is one for the coarse meshes of the first: of the finer ones
    that files are made from it says as much as they have the same lengths.

    Raises PatternError where a seam's holes cannot be, CutError, UnwrapError or StretchError where the job as it is
    cannot be laid flat on the coarsest mesh, LimbError where the limb has no widest place.
    """
    if not steps_of(job):
        return UNJUDGED
    try:
        trials = [trial_of(laid.design, laid.neutral, laid.coarse, limits=limits) for _, laid in limbs]
    except UnwrapError as error:
        return Judged(findings=(finding("advice.not judged", "look", edge=CONFIRMED, reason=str(error)),))
    bounds: tuple[Bound, ...] = ()
    findings: tuple[Finding, ...] = ()
    if job.output.bound:
        announce(Step.BOUNDING)
        bounds, findings = bounds_of(trials[0].flats, kind=trials[0].design.limb.kind)
    given: tuple[Advice, ...] | None = None
    if job.output.advice:
        announce(Step.ADVISING)
        now = asked_of([(panel.flat, panel.stretch) for _, laid in limbs for panel in laid.panels])
        given = advice(job, [found for found, _ in limbs], limits=limits, laid=trials, now=now)
    return Judged(bounds, given, findings)


def bounds_of(flats: Sequence[FlatPanel], *, kind: LimbKind) -> tuple[tuple[Bound, ...], tuple[Finding, ...]]:
    """The bound of each flat panel; none, and a finding that says why, where one has a surface that it cannot treat."""
    try:
        return tuple(_bound(flat, kind=kind) for flat in flats), ()
    except (CertificateError, MeshError) as error:
        return (), (finding("advice.no bound", "look", reason=str(error)),)


def _bound(flat: FlatPanel, *, kind: LimbKind) -> Bound:
    found = least_spread(flat.panel.mesh, guide=flat.uv)
    return Bound(found.least_spread, binding_of(found, flat, kind=kind))
