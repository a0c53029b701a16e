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
from flatten.pattern.model import Piece
from flatten.report.bench import bench_picture, leather_pictures
from flatten.report.binding import binding_pictures
from flatten.report.cautions import standing_cautions
from flatten.report.closing import hardware_sentence, join_sentences
from flatten.report.cutting import PieceShown, shown_pieces
from flatten.report.limbview import bench_heights, shown_panels, side_pictures
from flatten.report.lips import lip_sentences
from flatten.report.model import JobReport, PanelReport
from flatten.report.other import on_the_other, other_sentences
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
    """The report page of a job that has at least one panel, as HTML text; the same report gives the same text."""
    room = files("flatten.report")
    environment = Environment(autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True)
    template = environment.from_string((room / "page.html.jinja").read_text("utf8"))
    panels = shown_panels(report)
    pieces = shown_pieces(report.cut)
    called = [piece.name for piece in report.pieces]
    alone = leather_pictures(report, panels)
    limits = report.panels[0].stretch.limits
    return template.render(
        style=Markup(css_variables(REPORT) + (room / "page.css").read_text("utf8")),
        report=report,
        headline=headline(report),
        troubles=trouble_sentences(report),
        limits=limits_sentence(limits.in_force),
        strips=[] if limits.test is None else strip_sentences(limits.test),
        zero=zero_name(report.limb.kind),
        bands=bands(),
        bench=bench_picture(report, panels),
        sides=side_pictures(report, panels),
        bindings=binding_pictures(report, panels),
        advice_lead=advice_lead(report),
        advice_use=ADVICE_USE,
        panels=[
            _panel(panel, piece, picture, report)
            for panel, piece, picture in zip(report.panels, report.pieces, alone, strict=True)
        ],
        lips=lip_sentences(report),
        girth_sentences=girth_sentences(report),
        girths=_girth_rows(report),
        worn=worn_sentence(report),
        fit=fit_sentence(report),
        wearing=_wearing(report),
        scan=scan_sentences(report.scan, report.limb),
        pieces=pieces,
        joins=[join_sentences(join, kind=report.limb.kind, pieces=called) for join in report.joins],
        hardware=[hardware_sentence(hardware) for hardware in report.hardware],
        symmetry=[*symmetry_sentences(report), *other_sentences(report)],
        leather=_leather_sentence(pieces, report),
        cautions=(*report.fit_cautions, *standing_cautions(report.limb.kind)),
    )


def _wearing(report: JobReport) -> list[str]:
    """How the pieces are worn, and those of a pair's other limb where they are cut to its own scan."""
    kind = report.limb.kind
    told = [] if report.wearing is None else wearing_sentences(report.wearing, kind=kind)
    if report.other is not None:
        told += [on_the_other(report.other, words) for words in wearing_sentences(report.other.wearing, kind=kind)]
    return told


def _panel(panel: PanelReport, piece: Piece, picture: Picture, report: JobReport) -> PanelShown:
    name = piece.name if len(report.panels) > 1 else None
    sentences = [stretch_sentences(panel.stretch, piece=name), bend_sentence(panel.bend, kind=report.limb.kind)]
    if bound := bound_sentence(panel, piece=name):
        sentences.append(bound)
    if report.wearing is not None and report.wearing.fit is not None:
        sentences.append(closing_range_sentence(report.wearing.fit, kind=report.limb.kind))
    return PanelShown(
        name=piece.name,
        sentences=tuple(sentences),
        picture=picture,
        regions=tuple(_region_row(region) for region in panel.stretch.regions),
    )


def _region_row(region: Region) -> RegionRow:
    return RegionRow(
        name=region.name,
        along=percent_range(region.along_min, region.along_max),
        across=percent_range(region.across_min, region.across_max),
        beyond=percent(region.over_share) if region.over_share else "none",
        verdict=region.verdict,
        words=VERDICT_WORDS[region.verdict],
    )


def _girth_rows(report: JobReport) -> list[GirthRow]:
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


def _leather_sentence(pieces: Sequence[PieceShown], report: JobReport) -> str:
    area = sum(piece.area for piece in pieces)
    thickness = report.wear.thickness
    return leather_sentence(area, mass=leather_mass(area, thickness=thickness), thickness=thickness)
