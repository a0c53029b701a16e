"""Lines that are drawn on a piece, and what those of them are called that bear a name."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from flatten.findings import Message, message
from flatten.limb.model import Landmark
from flatten.mesh.surface import Floats
from flatten.pattern.added import Added
from flatten.pattern.isoline import isolines
from flatten.pattern.marks import line_region, notches, ring_region, traced
from flatten.pattern.model import Hole, Mark, Skive
from flatten.pattern.outline import Side
from flatten.pattern.overlap import other_edge, upper_edges
from flatten.pattern.path import length
from flatten.unwrap.model import FlatPanel


@dataclass(frozen=True, eq=False)
class Lines:
    """Lines of a piece: those that may give way to its writing (`drawn`), the `notches` where rings meet its sides, the
    edges of `upper` layers as they were traced, polylines (k,2), and what is written beside some of them, a girth's
    ring or a message, and beside those that a skiver goes by."""

    drawn: tuple[Mark, ...]
    notches: tuple[Mark, ...]
    upper: tuple[Floats, ...]
    named: tuple[tuple[Landmark | Message, Mark], ...]
    skived: tuple[tuple[Message, Mark], ...]


def lines_of(
    flats: Sequence[FlatPanel],
    number: int,
    uv: Floats,
    *,
    shape: shapely.Polygon,
    sides: tuple[Side, ...],
    holes: tuple[Hole, ...],
    girths: Sequence[Landmark],
    added: Added,
    skives: Mapping[str, Skive | None],
    symmetrical: bool,
) -> Lines:
    """The lines of the piece of flat panel `number`, whose vertices lie at `uv` (V,2) mm.

    Those are the centre line, girth rings, what upper layers leave bare, what is `added`, and where overlaps are skived
    from, by the seam's name. A `symmetrical` piece's centre line is the one that its halves are mirror images about.
    """
    panel = flats[number].panel
    faces, region = panel.mesh.faces, line_region(shape, holes)
    middle = (_axis(uv),) if symmetrical else isolines(uv, faces, panel.bearings, 0.0)
    edges = upper_edges(flats, number, uv)
    centre, upper = traced("centre line", middle, region), traced("overlap", edges, region)
    marks = [*centre, *upper]
    named: list[tuple[Landmark | Message, Mark]] = []
    named += [(message("piece.centre line"), mark) for mark in _longest(centre)]
    named += [(message("piece.upper edge"), mark) for mark in _longest(upper)]
    for line in added.lines:
        drawn = traced(line.kind, tuple(at.on(uv, faces) for at in line.at), region)
        marks += drawn
        if line.name is not None:
            named += [(line.name, mark) for mark in _longest(drawn)]
    ticks: list[Mark] = []
    skived: list[tuple[Message, Mark]] = []
    rings = ring_region(region, sides)
    for girth in girths:
        lines = isolines(uv, faces, panel.heights, girth.height)
        drawn = traced("girth ring", lines, rings)
        marks += drawn
        # Where a corner is rounded there is no leather for a notch.
        ticks += [mark for mark in notches(lines, sides, holes) if shapely.contains(shape, _line(mark))]
        named += [(girth, mark) for mark in _longest(drawn)]
    for layer, told, mark in _skive_marks(flats, number, uv, skives, region):
        # On a lower layer that line is drawn already: the upper one's edge comes there.
        marks += [mark] if layer == "upper" else []
        skived.append((told, mark))
    return Lines(tuple(marks), tuple(ticks), edges, tuple(named), tuple(skived))


def _skive_marks(
    flats: Sequence[FlatPanel], number: int, uv: Floats, skives: Mapping[str, Skive | None], region: shapely.Geometry
) -> list[tuple[str, Message, Mark]]:
    """The lines from which a piece's overlaps are skived: the layer that it is there, what is said of it, the line."""
    found = []
    for boundary in flats[number].panel.boundaries:
        skive = skives.get(boundary.name) if boundary.layer else None
        if skive is not None:
            told = message("piece.skive", left=skive.left, width=skive.width, layer=boundary.layer)
            lines = traced("skive", other_edge(flats, number, boundary, uv), region)
            found += [(boundary.layer, told, line) for line in lines]
    return found


def _axis(uv: Floats) -> Floats:
    """The line (2,2) about which a symmetrical piece's halves are mirror images, past both its ends."""
    return np.array([[0.0, uv[:, 1].min()], [0.0, uv[:, 1].max()]])


def _longest(marks: Sequence[Mark]) -> list[Mark]:
    """The longest of some marks; none where there are none."""
    return [max(marks, key=lambda mark: length(mark.path))] if marks else []


def _line(mark: Mark) -> shapely.LineString:
    """The points of a mark's path as a line."""
    return shapely.LineString(mark.path.points)
