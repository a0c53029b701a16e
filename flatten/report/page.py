"""The report as one page to read and print: styles, pictures and a script that copies lines inside, no request."""

from __future__ import annotations

import base64
import hashlib
from collections.abc import Sequence
from dataclasses import dataclass
from importlib.resources import files

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from flatten.findings import Figure, Message, gravest_first, message
from flatten.leather.messages import (
    asked_message,
    bend_message,
    formed_message,
    limits_message,
    lip_message,
    stretch_message,
    strip_messages,
)
from flatten.leather.model import Region
from flatten.leather.regions import LEVELS
from flatten.report.bench import bench_picture, leather_pictures
from flatten.report.binding import binding_pictures
from flatten.report.cautions import standing_cautions
from flatten.report.closing import join_messages
from flatten.report.costs import cost_messages, costs_of, shopping_rows
from flatten.report.curious import curious_messages
from flatten.report.cutting import amount_messages, shown_pieces
from flatten.report.finished import finished_shown
from flatten.report.fittings import fitted_shown, fitting_messages
from flatten.report.folds import folds_of
from flatten.report.formers import former_findings, former_messages
from flatten.report.hardware import use_message
from flatten.report.layouts import layout_findings, layout_messages, shown_layouts
from flatten.report.letting_go import forming_messages
from flatten.report.limbs import job_findings, job_troubles, of_each, second_limb_messages, worst_message
from flatten.report.limbview import bench_heights, shown_panels, side_pictures
from flatten.report.messages import (
    advice_found,
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
from flatten.report.ornaments import shown_ornaments
from flatten.report.palette import REPORT, css_variables
from flatten.report.parts import held_message
from flatten.report.picture import Picture
from flatten.report.ramp import bands
from flatten.report.shopping import shopping_list
from flatten.report.summary import advised_short, advised_text
from flatten.report.symmetry import symmetry_messages
from flatten.report.verdict import heading, leather_beneath, sure_findings, sure_lines, verdict_of
from flatten.report.wearing import wearing_messages
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
class RegionCell:
    """What a region asks of the leather in all directions, its verdict, and its share beyond the limits if any is.

    `formed` says the verdict in words; None where all of the panel's regions have the same.
    """

    asked: Message
    verdict: str
    formed: Message | None
    beyond: Message | None


@dataclass(frozen=True)
class PanelShown:
    """What the page tells of one panel, its own picture for narrow pages, and its regions: by level, the upper one
    first, a cell for each of the limb's `sides` that it reaches. None where it can be formed dry all over.

    `formed` is how all of it can be formed, None where its regions differ.
    """

    name: str
    messages: tuple[Message, ...]
    picture: Picture
    sides: tuple[str, ...]
    rows: tuple[tuple[str, tuple[RegionCell | None, ...]], ...]
    formed: Message | None


def page_html(report: JobReport, *, language: Language = ENGLISH) -> str:
    """The report page of a job that has at least one panel, as HTML text; the same report gives the same text.

    Raises StretchError where a flat face is turned over, LeatherError where the leather has no thickness.
    """
    room = files("flatten.report")
    template = _environment(language).get_template("page.html.jinja")
    script = (room / "page.js").read_text("utf8")
    first = report.limbs[0]
    panels = shown_panels(first)
    items, costs = shopping_list(report), costs_of(report)
    limits, verdict, order = first.panels[0].stretch.limits, verdict_of(report), order_of_work(report)
    standing = standing_cautions(first.limb.kind)
    found = told_beside(
        gravest_first(
            each
            for each in (
                *sure_findings(verdict),
                *job_findings(report),
                *layout_findings(report.laying, kind=first.limb.kind),
                *former_findings(report.formers),
            )
            if each.severity != "stop"
        ),
        order,
    )
    bounds = (bound_message(panel, piece=name) for panel, name in zip(first.panels, _called(first), strict=True))
    return template.render(
        style=Markup(css_variables(REPORT) + (room / "page.css").read_text("utf8")),
        script=Markup(script),
        script_hash=script_hash(script),
        language=language,
        report=report,
        limb=first.limb,
        folds=folds_of(report, found=found, steps=len(order)),
        headline=heading(verdict, report.panels),
        stops=verdict.open,
        sure_lines=sure_lines(verdict),
        settled=verdict.settled,
        troubles=[each for each in job_troubles(report) if each.severity != "stop"],
        beneath=leather_beneath(verdict, report.panels),
        asked=worst_message(report),
        limits=limits_message(limits.in_force),
        strips=[] if limits.test is None else strip_messages(limits.test),
        bands=bands(),
        untooled=any(piece.untooled for piece in first.pieces),
        bench=bench_picture(first, panels),
        sides=side_pictures(first, panels),
        bindings=binding_pictures(first, panels),
        bounds=[bound for bound in bounds if bound is not None],
        advice_lead=advice_found(report.panels, report.advice),
        advice_short=[advised_short(advised) for advised in report.advice or ()],
        panels=_panels(first, leather_pictures(first, panels)),
        letting_go=of_each(report.limbs, forming_messages),
        lips=[lip_message(rim, thickness=report.wear.thickness) for rim in first.rims],
        limb_girths=[*girth_messages(first.limb, first.girths), zero_message(first.limb, first.girths)],
        girths=_girth_rows(first),
        mockup=of_each(report.limbs, mockup_messages),
        fittings=of_each(report.limbs, fitting_messages),
        fitted=[fitted_shown(limb) for limb in report.limbs if limb.fittings],
        worn=worn_message(report.wear),
        fit=fit_message(first.skin),
        wearing=of_each(report.limbs, _wearing),
        finished=finished_shown(report),
        order=order,
        scan=scan_messages(first.scan, first.limb),
        pieces=shown_pieces([piece for limb in report.limbs for piece in limb.pieces]),
        mirrored=next((limb.mirrored[0].side for limb in report.limbs if limb.mirrored), None),
        joins=[
            *join_messages(first),
            *of_each(report.limbs, _held),
        ],
        shopping=shopping_rows(items, costs),
        priced=costs is not None,
        costs=cost_messages(costs),
        uses=[use_message(one, called=first.called) for one in report.hardware],
        symmetry=[*symmetry_messages(first), *second_limb_messages(report)],
        leather=amount_messages(report.cut),
        curious=curious_messages(report),
        layouts=shown_layouts(report.laying),
        layout_told=layout_messages(report.laying),
        formers=former_messages(report.formers),
        ornaments=shown_ornaments(report),
        found=found,
        cautions=told_beside(standing, order),
    )


def script_hash(script: str) -> str:
    """A script as the page's policy names it, so that no other one runs."""
    return f"sha256-{base64.b64encode(hashlib.sha256(script.encode()).digest()).decode()}"


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


def _called(limb: LimbReport) -> list[str | None]:
    """What the limb's panels are called in sentences: nothing where there is but one."""
    return list(limb.names) if len(limb.panels) > 1 else [None]


def _panels(limb: LimbReport, pictures: Sequence[Picture]) -> list[PanelShown]:
    shown = []
    for panel, name, called, picture in zip(limb.panels, limb.names, _called(limb), pictures, strict=True):
        stretched = () if called is None else (stretch_message(panel.stretch, piece=called),)
        messages = (*stretched, bend_message(panel.bend, kind=limb.limb.kind))
        shown.append(_panel(name, messages, picture, panel.stretch.regions))
    return shown


def _panel(name: str, messages: tuple[Message, ...], picture: Picture, regions: Sequence[Region]) -> PanelShown:
    verdicts = {region.verdict for region in regions}
    formed = formed_message(regions[0]) if len(verdicts) == 1 else None
    if verdicts == {"dry"}:
        return PanelShown(name, messages, picture, (), (), formed)
    sides = tuple(dict.fromkeys(region.side for region in regions))
    cells = {(region.side, region.level): _cell(region, alike=formed is not None) for region in regions}
    levels = [level for level in reversed(LEVELS) if any((side, level) in cells for side in sides)]
    rows = tuple((level, tuple(cells.get((side, level)) for side in sides)) for level in levels)
    return PanelShown(name, messages, picture, sides, rows, formed)


def _cell(region: Region, *, alike: bool) -> RegionCell:
    return RegionCell(
        asked=asked_message(region),
        verdict=region.verdict,
        formed=None if alike else formed_message(region),
        beyond=message("fold.beyond", share=region.over_share) if region.over_share else None,
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
