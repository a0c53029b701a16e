"""The report as numbers: what report.json holds, value for value."""

from __future__ import annotations

import json
import math
from collections.abc import Mapping, Sequence
from typing import Any

from flatten.findings import Figure, Finding, Message, message
from flatten.leather.model import Extremes, Region
from flatten.leather.tensors import flat_areas
from flatten.limb.girths.girth import Girth
from flatten.limb.model import Limb
from flatten.limb.surface.model import LimbSurface
from flatten.mesh.surface import face_areas
from flatten.pattern.cutting import cut_line
from flatten.pattern.model import Piece
from flatten.pattern.path import length
from flatten.report.cautions import standing_cautions
from flatten.report.closing import seam_numbers
from flatten.report.costs import cost_numbers, costs_of, shopping_numbers
from flatten.report.cutting import HoleCount, amounts, hole_counts, piece_area, piece_size
from flatten.report.edges import corner_numbers, finish_numbers, line_numbers
from flatten.report.fittings import fitting_numbers
from flatten.report.formers import former_findings, former_numbers
from flatten.report.hardware import total_numbers, use_numbers
from flatten.report.lames import lame_numbers
from flatten.report.layouts import layout_findings, layout_numbers
from flatten.report.letting_go import forming_numbers
from flatten.report.limbs import job_findings, job_troubles, limbs_numbers
from flatten.report.lips import lip_numbers
from flatten.report.messages import mean_offset
from flatten.report.mockup import mockup_numbers
from flatten.report.model import JobReport, PanelReport
from flatten.report.order import Work, order_of_work
from flatten.report.ornaments import ornament_numbers
from flatten.report.parts import held_numbers
from flatten.report.schema import SCHEMA
from flatten.report.shopping import shopping_list
from flatten.report.sure import written
from flatten.report.symmetry import symmetry_numbers
from flatten.report.tooling import zone_numbers
from flatten.report.verdict import Verdict, sure_findings, verdict_of
from flatten.report.wearing import wearing_numbers
from flatten.scan.model import Scan
from flatten.unwrap.model import Limits
from flatten.words import say
from flatten.words.english import ENGLISH
from flatten.words.language import Language

DECIMALS = 6
"""Decimals of each number in report.json: nanometres of length, and below any figure's own doubt."""

_REGION_FIGURES = ("along_max", "along_min", "across_max", "across_min", "over_share", "verdict")
_LIMIT_FIGURES = ("stretch_along", "stretch_across", "squeeze_along", "squeeze_across", "source")


def scan_numbers(scan: Scan, limb: Limb) -> dict[str, Any]:
    """report.json's `scan`: the file, how its unit was known, and what was done to it."""
    return {
        "file": scan.file,
        "unit": scan.unit,
        "unit_from": scan.unit_from,
        "scale": scan.scale,
        "faces_read": scan.faces_read,
        "faces_kept": len(scan.faces),
        "repairs": [
            {"code": repair.code.removeprefix("scan."), "count": repair.figures["count"]} for repair in scan.repairs
        ],
        "side": limb.side,
        "front_from": limb.front_from,
    }


def limb_numbers(limb: Limb, surface: LimbSurface, *, girths: Sequence[Girth]) -> dict[str, Any]:
    """report.json's `limb`: the fit of the skin's surface and its girths as a tape reads them.

    `length` is the height from the lowest to the highest landmark, null where there is one landmark at most.
    """
    heights = [mark.height for mark in limb.landmarks]
    return {
        "kind": limb.kind.name,
        "length": max(heights) - min(heights) if len(heights) > 1 else None,
        "fit": {
            "rms": surface.rms,
            "p99": surface.p99,
            "bridged_share": surface.bridged_share,
            "smoothing": surface.smoothing,
            "noise_left": surface.noise_left,
        },
        "girths": [{"name": girth.name, "height": girth.height, "girth": girth.tape} for girth in girths],
    }


def report_numbers(report: JobReport, *, making: str | None = None, language: Language = ENGLISH) -> dict[str, Any]:
    """All of report.json; lengths mm, areas mm², mass g, stretch worn / flat, angles radians, null: not computed.

    `making` tells by the digest of job.toml of which job file it is.

    Every part but `limbs`, and but what is cut and bought in all, tells of the first limb.

    Raises StretchError where a flat face is turned over, LeatherError where the leather has no thickness.
    """
    first, pieces = report.limbs[0], [_piece(piece) for piece in report.cut]
    leather = amounts(report.cut)
    verdict = verdict_of(report)
    told = [*job_troubles(report), *sure_findings(verdict), *job_findings(report)]
    findings = [
        *told,
        *layout_findings(report.laying, kind=first.limb.kind),
        *former_findings(report.formers),
        *standing_cautions(first.limb.kind),
    ]
    return {
        "schema": SCHEMA,
        "job": report.job,
        "making": making,
        "verdict": _verdict(verdict, language),
        "scan": scan_numbers(first.scan, first.limb),
        "limb": limb_numbers(first.limb, first.skin, girths=first.girths),
        "worn": {
            "offset": mean_offset(report.wear),
            # The panel lies on the surface itself, so its girths follow every hollow; a tape would bridge them.
            "girths": [{"name": g.name, "height": g.height, "girth": g.section} for g in first.worn_girths],
        },
        "panels": [_panel(panel) for panel in first.panels],
        "pieces": pieces,
        "lips": lip_numbers(first.rims),
        "symmetry": symmetry_numbers(first),
        "limbs": limbs_numbers(report),
        "seams": [seam_numbers(join) for join in first.joins],
        "parts": [held_numbers(held) for held in first.held],
        "lames": [lame_numbers(row) for row in first.rows],
        "hardware": use_numbers(report.hardware),
        "hardware_total": total_numbers(report.shopping),
        "shopping": shopping_numbers(shopping_list(report)),
        "costs": cost_numbers(costs_of(report)),
        "leather": {
            "thickness": report.wear.thickness,
            "area": sum(one.area for one in leather),
            "mass": sum(one.mass for one in leather),
            "by_thickness": [{"thickness": one.thickness, "area": one.area, "mass": one.mass} for one in leather],
            "sheets": layout_numbers(report.laying),
            "shrinkage": dict(zip(("along", "across"), first.panels[0].stretch.limits.shrinkage, strict=True)),
            "hardening": dict(zip(("along", "across"), first.panels[0].stretch.limits.hardening, strict=True)),
        },
        "wearing": None if first.wearing is None else wearing_numbers(first.wearing),
        "fittings": fitting_numbers(first),
        "mockup": None if first.mockup is None else mockup_numbers(first.mockup),
        "order": [_work(work, language) for work in order_of_work(report)],
        "former": former_numbers(report.formers),
        "ornament": [ornament_numbers(first.pieces[each.panel].name, each) for each in first.ornaments],
        "findings": [_finding(one, language) for one in findings],
    }


def json_text(numbers: Mapping[str, Any]) -> str:
    """`numbers` as JSON in the order written, each number rounded to DECIMALS; NaN and infinity become null."""
    return json.dumps(_plain(numbers), indent=2, ensure_ascii=False, allow_nan=False) + "\n"


def _verdict(verdict: Verdict, language: Language) -> dict[str, Any]:
    """report.json's `verdict`: whether the pieces may be cut as they are, and each stop, the gravest first.

    `sure` is the figure as the job file's [sure] has it under `key`, null where no figure settles the stop.
    """
    return {
        "may_be_cut": verdict.may_be_cut,
        "stops": [
            {
                "code": stop.finding.code,
                "key": stop.key,
                "side": stop.side,
                "sure": None if stop.figure is None else written(stop.key, stop.figure.value),
                "settled": stop.settled,
                "text": say.stop(stop.finding, language),
            }
            for stop in verdict.stops
        ],
    }


def _finding(found: Finding, language: Language) -> dict[str, Any]:
    """One entry of report.json's `findings`: code, severity, place and figures for programs, and its text."""
    place = found.place
    return {
        "code": found.code,
        "severity": found.severity,
        "place": {
            "limb": place.limb,
            "zero": place.zero,
            "height": place.height,
            "side": place.side,
            "bearing": place.bearing,
            "part": place.part,
        },
        "figures": {name: _figure(figure, language) for name, figure in found.filled},
        "text": say.text(found, language),
    }


def _work(work: Work, language: Language) -> dict[str, Any]:
    """One entry of report.json's `order`: a step, what is done there, and the codes of the cautions met there."""
    return {
        "step": work.step,
        "name": say.text(message("order.step", step=work.step), language),
        "work": [
            {
                "code": each.code,
                "figures": {name: _figure(figure, language) for name, figure in each.filled},
                "text": say.text(each, language),
            }
            for each in work.messages
        ],
        "cautions": [caution.code for caution in work.cautions],
    }


def _figure(figure: Figure, language: Language) -> Any:
    """A figure as JSON has it: messages as they are said."""
    if isinstance(figure, Message):
        return say.text(figure, language)
    return [_figure(each, language) for each in figure] if isinstance(figure, tuple) else figure


def _panel(panel: PanelReport) -> dict[str, Any]:
    flat, stretch, bend = panel.flat, panel.stretch, panel.bend
    fits = panel.fits_girth
    return {
        "name": stretch.panel,
        "part": panel.part,
        "thickness": bend.thickness,
        "faces": len(flat.panel.mesh.faces),
        "area": float(face_areas(flat.panel.mesh).sum()),
        "flat_area": float(flat_areas(flat).sum()),
        "most": stretch.most.stretch,
        "least": stretch.least.stretch,
        "stretch_max": stretch.largest.stretch,
        "stretch_min": stretch.smallest.stretch,
        **_lines("line", stretch.lines),
        **_lines("rim", stretch.rims),
        "raw_max": stretch.raw_max,
        "raw_min": stretch.raw_min,
        "over_share": stretch.over_share,
        "spread": stretch.spread,
        "spread_patch": stretch.spread_patch,
        "spread_reachable": flat.spread_reachable,
        "least_spread": panel.least_spread,
        "excess": flat.excess,
        "excess_patch": stretch.excess_patch,
        "converged": flat.converged,
        "verdict": stretch.verdict,
        "fits_limits": stretch.fits,
        "limits": _limits(stretch.limits.in_force),
        "fits_girth": None if fits is None else {"min": fits[0], "max": fits[1]},
        "bend": {"radius": bend.radius, "strain": bend.strain, "height": bend.height, "bearing": bend.bearing},
        "regions": [_region(region) for region in stretch.regions],
        "forming": forming_numbers(panel),
    }


def _lines(sort: str, found: Extremes | None) -> dict[str, Any]:
    """The worst straight lines of 20 mm, or pieces of rim; null where the panel has none."""
    names = (f"{sort}_max", f"{sort}_min", f"excess_{sort}")
    if found is None:
        return dict.fromkeys(names)
    return dict(zip(names, (found.most.stretch, found.least.stretch, found.excess), strict=True))


def _limits(limits: Limits) -> dict[str, Any]:
    return {name: getattr(limits, name) for name in _LIMIT_FIGURES}


def _region(region: Region) -> dict[str, Any]:
    return {"name": region.name} | {name: getattr(region, name) for name in _REGION_FIGURES}


def _piece(piece: Piece) -> dict[str, Any]:
    width, height = piece_size(piece)
    return {
        "name": piece.name,
        "side": piece.side,
        "part": piece.part,
        "thickness": piece.thickness,
        "width": width,
        "height": height,
        "area": piece_area(piece),
        "cut_length": length(cut_line(piece)),
        "holes": [_holes(holes) for holes in hole_counts(piece)],
        "corners": corner_numbers(piece),
        "edge_lines": line_numbers(piece),
        "finished": finish_numbers(piece),
        "no_tooling": zone_numbers(piece.untooled),
        "tooling_only": zone_numbers(piece.tooled),
    }


def _holes(holes: HoleCount) -> dict[str, Any]:
    found = {"kind": holes.kind, "diameter": holes.diameter, "count": holes.count, "after_forming": holes.after}
    return found | {"length": holes.length} if holes.length else found


def _plain(value: Any) -> Any:
    if isinstance(value, Mapping):
        return {key: _plain(entry) for key, entry in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(entry) for entry in value]
    if isinstance(value, float):
        # Adding zero turns -0.0, which rounding makes of small negatives, into 0.0.
        return round(float(value), DECIMALS) + 0.0 if math.isfinite(value) else None
    return value
