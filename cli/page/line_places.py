"""Where a finding about an edge, a seam or a dart is pinned: at the middle of that line, on limb and leather."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from flatten.findings import Finding
from flatten.limb.kind import LimbKind
from flatten.limb.surface.model import LimbSurface
from flatten.worn.curves import Dart, Edge, Seam
from flatten.worn.cuts import Cuts

INSIDE = 2.0
"""mm that a pin on the leather stands inside of what is cut there: on the cut itself, rounding would put it off it."""

STEP = 0.01
"""rad over which the width of the limb at a place is read: half a mm of a calf."""


@dataclass(frozen=True)
class PinPlace:
    """A place of the limb by `height` (mm) and `bearing` (rad), and the one that is pinned on the leather: the same
    unless `leather` says where."""

    height: float
    bearing: float
    leather: tuple[float, float] | None = None

    @property
    def beside(self) -> tuple[float, float]:
        """Height (mm) and bearing (rad) of the place on the leather."""
        return (self.height, self.bearing) if self.leather is None else self.leather


def line_place(found: Finding, cuts: Cuts, kind: LimbKind, surface: LimbSurface) -> PinPlace | None:
    """The middle of the edge, seam or dart that a finding is about; None where it is about none of them.

    An edge is pinned at the finding's own bearing, or over the tender place that it lies on.
    """
    part = found.place.part
    edge = next((one for one in cuts.edges if one.name == part), None)
    if edge is not None:
        return _on_edge(edge, _edge_bearing(found, cuts, kind), cuts)
    seam = next((one for one in cuts.seams if one.name == part), None)
    if seam is not None:
        return _on_seam(seam, cuts, surface)
    dart = next((one for one in cuts.darts if one.name == part), None)
    return None if dart is None else _on_dart(dart, cuts, surface)


def _edge_bearing(found: Finding, cuts: Cuts, kind: LimbKind) -> float:
    if found.place.bearing is not None:
        return found.place.bearing
    tender = next((one for one in kind.tender if one.name == found.figures.get("tender")), None)
    if tender is not None:
        return float(np.radians(0.5 * sum(tender.degrees)))
    return _far_from_seams(cuts)


def _far_from_seams(cuts: Cuts) -> float:
    """The middle of the widest leather between seams, at the height half-way up (rad)."""
    height = 0.5 * sum(float(edge.heights.mean()) for edge in cuts.edges)
    seams = np.sort(np.mod([float(seam.bearing(height)) for seam in cuts.seams], 2 * np.pi))
    gaps = np.diff(np.append(seams, seams[0] + 2 * np.pi))
    widest = int(np.argmax(np.round(gaps, 6)))
    return float(np.mod(seams[widest] + 0.5 * gaps[widest], 2 * np.pi))


def _on_edge(edge: Edge, bearing: float, cuts: Cuts) -> PinPlace:
    height = float(edge.height(bearing))
    inside = -INSIDE if edge is cuts.top else INSIDE
    return PinPlace(height, bearing, (height + inside, bearing))


def _on_seam(seam: Seam, cuts: Cuts, surface: LimbSurface) -> PinPlace:
    low, high = _reach(seam, cuts)
    height = 0.5 * (low + high)
    bearing = float(seam.bearing(height))
    return PinPlace(
        height, bearing, (height, bearing + _turn(max(0.0, seam.offsets[1]) + INSIDE, height, bearing, surface))
    )


def _reach(seam: Seam, cuts: Cuts) -> tuple[float, float]:
    """The heights (mm) at which a seam crosses the bottom and the top edge, looked up where it stands half-way."""
    middle = 0.5 * sum(float(edge.heights.mean()) for edge in cuts.edges)
    bottom, top = (float(edge.height(float(seam.bearing(middle)))) for edge in cuts.edges)
    return bottom, top


def _on_dart(dart: Dart, cuts: Cuts, surface: LimbSurface) -> PinPlace:
    edge, inward = (cuts.top, -1.0) if dart.edge == "top" else (cuts.bottom, 1.0)
    height = float(edge.height(dart.bearing)) + inward * 0.5 * dart.depth
    beside = _turn(0.5 * dart.opening + INSIDE, height, dart.bearing, surface)
    return PinPlace(height, dart.bearing, (height, dart.bearing + beside))


def _turn(length: float, height: float, bearing: float, surface: LimbSurface) -> float:
    """rad round the limb that a length (mm) takes there."""
    there = float(np.clip(height, *surface.trusted))
    ends = surface.points(np.array([there, there]), np.array([bearing, bearing + STEP]))
    return length * STEP / float(np.linalg.norm(ends[1] - ends[0]))
