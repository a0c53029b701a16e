"""A job's plates: settings with defaults and bounds."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import Field, PlainSerializer, PlainValidator, model_validator

from flatten.job.amounts import Diameter, OwnThickness, Pitch, PlateInset, along_text, is_number, length_text
from flatten.job.points import FrozenSettings
from flatten.limb.kind import QUARTERS, Quarter
from flatten.units import length

Bearings = tuple[Quarter | float, Quarter | float]
Span = tuple[float, float]


def _around(value: Any) -> Any:
    """[from, to] by rising bearing, each a quarter's name or degrees; None for all of the leather's width."""
    if value in ("all", None):
        return None
    if isinstance(value, list | tuple) and len(value) == 2 and all(is_number(end) or end in QUARTERS for end in value):
        return tuple(value)
    raise ValueError(
        f"{value!r} is no stretch round the limb; write [-40, 40] in degrees (0 front, 90 outside), or two sides such "
        "as ['inside', 'outside'], from the first on by rising bearings; or 'all'"
    )


def _heights(value: Any) -> Any:
    """[low, high] in mm; None for all of the leather's height."""
    if value in ("all", None):
        return None
    if isinstance(value, list | tuple) and len(value) == 2:
        low, high = sorted(length(end) for end in value)
        if high > low:
            return (low, high)
    raise ValueError(f"{value!r} are no two heights; write [low, high] such as ['120 mm', '260 mm'], or 'all'")


def _curve(value: Any) -> Any:
    """[bearing in degrees, height] points once round a plate, three or more; none for a region."""
    given = value if isinstance(value, list | tuple) else []
    points = [p for p in given if isinstance(p, list | tuple) and len(p) == 2 and is_number(p[0])]
    if not isinstance(value, list | tuple) or len(points) < len(value) or len(points) in (1, 2):
        raise ValueError(
            f"{value!r} is no closed curve; write three or more points (degrees, height) once round the plate, such as "
            "[[-40, '120 mm'], [40, '120 mm'], [0, '260 mm']]"
        )
    return tuple((float(bearing), length(height)) for bearing, height in points)


def _sides(value: Any) -> Any:
    """ "all round", or some of "top", "bottom" and the quarters."""
    if value == "all round":
        return value
    known = ("top", "bottom", *QUARTERS)
    if isinstance(value, list | tuple) and value and all(side in known for side in value):
        return tuple(dict.fromkeys(value))
    raise ValueError(f"{value!r} are no sides of a plate; write 'all round', or some of {', '.join(known)} in a list")


def _span_text(value: Any) -> Any:
    return "all" if value is None else [length_text(mm) for mm in value]


class PlateSettings(FrozenSettings):
    """A plate that lies on the base, or `on` another plate or one of several panels, by its name.

    Where it lies: inside a `curve` of [degrees, height] points, "smooth" or with sharp `corners`; or, of the whole
    panel, what lies `around` between two bearings and between two `heights`, `inset` from the panel's own edges and
    from its seams' holes. `thickness` "auto" is the base's leather.

    `rivet` is the diameter of its rivets' holes, `pitch` how far they are apart ("auto": 30 mm), `rivets` on which of
    its sides they stand. `punch` tells which of the holes beneath it are punched flat, "two", "all" or "none"; the
    others are marked through the plate's after forming.
    """

    name: Annotated[str, Field(min_length=1, max_length=40)] = "plate"
    on: Annotated[str, Field(min_length=1, max_length=60)] = "base"
    around: Annotated[
        Bearings | None,
        PlainValidator(_around),
        PlainSerializer(lambda value: "all" if value is None else list(value)),
    ] = None
    heights: Annotated[Span | None, PlainValidator(_heights), PlainSerializer(_span_text)] = None
    curve: Annotated[tuple[tuple[float, float], ...], PlainValidator(_curve), PlainSerializer(along_text)] = ()
    corners: Literal["smooth", "sharp"] = "smooth"
    inset: PlateInset = 8.0
    thickness: OwnThickness = None
    rivet: Diameter = 3.0
    pitch: Pitch = None
    rivets: Annotated[
        Literal["all round"] | tuple[str, ...],
        PlainValidator(_sides),
        PlainSerializer(lambda value: value if isinstance(value, str) else list(value)),
    ] = "all round"
    punch: Literal["two", "all", "none"] = "two"

    @model_validator(mode="after")
    def _lies_in_one_place(self) -> PlateSettings:
        if self.curve and (self.around is not None or self.heights is not None):
            raise ValueError("the plate has a curve and also around or heights; leave one of them out")
        if self.around is not None and self.around[0] == self.around[1]:
            raise ValueError("around begins and ends at the same bearing; give two, from the first on by rising ones")
        return self
