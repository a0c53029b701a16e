"""A drawing's file becomes strands: lines whose ends meet are one strand, a line drawn twice is one line."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import shapely

from flatten.drawn.model import Drawn, DrawnError, DrawnFile
from flatten.drawn.read import drawn_file
from flatten.findings import Finding, finding
from flatten.mesh.surface import Floats, frozen
from flatten.ornament.chaining import both_ways, chained, groups, straightest
from flatten.ornament.model import OrnamentError, Strand
from flatten.threads import one_thread

FINE = 0.02
"""mm. Chords of drawn curves leave them by no more: a tenth of what a knife shows."""

JOINED = 0.1
"""mm. Ends of drawn lines that are no further apart are one point, and lines that are no further apart all along are
one line: a third of a knife's cut, and more than any program rounds by."""

LONGEST = 3000.0
"""mm. Greatest extent of a drawing for a piece of armour: beyond, its unit is wrong."""

SMALLEST = 5.0
"""mm. Least extent of a drawing: below, its unit is wrong."""

_FRAME = "FRAME"
_CENTRE = ("CENTRE", "CENTER")

_SHEET = ("CUT", "HOLES", "SLIT", "FOLD", "GRID", "COUNT", "MARK", "TEXT")
"""Layers of a field's sheet that its own lines are on, beside CENTRE; one with GRID and COUNT is such a sheet."""


@dataclass(frozen=True, eq=False)
class Brought:
    """What a drawing's file holds, mm, y up.

    `strands`: closed lines first, each in the order drawn; `frame` (n,2) is the closed line on a layer FRAME,
    counter-clockwise, `centre` (2,2) the line on a layer CENTRE, lower end first; None where there is none. It was
    drawn in a field's `sheet` where that line is a field's own, of several the one that lies nearest to the strands.
    """

    strands: tuple[Strand, ...]
    frame: Floats | None
    centre: Floats | None
    findings: tuple[Finding, ...]
    sheet: bool = False

    def __post_init__(self) -> None:
        """Freeze the arrays."""
        for key in ("frame", "centre"):
            if getattr(self, key) is not None:
                object.__setattr__(self, key, frozen(getattr(self, key)))


_OF_GRID = ("GRID", "COUNT")


def _read(path: Path, unit: str, layers: tuple[str, ...]) -> DrawnFile:
    return drawn_file(path, what="the ornament's drawing", fine=FINE, unit=unit, layers=layers)


DENSE = 0.05
"""mm. Points of a strand that lie nearer together than this on average are thinned: no pen draws so."""

OFF_BY = 0.002
"""mm by which a thinned strand may lie off the drawn one: a tenth of what a sheet comes back by."""


@one_thread
def brought(path: Path, *, unit: str = "auto") -> Brought:
    """The strands of an SVG or DXF file; `unit` is what its numbers are in ("mm", "cm", "m", "in", "px"), "auto": as
    the file says.

    Where some lines have a stroke, those that only fill an area are left out, and of a field's sheet its own lines.
    Raises OrnamentError where the file
    cannot be read, does not say its unit, holds no line, or is of a size that is no ornament's.
    """
    try:
        read = _read(path, unit, (_FRAME, *_CENTRE, *_OF_GRID))
        sheet = all(any(line.layer.startswith(name) for line in read.lines) for name in _OF_GRID)
        # Layers of these names are a sheet's only there: in a drawing of one's own they are strands.
        read = _read(path, unit, (_FRAME, *_CENTRE, *(_SHEET if sheet else ())))
    except DrawnError as error:
        raise OrnamentError(str(error)) from None
    stroked = [line for line in read.lines if line.stroked and len(line.points) > 1]
    lines = stroked or [line for line in read.lines if len(line.points) > 1]
    plain = [line for line in lines if not line.layer.startswith((_FRAME, *_CENTRE))]
    if sheet:
        lines = [line for line in lines if not line.layer.startswith(_SHEET)]
        plain = [line for line in plain if not line.layer.startswith(_SHEET)]
    if not plain and sheet:
        raise OrnamentError(
            f"{path.name} has no lines but those of the field's sheet; draw the middle lines of the strands in it, on "
            "a layer of their own"
        )
    if not plain:
        raise OrnamentError(
            f"{path.name} has no lines; draw the middle lines of the strands in it, and save them as lines"
        )
    _check_size(plain, path.name)
    single, twice = _without_copies(plain)
    strands = tuple(_thinned(strand) for strand in strands_of(single))
    filled = sum(len(line.points) > 1 for line in read.lines) - len(lines)
    return Brought(
        strands,
        _frame(lines, path.name),
        _centre(_nearest(lines, strands) if sheet else lines, path.name),
        (*_told(read, twice, filled), *_sizes(strands)),
        sheet,
    )


def strands_of(lines: Sequence[Drawn]) -> tuple[Strand, ...]:
    """The strands that drawn lines make: ends no further apart than JOINED are one point, in their middle, and where
    more than two meet the straightest ways go on."""
    closed = [Strand(line.points, closed=True) for line in lines if line.closed]
    open_lines = [np.array(line.points) for line in lines if not line.closed]
    ends = [(number, end) for number in range(len(open_lines)) for end in (0, -1)]
    pairs = []
    for group in groups(np.array([open_lines[number][end] for number, end in ends]).reshape(-1, 2), JOINED):
        met = [ends[at] for at in group]
        # A line shorter than JOINED would be a point.
        if len(met) < 2 or (len({number for number, _ in met}) == 1 and len(open_lines[met[0][0]]) < 4):
            continue
        middle = np.mean([open_lines[number][end] for number, end in met], axis=0)
        pairs += straightest(met, open_lines)
        for number, end in met:
            open_lines[number][end] = middle
    return (*closed, *chained(open_lines, both_ways(pairs)))


def _without_copies(lines: Sequence[Drawn]) -> tuple[list[Drawn], int]:
    """The lines, each but once, and how many were left out: what lies within JOINED of an earlier one all along."""
    shapes = [shapely.LinearRing(line.points) if line.closed else shapely.LineString(line.points) for line in lines]
    tree = shapely.STRtree(shapes)
    lengths = shapely.length(shapes)
    kept: list[int] = []
    dropped: set[int] = set()
    for number, shape in enumerate(shapes):
        if number in dropped:
            continue
        kept.append(number)
        near = tree.query(shape.buffer(JOINED, quad_segs=2) if len(shapes) < 500 else shape, predicate="intersects")
        for other in sorted(near.tolist()):
            if other <= number or other in dropped or abs(lengths[other] - lengths[number]) > 0.01 * lengths[number]:
                continue
            if shapely.hausdorff_distance(shape, shapes[other]) <= JOINED:
                dropped.add(other)
    return [lines[number] for number in kept], len(dropped)


def _check_size(lines: Sequence[Drawn], name: str) -> None:
    every = np.concatenate([line.points for line in lines])
    size = np.ptp(every, axis=0)
    if not SMALLEST <= size.max() <= LONGEST:
        raise OrnamentError(
            f"the drawing in {name} is {size[0]:.4g} × {size[1]:.4g} mm, which is no ornament's; draw it true to size, "
            "or say with unit what its numbers are in"
        )


def _frame(lines: Sequence[Drawn], name: str) -> Floats | None:
    found = [line for line in lines if line.layer.startswith(_FRAME)]
    if not found:
        return None
    closed = [strand for strand in strands_of(found) if strand.closed]
    if len(closed) != 1 or not shapely.Polygon(closed[0].points).is_valid:
        raise OrnamentError(
            f"{name} has {len(closed)} closed lines on its layer FRAME that do not cross themselves; draw one, round "
            "the space that the drawing is for"
        )
    points = closed[0].points
    return points if shapely.is_ccw(shapely.LinearRing(points)) else points[::-1]


def _nearest(lines: Sequence[Drawn], strands: Sequence[Strand]) -> list[Drawn]:
    """Of the centre lines of a sheet with several fields the one nearest to the strands' middle."""
    found = [line for line in lines if line.layer.startswith(_CENTRE)]
    middle = shapely.MultiPoint(np.concatenate([strand.points for strand in strands])).envelope.centroid
    return sorted(found, key=lambda line: float(shapely.distance(shapely.LineString(line.points), middle)))[:1]


def _centre(lines: Sequence[Drawn], name: str) -> Floats | None:
    found = [line for line in lines if line.layer.startswith(_CENTRE)]
    if not found:
        return None
    ends = found[0].points[[0, -1]]
    along = ends[1] - ends[0]
    off = np.abs((found[0].points - ends[0]) @ np.array([-along[1], along[0]])) / max(float(np.hypot(*along)), JOINED)
    if len(found) > 1 or found[0].closed or np.hypot(*along) < SMALLEST or off.max() > JOINED:
        raise OrnamentError(f"{name} has no single straight line on its layer CENTRE; draw the centre line alone on it")
    return ends if ends[1, 1] > ends[0, 1] else ends[::-1]


def _told(read: DrawnFile, twice: int, filled: int) -> list[Finding]:
    told = []
    if read.unit == "px":
        told.append(finding("bring.dots", "look"))
    for kind, count in read.left_out:
        told.append(finding("bring.left_out", "note", left_out=kind, count=count))
    if twice:
        told.append(finding("bring.twice", "note", count=twice))
    if filled:
        told.append(finding("bring.filled", "note", count=filled))
    return told


def _sizes(strands: Sequence[Strand]) -> tuple[Finding, ...]:
    every = np.concatenate([strand.points for strand in strands])
    width, height = (float(side) for side in np.ptp(every, axis=0))
    return (finding("bring.size", "note", strands=len(strands), width=width, height=height),)


def _thinned(strand: Strand) -> Strand:
    """The strand with fewer points where they lie denser than any pen draws."""
    line = shapely.LinearRing(strand.points) if strand.closed else shapely.LineString(strand.points)
    if shapely.length(line) > DENSE * len(strand.points):
        return strand
    points = shapely.get_coordinates(shapely.simplify(line, OFF_BY))
    return Strand(points[:-1] if strand.closed else points, strand.closed)
