"""Where SVG puts things: lengths, transforms and view boxes, as matrices."""

from __future__ import annotations

import math
import re

import numpy as np

from flatten.drawn.model import DrawnError
from flatten.drawn.units import SVG_UNITS
from flatten.mesh.surface import Floats

_NUMBER = r"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?"
_LENGTH = re.compile(rf"\s*({_NUMBER})\s*([A-Za-z%]*)\s*$")
_CALL = re.compile(r"\s*,?\s*([A-Za-z]+)\s*\(([^()]*)\)")
_PART = re.compile(rf"\s*,?\s*({_NUMBER})(deg|rad|px)?")


def length_and_unit(text: str) -> tuple[float, str]:
    """The number and the unit, in small letters, of a length such as "12.5mm"; "" where it has none.

    Raises DrawnError where it is no length.
    """
    found = _LENGTH.match(text)
    if not found:
        raise DrawnError(f"has the length '{text[:40]}', which cannot be read; save it as plain SVG")
    return float(found[1]), found[2].lower()


def in_dots(text: str, whole: float) -> float:
    """A length in dots of 1/96 in; a percentage is of `whole`.

    Raises DrawnError where it is no length, or in a unit of type or of the window.
    """
    number, unit = length_and_unit(text)
    if unit == "":
        return number
    if unit == "%":
        return number * whole / 100.0
    if unit not in SVG_UNITS:
        raise DrawnError(f"has a length in '{unit}', which has no size of its own; save it as plain SVG in mm")
    return number * SVG_UNITS[unit] / SVG_UNITS["px"]


def matrix_of(text: str) -> Floats:
    """The matrix (3,3) of a transform such as "translate(3 4) rotate(30)" (SVG 1.1, section 7.6).

    Raises DrawnError where it cannot be read.
    """
    whole, at = np.eye(3), 0
    if text.strip().lower() == "none":
        return whole
    while text[at:].strip():
        call = _CALL.match(text, at)
        if not call:
            raise DrawnError(f"has the transform '{text[:60]}', which cannot be read; save it as plain SVG")
        whole = whole @ _single(call[1], call[2])
        at = call.end()
    return whole


def _single(name: str, inside: str) -> Floats:
    numbers, at = [], 0
    while inside[at:].strip():
        part = _PART.match(inside, at)
        if not part:
            raise DrawnError(f"has the transform '{name}({inside[:40]})', which cannot be read; save it as plain SVG")
        numbers.append(math.degrees(float(part[1])) if part[2] == "rad" else float(part[1]))
        at = part.end()
    kind, count = name.lower(), len(numbers)
    if kind == "matrix" and count == 6:
        a, b, c, d, e, f = numbers
        return np.array([[a, c, e], [b, d, f], [0.0, 0.0, 1.0]])
    if kind in ("translate", "translatex", "translatey") and count in (1, 2):
        x, y = (0.0, numbers[0]) if kind == "translatey" else (numbers[0], numbers[1] if count == 2 else 0.0)
        return shift(x, y)
    if kind in ("scale", "scalex", "scaley") and count in (1, 2):
        both = {"scale": (numbers[0], numbers[-1]), "scalex": (numbers[0], 1.0), "scaley": (1.0, numbers[0])}
        return np.diag([*both[kind], 1.0])
    if kind == "rotate" and count in (1, 3):
        turn = math.radians(numbers[0])
        cos, sin = math.cos(turn), math.sin(turn)
        about = shift(*numbers[1:]) if count == 3 else np.eye(3)
        turned: Floats = about @ np.array([[cos, -sin, 0.0], [sin, cos, 0.0], [0.0, 0.0, 1.0]]) @ np.linalg.inv(about)
        return turned
    if kind in ("skewx", "skewy") and count == 1:
        skewed = np.eye(3)
        skewed[(0, 1) if kind == "skewx" else (1, 0)] = math.tan(math.radians(numbers[0]))
        return skewed
    raise DrawnError(f"has the transform '{name}' with {count} numbers, which is none; save it as plain SVG")


def shift(x: float, y: float) -> Floats:
    """The matrix (3,3) of a translation."""
    return np.array([[1.0, 0.0, x], [0.0, 1.0, y], [0.0, 0.0, 1.0]])


def box_of(text: str) -> tuple[float, float, float, float] | None:
    """The view box (x, y, width, height), None where there is none.

    Raises DrawnError where it is not four numbers, or has no area.
    """
    if not text.strip():
        return None
    numbers = [float(number) for number in re.findall(_NUMBER, text)]
    if len(numbers) != 4 or not (numbers[2] > 0.0 and numbers[3] > 0.0):
        raise DrawnError(f"has the view box '{text[:60]}', which is none; save it as plain SVG")
    return numbers[0], numbers[1], numbers[2], numbers[3]


def box_matrix(box: tuple[float, float, float, float], width: float, height: float, aspect: str) -> Floats:
    """The matrix (3,3) that lays a view box in an area of width and height whose corner is the origin (SVG 2, section
    8.2); `aspect` is its preserveAspectRatio, "" for "xMidYMid meet".

    Raises DrawnError where that is none.
    """
    x, y, wide, high = box
    words = [word for word in aspect.split() if word != "defer"] or ["xMidYMid"]
    align, slicing = words[0], words[1:] == ["slice"]
    across, down = width / wide, height / high
    if align == "none":
        return np.diag([across, down, 1.0]) @ shift(-x, -y)
    scale = max(across, down) if slicing else min(across, down)
    share = {"min": 0.0, "mid": 0.5, "max": 1.0}
    found = re.fullmatch(r"x(M\w\w)Y(M\w\w)", align)
    if not found or not {found[1].lower(), found[2].lower()} <= share.keys():
        raise DrawnError(f"has the preserveAspectRatio '{aspect[:40]}', which is none; save it as plain SVG")
    right = (width - scale * wide) * share[found[1].lower()]
    below = (height - scale * high) * share[found[2].lower()]
    return shift(right, below) @ np.diag([scale, scale, 1.0]) @ shift(-x, -y)
