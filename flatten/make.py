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
from flatten.job.errors import JobError
from flatten.job.pieces import coarse_flats, drawn, each_alone, fitted, panels_of, title_of, worn_as
from flatten.job.settings import Job
from flatten.job.steps import edges_of, lips_of, other_scan_of, reach_of, wear_of
from flatten.job.text import job_text, told_from
from flatten.leather.bending import tightest_bend
from flatten.leather.limits import leather_limits
from flatten.leather.model import LeatherLimits
from flatten.leather.shrinking import cut_larger
from flatten.leather.stretch import stretch_report
from flatten.limb.girths.girth import Girth, girth_table, section_girth, tape_girth
from flatten.limb.model import Limb
from flatten.limb.surface.model import LimbSurface
from flatten.measure import STEPS as MEASURE_STEPS
from flatten.measure import Announce, Found, measure
from flatten.pattern.symmetry import Evened
from flatten.report.lips import wave_cautions
from flatten.report.model import JobReport, OtherLimb, PanelReport, Setting
from flatten.report.numbers import json_text, report_numbers
from flatten.report.other import mean_sentence, on_the_other
from flatten.report.page import page_html
from flatten.report.wearing import wearing_cautions
from flatten.sheet.layout import side_by_side
from flatten.threads import one_thread
from flatten.tolerances import EDGE_FINE, EDGE_QUICK
from flatten.unwrap.dart_openings import check_dart_openings
from flatten.unwrap.limits import TO_CUT, Care
from flatten.unwrap.model import Attainable, FlatPanel
from flatten.worn.curves import Edge
from flatten.worn.mean import mean_of
from flatten.worn.neutral import Neutral, Wear, neutral_surface
from flatten.worn.rise import Lip
from flatten.worn.wearing import Wearing

STEPS = (
    *MEASURE_STEPS,
    "dressing the limb",
    "cutting the panels",
    "laying them flat",
    "telling the stretch",
    *JUDGE_STEPS,
    "drawing the pieces",
    "writing the report",
)
"""What `make` announces, in order; two of them only where the job asks for what they seek (`steps_of`)."""


@dataclass(frozen=True, eq=False)
class Result:
    """A finished job: its report, and its files by name, `report.json` last."""

    report: JobReport
    files: tuple[tuple[str, bytes], ...]
    fits: bool


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
    found = measure(job.scan, folder=folder, announce=announce)
    second = _second(job, folder=folder)
    if second is not None and job.piece.pair == "mean":
        found, second = mean_found(found, second), None
    laid = lay(job, found, limits=limits, announce=announce)
    other = None if second is None else (second, lay(job, second, limits=limits, announce=_quietly))
    theirs = None if other is None else to_judge(*other)
    judged = judge(job, to_judge(found, laid), limits=limits, announce=announce, other=theirs)
    text = job_text(told_from(job, folder=folder, out=out))
    return finish(job, found, laid, judged=judged, text=text, announce=announce, other=other)


def _quietly(step: str) -> None:
    """Announce nothing: the other limb's steps are part of the first one's."""


def _second(job: Job, *, folder: Path) -> Found | None:
    """The finding of the other limb's own scan, its cautions under its name; None where the job has no such scan."""
    settings = other_scan_of(job)
    if settings is None:
        return None
    found = measure(settings, folder=folder, announce=_quietly)
    return replace(found, cautions=tuple(f"The {settings.side} limb’s scan: {words}" for words in found.cautions))


@one_thread
def mean_found(found: Found, second: Found) -> Found:
    """The finding of the mean of two limbs, told as the first one's, and how far they are apart.

    Raises LimbError where the scans have too little in common.
    """
    mean = mean_of((found.limb, found.skin), (second.limb, second.skin))
    told = mean_sentence(mean, other=second.limb)
    return replace(found, limb=mean.limb, skin=mean.skin, cautions=(*found.cautions, *second.cautions, told))


def steps_of(job: Job) -> tuple[str, ...]:
    """The steps that `make` announces for a job, in order."""
    return (*STEPS[:6], *judge_steps_of(job), *STEPS[-2:])


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
    care: Care = TO_CUT,
) -> Laid:
    """The panels that a job cuts, laid flat; `edge_length` (mm) of their meshes in place of what the job says.

    `neutral` is the job's neutral surface where it is there already, over all heights that the job needs. `known` is
    what is known to be attainable for each panel, UNSOUGHT while something is dragged; without it, it is found on a
    coarse mesh. `care` is TO_SHOW then.

    Raises JobError or CutError where what is worn, the edges or the seams make no panel, UnwrapError where one cannot
    be laid flat.
    """
    announce(STEPS[2])
    limb, skin = found.limb, found.skin
    wear = wear_of(job)
    bottom, top = edges_of(job, limb=limb, trusted=skin.trusted)
    if neutral is None:
        neutral = neutral_surface(skin, wear, heights=reach_of(job, edges=(bottom, top)))

    announce(STEPS[3])
    if edge_length is None:
        edge_length = EDGE_FINE if job.output.mesh == "fine" else EDGE_QUICK
    panels = panels_of(job, limb=limb, skin=skin, worn=neutral.surface, edge_length=edge_length)

    announce(STEPS[4])
    coarse: tuple[FlatPanel, ...] = ()
    if known is None:
        coarse = coarse_flats(job, limits=limits, limb=limb, skin=skin, worn=neutral.surface, finer=edge_length)
        attainable = tuple(flat.attainable for flat in coarse)
    else:
        attainable = (known,) * len(panels)
    flats, even = fitted(job, each_alone(job, panels, limits=limits, known=attainable, care=care), limits=limits)

    announce(STEPS[5])
    told = tuple(_panel_report(flat, limb=limb, neutral=neutral, wear=wear, limits=limits) for flat in flats)
    return Laid(wear, neutral, (bottom, top), told, even, coarse)


def to_judge(found: Found, laid: Laid) -> Subject:
    """A limb and its panels as `judge` takes them: laid flat on a fine mesh, and so on a coarse one before."""
    return Subject(found, laid.neutral, laid.coarse)


@one_thread
def finish(
    job: Job,
    found: Found,
    laid: Laid,
    *,
    text: str,
    announce: Announce,
    judged: Judged = UNJUDGED,
    other: tuple[Found, Laid] | None = None,
) -> Result:
    """The pieces drawn, the report, and the files; `text` is what the file job.toml holds.

    The report tells what was `judged` of the job; `retold` puts it in later. `other` is the other limb of a pair where
    its pieces are cut to its own scan.

    Raises UnwrapError where a dart does not open when flat, PatternError where a piece cannot be drawn, JobError where
    the other limb's scan is wanted and not there.
    """
    announce(STEPS[-2])
    if job.piece.pair == "own scan" and other is None:
        raise JobError("[piece] pair is 'own scan', and only one limb's scan was read; use: calfskin make")
    check_dart_openings(panel.flat for panel in laid.panels)
    limb, wear, title = found.limb, laid.wear, title_of(job)
    wearing = _wearing(job, found, laid)
    fits = None if wearing.fit is None else (wearing.fit.least, wearing.fit.most)
    flats = _cut(laid)
    pattern = drawn(job, flats, limb=limb, even=laid.even)
    second = None if other is None else _other_limb(job, *other)
    other_side = () if second is None else second.pieces
    if job.piece.pair in ("mirrored", "mean"):
        other_side = drawn(job, flats, limb=limb, even=laid.even, other=True).pieces
    cut = (*pattern.pieces, *other_side)
    lips = lips_of(job, edges=laid.edges)
    drawing = drawing_of(side_by_side(cut) if len(cut) > 1 else cut, title)

    announce(STEPS[-1])
    report = JobReport(
        job=title,
        scan=found.scan,
        limb=limb,
        skin=found.skin,
        girths=girth_rows(limb, found.skin, edges=laid.edges),
        worn=laid.neutral.surface,
        worn_girths=girth_rows(limb, laid.neutral.surface, edges=laid.edges),
        wear=wear,
        panels=tuple(replace(panel, fits_girth=fits) for panel in laid.panels),
        pieces=pattern.pieces,
        settings=_settings(job),
        fit_cautions=(
            *found.cautions,
            *_cautions(other),
            *wearing_cautions(wearing, kind=limb.kind),
            *_wearing_cautions(second),
            *wave_cautions(laid.panels, [piece.name for piece in pattern.pieces], lips=lips, kind=limb.kind),
            *_wave_cautions(second, lips),
        ),
        wearing=wearing,
        other_side=other_side,
        joins=pattern.joins,
        even=laid.even,
        other=second,
        lips=lips,
    )
    files = (
        ("pattern.dxf", dxf_bytes(drawing)),
        ("pattern.svg", svg_bytes(drawing)),
        ("pattern.pdf", pdf_bytes(cut, title, paper=job.output.paper)),
        ("job.toml", text.encode()),
    )
    return _reported(_judged(report, judged), files, fits=laid.fits and (other is None or other[1].fits))


def _cautions(other: tuple[Found, Laid] | None) -> tuple[str, ...]:
    """The other limb's own cautions."""
    return () if other is None else other[0].cautions


def _wearing_cautions(second: OtherLimb | None) -> list[str]:
    """What must be heard about wearing the pieces cut to the other limb's own scan."""
    if second is None:
        return []
    return [on_the_other(second, words) for words in wearing_cautions(second.wearing, kind=second.limb.kind)]


def _wave_cautions(second: OtherLimb | None, lips: Sequence[Lip]) -> list[str]:
    """Which edges of the pieces cut to the other limb's own scan come out in waves."""
    if second is None:
        return []
    names, kind = [piece.name for piece in second.pieces], second.limb.kind
    return [on_the_other(second, words) for words in wave_cautions(second.panels, names, lips=lips, kind=kind)]


def _wearing(job: Job, found: Found, laid: Laid) -> Wearing:
    points = found.limb.frame.to_limb(found.scan.points)
    return worn_as(job, limb=found.limb, skin=found.skin, worn=laid.neutral.surface, points=points)


def _cut(laid: Laid) -> list[FlatPanel]:
    """The flat panels as they are cut: larger by what the leather shrinks in drying."""
    return [cut_larger(panel.flat, panel.stretch.limits.shrinkage) for panel in laid.panels]


def _other_limb(job: Job, found: Found, laid: Laid) -> OtherLimb:
    """The other limb of a pair, its pieces cut to its own scan."""
    check_dart_openings(panel.flat for panel in laid.panels)
    pattern = drawn(job, _cut(laid), limb=found.limb, even=laid.even)
    return OtherLimb(
        found.scan,
        found.limb,
        girth_rows(found.limb, found.skin, edges=laid.edges),
        laid.panels,
        pattern.pieces,
        pattern.joins,
        laid.even,
        _wearing(job, found, laid),
    )


def retold(result: Result, judged: Judged) -> Result:
    """A finished job that was not judged, its report telling what was judged since; the other files stay."""
    return _reported(_judged(result.report, judged), result.files[:-2], fits=result.fits)


def _reported(report: JobReport, files: tuple[tuple[str, bytes], ...], *, fits: bool) -> Result:
    told = (
        ("report.html", page_html(report).encode()),
        ("report.json", json_text(report_numbers(report)).encode()),
    )
    return Result(report, (*files, *told), fits)


def _judged(report: JobReport, judged: Judged) -> JobReport:
    """The report with what was judged in it."""
    panels = report.panels
    if judged.bounds:
        panels = tuple(
            replace(panel, least_spread=bound.least_spread, binding=bound.binding)
            for panel, bound in zip(panels, judged.bounds, strict=True)
        )
    return replace(report, panels=panels, advice=judged.advice, fit_cautions=(*report.fit_cautions, *judged.cautions))


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
