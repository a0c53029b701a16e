"""A job's ornament alone: from the scan to the sheets that it is drawn and carved by."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from flatten.drawing.files import Files
from flatten.findings import Finding
from flatten.job.filing import ornament_files
from flatten.job.ornamented import drawings_of, ornamented
from flatten.job.pieces import pieces_of
from flatten.job.resolve import resolve
from flatten.job.settings import Job
from flatten.job.told import settings_told
from flatten.leather.limits import leather_limits
from flatten.making import lay, limb_report, limbs_of
from flatten.report.model import JobReport
from flatten.report.verdict import verdict_of
from flatten.steps import Announce, Step, quietly
from flatten.threads import one_thread
from flatten.words.english import ENGLISH
from flatten.words.language import Language


@dataclass(frozen=True, eq=False)
class Adorned:
    """A job's ornament alone: what a report tells of its pieces and of that, and the files of its sheets."""

    report: JobReport
    files: Files

    @property
    def findings(self) -> tuple[Finding, ...]:
        """What is to be known of its motifs."""
        return tuple(each for limb in self.report.limbs for each in limb.findings if each.code.startswith("ornament."))


@one_thread
def adorn(job: Job, *, folder: Path, announce: Announce = lambda step: None, language: Language = ENGLISH) -> Adorned:
    """The sheets of a job's ornament, and of the fields of all its pieces; paths in it are told from `folder`.

    Raises a CalfskinError where a step cannot be done; nothing is written here.
    """
    limits = leather_limits(job.leather.limits, folder=folder, hardening=job.leather.hardening)
    drawings = drawings_of(job, folder=folder)
    limbs = []
    for number, found in enumerate(limbs_of(job, folder=folder, announce=announce)):
        design = resolve(job, found.limb, skin=found.skin)
        limbs.append((found, lay(design, limits=limits, announce=quietly if number else announce)))
    announce(Step.DRAWING)
    drawn = [ornamented(job, laid, pieces_of(laid, language=language), drawings) for _, laid in limbs]
    announce(Step.REPORTING)
    reports = tuple(limb_report(found, laid, each) for (found, laid), each in zip(limbs, drawn, strict=True))
    first = limbs[0][1].design
    report = JobReport(first.title, reports, first.wear, settings_told(job), sure=job.sure)
    stopped = not verdict_of(report).may_be_cut
    made = ornament_files(report, job, first=0, stopped=stopped, language=language, fields=True)
    return Adorned(report, made.files)
