"""The report as one page to read and print: all styles and pictures inside, no script, no request."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from importlib.resources import files

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from flatten.findings import Figure, Message
from flatten.leather.messages import (
    bend_message,
    formed_message,
    limits_message,
    lip_message,
    region_figures,
    region_name,
    stretch_message,
    strip_messages,
)
from flatten.leather.model import Region
from flatten.report.bench import bench_picture, leather_pictures
from flatten.report.binding import binding_pictures
from flatten.report.cautions import standing_cautions
from flatten.report.closing import join_messages
from flatten.report.curious import curious_messages
from flatten.report.cutting import amount_messages, shown_pieces
from flatten.report.finished import finished_messages
from flatten.report.fittings import fitted_shown, fitting_messages
from flatten.report.formers import former_findings, former_messages
from flatten.report.hardware import total_message, use_message
from flatten.report.layouts import layout_findings, layout_messages, shown_layouts
from flatten.report.limbs import job_findings, job_troubles, of_each, second_limb_messages
from flatten.report.limbview import bench_heights, shown_panels, side_pictures
from flatten.report.messages import (
    advice_lead,
    bound_message,
    fit_message,
    girth_messages,
    girth_name,
    scan_messages,
    worn_message,
    zero_message,
)
from flatten.report.mockup import mockup_messages
from flatten.report.model import JobReport, LimbReport
from flatten.report.order import order_of_work, told_beside
from flatten.report.palette import REPORT, css_variables
from flatten.report.parts import held_message
from flatten.report.picture import Picture
from flatten.report.ramp import bands
from flatten.report.summary import advised_text
from flatten.report.symmetry import symmetry_messages
from flatten.report.verdict import heading, leather_beneath, sure_findings, sure_lines, verdict_of
from flatten.report.wearing import closing_range_message, wearing_messages
from flatten.units import inches
from flatten.words import say
from flatten.words.english import ENGLISH
from flatten.words.language import Language


@dataclass(frozen=True)
class GirthRow:
    """One line of the girth table, its figures as text."""

    name: Message
    height: str
    skin: str
    skin_inches: str
    worn: str


@dataclass(frozen=True)
class RegionRow:
    """One line of the region table."""

    name: Message
    along: Message
    across: Message
    beyond: Message
    verdict: str
    formed: Message


@dataclass(frozen=True)
class PanelShown:
    """What the page tells of one panel, its own picture for narrow pages, and its regions."""

    name: str
    messages: tuple[Message, ...]
    picture: Picture
    regions: tuple[RegionRow, ...]


def page_html(report: JobReport, *, language: Language = ENGLISH) -> str:
    """The report page of a job that has at least one panel, as HTML text; the same report gives the same text.

    Raises StretchError where a flat face is turned over, LeatherError where the leather has no thickness.
    """
    room = files("flatten.report")
    template = _environment(language).get_template("page.html.jinja")
    first = report.limbs[0]
    panels = shown_panels(first)
    pieces = shown_pieces(report.cut)
    limits, verdict, order = first.panels[0].stretch.limits, verdict_of(report), order_of_work(report)
    return template.render(
        style=Markup(css_variables(REPORT) + (room / "page.css").read_text("utf8")),
        language=language,
        report=report,
        limb=first.limb,
        headline=heading(verdict, report.panels),
        stops=verdict.open,
        sure_lines=sure_lines(verdict),
        settled=verdict.settled,
        troubles=[each for each in job_troubles(report) if each.severity != "stop"],
        beneath=leather_beneath(verdict, report.panels),
        limits=limits_message(limits.in_force),
        strips=[] if limits.test is None else strip_messages(limits.test),
        bands=bands(),
        untooled=any(piece.untooled for piece in first.pieces),
        bench=bench_picture(first, panels),
        sides=side_pictures(first, panels),
        bindings=binding_pictures(first, panels),
        advice_lead=advice_lead(report.panels, report.advice),
        panels=_panels(first, leather_pictures(first, panels)),
        lips=[lip_message(rim, thickness=report.wear.thickness) for rim in first.rims],
        limb_girths=[*girth_messages(first.limb, first.girths), zero_message(first.limb, first.girths)],
        girths=_girth_rows(first),
        mockup=of_each(report.limbs, mockup_messages),
        fittings=of_each(report.limbs, fitting_messages),
        fitted=[fitted_shown(limb) for limb in report.limbs if limb.fittings],
        worn=worn_message(report.wear),
        fit=fit_message(first.skin),
        wearing=[*of_each(report.limbs, _wearing), *finished_messages(report)],
        order=order,
        scan=scan_messages(first.scan, first.limb),
        pieces=pieces,
        joins=[
            *join_messages(first),
            *of_each(report.limbs, _held),
        ],
        shopping=[total_message(one) for one in report.shopping],
        uses=[use_message(one, called=first.called) for one in report.hardware],
        symmetry=[*symmetry_messages(first), *second_limb_messages(report)],
        leather=amount_messages(report.cut),
        curious=curious_messages(report),
        layouts=shown_layouts(report.laying),
        layout_told=layout_messages(report.laying),
        formers=former_messages(report.formers),
        cautions=told_beside(
            (
                *sure_findings(verdict),
                *job_findings(report),
                *layout_findings(report.laying),
                *former_findings(report.formers),
                *standing_cautions(first.limb.kind),
            ),
            order,
        ),
    )


def _environment(language: Language) -> Environment:
    """What templates are read in: `said` makes a message and says it, `words` says one or leaves a text as it is, and
    `stop` and `sure` say a finding as a heading does."""

    def words(item: Message | str) -> str:
        return say.text(item, language) if isinstance(item, Message) else item

    def said(code: str, **figures: Figure) -> str:
        return say.text(Message(code, tuple(figures.items())), language)

    environment = Environment(
        loader=PackageLoader("flatten.report", package_path=""),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )
    environment.globals["said"] = said
    environment.filters |= {
        "words": words,
        "stop": lambda found: say.stop(found, language),
        "sure": lambda found: say.sure(found, language),
        "name": lambda key: say.name(key, language),
        "paragraph": lambda advised: advised_text(advised, language),
    }
    return environment


def _held(limb: LimbReport) -> list[Message]:
    return [held_message(held) for held in limb.held]


def _wearing(limb: LimbReport) -> list[Message]:
    return [] if limb.wearing is None else wearing_messages(limb.wearing, kind=limb.limb.kind)


def _panels(limb: LimbReport, pictures: Sequence[Picture]) -> list[PanelShown]:
    several = len(limb.panels) > 1
    closing = []
    if limb.wearing is not None and limb.wearing.fit is not None:
        closing.append(closing_range_message(limb.wearing.fit, kind=limb.limb.kind))
    shown = []
    for panel, name, picture in zip(limb.panels, limb.names, pictures, strict=True):
        called = name if several else None
        bound = bound_message(panel, piece=called)
        messages = (
            stretch_message(panel.stretch, piece=called),
            bend_message(panel.bend, kind=limb.limb.kind),
            *([] if bound is None else [bound]),
            *(closing if panel.part == "base" else ()),
        )
        shown.append(PanelShown(name, messages, picture, tuple(_region_row(row) for row in panel.stretch.regions)))
    return shown


def _region_row(region: Region) -> RegionRow:
    along, across, beyond = region_figures(region)
    return RegionRow(region_name(region), along, across, beyond, region.verdict, formed_message(region))


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
