"""What the edges of pieces are given, as findings and numbers: rounded corners, lines and stitches."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

import shapely

from flatten.findings import Finding, Place, finding
from flatten.pattern.distances import HOLE_FIT
from flatten.pattern.edging import EDGE_LINES, line_distance
from flatten.pattern.hardware import THREAD_TIMES
from flatten.pattern.model import Piece
from flatten.pattern.naming import EDGE_STITCH
from flatten.pattern.outline import FINE
from flatten.pattern.path import length, polyline
from flatten.pattern.rims import spine
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
        found += _gap_findings(piece)
        found += [
            finding(
                "edge.finished",
                "note",
                place=Place(part=one.edge),
                piece=piece.name,
                edge=one.edge,
                turned=one.kind == "turned",
                length=one.length,
                width=one.width,
                thickness=one.thickness,
            )
            for one in piece.finished
        ]
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


def _gap_findings(piece: Piece) -> list[Finding]:
    """Which lines along the edges of a piece have gaps at holes."""
    found = []
    for kind in EDGE_LINES:
        drawn = [shapely.LineString(polyline(mark.path, FINE)) for mark in piece.marks if mark.kind == kind]
        holes = [hole for hole in piece.holes if hole.kind not in ("stitch", "stop")] if drawn else []
        ends = shapely.union_all([line.boundary for line in drawn])
        # A gap ends where the line keeps its distance from the hole and no more.
        gaps = sum(
            bool(abs(shapely.distance(ends, spine(hole)) - line_distance(kind, hole)) < HOLE_FIT) for hole in holes
        )
        if gaps:
            found.append(
                finding("edge.gaps", "note", place=Place(part=piece.name), piece=piece.name, count=gaps, drawn=kind)
            )
    return found


def line_numbers(piece: Piece) -> list[dict[str, Any]]:
    """report.json's `edge_lines` of a piece: the lines along its edges that were asked for, by kind, with their length
    in all, mm."""
    sizes = {kind: [length(mark.path) for mark in piece.marks if mark.kind == kind] for kind in EDGE_LINES}
    return [{"kind": kind, "length": sum(found)} for kind, found in sizes.items() if found]


def finish_numbers(piece: Piece) -> list[dict[str, Any]]:
    """report.json's `finished` of a piece: its edges that are turned or bound, with the strips' sizes, mm."""
    return [asdict(one) for one in piece.finished]


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
