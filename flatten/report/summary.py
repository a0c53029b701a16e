"""The few sentences that close a run in the terminal."""

from __future__ import annotations

from collections.abc import Sequence

from flatten.findings import Message, message
from flatten.leather.messages import limits_message, lip_message, stretch_message
from flatten.report.cautions import NOT_PROTECTIVE
from flatten.report.closing import join_messages
from flatten.report.cutting import amount_messages, size_message
from flatten.report.hardware import total_message
from flatten.report.limbs import job_findings, job_troubles, of_each, second_limb_messages
from flatten.report.messages import advice_lead, bound_message, girth_messages, zero_message
from flatten.report.model import Advised, JobReport, LimbReport, PanelReport
from flatten.report.parts import held_message
from flatten.report.symmetry import symmetry_messages
from flatten.report.verdict import Verdict, heading, leather_beneath, sure_findings, sure_lines, verdict_of
from flatten.report.wearing import wearing_short
from flatten.words import say
from flatten.words.english import ENGLISH
from flatten.words.language import Language

TOLD_ELSEWHERE = ("leather.over limits", "seam.unequal")
"""Stops whose whole sentence stands with the leather or the seam that it is about."""


def summary_lines(report: JobReport, *, language: Language = ENGLISH) -> list[str]:
    """What a maker must know before cutting, a line each, the verdict and what stands against it first.

    Each limb has at least one panel. Raises LeatherError where the leather has no thickness.
    """
    first, verdict = report.limbs[0], verdict_of(report)
    girths = " ".join(say.texts(girth_messages(first.limb, first.girths), language))
    return [
        *heading_lines(verdict, report.panels, language),
        *say.texts(_before_advice(report, verdict), language),
        *_advice_lines(report, language),
        girths,
        say.text(zero_message(first.limb, first.girths), language),
        *say.texts(_after_advice(report, language), language),
    ]


def heading_lines(verdict: Verdict, panels: Sequence[PanelReport], language: Language = ENGLISH) -> list[str]:
    """The verdict: each stop with what settles it, the lines that say that the maker is sure, and what they settled."""
    stops = [f"  {number}. {say.stop(each.finding, language)}" for number, each in enumerate(verdict.open, 1)]
    lines = sure_lines(verdict)
    how = [say.text(message("verdict.sure lines"), language), *(f"     {line}" for line in lines)] if lines else []
    settled = (say.sure(each.finding, language) for each in verdict.settled)
    beneath = say.texts(leather_beneath(verdict, panels), language)
    head = [say.text(heading(verdict, panels), language), *stops, *how]
    return [*head, *([""] if stops else []), *settled, *beneath]


def _before_advice(report: JobReport, verdict: Verdict) -> list[Message]:
    """All that was found, and what is asked of the leather."""
    first = report.limbs[0]
    several = len(first.names) > 1
    pairs = [(panel, name if several else None) for panel, name in zip(first.panels, first.names, strict=True)]
    bounds = (bound_message(panel, piece=name) for panel, name in pairs)
    return [
        *sure_findings(verdict),
        *job_findings(report),
        *(each for each in job_troubles(report) if each.code not in TOLD_ELSEWHERE),
        *(stretch_message(panel.stretch, piece=name) for panel, name in pairs),
        *(bound for bound in bounds if bound is not None),
        *(lip_message(rim, thickness=report.wear.thickness) for rim in first.rims),
        limits_message(first.panels[0].stretch.limits.in_force),
    ]


def _after_advice(report: JobReport, language: Language) -> list[Message]:
    """The pieces, how they close, what to buy, and how they are worn."""
    first = report.limbs[0]
    return [
        *_piece_lines(report, language),
        *symmetry_messages(first),
        *second_limb_messages(report),
        *join_messages(first),
        *(held_message(held) for held in first.held),
        *(total_message(one) for one in report.shopping),
        *of_each(report.limbs, _wearing),
        *amount_messages(report.cut),
        NOT_PROTECTIVE,
    ]


def _piece_lines(report: JobReport, language: Language) -> list[Message]:
    """Each piece in one line, together with its mirror image, which reads the same."""
    sides: dict[tuple[str, str], list[str]] = {}
    sizes = {}
    for piece in report.cut:
        size = size_message(piece)
        key = piece.name, say.text(size, language)
        sides.setdefault(key, []).append(piece.side)
        sizes[key] = size
    titles = {key: message("report.piece titles", piece=key[0], sides=tuple(both)) for key, both in sides.items()}
    return [message("report.piece line", title=title, size=sizes[key]) for key, title in titles.items()]


def _wearing(limb: LimbReport) -> list[Message]:
    return [] if limb.wearing is None else wearing_short(limb.wearing, kind=limb.limb.kind)


def _advice_lines(report: JobReport, language: Language) -> list[str]:
    """The advice by number, each with its lines for the job file, set in."""
    lead = advice_lead(report.panels, report.advice)
    printed = [] if lead is None else [say.text(lead, language)]
    for number, advised in enumerate(report.advice or (), 1):
        lines = advised.lines.strip().splitlines()
        printed += [f"{number}. {advised_text(advised, language)}", *(f"     {line}".rstrip() for line in lines)]
    return printed


def advised_text(advised: Advised, language: Language = ENGLISH) -> str:
    """What is told of a piece of advice, in one paragraph."""
    return " ".join(say.texts(advised.messages, language))


def advised_short(advised: Advised) -> tuple[Message, ...]:
    """The same in a line: the change, what is asked of the leather then, and what becomes worse."""
    return tuple(_short(each) for each in advised.messages if each.code != "advice.heights")


def _short(told: Message) -> Message:
    if told.code != "advice.gain":
        return told
    figures, judged = told.figures, told.figures["judged"]
    fits = isinstance(judged, Message) and judged.code == "advice.spare"
    return message("fold.gain", stretch=figures["stretch"], squeeze=figures["squeeze"], judged=None if fits else judged)
