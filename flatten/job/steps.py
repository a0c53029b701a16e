"""What each step of a job takes from its settings: the types that the rooms work with."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from flatten.job.settings import DartSettings, EdgeHeights, Job, ScanSettings, SeamSettings
from flatten.limb.kind import QUARTERS, Quarter, quarter_bearing
from flatten.limb.model import Limb
from flatten.worn.curves import OPENING_KINDS, Dart, Edge, Seam
from flatten.worn.defaults import RIVETED_OVERLAP, default_top, edge, shape_heights
from flatten.worn.neutral import Wear
from flatten.worn.panel import CutError, SeamCutError
from flatten.worn.rise import STEP_THICKNESSES, Lip

BEYOND_EDGES = 10.0
"""mm. The surface runs on this far past the edges and half a lacing gap, so that cut lines cross every edge."""


BESIDE = 0.1
"""Sine of the least angle between a seam and the quarter that its upper leather is said to come from: about 6°."""


def wear_of(job: Job) -> Wear:
    """What is worn, from the job: what the scan shows of it, padding, ease, leather."""
    front, outside, back, inside = (getattr(job.wear.under, quarter) for quarter in QUARTERS)
    leather, wear = job.leather, job.wear
    return Wear(
        (front, outside, back, inside), wear.ease, leather.thickness, leather.neutral, wear.hollows, job.scan.over
    )


def other_scan_of(job: Job) -> ScanSettings | None:
    """The settings of the other limb's scan, None where the job has none."""
    if not job.other_scan.file:
        return None
    side = "right" if job.scan.side == "left" else "left"
    return ScanSettings(limb=job.scan.limb, side=side, **dict(job.other_scan))


def edges_of(job: Job, *, limb: Limb, trusted: tuple[float, float]) -> tuple[Edge, Edge]:
    """The bottom and the top edge, the trade's clearances where the job says "auto".

    Raises CutError where these are asked for and the scan does not show what they go by.
    """
    return (
        _edge("bottom edge", job.edges.bottom, lambda: limb.kind.bottom_edge),
        _edge("top edge", job.edges.top, lambda: default_top(limb, trusted)),
    )


def lips_of(job: Job, *, edges: tuple[Edge, Edge]) -> tuple[Lip, ...]:
    """The flared lips of the edges.

    Raises CutError where one turns more sharply than leather of the job's thickness can lie.
    """
    flare, leather = job.edges.flare, job.leather
    asked = ((edges[0], flare.bottom, 1.0), (edges[1], flare.top, -1.0))
    lips = tuple(Lip(edge, amount, flare.depth, inward) for edge, amount, inward in asked if amount)
    least = (1.0 - leather.neutral) * leather.thickness
    for lip in lips:
        if lip.radius <= least:
            raise CutError(
                f"the lip of the {lip.edge.name} flares by {lip.flare:g} mm over {lip.depth:g} mm, so it turns out of "
                f"the limb on a radius of {lip.radius:.1f} mm, and leather {leather.thickness:g} mm thick needs more "
                f"than {least:.1f} mm; flare it by less than {lip.depth**2 / (2 * least):.0f} mm, or over more height"
            )
    return lips


def _edge(name: str, given: EdgeHeights, usual: Callable[[], tuple[float, ...]]) -> Edge:
    if given.points:
        bearings, heights = np.array(given.points).T
        return Edge(name, np.radians(bearings), heights)
    asked = [getattr(given, quarter) for quarter in QUARTERS]
    if None not in asked:
        return edge(name, tuple(asked))
    default = usual() if given.shape == "auto" or given.height is None else ()
    shaped = shape_heights(given.shape, height=given.height, by=given.by, default=default)
    return edge(name, tuple(auto if own is None else own for own, auto in zip(asked, shaped, strict=True)))


def reach_of(job: Job, *, edges: tuple[Edge, Edge]) -> tuple[float, float]:
    """Heights over which the neutral surface is needed: both edges, and lines beside seams that run on past them."""
    bottom, top = edges
    around = np.linspace(0.0, 2 * np.pi, 181)
    seams = [seam_of(seam) for seam in job.seam]
    steps = [STEP_THICKNESSES * job.leather.thickness if seam.overlap else 0.0 for seam in seams]
    beside = [(seam.gap + seam.overlap) / 2 + step for seam, step in zip(seams, steps, strict=True)]
    beyond = max(beside) + BEYOND_EDGES
    return float(bottom.height(around).min()) - beyond, float(top.height(around).max()) + beyond


def seam_of(settings: SeamSettings) -> Seam:
    """The seam that the job describes. Raises CutError where its points are no line up the limb."""
    heights, bearings = np.zeros(1), np.radians([bearing_of(settings.along)])
    if isinstance(settings.along, tuple):
        points = sorted(settings.along, key=lambda point: point[1])
        heights = np.array([height for _, height in points])
        bearings = np.unwrap(np.radians([bearing for bearing, _ in points]))
    gap = settings.gap if settings.kind in OPENING_KINDS else 0.0
    overlap = settings.overlap
    if overlap is None:
        overlap = RIVETED_OVERLAP if settings.kind == "riveted" else 0.0
    upper = _upper(settings, float(bearings.mean())) if overlap else ""
    return Seam(settings.name, settings.kind, gap, heights, bearings, overlap, upper)


def dart_of(settings: DartSettings) -> Dart:
    """The dart that the job describes. Raises CutError where it is none."""
    bearing = float(np.radians(bearing_of(settings.along)))
    return Dart(settings.name, settings.kind, settings.edge, bearing, settings.depth, settings.opening)


def bearing_of(along: Quarter | float | tuple[tuple[float, float], ...]) -> float:
    """Degrees from the front of a quarter's name, of a bearing, or of a line's lowest point."""
    if isinstance(along, tuple):
        return min(along, key=lambda point: point[1])[0]
    return float(np.degrees(quarter_bearing(along))) if isinstance(along, str) else along


def _upper(settings: SeamSettings, bearing: float) -> str:
    """Which leather lies on top at an overlap: "before" the seam or "after" it."""

    def side(quarter: Quarter) -> float:
        return float(np.sin(quarter_bearing(quarter) - bearing))

    if settings.on_top != "auto":
        quarter = settings.on_top
    else:
        quarter = "front" if abs(side("front")) > np.sqrt(0.5) else "outside"
    if abs(side(quarter)) < BESIDE:
        raise SeamCutError(
            f"seam '{settings.name}' runs along the {quarter}'s own middle or right across from it, so 'on_top' cannot "
            f"be '{quarter}'; name the quarter beside the seam that the upper leather comes from"
        )
    return "after" if side(quarter) > 0.0 else "before"
