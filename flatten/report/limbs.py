"""The limbs of a job in words and numbers: one, or both of a pair where each was scanned."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from typing import Any

from flatten.findings import Finding, finding, on_limb
from flatten.limb.model import Limb
from flatten.report.closing import join_sentences, seam_numbers
from flatten.report.lips import lip_numbers, wave_cautions
from flatten.report.model import JobReport, LimbReport
from flatten.report.symmetry import symmetry_numbers
from flatten.report.wearing import wearing_cautions, wearing_numbers
from flatten.report.words import stretch_sentences, verdict_sentence
from flatten.words.say import texts
from flatten.worn.mean import Mean


def of_each(limbs: Sequence[LimbReport], sentences: Callable[[LimbReport], Iterable[str]]) -> list[str]:
    """The `sentences` of each limb in turn, those of a second one with its side before them."""
    first, *more = limbs
    return [*sentences(first), *(f"On the {limb.limb.side}: {words}" for limb in more for words in sentences(limb))]


def job_cautions(report: JobReport) -> list[str]:
    """The job's own cautions: about its scans, about wearing, about waves in edges, and what could not be had."""
    first, *more = report.limbs
    return [
        *texts(first.findings),
        *(words for limb in more for words in texts(on_limb(limb.findings, limb.limb.side, scan=True))),
        *of_each(report.limbs, _about_wearing),
        *of_each(report.limbs, wave_cautions),
        *report.cautions,
    ]


def _about_wearing(limb: LimbReport) -> list[str]:
    return [] if limb.wearing is None else wearing_cautions(limb.wearing, kind=limb.limb.kind)


def piece_names(limbs: Sequence[LimbReport]) -> list[str]:
    """What each limb's own pieces are called, in the order of all panels; those of a second limb with its side."""
    first, *more = limbs
    return [*first.names, *(f"{name}, {limb.limb.side}" for limb in more for name in limb.names)]


def second_limb_sentences(report: JobReport) -> list[str]:
    """What the pieces cut to a second limb's own scan ask of the leather, and how they close; none without."""
    first, *more = report.limbs
    return [words for limb in more for words in _second(report, first, limb)]


def _second(report: JobReport, first: LimbReport, limb: LimbReport) -> list[str]:
    kind, side = limb.limb.kind, limb.limb.side
    there, here = (next(row.tape for row in own.girths if row.name == "widest") for own in (limb, first))
    told = [
        f"The {side} {kind} was scanned too, and its pieces are cut to its own shape: its widest girth is "
        f"{there:.0f} mm, where the {first.limb.side} one’s is {here:.0f} mm."
    ]
    for panel, name in zip(limb.panels, limb.names, strict=True):
        asked = stretch_sentences(panel.stretch, piece=f"{name}, {side}")
        told.append(f"{asked} {verdict_sentence(panel.stretch)}")
    told += [f"On the {side}, {join_sentences(join, kind=kind, pieces=limb.names)}" for join in limb.joins]
    if report.advice:
        told.append("Each change that is advised was tried on both limbs; its figures are of both together.")
    if any(panel.least_spread is not None for panel in first.panels):
        told.append(f"What no pattern can beat was worked out for the {first.limb.side} {kind} alone.")
    return told


def limbs_numbers(report: JobReport) -> list[dict[str, Any]]:
    """report.json's `limbs`: each limb's scan, girths and stretch, and how its own pieces close and are worn."""
    return [_limb_numbers(limb) for limb in report.limbs]


def _limb_numbers(report: LimbReport) -> dict[str, Any]:
    return {
        "side": report.limb.side,
        "kind": report.limb.kind.name,
        "file": report.scan.file,
        "scale": report.scan.scale,
        "girths": [{"name": row.name, "height": row.height, "girth": row.tape} for row in report.girths],
        "panels": [
            {
                "name": panel.stretch.panel,
                "stretch_max": panel.stretch.largest.stretch,
                "stretch_min": panel.stretch.smallest.stretch,
                "spread": panel.stretch.spread,
                "spread_patch": panel.stretch.spread_patch,
                "verdict": panel.stretch.verdict,
                "fits_limits": panel.stretch.fits,
                "converged": panel.flat.converged,
            }
            for panel in report.panels
        ],
        "lips": lip_numbers(report.rims),
        "symmetry": symmetry_numbers(report),
        "seams": [seam_numbers(join) for join in report.joins],
        "wearing": None if report.wearing is None else wearing_numbers(report.wearing),
    }


def mean_finding(mean: Mean, *, other: Limb) -> Finding:
    """How far two limbs are apart whose mean the pieces are made for."""
    kind = mean.limb.kind
    return finding(
        "report.mean",
        "look",
        place=kind.place(height=mean.height),
        apart=mean.apart,
        where=kind.at_height(mean.height),
        wider=mean.limb.side if mean.widest[0] >= mean.widest[1] else other.side,
        more=abs(mean.widest[0] - mean.widest[1]),
    )
