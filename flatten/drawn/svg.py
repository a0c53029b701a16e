"""The lines of an SVG file."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

import numpy as np

from flatten.drawn.model import DEEPEST, MOST_POINTS, MOST_SHAPES, Drawn, DrawnError, DrawnFile, drawn
from flatten.drawn.svg_place import box_matrix, box_of, in_dots, length_and_unit, matrix_of, shift
from flatten.drawn.svg_shapes import shape_lines
from flatten.drawn.svg_tree import INHERITED, Element, svg_root
from flatten.drawn.units import DOT, SVG_UNITS, told_unit
from flatten.mesh.surface import Floats

_SHAPES = ("path", "rect", "circle", "ellipse", "line", "polyline", "polygon")

_GROUPS = ("g", "a", "switch", "svg")

_KINDS = {"text": "text", "image": "image", "foreignObject": "other"}


@dataclass(frozen=True, eq=False)
class _Place:
    """Where an element stands: what carries it to mm, the size of its viewport in its own units, its layer, what it
    inherits, and how deep it lies."""

    matrix: Floats
    width: float
    height: float
    layer: str
    inherited: Mapping[str, str]
    depth: int


class _Reading:
    """A walk over a file's elements; kept because lines, counts and what is left out add up on the way."""

    def __init__(self, by_id: Mapping[str, Element], fine: float, named: Callable[[str, str], str]) -> None:
        self.by_id, self.fine, self.named = by_id, fine, named
        self.lines: list[Drawn] = []
        self.left_out: Counter[str] = Counter()
        self.shapes = self.points = 0

    def walk(self, element: Element, at: _Place) -> None:
        """Take the lines of an element and of all that it shows."""
        style = element.style
        if at.depth > DEEPEST:
            raise DrawnError(f"has groups or symbols more than {DEEPEST} deep inside each other; ungroup them")
        if style.get("display") == "none" or style.get("opacity", "").strip() in ("0", "0.0", "0%"):
            return
        if element.tag in _KINDS:
            self.left_out[_KINDS[element.tag]] += 1
            return
        if element.tag not in (*_SHAPES, *_GROUPS, "use"):
            return
        self.shapes += 1
        if self.shapes > MOST_SHAPES:
            raise DrawnError(f"shows more than {MOST_SHAPES} shapes, symbols counted wherever they stand; simplify it")
        for key, kind in (("clip-path", "clip"), ("mask", "clip")):
            if style.get(key, "none") != "none":
                self.left_out[kind] += 1
        if style.get("transform-origin"):
            raise DrawnError("turns or scales about a transform-origin, which is not read; save it as plain SVG")
        at = replace(
            at,
            matrix=at.matrix @ matrix_of(style.get("transform", "")),
            layer=self.named(at.layer, _name(element)),
            inherited={
                **at.inherited,
                **{key: style[key] for key in INHERITED if style.get(key, "inherit") != "inherit"},
            },
            depth=at.depth + 1,
        )
        if element.tag in _SHAPES:
            self.shape(element, at)
        elif element.tag == "use":
            self.use(element, at)
        else:
            inner = self.viewport(element, element, at) if element.tag == "svg" and at.depth > 1 else at
            for child in element.children:
                self.walk(child, inner)

    def use(self, element: Element, at: _Place) -> None:
        """Take the lines of what a use shows."""
        shown = self.by_id.get(element.own.get("href", "").removeprefix("#"))
        if shown is None or not element.own.get("href", "").startswith("#"):
            self.left_out["other"] += 1
            return
        x, y = (in_dots(element.own.get(key, "0"), whole) for key, whole in (("x", at.width), ("y", at.height)))
        at = replace(at, matrix=at.matrix @ shift(x, y))
        if shown.tag not in ("symbol", "svg"):
            self.walk(shown, at)
            return
        if shown.style.get("display") == "none":
            return
        inner = self.viewport(
            shown, element, replace(at, matrix=at.matrix @ matrix_of(shown.style.get("transform", "")))
        )
        for child in shown.children:
            self.walk(child, inner)

    def viewport(self, element: Element, sized: Element, at: _Place) -> _Place:
        """The place inside a nested svg or a symbol, whose size `sized` may tell."""
        own = element.own
        width, height = (
            in_dots(sized.own.get(key) or own.get(key) or "100%", whole)
            for key, whole in (("width", at.width), ("height", at.height))
        )
        corner = shift(in_dots(own.get("x", "0"), at.width), in_dots(own.get("y", "0"), at.height))
        box = box_of(own.get("viewBox", ""))
        if box is None:
            return replace(at, matrix=at.matrix @ corner, width=width, height=height)
        inside = box_matrix(box, width, height, own.get("preserveAspectRatio", ""))
        return replace(at, matrix=at.matrix @ corner @ inside, width=box[2], height=box[3])

    def shape(self, element: Element, at: _Place) -> None:
        """Take the lines of one shape."""
        if at.inherited.get("visibility", "visible") != "visible":
            return
        stroked = at.inherited.get("stroke", "none") not in ("none", "transparent")
        if not stroked and at.inherited.get("fill", "black") in ("none", "transparent"):
            return
        if not np.isfinite(at.matrix).all():
            raise DrawnError("has a transform whose numbers are not finite; save it again")
        greatest = float(np.linalg.norm(at.matrix[:2, :2], 2))
        if greatest == 0.0:
            return
        for own, closed in shape_lines(element, at.width, at.height, self.fine / greatest):
            # What is not finite is told by the line's check.
            with np.errstate(invalid="ignore", over="ignore"):
                points = own @ at.matrix[:2, :2].T + at.matrix[:2, 2]
            line = drawn(at.layer, points, closed, stroked=stroked)
            if line is not None:
                self.lines.append(line)
                self.points += len(points)
        if self.points > MOST_POINTS:
            raise DrawnError(f"has lines of more than {MOST_POINTS} points; save {{what}} alone in it")


def read_svg(data: bytes, *, unit: str, fine: float, layers: tuple[str, ...] = ()) -> DrawnFile:
    """The lines of an SVG file, hidden ones left out; the origin is that of its numbers, y up.

    A page in mm, cm, in, pt or pc has that size. One in px is of dots, or of `unit`; one without a size is of `unit`.

    Raises DrawnError as `flatten.drawn.read.drawn_file` says.
    """
    root, by_id = svg_root(data)
    box = box_of(root.own.get("viewBox", ""))
    known, matrix, size = _page(root, box, unit)

    def named(layer: str, own: str) -> str:
        return layer if not own or (layers and layer.startswith(layers)) else own

    reading = _Reading(by_id, fine, named)
    up = np.diag([1.0, -1.0, 1.0]) @ matrix
    reading.walk(root, _Place(up, *size, "", {}, 0))
    return DrawnFile(tuple(reading.lines), known, tuple(reading.left_out.items()))


def _page(
    root: Element, box: tuple[float, float, float, float] | None, unit: str
) -> tuple[str, Floats, tuple[float, float]]:
    """What tells the size, the matrix of the page's numbers to mm, y down, and the page's size in its own numbers."""
    given = {key: length_and_unit(root.own[key]) for key in ("width", "height") if root.own.get(key, "auto") != "auto"}
    told = {key: unit_of for key, (_, unit_of) in given.items() if unit_of in SVG_UNITS}
    found = told.get("width", told.get("height"))
    if found is None or (found == "px" and unit != "auto"):
        known, scale = told_unit(found, unit)
        width, height = (
            box[2:] if box else tuple(given[key][0] if key in given else 100.0 for key in ("width", "height"))
        )
        return known, np.diag([scale, scale, 1.0]), (width, height)
    sizes = {key: in_dots(root.own[key], 0.0) for key in told}
    if any(not size > 0.0 for size in sizes.values()):
        raise DrawnError("has a page without size; save it again")
    if box is None:
        return found, np.diag([DOT, DOT, 1.0]), (sizes.get("width", 0.0), sizes.get("height", 0.0))
    # A side that is not told follows the other, as the box is.
    width = sizes.get("width", 0.0) or sizes["height"] * box[2] / box[3]
    height = sizes.get("height", 0.0) or width * box[3] / box[2]
    inside = box_matrix(box, width, height, root.own.get("preserveAspectRatio", ""))
    # The place of the box on the page is let go of: a drawing's origin is that of its numbers.
    inside[:2, 2] = 0.0
    return found, DOT * inside + np.diag([0.0, 0.0, 1.0 - DOT]), box[2:]


def _name(element: Element) -> str:
    """What an editor calls a group or shape: its label, else its id."""
    return (element.own.get("label") or element.own.get("id") or "").upper()
