"""The whole order of a job: from the scan to the files, each step once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from flatten.advice.judge import UNJUDGED, Judged, judge
from flatten.advice.judge import steps_of as judge_steps_of
from flatten.drawing.files import Files
from flatten.findings import Finding, finding, on_limb
from flatten.forming.way import Forming
from flatten.job.beside import parts_beside, plate_findings
from flatten.job.cutting import kerf_findings
from flatten.job.design import Design
from flatten.job.errors import JobError
from flatten.job.filing import files_of
from flatten.job.fitted import fitting_findings
from flatten.job.forming import formers_of
from flatten.job.laid_out import grounds_of, laid_out
from flatten.job.lined import lined, lining_findings
from flatten.job.mockup import mockup_of, sheet_of
from flatten.job.ornamented import Drawings, Ornamented, drawings_of, ornamented
from flatten.job.pieces import Laid, dressed, laid_flat, panel_reports, pieces_of, worn_as
from flatten.job.resolve import resolve
from flatten.job.resting import rested
from flatten.job.settings import AUTO, Job
from flatten.job.shop import prices_of
from flatten.job.text import given_text, job_text, with_paths_from
from flatten.job.told import settings_told
from flatten.job.unfitted import before_of
from flatten.leather.limits import leather_limits
from flatten.leather.lips import flared_rims
from flatten.leather.model import LeatherLimits
from flatten.leather.waves import waves_of
from flatten.limb.girths.girth import Girth, girth_table, section_girth, tape_girth
from flatten.limb.model import Limb
from flatten.limb.surface.model import LimbSurface
from flatten.limb.which.told import other_side
from flatten.measuring import Found, measure
from flatten.report.finished import digest
from flatten.report.lames import lame_findings
from flatten.report.limbs import mean_finding
from flatten.report.model import JobReport, LimbReport
from flatten.report.numbers import json_text, report_numbers
from flatten.report.page import page_html
from flatten.report.prices import Prices
from flatten.report.unseen import unseen_edges
from flatten.report.verdict import Verdict, verdict_of
from flatten.sheet.ground import Ground
from flatten.steps import TO_LAY, TO_WRITE, Announce, Step, quietly
from flatten.threads import one_thread
from flatten.unwrap.limits import TO_CUT, Accuracy
from flatten.unwrap.model import Attainable
from flatten.words.english import ENGLISH
from flatten.words.language import Language
from flatten.worn.curves import Edge
from flatten.worn.mean import mean_of
from flatten.worn.neutral import Neutral
from flatten.worn.rings import gaps_of, rings_of


@dataclass(frozen=True, eq=False)
class Result:
    """A finished job: its report, the pattern's files with job.toml, and the files of the report."""

    report: JobReport
    pattern_files: Files
    report_files: Files

    @property
    def files(self) -> Files:
        """All files, `report.json` last."""
        return (*self.pattern_files, *self.report_files)

    @property
    def verdict(self) -> Verdict:
        """Whether the pieces may be cut as they are, and what stands against it."""
        return verdict_of(self.report)


@one_thread
def make(
    job: Job, *, folder: Path, out: Path, announce: Announce = lambda step: None, language: Language = ENGLISH
) -> Result:
    """The finished job, told in a language; paths in it are told from `folder`, those in the file job.toml from `out`.

    Raises a CalfskinError where a step cannot be done; nothing is written here.
    """
    limits = leather_limits(job.leather.limits, folder=folder, hardening=job.leather.hardening)
    grounds = grounds_of(job, folder=folder)
    prices = prices_of(job.shop, folder=folder)
    drawings = drawings_of(job, folder=folder)
    founds = limbs_of(job, folder=folder, announce=announce)
    limbs = []
    for number, found in enumerate(founds):
        design = resolve(job, found.limb, skin=found.skin)
        # The steps of a second limb are part of the first one's.
        limbs.append((found, lay(design, limits=limits, announce=quietly if number else announce)))
    judged = judge(job, limbs, limits=limits, announce=announce)
    text = job_text(with_paths_from(job, folder=folder, out=out))
    return finish(
        job,
        limbs,
        judged=judged,
        text=text,
        grounds=grounds,
        prices=prices,
        drawings=drawings,
        announce=announce,
        language=language,
    )


def limbs_of(job: Job, *, folder: Path, announce: Announce) -> tuple[Found, ...]:
    """The limbs that a job makes pieces for: that of its scan, that of its other scan too, or the mean of both.

    Raises ScanError or LimbError where one cannot be found, LimbError where both have too little in common.
    """
    first = measure(job.scan, folder=folder, announce=announce)
    if not job.other_scan.file:
        return (first,)
    founds = _pair(job, first, folder=folder)
    return (mean_found(*founds),) if job.piece.pair == "mean" else founds


def _pair(job: Job, first: Found, *, folder: Path) -> tuple[Found, Found]:
    """Both limbs of a pair, of the first one's kind: where neither job nor scan tells the first one's side, the second
    scan may."""

    if not _side_assumed(first):
        return first, other_limb(job, first, side=other_side(first.limb.side), folder=folder)
    there = other_limb(job, first, side=AUTO, folder=folder)
    if _side_assumed(there):
        return first, other_limb(job, first, side=other_side(first.limb.side), folder=folder)
    side = other_side(there.limb.side)
    named = job.scan.model_copy(update={"side": side})
    again = measure(named, folder=folder, announce=quietly)
    told = finding("limb.side by pair", "look", side=side, other=there.limb.side)
    return replace(again, findings=(told, *again.findings)), there


def other_limb(job: Job, first: Found, *, side: str, folder: Path) -> Found:
    """The limb in a job's other scan, of the first one's kind and of a side, or "auto".

    Raises ScanError or LimbError where it cannot be found.
    """
    settings = job.other_settings(limb=first.limb.kind.name, side=side)
    return measure(settings, folder=folder, announce=quietly)


def _side_assumed(found: Found) -> bool:
    return any(each.code == "limb.side assumed" for each in found.findings)


@one_thread
def mean_found(found: Found, second: Found) -> Found:
    """The finding of the mean of two limbs, as the first one's, and how far they are apart.

    Raises LimbError where the scans have too little in common.
    """
    mean = mean_of((found.limb, found.skin), (second.limb, second.skin))
    theirs = on_limb(second.findings, second.limb.side, scan=True)
    findings = (*found.findings, *theirs, mean_finding(mean, other=second.limb))
    return replace(found, limb=mean.limb, skin=mean.skin, findings=findings)


def steps_of(job: Job) -> tuple[Step, ...]:
    """The steps that `make` announces for a job, in order."""
    return (*TO_LAY, *judge_steps_of(job), *TO_WRITE)


@one_thread
def lay(
    design: Design,
    *,
    limits: LeatherLimits,
    announce: Announce,
    edge_length: float | None = None,
    neutral: Neutral | None = None,
    known: Attainable | None = None,
    accuracy: Accuracy = TO_CUT,
) -> Laid:
    """A design laid flat; `edge_length` (mm) of its meshes in place of the design's own.

    `neutral` is its neutral surface where that is there already, over all heights that it needs. `known` is what is
    known to be attainable for each panel, UNSOUGHT while something is dragged; without it, it is found on a coarse
    mesh. `accuracy` is TO_SHOW then, and what the panels do when they are let go is not looked at.

    Raises CutError (LayersError where it is what is worn, PlateError where it is a plate) or MeshError where edges,
    seams, darts and lips cut no panel, UnwrapError or StretchError where one cannot be laid flat, LeatherError where it
    bends more sharply than its leather can, PatternError where a seam's or a plate's holes cannot be.
    """
    announce(Step.DRESSING)
    if neutral is None:
        neutral = dressed(design)
    flats = laid_flat(
        design,
        neutral.surface,
        limits=limits,
        edge_length=design.edge_length if edge_length is None else edge_length,
        known=known,
        accuracy=accuracy,
        announce=announce,
    )
    announce(Step.STRETCHING)
    forming: tuple[Forming | None, ...] = ()
    findings: tuple[Finding, ...] = ()
    if accuracy == TO_CUT:
        let_go = rested(design, flats, neutral.surface, limits=limits)
        flats, forming, findings = replace(flats, panels=let_go.panels), let_go.forming, let_go.findings
    panels = panel_reports(design, flats.panels, neutral=neutral, limits=limits, forming=forming)
    size = design.edge_length if edge_length is None else edge_length
    beside = parts_beside(
        design, flats.panels, neutral=neutral, limits=limits, edge_length=size, known=known, accuracy=accuracy
    )
    lining = lined(design, neutral=neutral, edge_length=size, accuracy=accuracy)
    return Laid(
        design,
        neutral,
        panels,
        flats.even,
        flats.coarse,
        beside.parts,
        beside.added,
        beside.held,
        lined=lining,
        rows=beside.rows,
        bought=beside.joins,
        findings=findings,
    )


@one_thread
def finish(
    job: Job,
    limbs: Sequence[tuple[Found, Laid]],
    *,
    text: str,
    announce: Announce,
    judged: Judged = UNJUDGED,
    grounds: Sequence[Ground] = (),
    prices: Prices | None = None,
    drawings: Drawings | None = None,
    language: Language = ENGLISH,
) -> Result:
    """The pieces of one limb, or of both of a pair, drawn; the report; the files. `text` is what job.toml holds.

    The report tells what was `judged` of the job; `retold` puts it in later. `grounds` are the hides or the bed that
    the pieces are laid on, `drawings` those that motifs come from.

    Raises UnwrapError where a dart does not open when flat, PatternError where a piece cannot be drawn, JobError
    where the job wants another limb's scan and only one limb is there, or a motif on a piece that there is not;
    CutError, LimbError, StretchError and LeatherError where the limbs are not laid flat as `lay` does.
    """
    announce(Step.DRAWING)
    if job.piece.pair == "own scan" and len(limbs) == 1:
        raise JobError("[piece] pair is 'own scan', and only one limb's scan was read; use: calfskin make")
    adorned = [ornamented(job, laid, pieces_of(laid, language=language), drawings or {}) for _, laid in limbs]
    all_drawn = [each.drawn for each in adorned]

    announce(Step.REPORTING)
    first = limbs[0][1].design
    reports = tuple(
        _tried_on(limb_report(found, laid, each), job, found, laid, language=language)
        for (found, laid), each in zip(limbs, adorned, strict=True)
    )
    reports = (replace(reports[0], findings=(*reports[0].findings, *kerf_findings(job.output.kerf))), *reports[1:])
    formers = tuple(former for _, laid in limbs for former in formers_of(laid, language=language))
    laying = laid_out([(laid, drawn) for (_, laid), drawn in zip(limbs, all_drawn, strict=True)], grounds)
    report = JobReport(
        first.title,
        reports,
        first.wear,
        settings_told(job),
        lines=given_text(job),
        sure=job.sure,
        hardened=first.hardened,
        formers=formers,
        finished=job.wear.finished,
        laying=laying,
        prices=prices,
        hours=job.shop.hours,
    )
    files = files_of(report, job, language=language)
    return _reported(_judged(report, judged), (*files, ("job.toml", text.encode())), language)


def _tried_on(report: LimbReport, job: Job, found: Found, laid: Laid, *, language: Language) -> LimbReport:
    """A limb's report with its mock-up and its fittings in it, where there are any."""
    design, sheet, limits = laid.design, sheet_of(job), laid.panels[0].stretch.limits
    mockup = before = None
    if sheet is not None:
        mockup = mockup_of(design, sheet, edge_length=design.edge_length, language=language)
    if not all(fitting.changes_nothing for fitting in design.fittings):
        before = before_of(job, found.limb, skin=found.skin, limits=limits, language=language)
    findings = (*report.findings, *fitting_findings(job, design))
    return replace(report, mockup=mockup, before=before, fittings=design.fittings, findings=findings)


def limb_report(found: Found, laid: Laid, adorned: Ornamented) -> LimbReport:
    """What is told of one limb: what was found and worn, what its panels ask, and the pieces drawn of them."""
    drawn = adorned.drawn
    design, worn, limb, wear = laid.design, laid.neutral.surface, found.limb, laid.design.wear
    wearing = worn_as(design, worn, points=limb.frame.to_limb(found.scan.points))
    fits = None if wearing.fit is None else (wearing.fit.least, wearing.fit.most)
    flats = [panel.flat for panel in laid.panels]
    return LimbReport(
        scan=found.scan,
        limb=limb,
        skin=found.skin,
        girths=girth_rows(limb, found.skin, edges=design.cuts.edges),
        worn=worn,
        worn_girths=girth_rows(limb, worn, edges=design.cuts.edges),
        panels=(
            *(replace(panel, fits_girth=fits, waves=waves_of(panel.flat)) for panel in laid.panels),
            *(replace(part, waves=waves_of(part.flat)) for part in laid.all_panels[len(laid.panels) :]),
        ),
        pieces=drawn.pieces,
        mirrored=drawn.mirrored,
        joins=drawn.joins,
        fastened=laid.bought,
        held=laid.held,
        rows=laid.rows,
        even=laid.even,
        rims=flared_rims(flats, design.cuts.lips, thickness=wear.thickness, neutral=wear.neutral),
        wearing=wearing,
        rings=rings_of(limb, worn, wear=wear, cuts=design.cuts),
        gaps=gaps_of(design.cuts),
        flesh=wear.neutral * wear.thickness,
        ornaments=adorned.ornaments,
        findings=(
            *found.findings,
            *unseen_edges(found.scan, limb, found.skin, edges=design.cuts.edges),
            *lining_findings(design),
            *plate_findings(design),
            *lame_findings(laid.rows, kind=limb.kind),
            *adorned.findings,
            *laid.findings,
        ),
    )


def retold(result: Result, judged: Judged, *, language: Language = ENGLISH) -> Result:
    """A finished job that was not judged, its report telling what was judged since; what is drawn stays.

    Raises StretchError or LeatherError where the report is not one of `finish`.
    """
    return _reported(_judged(result.report, judged), result.pattern_files, language)


def _reported(report: JobReport, pattern: Files, language: Language) -> Result:
    numbers = report_numbers(report, making=digest(dict(pattern)["job.toml"]), language=language)
    own = (
        ("report.html", page_html(report, language=language).encode()),
        ("report.json", json_text(numbers).encode()),
    )
    return Result(report, pattern, own)


def _judged(report: JobReport, judged: Judged) -> JobReport:
    """The report with what was judged in it: the bounds are of the first limb's base, whose panels come first."""
    first, *more = report.limbs
    if judged.bounds:
        count = len(judged.bounds)
        panels = tuple(
            replace(panel, least_spread=bound.least_spread, binding=bound.binding)
            for panel, bound in zip(first.panels[:count], judged.bounds, strict=True)
        )
        first = replace(first, panels=(*panels, *first.panels[count:]))
    return replace(report, limbs=(first, *more), advice=judged.advice, findings=judged.findings)


def girth_rows(limb: Limb, surface: LimbSurface, *, edges: tuple[Edge, Edge]) -> tuple[Girth, ...]:
    """The girth table, with a row for each edge at its mean height: "bottom edge", "top edge".

    Raises LimbError where an edge's mean height lies beyond the surface.
    """
    rows = list(girth_table(limb, surface))
    around = np.linspace(0.0, 2 * np.pi, 360, endpoint=False)
    for edge in edges:
        height = float(edge.height(around).mean())
        rows.append(Girth(edge.name, height, section_girth(surface, height), tape_girth(surface, height)))
    return tuple(sorted(rows, key=lambda row: (row.height, row.name)))
