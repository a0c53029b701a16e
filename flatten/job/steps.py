"""What each step of a job takes from its settings: the types that the rooms work with."""

from __future__ import annotations

import numpy as np

from flatten.job.settings import QUARTERS, EdgeHeights, Job, SeamSettings
from flatten.job.text import JobError
from flatten.limb.model import Limb
from flatten.worn.curves import Edge, Seam
from flatten.worn.defaults import default_heights, edge
from flatten.worn.neutral import Wear

BEYOND_EDGES = 10.0
"""mm. The surface runs on this far past the edges and half a lacing gap, so that cut lines cross every edge."""


def wear_of(job: Job) -> Wear:
    """What is worn, from the job: padding less what the scan already shows, ease, leather.

    Raises JobError where the scan shows more than is to be worn.
    """
    under = job.wear.under
    amounts = tuple(getattr(under, quarter) - job.scan.over for quarter in QUARTERS)
    if min(amounts) < 0.0:
        raise JobError(
            f"[scan] over is {job.scan.over:g} mm, more than the {min(amounts) + job.scan.over:g} mm that [wear] under "
            f"names; what was worn for the scan counts as worn beneath the leather, so write it there too"
        )
    front, outside, back, inside = amounts
    return Wear((front, outside, back, inside), job.wear.ease, job.leather.thickness, job.leather.neutral)


def edges_of(job: Job, *, limb: Limb, trusted: tuple[float, float]) -> tuple[Edge, Edge]:
    """The bottom and the top edge, the trade's clearances where the job says "auto"."""
    bottom, top = default_heights(limb, trusted)
    return (
        edge("bottom edge", _heights(job.edges.bottom, bottom)),
        edge("top edge", _heights(job.edges.top, top)),
    )


def reach_of(job: Job, *, edges: tuple[Edge, Edge]) -> tuple[float, float]:
    """Heights over which the neutral surface is needed: both edges, and the lacing gaps that run on past them."""
    bottom, top = edges
    around = np.linspace(0.0, 2 * np.pi, 181)
    beyond = max(seam.gap for seam in job.seam) / 2 + BEYOND_EDGES
    return float(bottom.height(around).min()) - beyond, float(top.height(around).max()) + beyond


def _heights(given: EdgeHeights, default: tuple[float, ...]) -> tuple[float, ...]:
    asked = [getattr(given, quarter) for quarter in QUARTERS]
    return tuple(auto if height is None else height for height, auto in zip(asked, default, strict=True))


def seam_of(settings: SeamSettings) -> Seam:
    """The seam that the job describes. Raises CutError where its points are no line up the limb."""
    along = settings.along
    if isinstance(along, tuple):
        points = sorted(along, key=lambda point: point[1])
        bearings = np.unwrap(np.radians([bearing for bearing, _ in points]))
        return Seam(settings.name, settings.kind, settings.gap, np.array([h for _, h in points]), bearings)
    degrees = QUARTERS[along] if isinstance(along, str) else along
    return Seam(settings.name, settings.kind, settings.gap, np.zeros(1), np.radians([degrees]))
