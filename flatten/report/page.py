"""The report as one page to read and print: all styles and pictures inside, no script, no request."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from importlib.resources import files

from jinja2 import Environment, StrictUndefined
from markupsafe import Markup

from flatten.leather.amount import leather_mass
from flatten.leather.model import Region
from flatten.limb.words import zero_name
from flatten.report.bench import bench_picture, leather_pictures
from flatten.report.binding import binding_pictures
from flatten.report.cautions import standing_cautions
from flatten.report.closing import hardware_sentence, join_sentences
from flatten.report.cutting import PieceShown, shown_pieces
from flatten.report.limbs import job_cautions, of_each, piece_names, second_limb_sentences
from flatten.report.limbview import bench_heights, shown_panels, side_pictures
from flatten.report.lips import lip_sentences
from flatten.report.model import JobReport, LimbReport
from flatten.report.palette import REPORT, css_variables
from flatten.report.picture import Picture
from flatten.report.ramp import bands
from flatten.report.symmetry import symmetry_sentences
from flatten.report.wearing import wearing_sentences
from flatten.report.words import (
    ADVICE_USE,
    VERDICT_WORDS,
    advice_lead,
    bend_sentence,
    bound_sentence,
    closing_range_sentence,
    fit_sentence,
    girth_name,
    girth_sentences,
    headline,
    leather_sentence,
    limits_sentence,
    percent,
    percent_range,
    scan_sentences,
    stretch_sentences,
    strip_sentences,
    trouble_sentences,
    worn_sentence,
)
from flatten.units import inches


@dataclass(frozen=True)
class GirthRow:
    """One line of the girth table, its figures as text."""

    name: str
    height: str
    skin: str
    skin_inches: str
    worn: str


@dataclass(frozen=True)
class RegionRow:
    """One line of the region table, its figures as text."""

    name: str
    along: str
    across: str
    beyond: str
    verdict: str
    words: str


@dataclass(frozen=True)
class PanelShown:
    """What the page tells of one panel: sentences, its own picture for narrow pages, and its regions."""

    name: str
    sentences: tuple[str, ...]
    picture: Picture
    regions: tuple[RegionRow, ...]


def page_html(report: JobReport) -> str:
    """The report page of a job that has at least one panel, as HTML text; the same report gives the same text.

    Raises StretchError where a flat face is turned over, LeatherError where the leather has no thickness.
    """
    room = files("flatten.report")
    environment = Environment(autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True)
    template = environment.from_string((room / "page.html.jinja").read_text("utf8"))
    first = report.limbs[0]
    panels = shown_panels(first)
    pieces = shown_pieces(report.cut)
    limits = first.panels[0].stretch.limits
    return template.render(
        style=Markup(css_variables(REPORT) + (room / "page.css").read_text("utf8")),
        report=report,
        limb=first.limb,
        headline=headline(report.panels),
        troubles=trouble_sentences(report.panels, piece_names(report.limbs)),
        limits=limits_sentence(limits.in_force),
        strips=[] if limits.test is None else strip_sentences(limits.test),
        zero=zero_name(first.limb.kind),
        bands=bands(),
        bench=bench_picture(first, panels),
        sides=side_pictures(first, panels),
        bindings=binding_pictures(first, panels),
        advice_lead=advice_lead(report.panels, report.advice),
        advice_use=ADVICE_USE,
        panels=_panels(first, leather_pictures(first, panels)),
        lips=lip_sentences(first.rims, thickness=report.wear.thickness),
        girth_sentences=girth_sentences(first.limb, first.girths),
        girths=_girth_rows(first),
        worn=worn_sentence(report.wear),
        fit=fit_sentence(first.skin),
        wearing=of_each(report.limbs, _wearing),
        scan=scan_sentences(first.scan, first.limb),
        pieces=pieces,
        joins=[join_sentences(join, kind=first.limb.kind, pieces=first.names) for join in first.joins],
        hardware=[hardware_sentence(hardware) for hardware in report.hardware],
        symmetry=[*symmetry_sentences(first), *second_limb_sentences(report)],
        leather=_leather_sentence(pieces, thickness=report.wear.thickness),
        cautions=(*job_cautions(report), *standing_cautions(first.limb.kind)),
    )


def _wearing(limb: LimbReport) -> list[str]:
    return [] if limb.wearing is None else wearing_sentences(limb.wearing, kind=limb.limb.kind)


def _panels(limb: LimbReport, pictures: Sequence[Picture]) -> list[PanelShown]:
    several = len(limb.panels) > 1
    closing = []
    if limb.wearing is not None and limb.wearing.fit is not None:
        closing.append(closing_range_sentence(limb.wearing.fit, kind=limb.limb.kind))
    shown = []
    for panel, name, picture in zip(limb.panels, limb.names, pictures, strict=True):
        called = name if several else None
        bound = bound_sentence(panel, piece=called)
        sentences = (
            stretch_sentences(panel.stretch, piece=called),
            bend_sentence(panel.bend, kind=limb.limb.kind),
            *([bound] if bound else []),
            *closing,
        )
        shown.append(PanelShown(name, sentences, picture, tuple(_region_row(row) for row in panel.stretch.regions)))
    return shown


def _region_row(region: Region) -> RegionRow:
    return RegionRow(
        name=region.name,
        along=percent_range(region.along_min, region.along_max),
        across=percent_range(region.across_min, region.across_max),
        beyond=percent(region.over_share) if region.over_share else "none",
        verdict=region.verdict,
        words=VERDICT_WORDS[region.verdict],
    )


def _girth_rows(report: LimbReport) -> list[GirthRow]:
    named = {girth.height for girth in report.girths if girth.name}
    worn = {girth.name or girth.height: f"{girth.section:.0f}" for girth in report.worn_girths}
    low, high = bench_heights(report)
    return [
        GirthRow(
            name=girth_name(report.limb, girth),
            height=f"{girth.height:.0f}".replace("-", "−"),
            skin=f"{girth.tape:.0f}",
            skin_inches=f"{inches(girth.tape):.1f}",
            worn=worn.get(girth.name or girth.height, ""),
        )
        for girth in sorted(report.girths, key=lambda girth: -girth.height)
        if girth.name or (girth.height not in named and low <= girth.height <= high)
    ]


def _leather_sentence(pieces: Sequence[PieceShown], *, thickness: float) -> str:
    area = sum(piece.area for piece in pieces)
    return leather_sentence(area, mass=leather_mass(area, thickness=thickness), thickness=thickness)
