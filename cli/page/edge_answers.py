"""Answers that move an edge by as much as what stands in the way is out."""

from __future__ import annotations

import math

import numpy as np

from cli.page.edge import EDGE_NAMES, EdgeName, edge_raised
from flatten.errors import CalfskinError
from flatten.findings import Message, message
from flatten.job.resolve import edges_of
from flatten.job.settings import EdgeHeights, Job
from flatten.limb.model import Limb
from flatten.limb.surface.model import LimbSurface
from flatten.report.verdict import Stop
from flatten.worn.curves import Edge
from flatten.worn.cut import LEAST_LENGTH
from flatten.worn.panel import EdgeCutError
from flatten.worn.wearing import near_places, off_place

ROUNDED = 0.2
"""mm by which an edge may come to lie lower or higher than it was moved: what it is told by is rounded to 0.1 mm, of a
swept edge both its height and its fall."""

BELOW_END = 10.0
"""mm that a level top edge stays below the highest place where the skin is known: what is worn on it is known up to a
few mm less."""

AROUND = np.linspace(0.0, 2 * np.pi, 361)
"""rad: bearings at which it is seen how long the leather is."""

Raised = tuple[EdgeName, float]
"""An edge, and by how many mm it must be higher: lower, where that is negative."""


def raised_where(error: CalfskinError) -> Raised | None:
    """How an edge must be moved that an error is about; None where none is, or the error does not tell."""
    if not isinstance(error, EdgeCutError):
        return None
    return next((name, error.by) for name in EDGE_NAMES if error.edge == f"{name} edge")


def raised_off(stop: Stop, job: Job, limb: Limb, skin: LimbSurface) -> Raised | None:
    """How the edge that lies on a tender place must be moved off it; None where by now it lies on it no more.

    Raises CutError as `edges_of` does.
    """
    tender, edges = str(stop.finding.figures["tender"]), edges_of(job, limb, trusted=skin.trusted)
    if tender not in near_places(limb, edges=edges):
        return None
    name = next(place.edge for place in limb.kind.tender if place.name == tender)
    return name, off_place(tender, limb, edges=edges)


def raised(raised: Raised, job: Job, limb: Limb, skin: LimbSurface) -> tuple[Message, list[str | int], object]:
    """What a button says that moves an edge so, and the path and value that it sets.

    Raises CutError as `edges_of` does.
    """
    name, by = raised
    whole = math.copysign(math.ceil(abs(by) + ROUNDED), by)
    moved = edge_raised(job, name, whole, edge=_edge(name, edges_of(job, limb, trusted=skin.trusted)))
    value = getattr(moved.edges, name).model_dump(mode="json")
    return message("page.raise edge", edge=name, by=whole), ["edges", name], value


def level_top(job: Job, limb: Limb, skin: LimbSurface) -> tuple[Message, list[str | int], object] | None:
    """What a button says that ends the top edge level, as high as the scan shows the limb, and the path and value that
    it sets; None where the leather would be too short for that.

    Raises CutError as `edges_of` does.
    """
    height = float(math.floor(skin.trusted[1] - BELOW_END))
    given = EdgeHeights.model_validate({"shape": "straight", "height": f"{height:g} mm"})
    levelled = job.model_copy(update={"edges": job.edges.model_copy(update={"top": given})})
    bottom, top = edges_of(levelled, limb, trusted=skin.trusted)
    if float((top.height(AROUND) - bottom.height(AROUND)).min()) < LEAST_LENGTH:
        return None
    said = message("page.level top", where=limb.kind.at_height(height))
    return said, ["edges", "top"], given.model_dump(mode="json")


def _edge(name: EdgeName, edges: tuple[Edge, Edge]) -> Edge:
    bottom, top = edges
    return top if name == "top" else bottom
