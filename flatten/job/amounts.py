"""The lengths and numbers of a job file: read with their bounds, lengths written as text again."""

from __future__ import annotations

import math
from typing import Annotated, Any

from pydantic import BeforeValidator, Field, PlainSerializer

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
StitchesPerInch = Annotated[float, Field(ge=3.0, le=9.0)]
StrapWidth = Annotated[float, _within(8.0, 60.0), AsText]
CornerRadius = Annotated[float | None, _within(0.0, 60.0, word="auto"), AsText]
"""mm, 0 for points; None for "auto"."""

GirthLength = Annotated[float, _within(50.0, 1500.0), AsText]
Thickness = Annotated[float, _within(0.5, 10.0, ounces=True), AsText]
"""mm of leather, also from ounces: "8 oz"."""
