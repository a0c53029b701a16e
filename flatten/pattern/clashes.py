"""What on a piece lies on something else: texts on holes, lines, the cut line or one another."""

from __future__ import annotations

from dataclasses import dataclass

import shapely

from flatten.pattern.lettering import text_box
from flatten.pattern.model import Piece
from flatten.pattern.outline import shape_of
from flatten.pattern.path import polyline
from flatten.pattern.rims import spine

PEN = 0.25
"""mm. Half the width of the widest line that is drawn, the cut line's."""

_SAGITTA = 0.05
"""mm. Polylines that stand for lines may leave them by this: a tenth of a pen."""


@dataclass(frozen=True)
class Clash:
    """A label whose `text` lies on `what`: "a hole", "the cut line", a mark's kind, or another label's text.

    (x, y) is the middle of where, mm.
    """

    text: str
    what: str
    x: float
    y: float


def clashes(piece: Piece) -> tuple[Clash, ...]:
    """The labels of a piece that lie on anything, or outside its outline; none where all can be read and nothing hides.

    A label counts as the box that its text fills at most, a line as the ink of its pen, a hole as its whole disc.
    """
    boxes = [shapely.Polygon(text_box(label)) for label in piece.labels]
    inside = shapely.buffer(shape_of(piece.outline), -PEN)
    things: list[tuple[str, shapely.Geometry]] = [
        *((mark.kind, shapely.buffer(shapely.LineString(polyline(mark.path, _SAGITTA)), PEN)) for mark in piece.marks),
        *(("a hole", shapely.buffer(spine(hole), 0.5 * hole.diameter)) for hole in piece.holes),
    ]
    tree = shapely.STRtree([shape for _, shape in things])
    found = []
    for i, (label, box) in enumerate(zip(piece.labels, boxes, strict=True)):
        on = [(things[at][0], shapely.intersection(things[at][1], box)) for at in sorted(tree.query(box).tolist())]
        on += [(other.text, shapely.intersection(boxes[j], box)) for j, other in enumerate(piece.labels[:i])]
        on.append(("the cut line", shapely.difference(box, inside)))
        found += [_clash(label.text, what, where) for what, where in on if shapely.area(where) > 0.0]
    return tuple(found)


def _clash(text: str, what: str, where: shapely.Geometry) -> Clash:
    """The clash of a text with something that shares the place `where` with it."""
    middle = shapely.centroid(where)
    return Clash(text, what, float(middle.x), float(middle.y))
