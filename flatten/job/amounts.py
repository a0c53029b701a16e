"""The lengths and numbers of a job file: read with their bounds, lengths written as text again."""

from __future__ import annotations

import math
from typing import Annotated, Any

from pydantic import BeforeValidator, Field, PlainSerializer, PlainValidator

from flatten.units import length


def is_number(value: Any) -> bool:
    """Whether a TOML value is a finite number."""
    return isinstance(value, int | float) and not isinstance(value, bool) and math.isfinite(value)


def length_text(mm: float | str | None) -> str:
    """The text that reads as this length again: "3 mm"; "auto" for None; a name as it is."""
    if mm is None:
        return "auto"
    if isinstance(mm, str):
        return mm
    return f"{mm:.0f} mm" if mm == round(mm) else f"{mm!r} mm"


def along_text(value: Any) -> Any:
    """[bearing in degrees, height] points with their heights as text; anything else as it is."""
    return [[bearing, length_text(mm)] for bearing, mm in value] if isinstance(value, tuple) else value


def _within(low: float, high: float, *, ounces: bool = False, word: str | None = None) -> BeforeValidator:
    """A length between two bounds (mm); `word` stands for None."""

    def parse(value: Any) -> float | None:
        if word is not None and value in (word, None):
            return None
        mm = length(value, ounces=ounces)
        if not low <= mm <= high:
            raise ValueError(f"'{value}' is outside {low:g} to {high:g} mm")
        return mm

    return BeforeValidator(parse)


AsText = PlainSerializer(length_text)
Height = Annotated[float | None, _within(-1000.0, 1500.0, word="auto"), AsText]
"""mm above the limb's height 0, or None for "auto"."""

Amount = Annotated[float, _within(0.0, 100.0), AsText]
"""mm between 0 and 100: padding, ease."""

Fall = Annotated[float | None, _within(1.0, 200.0, word="auto"), AsText]
FlareDepth = Annotated[float, _within(10.0, 80.0), AsText]
Opening = Annotated[float, _within(0.0, 200.0), AsText]
Overlap = Annotated[float | None, _within(0.0, 100.0, word="auto"), AsText]
DartDepth = Annotated[float, _within(15.0, 400.0), AsText]
Diameter = Annotated[float, _within(1.0, 20.0), AsText]
Pitch = Annotated[float | None, _within(10.0, 300.0, word="auto"), AsText]


def _number(value: Any) -> int | None:
    if value in ("auto", None):
        return None
    if not isinstance(value, int) or isinstance(value, bool) or not 2 <= value <= MOST_STRAPS:
        raise ValueError(f"it must be 'auto' or a whole number from 2 to {MOST_STRAPS}: one strap lets a piece turn")
    return value


def _heights(value: Any) -> tuple[float, ...]:
    found = tuple(sorted(length(height) for height in value)) if isinstance(value, list | tuple) else (0.0,)
    if len(found) == 1:
        raise ValueError("it must be two heights or more, such as ['60 mm', '220 mm']: one strap lets a piece turn")
    return found


MOST_STRAPS = 12
"""Straps of one seam: more than a thigh has room for."""

StrapNumber = Annotated[int | None, PlainValidator(_number), PlainSerializer(lambda value: value or "auto")]
"""How many straps, or None for "auto"."""

StrapHeights = Annotated[
    tuple[float, ...], PlainValidator(_heights), PlainSerializer(lambda value: [length_text(mm) for mm in value])
]
"""mm along the limb of each strap, rising; none: they are not placed by height."""

KerfWidth = Annotated[float, _within(0.0, 1.0), AsText]
"""mm. A beam takes away 0.1 to 0.4 mm of leather, a knife nothing [practice]; more than 1 mm is a slip."""

StitchesPerInch = Annotated[float, Field(ge=3.0, le=9.0)]
StrapWidth = Annotated[float, _within(8.0, 60.0), AsText]
StripWidth = Annotated[float, _within(4.0, 40.0), AsText]
Skived = Annotated[float, _within(0.3, 3.0), AsText]
LineDistance = Annotated[float, _within(0.0, 60.0), AsText]
CornerRadius = Annotated[float | None, _within(0.0, 60.0, word="auto"), AsText]
"""mm, 0 for points; None for "auto"."""

GirthLength = Annotated[float, _within(50.0, 1500.0), AsText]
PlateInset = Annotated[float, _within(0.0, 60.0), AsText]
Thickness = Annotated[float, _within(0.5, 10.0, ounces=True), AsText]
"""mm of leather, also from ounces: "8 oz"."""

Ahead = Annotated[float, _within(-200.0, 200.0), AsText]
LameWidth = Annotated[float, _within(20.0, 150.0), AsText]
LameEnds = Annotated[float, _within(10.0, 60.0), AsText]
Play = Annotated[float, _within(0.0, 5.0), AsText]

LiningThickness = Annotated[float, _within(0.2, 3.0, ounces=True), AsText]
"""mm of thin leather or cloth."""

OwnThickness = Annotated[float | None, _within(0.5, 10.0, ounces=True, word="auto"), AsText]
"""mm of a part's own leather, or None for "auto": as the base's."""

SheetThickness = Annotated[float | None, _within(0.05, 15.0, ounces=True, word="auto"), AsText]
"""mm of a sheet that a mock-up is made of, or None for "auto"."""
Board = Annotated[float, _within(2.0, 30.0), AsText]
"""mm of board that a former's ribs are cut from."""

PrinterEdge = Annotated[float, _within(0.0, 25.0), AsText]
"""mm that a printer leaves blank along the edges of a sheet."""

Spacing = Annotated[float, _within(10.0, 100.0), AsText]
Clearance = Annotated[float, _within(0.0, 1.0), AsText]
Cover = Annotated[float, _within(0.0, 30.0), AsText]

HideSize = Annotated[float | None, _within(100.0, 4000.0, word="auto"), AsText]
"""mm of a leather's length or width, from an offcut to a whole bull's hide, or None for "auto": as is usual."""

BedSize = Annotated[float, _within(50.0, 4000.0), AsText]
BedMargin = Annotated[float, _within(0.0, 200.0), AsText]
BedSpace = Annotated[float, _within(0.0, 100.0), AsText]
BellyWidth = Annotated[float | None, _within(0.0, 1000.0, word="auto"), AsText]

Margin = Annotated[float, _within(0.0, 60.0), AsText]
"""mm that ornament keeps off something."""

BandWidth = Annotated[float, _within(1.5, 40.0), AsText]
"""mm of an interlace's band: narrower ones have no room between the two cuts of a knife."""

Apart = Annotated[float, _within(0.0, 10.0), AsText]
"""mm by which a band is broken beside the band that it passes under."""

PaceLength = Annotated[float, _within(50.0, 50_000.0), AsText]
"""mm of line that are carved or bevelled in an hour."""
