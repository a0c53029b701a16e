"""The whole order of a job: from the scan to the files, each step once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from flatten.advice.judge import STEPS as JUDGE_STEPS
from flatten.advice.judge import UNJUDGED, Judged, Subject, judge
from flatten.advice.judge import steps_of as judge_steps_of
from flatten.drawing.compose import drawing_of
from flatten.drawing.dxf import dxf_bytes
from flatten.drawing.pdf import pdf_bytes
from flatten.drawing.svg import svg_bytes
from flatten.findings import on_limb
from flatten.job.errors import JobError
from flatten.job.pieces import coarse_flats, drawn, each_alone, fitted, panels_of, title_of, worn_as
from flatten.job.settings import Job
from flatten.job.steps import edges_of, lips_of, other_scan_of, reach_of, wear_of
from flatten.job.text import job_text, told_from
from flatten.leather.bending import tightest_bend
from flatten.leather.limits import leather_limits
from flatten.leather.lips import flared_rims
from flatten.leather.model import LeatherLimits
from flatten.leather.shrinking import cut_larger
from flatten.leather.stretch import stretch_report
from flatten.leather.waves import waves_of
from flatten.limb.girths.girth import Girth, girth_table, section_girth, tape_girth
from flatten.limb.model import Limb
from flatten.limb.surface.model import LimbSurface
from flatten.measure import STEPS as MEASURE_STEPS
from flatten.measure import Announce, Found, measure
from flatten.pattern.model import Piece
from flatten.pattern.symmetry import Evened
from flatten.report.limbs import mean_finding
from flatten.report.model import JobReport, LimbReport, PanelReport, Setting
from flatten.report.numbers import json_text, report_numbers
from flatten.report.page import page_html
from flatten.sheet.layout import side_by_side
from flatten.threads import one_thread
from flatten.tolerances import EDGE_FINE, EDGE_QUICK
from flatten.unwrap.dart_openings import check_dart_openings
from flatten.unwrap.limits import TO_CUT, Accuracy
from flatten.unwrap.model import Attainable, FlatPanel
from flatten.worn.curves import Edge
from flatten.worn.mean import mean_of
from flatten.worn.neutral import Neutral, Wear, neutral_surface

DRESSING, CUTTING, LAYING, STRETCHING = (
    "dressing the limb",
    "cutting the panels",
    "laying them flat",
    "telling the stretch",
)
DRAWING, REPORTING = "drawing the pieces", "writing the report"

TO_LAY = (*MEASURE_STEPS, DRESSING, CUTTING, LAYING, STRETCHING)
"""The steps up to leather that is laid flat."""

TO_WRITE = (DRAWING, REPORTING)
"""The steps from there to the files."""

STEPS = (*TO_LAY, *JUDGE_STEPS, *TO_WRITE)
"""What `make` announces, in order; two of them only where the job asks for what they seek (`steps_of`)."""

Files = tuple[tuple[str, bytes], ...]
"""Files by name, in the order in which they are written."""


@dataclass(frozen=True, eq=False)
class Result:
    """A finished job: its report, the files that are drawn, with job.toml, and those that tell of it."""

    report: JobReport
    drawn: Files
    told: Files

    @property
    def files(self) -> Files:
        """All files, `report.json` last."""
        return (*self.drawn, *self.told)

    @property
    def fits(self) -> bool:
        """Whether every panel lies within the leather's limits in force."""
        return self.report.fits


@dataclass(frozen=True, eq=False)
class Laid:
    """The panels cut and laid flat: the layers worn, the surface they lie on, their two edges, and what each asks.

    `even` tells which were made symmetrical, and what that took. `coarse` are the panels of coarser meshes as
    `coarse_flats` lays them flat, empty where they were not needed.
    """

    wear: Wear
    neutral: Neutral
    edges: tuple[Edge, Edge]
    panels: tuple[PanelReport, ...]
    even: tuple[Evened, ...] = ()
    coarse: tuple[FlatPanel, ...] = ()

    @property
    def fits(self) -> bool:
        """Whether every panel lies within the leather's limits in force."""
        return all(panel.stretch.fits for panel in self.panels)


@one_thread
def make(job: Job, *, folder: Path, out: Path, announce: Announce = lambda step: None) -> Result:
    """The finished job; paths in it are told from `folder`, those in the file job.toml from `out`.

    Raises a CalfskinError where a step cannot be done; nothing is written here.
    """
    limits = leather_limits(job.leather.limits, folder=folder)
    founds = limbs_of(job, folder=folder, announce=announce)
    # The steps of a second limb are part of the first one's.
    heard = (announce, *(_quietly for _ in founds[1:]))
    limbs = [(found, lay(job, found, limits=limits, announce=own)) for found, own in zip(founds, heard, strict=True)]
    judged = judge(job, [to_judge(*limb) for limb in limbs], limits=limits, announce=announce)
    text = job_text(told_from(job, folder=folder, out=out))
    return finish(job, limbs, judged=judged, text=text, announce=announce)


def _quietly(step: str) -> None:
    """Announce nothing."""


def limbs_of(job: Job, *, folder: Path, announce: Announce) -> tuple[Found, ...]:
    """The limbs that a job makes pieces for: that of its scan, that of its other scan too, or the mean of both.

    Raises ScanError or LimbError where one cannot be found, LimbError where both have too little in common.
    """
    found = measure(job.scan, folder=folder, announce=announce)
    settings = other_scan_of(job)
    if settings is None:
        return (found,)
    second = measure(settings, folder=folder, announce=_quietly)
    return (mean_found(found, second),) if job.piece.pair == "mean" else (found, second)


@one_thread
def mean_found(found: Found, second: Found) -> Found:
    """The finding of the mean of two limbs, told as the first one's, and how far they are apart.

    Raises LimbError where the scans have too little in common.
    """
    mean = mean_of((found.limb, found.skin), (second.limb, second.skin))
    theirs = on_limb(second.findings, second.limb.side, scan=True)
    findings = (*found.findings, *theirs, mean_finding(mean, other=second.limb))
    return replace(found, limb=mean.limb, skin=mean.skin, findings=findings)


def steps_of(job: Job) -> tuple[str, ...]:
    """The steps that `make` announces for a job, in order."""
    return (*TO_LAY, *judge_steps_of(job), *TO_WRITE)


@one_thread
def lay(
    job: Job,
    found: Found,
    *,
    limits: LeatherLimits,
    announce: Announce,
    edge_length: float | None = None,
    neutral: Neutral | None = None,
    known: Attainable | None = None,
    accuracy: Accuracy = TO_CUT,
) -> Laid:
    """The panels that a job cuts, laid flat; `edge_length` (mm) of their meshes in place of what the job says.

    `neutral` is the job's neutral surface where it is there already, over all heights that the job needs. `known` is
    what is known to be attainable for each panel, UNSOUGHT while something is dragged; without it, it is found on a
    coarse mesh. `accuracy` is TO_SHOW then.

    Raises JobError or CutError where what is worn, the edges or the seams make no panel, UnwrapError where one cannot
    be laid flat.
    """
    announce(DRESSING)
    limb, skin = found.limb, found.skin
    wear = wear_of(job)
    bottom, top = edges_of(job, limb=limb, trusted=skin.trusted)
    if neutral is None:
        neutral = neutral_surface(skin, wear, heights=reach_of(job, edges=(bottom, top)))

    announce(CUTTING)
    if edge_length is None:
        edge_length = EDGE_FINE if job.output.mesh == "fine" else EDGE_QUICK
    panels = panels_of(job, limb=limb, skin=skin, worn=neutral.surface, edge_length=edge_length)

    announce(LAYING)
    coarse: tuple[FlatPanel, ...] = ()
    if known is None:
        coarse = coarse_flats(job, limits=limits, limb=limb, skin=skin, worn=neutral.surface, finer=edge_length)
        attainable = tuple(flat.attainable for flat in coarse)
    else:
        attainable = (known,) * len(panels)
    flats, even = fitted(
        job, each_alone(job, panels, limits=limits, known=attainable, accuracy=accuracy), limits=limits
    )

    announce(STRETCHING)
    told = tuple(_panel_report(flat, limb=limb, neutral=neutral, wear=wear, limits=limits) for flat in flats)
    return Laid(wear, neutral, (bottom, top), told, even, coarse)


def to_judge(found: Found, laid: Laid) -> Subject:
    """A limb and its panels as `judge` takes them: laid flat on a fine mesh, and so on a coarse one before."""
    return Subject(found, laid.neutral, laid.coarse)


@one_thread
def finish(
    job: Job,
    limbs: Sequence[tuple[Found, Laid]],
    *,
    text: str,
    announce: Announce,
    judged: Judged = UNJUDGED,
) -> Result:
    """The pieces of one limb, or of both of a pair, drawn; the report; the files. `text` is what job.toml holds.

    The report tells what was `judged` of the job; `retold` puts it in later.

    Raises UnwrapError where a dart does not open when flat, PatternError where a piece cannot be drawn, JobError where
    the job wants another limb's scan and only one limb is there.
    """
    announce(DRAWING)
    if job.piece.pair == "own scan" and len(limbs) == 1:
        raise JobError("[piece] pair is 'own scan', and only one limb's scan was read; use: calfskin make")
    title = title_of(job)
    report = JobReport(
        job=title,
        limbs=tuple(_limb_report(job, found, laid) for found, laid in limbs),
        wear=limbs[0][1].wear,
        settings=_settings(job),
    )
    cut = report.cut
    drawing = drawing_of(side_by_side(cut) if len(cut) > 1 else cut, title)

    announce(REPORTING)
    files = (
        ("pattern.dxf", dxf_bytes(drawing)),
        ("pattern.svg", svg_bytes(drawing)),
        ("pattern.pdf", pdf_bytes(cut, title, paper=job.output.paper)),
        ("job.toml", text.encode()),
    )
    return _reported(_judged(report, judged), files)


def _limb_report(job: Job, found: Found, laid: Laid) -> LimbReport:
    """What one limb's panels ask, and the pieces drawn of them; of a pair of mirror images those of both limbs."""
    flats = [panel.flat for panel in laid.panels]
    check_dart_openings(flats)
    limb, worn, wear = found.limb, laid.neutral.surface, laid.wear
    wearing = worn_as(job, limb=limb, skin=found.skin, worn=worn, points=limb.frame.to_limb(found.scan.points))
    fits = None if wearing.fit is None else (wearing.fit.least, wearing.fit.most)
    larger = [cut_larger(panel.flat, panel.stretch.limits.shrinkage) for panel in laid.panels]
    pattern = drawn(job, larger, limb=limb, even=laid.even)
    mirrored: tuple[Piece, ...] = ()
    if job.piece.pair in ("mirrored", "mean"):
        mirrored = drawn(job, larger, limb=limb, even=laid.even, other=True).pieces
    return LimbReport(
        scan=found.scan,
        limb=limb,
        skin=found.skin,
        girths=girth_rows(limb, found.skin, edges=laid.edges),
        worn=worn,
        worn_girths=girth_rows(limb, worn, edges=laid.edges),
        panels=tuple(replace(panel, fits_girth=fits, waves=waves_of(panel.flat)) for panel in laid.panels),
        pieces=pattern.pieces,
        mirrored=mirrored,
        joins=pattern.joins,
        even=laid.even,
        rims=flared_rims(flats, lips_of(job, edges=laid.edges), thickness=wear.thickness, neutral=wear.neutral),
        wearing=wearing,
        findings=found.findings,
    )


def retold(result: Result, judged: Judged) -> Result:
    """A finished job that was not judged, its report telling what was judged since; what is drawn stays."""
    return _reported(_judged(result.report, judged), result.drawn)


def _reported(report: JobReport, files: Files) -> Result:
    told = (
        ("report.html", page_html(report).encode()),
        ("report.json", json_text(report_numbers(report)).encode()),
    )
    return Result(report, files, told)


def _judged(report: JobReport, judged: Judged) -> JobReport:
    """The report with what was judged in it: the bounds are of the first limb's panels."""
    first, *more = report.limbs
    if judged.bounds:
        panels = tuple(
            replace(panel, least_spread=bound.least_spread, binding=bound.binding)
            for panel, bound in zip(first.panels, judged.bounds, strict=True)
        )
        first = replace(first, panels=panels)
    return replace(report, limbs=(first, *more), advice=judged.advice, cautions=judged.cautions)


def girth_rows(limb: Limb, surface: LimbSurface, *, edges: tuple[Edge, Edge]) -> tuple[Girth, ...]:
    """The girth table, with a row for each edge at its mean height: "bottom edge", "top edge"."""
    rows = list(girth_table(limb, surface))
    around = np.linspace(0.0, 2 * np.pi, 360, endpoint=False)
    for edge in edges:
        height = float(edge.height(around).mean())
        rows.append(Girth(edge.name, height, section_girth(surface, height), tape_girth(surface, height)))
    return tuple(sorted(rows, key=lambda row: (row.height, row.name)))


def _panel_report(flat: FlatPanel, *, limb: Limb, neutral: Neutral, wear: Wear, limits: LeatherLimits) -> PanelReport:
    stretch = stretch_report(flat, kind=limb.kind, limits=limits)
    bend = tightest_bend(
        flat.panel, surface=neutral.surface, kind=limb.kind, thickness=wear.thickness, neutral=wear.neutral
    )
    return PanelReport(flat, stretch, bend, least_spread=None, fits_girth=None)


def _settings(job: Job) -> tuple[Setting, ...]:
    """The job's settings as "table.key" and text, in the job file's order."""
    rows: list[Setting] = []

    def walk(prefix: str, value: object) -> None:
        if isinstance(value, dict):
            for key, inner in value.items():
                walk(f"{prefix}.{key}" if prefix else key, inner)
        elif isinstance(value, list) and value and isinstance(value[0], dict):
            for number, inner in enumerate(value, 1):
                walk(f"{prefix} {number}", inner)
        else:
            rows.append(Setting(prefix, str(value)))

    table = job.model_dump(mode="json")
    # A path tells where the maker keeps things; the report tells only which file it was.
    for name in ("scan", "other_scan"):
        table[name]["file"] = Path(table[name]["file"]).name
    walk("", table)
    return tuple(rows)
