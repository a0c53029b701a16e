"""What a piece's edges are given: rounded corners, and lines at a distance, with their stitches."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from flatten.pattern.corners import Rounded
from flatten.pattern.fastening import Stitching, stitch_distance
from flatten.pattern.finish import RAW, Finish
from flatten.pattern.model import Hole, Mark, Path, PatternError
from flatten.pattern.naming import EDGE_STITCH, holes_called
from flatten.pattern.offsets import inside_lines, parted
from flatten.pattern.outline import FINE, Side
from flatten.pattern.path import along, length, polyline
from flatten.pattern.rims import spine
from flatten.pattern.sizes import flange_of
from flatten.pattern.stitches import stitch_places

USUAL_STITCHES = Stitching()
"""Stitches along edges where nobody says more."""


@dataclass(frozen=True)
class Edging:
    """What the edges of pieces are given. `radius` is that of their corners, mm (0: points); None: the usual one,
    smaller where there is no room for it.

    `bevel`, `border` and `stitch` are how far inside the edges those lines run, mm, 0 for none: how far a beveller
    takes the edge off, where tooling ends, and where a row of stitches runs, with holes as `stitching` has them.
    `finish` tells which edges are turned or bound.
    """

    radius: float | None = None
    bevel: float = 0.0
    border: float = 0.0
    stitch: float = 0.0
    stitching: Stitching = USUAL_STITCHES
    finish: Finish = RAW


USUAL = Edging()
"""What edges are given where nobody says more."""

POINTED = Edging(radius=0.0)
"""Edges as the panels have them, with points for corners."""

LINE_FROM_RIM = 1.0
"""mm from a line along the edges to a hole's rim: a beveller or groover that runs nearer tears it. Common practice."""

LEAST_LEFT = 0.5
"""Share of a line along the edges that gaps at holes must leave: of less, nobody sees that it is one."""

EDGE_LINES = ("bevel line", "border line", "stitch line")
"""The kinds of marks that run along edges."""


def edge_lines(
    sides: tuple[Side, ...], cut: Rounded, edging: Edging, *, shape: shapely.Polygon, closed: frozenset[str]
) -> tuple[Mark, ...]:
    """The lines along the edges of a piece that lie open when it is worn, each an exact offset of them.

    No line runs along sides that are `closed` edge to edge or lie beneath other leather, and no stitches along a side
    that has stitches of its seam already.
    """
    marks = []
    for kind, distance in zip(EDGE_LINES, (edging.bevel, edging.border, edging.stitch), strict=True):
        if distance:
            open_sides = [_lies_open(side, closed, stitched=kind == "stitch line") for side in sides]
            marks += [Mark(kind, line) for line in inside_lines(_rim(cut, open_sides), distance, shape=shape)]
    return tuple(marks)


def edge_stitches(lines: Sequence[Mark], edging: Edging, holes: Sequence[Hole]) -> tuple[Hole, ...]:
    """The holes of the stitch lines among `lines`, a full pitch or more from the other `holes` of the piece."""
    stitching = edging.stitching
    away = [stitch_distance(hole.kind, hole.diameter) for hole in holes]
    return tuple(
        Hole(float(x), float(y), stitching.diameter, "stitch", "edge", EDGE_STITCH)
        for mark in lines
        if mark.kind == "stitch line"
        for x, y in along(mark.path, stitch_places(mark.path, stitching.pitch, holes, away))[0]
    )


def parted_lines(lines: Sequence[Mark], holes: Sequence[Hole], *, name: str) -> tuple[Mark, ...]:
    """The lines along the edges of the piece `name`, each with gaps where it would be too near to one of its holes.

    Stitch holes lie on their own lines, and a line that runs to a stitched seam crosses its row.

    Raises PatternError, with the line and the hole that is nearest, where less than LEAST_LEFT of a kind is left.
    """
    others = [hole for hole in holes if hole.kind not in ("stitch", "stop")]
    if not others:
        return tuple(lines)
    found = []
    for kind in dict.fromkeys(mark.kind for mark in lines):
        whole = [mark.path for mark in lines if mark.kind == kind]
        away = [line_distance(kind, hole) for hole in others]
        parts = [part for path in whole for part in parted(path, [spine(hole) for hole in others], away)]
        if sum(map(length, parts)) < LEAST_LEFT * sum(map(length, whole)):
            raise _hardly_left(kind, whole, others, holes, name)
        found += [Mark(kind, part) for part in parts]
    return tuple(found)


def line_distance(kind: str, hole: Hole) -> float:
    """Least distance from a line of a kind along the edges to a hole's centre, mm: LINE_FROM_RIM from its rim.

    A border keeps that from what is set into the hole, too, which would cover it.
    """
    flange = flange_of(hole.kind, hole.diameter) if kind == "border line" else 0.0
    return 0.5 * max(hole.diameter, flange) + LINE_FROM_RIM


def _hardly_left(
    kind: str, whole: Sequence[Path], others: Sequence[Hole], holes: Sequence[Hole], name: str
) -> PatternError:
    """The error that names a line of which holes leave hardly anything, and the hole that is nearest to it."""
    drawn = shapely.union_all([shapely.LineString(polyline(path, FINE)) for path in whole])
    room = [float(shapely.distance(drawn, spine(hole))) - line_distance(kind, hole) for hole in others]
    nearest = others[int(np.argmin(room))]
    called = holes_called(holes)[list(holes).index(nearest)]
    return PatternError(
        f"the {kind} and {called} of piece '{name}', near ({nearest.x:.0f}, {nearest.y:.0f}) mm, are "
        f"{max(min(room) + LINE_FROM_RIM, 0.0):.1f} mm apart, wanted {LINE_FROM_RIM:.1f} mm, and with gaps at all such "
        f"holes less than {LEAST_LEFT:.0%} of the line is left: draw it nearer to the edge or further from it, under "
        "[edges] lines"
    )


def _lies_open(side: Side, closed: frozenset[str], *, stitched: bool) -> bool:
    if side.kind == "edge":
        return True
    return side.name not in closed and side.layer != "lower" and not (stitched and side.kind == "stitched")


def _rim(cut: Rounded, open_sides: Sequence[bool]) -> list[tuple[Path, bool]]:
    """The parts of an outline in turn, and whether a line runs along each: along an arc where it does on both sides."""
    found = []
    for k, (path, arc) in enumerate(zip(cut.sides, cut.arcs, strict=True)):
        found.append((path, open_sides[k]))
        if arc is not None:
            found.append((arc, open_sides[k] and open_sides[(k + 1) % len(open_sides)]))
    return found
