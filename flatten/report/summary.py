"""The few sentences that close a run in the terminal."""

from __future__ import annotations

from flatten.leather.amount import leather_mass
from flatten.report.cautions import NOT_PROTECTIVE
from flatten.report.closing import hardware_sentence, join_sentences
from flatten.report.cutting import piece_area, piece_sentence, piece_title
from flatten.report.limbs import job_cautions, of_each, piece_names, second_limb_sentences
from flatten.report.lips import lip_sentences
from flatten.report.model import JobReport, LimbReport
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

    Each limb has at least one panel. Raises LeatherError where the leather has no thickness.
    """
    first = report.limbs[0]
    pairs = [
        (panel, name if len(first.names) > 1 else None) for panel, name in zip(first.panels, first.names, strict=True)
    ]
    area = sum(piece_area(piece) for piece in report.cut)
    thickness = report.wear.thickness
    return [
        headline(report.panels),
        *job_cautions(report),
        *trouble_sentences(report.panels, piece_names(report.limbs)),
        *(stretch_sentences(panel.stretch, piece=name) for panel, name in pairs),
        *(sentence for panel, name in pairs if (sentence := bound_sentence(panel, piece=name))),
        *lip_sentences(first.rims, thickness=thickness),
        limits_sentence(first.panels[0].stretch.limits.in_force),
        *_advice_lines(report),
        " ".join(girth_sentences(first.limb, first.girths)),
        *(f"{piece_title(piece)}: {piece_sentence(piece)}" for piece in report.cut),
        *symmetry_sentences(first),
        *second_limb_sentences(report),
        *(join_sentences(join, kind=first.limb.kind, pieces=first.names) for join in first.joins),
        *(hardware_sentence(hardware) for hardware in report.hardware),
        *of_each(report.limbs, _wearing),
        leather_sentence(area, mass=leather_mass(area, thickness=thickness), thickness=thickness),
        NOT_PROTECTIVE,
    ]


def _wearing(limb: LimbReport) -> list[str]:
    return [] if limb.wearing is None else wearing_lines(limb.wearing, kind=limb.limb.kind)


def _advice_lines(report: JobReport) -> list[str]:
    """The advice by number, each with its lines for the job file, set in."""
    lead = advice_lead(report.panels, report.advice)
    told = [f"{lead} {ADVICE_USE}" if report.advice else lead] if lead else []
    for number, advised in enumerate(report.advice or (), 1):
        lines = advised.lines.strip().splitlines()
        told += [f"{number}. {advised.words}", *(f"     {line}".rstrip() for line in lines)]
    return told
