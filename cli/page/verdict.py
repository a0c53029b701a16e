"""The verdict on what lies on the bench: what stands against cutting it, as far as that is known by now."""

from __future__ import annotations

from cli.page.updates import JobMade, LeatherLaid, LimbFound
from flatten.findings import Finding
from flatten.job.settings import Job
from flatten.leather.messages import limits_finding
from flatten.report.limbs import job_findings, job_troubles
from flatten.report.sure import Sure, settles
from flatten.report.verdict import Stop, Verdict, verdict_on
from flatten.words import say


def verdict_now(job: Job, limb: LimbFound, leather: LeatherLaid | None, made: JobMade | None) -> Verdict:
    """The verdict on a job as it stands.

    A first look tells the limb's stops and the leather's. What only a finished pattern tells, such as a seam that
    cannot meet, stands from the last one until the next is there: it is not known to be mended before.
    """
    findings = [*limb.findings, *(_over_limits(leather) if leather else ()), *(_of_pattern(made) if made else ())]
    return verdict_on(findings, sure=job.sure, side=limb.limb.side)


def _over_limits(leather: LeatherLaid) -> list[Finding]:
    stretches = [panel.stretch for panel in leather.laid.all_panels]
    several = len(stretches) > 1
    found = (limits_finding(stretch, piece=say.name(stretch.panel) if several else None) for stretch in stretches)
    return [each for each in found if each is not None]


def _of_pattern(made: JobMade) -> list[Finding]:
    """What a finished pattern tells beside its limb and its leather."""
    report = made.result.report
    limb = report.limbs[0]
    found = [*job_troubles(report), *job_findings(report)]
    return [each for each in found if each not in limb.findings and each.code != "leather.over limits"]


def stop_of(verdict: Verdict, key: str, figure: str) -> Stop | None:
    """The stop of a key whose figure reads so in a job file's TOML; None where there is no such one."""
    return next((stop for stop in verdict.stops if stop.key == key and written_of(stop) == figure), None)


def written_of(stop: Stop) -> str | None:
    """A stop's figure as the job file's [sure] has it; None where no figure settles it."""
    return None if stop.figure is None else stop.figure.written


def sure_with(job: Job, stop: Stop, *, verdict: Verdict) -> tuple[Sure, ...]:
    """What the maker is sure of once they have settled a stop too; what settles nothing of its key goes."""
    assert stop.figure is not None
    idle = [one for one in verdict.idle if one.key == stop.key]
    return (*(one for one in job.sure if one not in idle), stop.figure)


def sure_without(job: Job, stop: Stop) -> tuple[Sure, ...]:
    """What the maker is sure of once they have taken back a stop."""
    return tuple(one for one in job.sure if not settles(one, stop.finding, side=stop.side))
