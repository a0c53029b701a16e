"""How figures come about that a maker can do without, for the curious: the report folds them away."""

from __future__ import annotations

import math

from flatten.findings import Message, message
from flatten.leather.tooling import SHARPEST, tooled_limits
from flatten.report.model import JobReport, LimbReport, PanelReport
from flatten.tolerances import EDGE_PREVIEW


def curious_messages(report: JobReport) -> tuple[Message, ...]:
    """What is behind the figures of a job's first limb: how its stretch is averaged, what cannot be beaten, what bends
    add, and by what tooling is judged."""
    limb = report.limbs[0]
    return (message("curious.patches"), message("curious.middle"), *_of_panels(limb), *_tooling(limb))


def _of_panels(limb: LimbReport) -> list[Message]:
    several = len(limb.panels) > 1
    told = []
    for panel, name in zip(limb.panels, limb.names, strict=True):
        piece, kind = name if several else None, limb.limb.kind
        if panel.least_spread is not None:
            told.append(_bound(panel, panel.least_spread, piece=piece))
        where = kind.at(panel.bend.height, panel.bend.bearing)
        told.append(message("curious.bend", piece=piece, where=where, strain=panel.bend.strain))
    return told


def _bound(panel: PanelReport, least: float, *, piece: str | None) -> Message:
    """What no flat piece of a panel can do without, what was reached on its mesh, and what its own piece has: a piece
    is cut as true to the limb as its limits let it, so it may ask for more than could be reached."""
    reached = panel.flat.spread_reachable
    return message(
        "curious.bound",
        piece=piece,
        least=math.expm1(least),
        reached=math.expm1(reached) if math.isfinite(reached) else None,
        spread=math.expm1(panel.stretch.spread),
        edge=EDGE_PREVIEW,
    )


def _tooling(limb: LimbReport) -> list[Message]:
    """By what a place is judged to be no place for tooling, once for each leather."""
    told = []
    for panel, piece in zip(limb.panels, limb.pieces, strict=True):
        if piece.untooled:
            limits = tooled_limits(panel.stretch.limits.in_force)
            told.append(
                message(
                    "curious.tooling",
                    stretch=min(limits.stretch_along, limits.stretch_across),
                    squeeze=min(limits.squeeze_along, limits.squeeze_across),
                    sharpest=SHARPEST * panel.bend.thickness,
                )
            )
    return list(dict.fromkeys(told))
