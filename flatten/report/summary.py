"""The few sentences that close a run in the terminal."""

from __future__ import annotations

from flatten.leather.amount import leather_mass
from flatten.report.cautions import NOT_PROTECTIVE
from flatten.report.closing import hardware_sentence, join_sentences
from flatten.report.cutting import piece_area, piece_sentence, piece_title
from flatten.report.lips import lip_sentences
from flatten.report.model import JobReport, OtherLimb
from flatten.report.other import on_the_other, other_sentences
from flatten.report.symmetry import symmetry_sentences
from flatten.report.wearing import wearing_lines
from flatten.report.words import (
    ADVICE_USE,
    advice_lead,
    bound_sentence,
    girth_sentences,
    headline,
    leather_sentence,
    limits_sentence,
    stretch_sentences,
    trouble_sentences,
)


def summary_lines(report: JobReport) -> list[str]:
    """What a maker must know before cutting, a line each, the verdict and what it hangs on first.

    The report has at least one panel.
    """
    pairs = list(zip(report.panels, report.pieces, strict=True))
    area = sum(piece_area(piece) for piece in report.cut)
    thickness = report.wear.thickness
    called = [piece.name for piece in report.pieces]
    return [
        headline(report),
        *report.fit_cautions,
        *trouble_sentences(report),
        *(stretch_sentences(panel.stretch, piece=piece.name if len(pairs) > 1 else None) for panel, piece in pairs),
        *(
            sentence
            for panel, piece in pairs
            if (sentence := bound_sentence(panel, piece=piece.name if len(pairs) > 1 else None))
        ),
        *lip_sentences(report),
        limits_sentence(report.panels[0].stretch.limits.in_force),
        *_advice_lines(report),
        " ".join(girth_sentences(report)),
        *(f"{piece_title(piece)}: {piece_sentence(piece)}" for piece in report.cut),
        *symmetry_sentences(report),
        *other_sentences(report),
        *(join_sentences(join, kind=report.limb.kind, pieces=called) for join in report.joins),
        *(hardware_sentence(hardware) for hardware in report.hardware),
        *([] if report.wearing is None else wearing_lines(report.wearing, kind=report.limb.kind)),
        *_other_wearing(report.other),
        leather_sentence(area, mass=leather_mass(area, thickness=thickness), thickness=thickness),
        NOT_PROTECTIVE,
    ]


def _other_wearing(other: OtherLimb | None) -> list[str]:
    """The few lines about wearing the pieces that are cut to the other limb's own scan."""
    if other is None:
        return []
    return [on_the_other(other, words) for words in wearing_lines(other.wearing, kind=other.limb.kind)]


def _advice_lines(report: JobReport) -> list[str]:
    """The advice by number, each with its lines for the job file, set in."""
    lead = advice_lead(report)
    told = [f"{lead} {ADVICE_USE}" if report.advice else lead] if lead else []
    for number, advised in enumerate(report.advice or (), 1):
        lines = advised.lines.strip().splitlines()
        told += [f"{number}. {advised.words}", *(f"     {line}".rstrip() for line in lines)]
    return told
