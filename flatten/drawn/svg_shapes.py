"""Points along SVG's shapes and paths, in their own coordinates."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from typing import Any

import numpy as np

from flatten.drawn.curves import arc_angles, bezier_points
from flatten.drawn.model import MOST_POINTS, DrawnError
from flatten.drawn.svg_place import in_dots
from flatten.drawn.svg_tree import Element
from flatten.mesh.surface import Floats

Lines = list[tuple[Floats, bool]]

_NUMBER = re.compile(r"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?")


def shape_lines(element: Element, width: float, height: float, fine: float) -> Lines:
    """The lines of a shape: points (n,2) in its own coordinates, and whether each is closed; percentages are of the
    viewport's width and height, and chords leave curves by `fine` at most.

    Raises DrawnError where the shape cannot be read.
    """
    diagonal = math.hypot(width, height) / math.sqrt(2.0)

    def own(key: str, whole: float) -> float:
        # SVG 2 lets style set a shape's geometry; "auto" is what is not told.
        text = element.style.get(key, "0")
        return 0.0 if text == "auto" else in_dots(text, whole)

    tag = element.tag
    if tag == "path":
        return path_lines(element.style.get("d", ""), fine)
    if tag == "line":
        return [(np.array([[own("x1", width), own("y1", height)], [own("x2", width), own("y2", height)]]), False)]
    if tag in ("polyline", "polygon"):
        numbers = np.array([float(number) for number in _NUMBER.findall(element.own.get("points", ""))])
        return [(numbers[: len(numbers) // 2 * 2].reshape(-1, 2), tag == "polygon")] if len(numbers) > 3 else []
    if tag == "rect":
        return _rectangle(element, own("x", width), own("y", height), own("width", width), own("height", height), fine)
    if tag == "circle":
        across = down = own("r", diagonal)
    else:
        across, down = own("rx", width), own("ry", height)
        # SVG 2: a radius that is not told is the other.
        across = across if "rx" in element.style else down
        down = down if "ry" in element.style else across
    if not (across > 0.0 and down > 0.0):
        return []
    middle = np.array([own("cx", width), own("cy", height)])
    return [(middle + _ellipse(across, down, 0.0, 2.0 * math.pi, fine), True)]


def _ellipse(across: float, down: float, start: float, sweep: float, fine: float) -> Floats:
    """Points (n,2) on an ellipse about the origin, both ends among them: chords leave it by less than those of the
    circle of its greater radius, of which it is the image under a map that shrinks."""
    at = start + np.concatenate([[0.0], arc_angles(max(across, down), sweep, fine)])
    return np.column_stack([across * np.cos(at), down * np.sin(at)])


def _rectangle(element: Element, x: float, y: float, wide: float, high: float, fine: float) -> Lines:
    if not (wide > 0.0 and high > 0.0):
        return []
    radii = [element.style.get(key, "auto") for key in ("rx", "ry")]
    known = [None if text == "auto" else in_dots(text, whole) for text, whole in zip(radii, (wide, high), strict=True)]
    across, down = (value if value is not None else other for value, other in (known, known[::-1]))
    across, down = min(max(across or 0.0, 0.0), wide / 2.0), min(max(down or 0.0, 0.0), high / 2.0)
    corners = np.array([[x + wide, y], [x + wide, y + high], [x, y + high], [x, y]])
    if across == 0.0 or down == 0.0:
        return [(corners, True)]
    signs = np.array([[-1.0, 1.0], [-1.0, -1.0], [1.0, -1.0], [1.0, 1.0]])
    quarters = [
        corner + sign * (across, down) + _ellipse(across, down, (k - 1) * math.pi / 2.0, math.pi / 2.0, fine)
        for k, (corner, sign) in enumerate(zip(corners, signs, strict=True))
    ]
    return [(np.concatenate(quarters), True)]


def path_lines(data: str, fine: float) -> Lines:
    """The lines of a path's data, one of each part that begins with a move.

    Raises DrawnError where the data cannot be read.
    """
    # Loaded here: only who has such a file needs it.
    import svgelements

    if len(data) > 16 * MOST_POINTS:
        raise DrawnError("has a path that is too long to be read; save {what} alone in it")
    try:
        path = svgelements.Path(data)
        lines: Lines = []
        for part in path.as_subpaths():
            segments = list(part)
            # What is not finite is told by the line's check.
            with np.errstate(invalid="ignore", over="ignore"):
                points = np.concatenate([np.zeros((0, 2)), *(_segment(one, fine) for one in segments)])
            closed = isinstance(segments[-1], svgelements.Close) if segments else False
            lines.append((points, closed or _meet(points)))
    except (ValueError, TypeError, AttributeError, KeyError, IndexError, ArithmeticError) as error:
        if isinstance(error, DrawnError):
            raise
        raise DrawnError(f"has the path '{data[:40]}', which cannot be read; save it again") from None
    return [(points, closed) for points, closed in lines if len(points) > 1]


def _segment(segment: Any, fine: float) -> Floats:
    """Points (n,2) of one part of a path after its start; of a move its end."""
    import svgelements

    if isinstance(segment, svgelements.CubicBezier):
        return bezier_points(_array([segment.start, segment.control1, segment.control2, segment.end]), fine)
    if isinstance(segment, svgelements.QuadraticBezier):
        return bezier_points(_array([segment.start, segment.control, segment.end]), fine)
    if isinstance(segment, svgelements.Arc) and segment.sweep:
        radius, sweep = max(abs(float(segment.rx)), abs(float(segment.ry))), float(segment.sweep)
        shares = arc_angles(radius, sweep, fine) / sweep
        points = _array([segment.point(float(share)) for share in shares])
        points[-1] = _array([segment.end])
        return points
    return _array([segment.end]) if segment.end is not None else np.zeros((0, 2))


def _meet(points: Floats) -> bool:
    return len(points) > 2 and bool(np.hypot(*(points[0] - points[-1])) <= 1e-9 * (1.0 + np.abs(points[0]).max()))


def _array(points: Sequence[Any]) -> Floats:
    return np.array([(float(point.x), float(point.y)) for point in points])
