"""A job resolved on a limb: its settings made into the curves, layers and choices that the rooms work with."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np

from flatten.job.bearings import BESIDE, aside, bearing_of
from flatten.job.closings import DartSettings, SeamSettings
from flatten.job.design import Design
from flatten.job.finished import finished_of
from flatten.job.fitted import corrections_of, fittings_of, swelling_of
from flatten.job.formers import former_plan
from flatten.job.settings import EdgeHeights, Job
from flatten.limb.kind import QUARTERS, Quarter
from flatten.limb.model import Limb
from flatten.limb.surface.model import LimbSurface
from flatten.pattern.edging import Edging
from flatten.tolerances import EDGE_FINE, EDGE_QUICK
from flatten.worn.curves import GAP_KINDS, Dart, Edge, Seam
from flatten.worn.cuts import Cuts
from flatten.worn.defaults import RIVETED_OVERLAP, default_bottom, default_top, edge, shape_heights
from flatten.worn.lining import Lining
from flatten.worn.neutral import Wear
from flatten.worn.panel import SeamCutError
from flatten.worn.rise import STEP_THICKNESSES, Lip

BEYOND_EDGES = 10.0
"""mm. The surface runs on this far past the edges and half a lacing gap, so that cut lines cross every edge."""

WAYS = ("above", "below")
"""How lames go on beyond the base's edges, where the neutral surface has to be there for them."""

SKIVED = 0.5
"""Share of the thickness that is left at the edges of a skived overlap where the job says "auto": the overlap is then
half a layer thicker than the leather beside it. From memory."""


def resolve(job: Job, limb: Limb, *, skin: LimbSurface) -> Design:
    """What a job asks for on a limb with that skin.

    Raises CutError where an edge or a seam cannot be: the scan does not show what the edge goes by, or points are no
    line up the limb; PatternError where the stitch holes of edges would run into one another; JobError where a fitting,
    or a muscle's place, makes no sense on that limb.
    """
    fittings, (bottom, top) = fittings_of(job, limb, edges=edges_of(job, limb, trusted=skin.trusted))
    seams = tuple(_seam(seam, thickness=job.leather.thickness) for seam in job.seam)
    around = np.linspace(0.0, 2 * np.pi, 181)
    low, high = float(bottom.height(around).min()), float(top.height(around).max())
    beyond = _beyond(seams, thickness=job.leather.thickness)
    rows = {way: max((one.count * one.width for one in job.lames if one.where == way), default=0.0) for way in WAYS}
    flare = job.edges.flare
    asked = ((bottom, flare.bottom, 1.0), (top, flare.top, -1.0))
    heights = (low - beyond - rows["below"], high + beyond + rows["above"])
    wear = replace(_wear(job), flexed=swelling_of(job, limb), fitted=corrections_of(fittings))
    own = finished_of(job.wear.finished, skin, wear=wear, seams=seams, heights=heights)
    lips = tuple(Lip(own, amount, flare.depth, inward) for own, amount, inward in asked if amount)
    return Design(
        limb=limb,
        skin=skin,
        title=job.output.title or Path(job.scan.file).stem,
        piece=job.piece.name or None,
        wear=replace(wear, finished=own),
        cuts=Cuts(bottom, top, seams, tuple(_dart(dart) for dart in job.dart), lips),
        span=(low, high),
        heights=heights,
        parts=(*job.seam, *job.dart),
        plates=job.plate,
        lames=job.lames,
        grain_angle=np.pi / 2 if job.leather.grain == "up the limb" else 0.0,
        room=job.leather.room,
        symmetrical=job.piece.symmetry == "centre line",
        mirrored=job.piece.pair in ("mirrored", "mean"),
        hardened=job.leather.hardened,
        edge_length=EDGE_FINE if job.output.mesh == "fine" else EDGE_QUICK,
        edging=_edging(job),
        tooling=job.piece.tooling,
        lining=_lining(job),
        fittings=fittings,
        former=former_plan(job.former),
        printing=job.output.printing,
        aim=job.leather.aim,
    )


def edges_of(job: Job, limb: Limb, *, trusted: tuple[float, float]) -> tuple[Edge, Edge]:
    """The bottom and the top edge alone, for whoever is about to change edges or seams; the trade's clearances where
    the job says "auto". `trusted` are the heights (mm) over which the limb's skin is.

    Raises CutError where clearances are asked for and the scan does not show what they go by.
    """
    return (
        _edge("bottom edge", job.edges.bottom, lambda: default_bottom(limb)),
        _edge("top edge", job.edges.top, lambda: default_top(limb, trusted)),
    )


def _edge(title: str, given: EdgeHeights, usual: Callable[[], tuple[float, ...]]) -> Edge:
    if given.points:
        bearings, heights = np.array(given.points).T
        return Edge(title, np.radians(bearings), heights)
    asked = [getattr(given, quarter) for quarter in QUARTERS]
    if None not in asked:
        return edge(title, tuple(asked))
    default = usual() if given.shape == "auto" or given.height is None else ()
    shaped = shape_heights(given.shape, height=given.height, by=given.by, default=default)
    return edge(title, tuple(auto if own is None else own for own, auto in zip(asked, shaped, strict=True)))


def _edging(job: Job) -> Edging:
    """What the edges of the pieces are given. Raises PatternError where stitch holes would run into one another."""
    lines = job.edges.lines
    finish = job.edges.finish.finish(thickness=job.leather.thickness, neutral=job.leather.neutral)
    return Edging(job.piece.corners, lines.bevel, lines.border, lines.stitch, lines.stitching, finish)


def _wear(job: Job) -> Wear:
    """What is worn: what the scan shows of it, padding, ease, leather."""
    front, outside, back, inside = (getattr(job.wear.under, quarter) for quarter in QUARTERS)
    leather, wear = job.leather, job.wear
    return Wear(
        (front, outside, back, inside),
        wear.ease,
        leather.thickness,
        leather.neutral,
        wear.hollows,
        job.scan.over,
        0.0 if job.lining is None else job.lining.thickness,
    )


def _lining(job: Job) -> Lining | None:
    if job.lining is None:
        return None
    allowance = job.lining.allowance
    return Lining(job.lining.thickness, 0.0 if allowance == "flush" else allowance)


def _beyond(seams: tuple[Seam, ...], *, thickness: float) -> float:
    """mm by which the neutral surface goes past the edges, for lines beside seams that run on past them."""
    steps = [STEP_THICKNESSES * thickness if seam.overlap else 0.0 for seam in seams]
    return max((seam.gap + seam.overlap) / 2 + step for seam, step in zip(seams, steps, strict=True)) + BEYOND_EDGES


def _seam(settings: SeamSettings, *, thickness: float) -> Seam:
    heights, bearings = np.zeros(1), np.radians([bearing_of(settings.along)])
    if isinstance(settings.along, tuple):
        points = sorted(settings.along, key=lambda point: point[1])
        heights = np.array([height for _, height in points])
        bearings = np.unwrap(np.radians([bearing for bearing, _ in points]))
    gap = settings.gap if settings.kind in GAP_KINDS else 0.0
    overlap = settings.overlap
    if overlap is None:
        overlap = RIVETED_OVERLAP if settings.kind in ("riveted", "snapped") else 0.0
    upper = _upper(settings, float(bearings.mean())) if overlap else ""
    skived = 0.0 if settings.skive == "no" else SKIVED * thickness if settings.skive == "auto" else settings.skive
    return Seam(settings.name, settings.kind, gap, heights, bearings, overlap, upper, skived)


def _upper(settings: SeamSettings, bearing: float) -> str:
    """Which leather lies on top at an overlap: "before" the seam or "after" it."""
    quarter: Quarter
    if settings.on_top != "auto":
        quarter = settings.on_top
    else:
        quarter = "front" if abs(aside("front", bearing)) > np.sqrt(0.5) else "outside"
    if abs(aside(quarter, bearing)) < BESIDE:
        raise SeamCutError(
            f"seam '{settings.name}' runs along the {quarter}'s own middle or right across from it, so 'on_top' cannot "
            f"be '{quarter}'; name the quarter beside the seam that the upper leather comes from"
        )
    return "after" if aside(quarter, bearing) > 0.0 else "before"


def _dart(settings: DartSettings) -> Dart:
    bearing = float(np.radians(bearing_of(settings.along)))
    return Dart(settings.name, settings.kind, settings.edge, bearing, settings.depth, settings.opening)
