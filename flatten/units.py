"""Text to millimetres and radians and back: the only place where units are converted."""

import math
import re
from collections.abc import Iterable

from flatten.errors import CalfskinError

MM_PER_UNIT = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": 25.4}
"""mm in one of each length unit that a scan or a length text may name."""

NO_UNIT = "none"
"""The unit of a scan that has no size of its own, as photogrammetry gives it: its numbers count as mm until a tape
tells their size."""


_TENTHS_PER_OZ = 254.0
_OUNCES_PER_INCH = 64.0
"""An ounce of leather thickness is 1/64 in, 25.4/64 mm. Common practice. Whole ounces times whole tenths of a mm round
once, so that "6 oz" is 2.38125 mm and reads so."""

_LENGTH = re.compile(r"\s*([+-]?(?:\d+(?:\.\d*)?|\.\d+))\s*([A-Za-z\"]*)\s*$")
_FRACTION = re.compile(r"\s*(?:(\d+)[\s-]+)?(\d+)/([1-9]\d*)\s*(in|inch|inches|\")\s*$", re.IGNORECASE)
_RANGE = re.compile(r"\s*(\d+(?:\.\d+)?)\s*[-–/]\s*(\d+(?:\.\d+)?)\s*oz\s*$", re.IGNORECASE)
_COMMA = re.compile(r"\s*[+-]?\d+,\d+\s*[A-Za-z\"]*\s*$")
_ALIASES = {"": "mm", '"': "in", "inch": "in", "inches": "in"}


class UnitError(CalfskinError, ValueError):
    """A text that should be a length or an angle is not one."""


def unit_mm(unit: str) -> float:
    """mm in one of a scan's unit; 1 where it has none."""
    return 1.0 if unit == NO_UNIT else MM_PER_UNIT[unit]


def length(text: str | float | int, *, ounces: bool = False) -> float:
    """Millimetres of a length such as "3 mm", "1.2 cm", "0.5in", "13 3/8 in" or a bare number (mm).

    With `ounces`, "8 oz" is read as a leather thickness of 8/64 in.

    Raises UnitError where the text is no finite number followed by a known unit.
    """
    wanted = "a number with mm, cm, m, in" + (" or oz" if ounces else "")
    if isinstance(text, bool) or not isinstance(text, str | float | int):
        raise UnitError(f"{text!r} is not a length; write {wanted}, such as '3 mm'")
    if not isinstance(text, str):
        if not math.isfinite(text):
            raise UnitError(f"{text} is not a length; write {wanted}, such as '3 mm'")
        return float(text)
    fraction = _FRACTION.match(text)
    if fraction:
        whole, part, parts = (int(number or 0) for number in fraction.groups()[:3])
        return (whole + part / parts) * MM_PER_UNIT["in"]
    found = _LENGTH.match(text)
    if not found:
        raise UnitError(_no_length(text, wanted))
    unit = _ALIASES.get(found[2].lower(), found[2].lower())
    if unit == "oz" and ounces:
        return float(found[1]) * _TENTHS_PER_OZ / (10.0 * _OUNCES_PER_INCH)
    if unit not in MM_PER_UNIT:
        raise UnitError(f"'{text}' has the unknown unit '{found[2]}'; write {wanted}")
    return float(found[1]) * MM_PER_UNIT[unit]


def _no_length(text: str, wanted: str) -> str:
    """Why a text is no length: shops name leather by a range of ounces, and half the world writes a decimal comma."""
    span = _RANGE.match(text)
    if span:
        middle = (float(span[1]) + float(span[2])) / 2
        return f"'{text}' is no single length; measure it, or write the middle: '{middle:g} oz'"
    if _COMMA.match(text):
        return f"'{text}' is not a length; write its decimals after a point: '{text.strip().replace(',', '.')}'"
    return f"'{text}' is not a length; write {wanted}, such as '3 mm'"


def place_text(place: Iterable[float], *, unit: float) -> str:
    """A place (x, y, z) mm in a unit of so many mm, as a job file takes it: "[0.12, 0.4, 1.1]"."""
    return f"[{', '.join(f'{value / unit:.4g}' for value in place)}]"


def inches(mm: float) -> float:
    """Inches in a length of millimetres."""
    return mm / 25.4


def ounces(mm: float) -> float:
    """Ounces of leather thickness, of 1/64 in each, in a length of millimetres."""
    return mm / 25.4 * _OUNCES_PER_INCH


def square_feet(mm2: float) -> float:
    """Square feet in an area of square millimetres (1 sq ft = 0.09290304 m² exactly)."""
    return mm2 / 92903.04


def share_text(share: float, digits: int = 0) -> str:
    """A share as a percentage with so many decimals: "12 %"."""
    return f"{100 * share:.{digits}f} %"
