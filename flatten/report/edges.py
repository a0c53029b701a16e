"""What the edges of pieces are given, as findings and numbers: rounded corners, lines and stitches."""

from __future__ import annotations

from typing import Any

from flatten.findings import Finding, Place, finding
from flatten.pattern.edging import EDGE_LINES
from flatten.pattern.hardware import THREAD_TIMES
from flatten.pattern.model import Piece
from flatten.pattern.naming import EDGE_STITCH
from flatten.pattern.path import length
from flatten.report.model import LimbReport


def edge_findings(limb: LimbReport) -> list[Finding]:
    """Which corners of a limb's pieces are rounded by less than was wanted, and what had no room; stitches of edges."""
    found = []
    for piece in limb.pieces:
        smaller = [corner for corner in piece.corners if corner.radius < corner.wanted]
        for kept_by in dict.fromkeys(corner.kept_by for corner in smaller):
            radii = [corner.radius for corner in smaller if corner.kept_by == kept_by]
            found.append(
                finding(
                    "edge.smaller corners",
                    "note",
                    place=Place(part=piece.name),
                    piece=piece.name,
                    count=len(radii),
                    least=min(radii),
                    most=max(radii),
                    wanted=smaller[0].wanted,
                    kept_by=kept_by,
                )
            )
        stitches = sum(hole.side == EDGE_STITCH for hole in piece.holes)
        if stitches:
            run = sum(length(mark.path) for mark in piece.marks if mark.kind == "stitch line")
            found.append(
                finding(
                    "edge.stitches",
                    "note",
                    place=Place(part=piece.name),
                    piece=piece.name,
                    count=stitches,
                    length=run,
                    thread=THREAD_TIMES * run,
                )
            )
    return found


def line_numbers(piece: Piece) -> list[dict[str, Any]]:
    """report.json's `edge_lines` of a piece: the lines along its edges that were asked for, by kind, with their length
    in all, mm."""
    sizes = {kind: [length(mark.path) for mark in piece.marks if mark.kind == kind] for kind in EDGE_LINES}
    return [{"kind": kind, "length": sum(found)} for kind, found in sizes.items() if found]


def corner_numbers(piece: Piece) -> list[dict[str, Any]]:
    """report.json's `corners` of a piece: where each would be a point, the sides that meet there, and its radius."""
    return [
        {
            "x": corner.x,
            "y": corner.y,
            "between": [corner.before[1], corner.after[1]],
            "turn": corner.turn,
            "radius": corner.radius,
            "wanted": corner.wanted,
        }
        for corner in piece.corners
    ]
