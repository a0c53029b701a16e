"""Where pieces are not to be carved or stamped, as findings, numbers and areas of pictures."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
import shapely

from flatten.findings import Finding, Message, Place, finding, message
from flatten.leather.regions import region_index, regions_of
from flatten.leather.tensors import flat_areas
from flatten.leather.tooling import SHARPEST, tooled_limits
from flatten.pattern.model import Piece, Zone
from flatten.pattern.path import area, polyline
from flatten.report.model import LimbReport, PanelReport

SAGITTA = 0.2
"""mm. A drawn arc may leave the true one by this much: below a hair's width at the size of the page."""

TOLD = 3
"""Regions that are named at most: those with most of what is not to be tooled."""


def tooling_findings(limb: LimbReport) -> list[Finding]:
    """Which share of each of a limb's pieces is not to be tooled, where that is, and by what it is judged."""
    found = []
    for panel, piece in zip(limb.panels, limb.pieces, strict=True):
        if piece.untooled:
            limits = tooled_limits(panel.stretch.limits.in_force)
            found.append(
                finding(
                    "leather.no tooling",
                    "note",
                    place=Place(part=piece.name),
                    piece=piece.name,
                    share=sum(zone.area for zone in piece.untooled) / abs(area(piece.outline)),
                    calm=sum(zone.area for zone in piece.tooled) / abs(area(piece.outline)),
                    where=_regions(panel, piece, mirrored=limb.limb.frame.mirrored),
                    stretch=min(limits.stretch_along, limits.stretch_across),
                    squeeze=min(limits.squeeze_along, limits.squeeze_across),
                    sharpest=SHARPEST * panel.bend.thickness,
                )
            )
    return found


def zone_numbers(zones: Sequence[Zone]) -> list[dict[str, Any]]:
    """report.json's `no_tooling` and `tooling_only` of a piece: each zone's area, and its outline in the piece's own
    coordinates, mm."""
    return [{"area": zone.area, "outline": polyline(zone.rims[0], SAGITTA).tolist()} for zone in zones]


def zone_shape(zone: Zone) -> shapely.Polygon:
    """A zone as a polygon in its piece's coordinates, within SAGITTA."""
    outer, *inner = (polyline(rim, SAGITTA) for rim in zone.rims)
    return shapely.Polygon(outer, inner)


def _regions(panel: PanelReport, piece: Piece, *, mirrored: bool) -> tuple[Message, ...]:
    """The TOLD regions that most of the zones of a piece lies in, the one with most first."""
    flat = panel.flat
    faces, heights = flat.panel.mesh.faces, flat.panel.heights
    centres = flat.uv[faces].mean(axis=1) * np.array([-1.0 if mirrored else 1.0, 1.0])
    index = region_index(
        heights[faces].mean(axis=1),
        flat.panel.bearings[faces].mean(axis=1),
        span=(float(heights.min()), float(heights.max())),
    )
    areas, named = flat_areas(flat), regions_of(panel.stretch.kind)
    zones = shapely.union_all([zone_shape(zone) for zone in piece.untooled])
    inside = shapely.contains_xy(zones, *centres.T)
    sizes = np.bincount(index[inside], areas[inside], minlength=len(named))
    most = [k for k in np.argsort(-sizes, kind="stable")[:TOLD].tolist() if sizes[k] > 0.0]
    return tuple(message("leather.region", side=named[k][0], level=named[k][1]) for k in most)
