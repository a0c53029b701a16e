"""The limbs of a job in messages and numbers: one, or both of a pair where each was scanned."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from typing import Any

from flatten.findings import Finding, Message, finding, message, on_limb
from flatten.leather.messages import bend_finding, hardening_findings, limits_finding, stretch_message, verdict_message
from flatten.limb.model import Limb
from flatten.report.closing import join_messages, seam_findings, seam_numbers
from flatten.report.edges import edge_findings
from flatten.report.finished import finished_numbers
from flatten.report.fittings import fitting_numbers
from flatten.report.hardware import hardware_findings
from flatten.report.letting_go import forming_findings, springback_numbers
from flatten.report.lips import lip_numbers, wave_findings
from flatten.report.messages import trouble_findings, worst
from flatten.report.mockup import mockup_numbers
from flatten.report.model import JobReport, LimbReport
from flatten.report.symmetry import symmetry_numbers
from flatten.report.tooling import tooling_findings
from flatten.report.wearing import wearing_findings, wearing_numbers
from flatten.worn.mean import Mean


def of_each(limbs: Sequence[LimbReport], of_one: Callable[[LimbReport], Iterable[Message]]) -> list[Message]:
    """What is told `of_one` limb, of each in turn, that of a second one with its side."""
    first, *more = limbs
    rest = (message("on the limb", limb=limb.limb.side, said=one) for limb in more for one in of_one(limb))
    return [*of_one(first), *rest]


def found_of_each(limbs: Sequence[LimbReport], found: Callable[[LimbReport], Iterable[Finding]]) -> list[Finding]:
    """What is `found` on each limb in turn, that on a second one with its side."""
    first, *more = limbs
    return [*found(first), *(one for limb in more for one in on_limb(found(limb), limb.limb.side))]


def job_findings(report: JobReport) -> list[Finding]:
    """The job's own findings: about its scans, about wearing, about edges, and what could not be had."""
    first, *more = report.limbs
    return [
        *first.findings,
        *(one for limb in more for one in on_limb(limb.findings, limb.limb.side, scan=True)),
        *found_of_each(report.limbs, _about_wearing),
        *found_of_each(report.limbs, wave_findings),
        *hardware_findings(report.hardware, called=first.called),
        *found_of_each(report.limbs, edge_findings),
        *found_of_each(report.limbs, forming_findings),
        *found_of_each(report.limbs, tooling_findings),
        *hardening_findings(first.panels[0].stretch.limits),
        *report.findings,
    ]


def job_troubles(report: JobReport) -> list[Finding]:
    """What stands in the way of cutting the pieces: one that lies over itself or is not finished, seams that cannot
    meet, limits exceeded."""
    first, *more = report.limbs
    names: list[str | Message] = [
        *first.names,
        *(message("report.of limb", piece=name, side=limb.limb.side) for limb in more for name in limb.names),
    ]
    asked = list(zip(report.panels, names if len(names) > 1 else [None], strict=True))
    over = [limits_finding(panel.stretch, piece=name) for panel, name in asked]
    tight = [bend_finding(panel.bend, kind=first.limb.kind, piece=name) for panel, name in asked]
    return [
        *trouble_findings(report.panels, names),
        *found_of_each(report.limbs, seam_findings),
        *(each for each in (*tight, *over) if each is not None),
    ]


def worst_message(report: JobReport) -> Message:
    """How far the leather stretches of the piece that asks most of it, named where there are several."""
    first, *more = report.limbs
    names: list[str | Message] = [
        *first.names,
        *(message("report.of limb", piece=name, side=limb.limb.side) for limb in more for name in limb.names),
    ]
    asked = [panel.stretch for panel in report.panels]
    stretch = worst(report.panels)
    return stretch_message(stretch, piece=names[asked.index(stretch)] if len(names) > 1 else None)


def _about_wearing(limb: LimbReport) -> list[Finding]:
    return [] if limb.wearing is None else wearing_findings(limb.wearing, kind=limb.limb.kind)


def second_limb_messages(report: JobReport) -> list[Message]:
    """What the pieces cut to a second limb's own scan ask of the leather, and how they close; none without."""
    first, *more = report.limbs
    return [each for limb in more for each in _second(report, first, limb)]


def _second(report: JobReport, first: LimbReport, limb: LimbReport) -> list[Message]:
    kind, side = limb.limb.kind, limb.limb.side
    there, here = (next(row.tape for row in own.girths if row.name == "widest") for own in (limb, first))
    messages = [
        message(
            "report.second limb",
            side=side,
            kind=kind.name,
            widest=there,
            first_side=first.limb.side,
            first_widest=here,
        )
    ]
    for panel, name in zip(limb.panels, limb.names, strict=True):
        asked = stretch_message(panel.stretch, piece=message("report.of limb", piece=name, side=side))
        messages.append(message("report.second verdict", stretch=asked, judged=verdict_message(panel.stretch)))
    messages += [message("report.second seam", side=side, seam=join) for join in join_messages(limb)]
    if report.advice:
        messages.append(message("report.advice of both"))
    if any(panel.least_spread is not None for panel in first.panels):
        messages.append(message("report.bound of first", side=first.limb.side, kind=kind.name))
    return messages


def limbs_numbers(report: JobReport) -> list[dict[str, Any]]:
    """report.json's `limbs`: each limb's scan, girths and stretch, and how its own pieces close and are worn."""
    return [
        _limb_numbers(limb) | {"finished": finished_numbers(limb, correction=report.finished)} for limb in report.limbs
    ]


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
                "most": panel.stretch.most.stretch,
                "least": panel.stretch.least.stretch,
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
        "fittings": fitting_numbers(report),
        "mockup": None if report.mockup is None else mockup_numbers(report.mockup),
        "springback": springback_numbers(report),
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
