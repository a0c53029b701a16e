"""What the edges of pieces are given, as findings and numbers: rounded corners."""

from __future__ import annotations

from typing import Any

from flatten.findings import Finding, Place, finding
from flatten.pattern.model import Piece
from flatten.report.model import LimbReport


def edge_findings(limb: LimbReport) -> list[Finding]:
    """Which corners of a limb's pieces are rounded by less than was wanted, or not at all, and what had no room."""
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
    return found


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
