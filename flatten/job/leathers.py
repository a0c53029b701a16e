"""What the pieces are laid on: settings of hides and of a bed, with defaults and bounds."""

from __future__ import annotations

import re
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, PlainSerializer, PlainValidator, model_validator
from pydantic_core import PydanticCustomError

from flatten.job.amounts import BedMargin, BedSize, BedSpace, BellyWidth, HideSize, OwnThickness, is_number, length_text
from flatten.job.points import FrozenSettings
from flatten.sheet.hides import CUTS
from flatten.units import length

ANY_WAY = 90.0
"""Degrees. Grain that may be turned so far may lie any way."""

_DEGREES = re.compile(r"\s*(\d+(?:\.\d*)?|\.\d+)\s*(?:degrees?|°)?\s*$")


def _turn(value: Any) -> float:
    found = _DEGREES.match(value) if isinstance(value, str) else None
    if found:
        degrees = float(found[1])
    elif is_number(value):
        degrees = float(value)
    else:
        raise ValueError(f"{value!r} is no angle; write degrees, such as '15 degrees'")
    if not 0.0 <= degrees <= ANY_WAY:
        raise ValueError(f"'{value}' is outside 0 to {ANY_WAY:g} degrees")
    return degrees


Turn = Annotated[float, PlainValidator(_turn), PlainSerializer(lambda degrees: f"{degrees:g} degrees")]
"""Degrees that a piece's grain may lie off the backbone, either way."""


def _shape(value: Any) -> str:
    if not isinstance(value, str) or (value and value not in CUTS):
        *names, last = (f"'{name}'" for name in CUTS)
        raise PydanticCustomError("shape", "it must be {names}", {"names": f"{', '.join(names)} or {last}"})
    return value


Shape = Annotated[str, PlainValidator(_shape)]
"""What a leather was cut to, one of CUTS; empty: it has an outline of its own."""


def _flaws(value: Any) -> tuple[tuple[float, float, float], ...]:
    if not isinstance(value, list | tuple) or not all(
        isinstance(flaw, list | tuple) and len(flaw) == 3 for flaw in value
    ):
        raise ValueError(
            f"{value!r} is no list of flaws; write for each how far from the tail end, how far from the backbone, and "
            "how large it is, such as [['420 mm', '180 mm', '60 mm']]"
        )
    found = tuple((length(along), length(across), length(large)) for along, across, large in value)
    if any(large <= 0.0 for _, _, large in found):
        raise ValueError("a flaw has no size; write how large it is, such as '60 mm'")
    return found


def _flaws_text(flaws: tuple[tuple[float, float, float], ...]) -> list[list[str]]:
    return [[length_text(mm) for mm in flaw] for flaw in flaws]


Flaws = Annotated[tuple[tuple[float, float, float], ...], PlainValidator(_flaws), PlainSerializer(_flaws_text)]


class HideSettings(FrozenSettings):
    """A leather that pieces are laid on: its `outline` from a DXF or SVG file, or a `shape` of a `length` and `width`.

    Of an outline, `unit` is what its numbers are in, "auto": as its file says; `backbone` is where that is, "auto": the
    line on the layer BACKBONE.

    Pieces of its `thickness` are laid on it, "auto": of the base's. They lie off its edges by `margin`, off each other
    and its flaws by `space`. Their grain lies along the backbone, within `turn` degrees; `both_ways`: either end may
    point to the neck. On `belly`, a strip of `belly_width` along the edge away from the backbone, there lie "none",
    only "small pieces", or "all". `flaws` are [along, across, size]: mm from the tail's end, from the backbone, across.
    """

    outline: str = ""
    unit: Literal["auto", "mm", "cm", "m", "in"] = "auto"
    backbone: Literal["auto", "bottom edge", "top edge", "left edge", "right edge", "level", "upright"] = "auto"
    shape: Shape = ""
    length: HideSize = None
    width: HideSize = None
    thickness: OwnThickness = None
    margin: BedMargin = 10.0
    space: BedSpace = 5.0
    turn: Turn = 0.0
    both_ways: bool = True
    belly: Literal["none", "small pieces", "all"] = "small pieces"
    belly_width: BellyWidth = None
    flaws: Flaws = ()

    @model_validator(mode="after")
    def _is_one_leather(self) -> HideSettings:
        if bool(self.outline) == bool(self.shape):
            both = "both an outline and a shape; leave one of them out" if self.outline else "neither outline nor shape"
            *names, last = (f"'{name}'" for name in CUTS)
            wanted = "" if self.outline else f"; write outline = 'hide.dxf', or shape = {', '.join(names)} or {last}"
            raise ValueError(f"the hide has {both}{wanted}")
        if self.outline and (self.length is not None or self.width is not None):
            raise ValueError("the hide has an outline, which is true to size; leave length and width out")
        return self


class BedSettings(FrozenSettings):
    """A bench or a machine's bed, on which pieces of one thickness are cut together; `margin`, `space`, `turn` and
    `both_ways` are as for a hide: all grain on one bed runs along its width or along its height."""

    width: BedSize
    height: BedSize
    margin: BedMargin = 5.0
    space: BedSpace = 5.0
    turn: Turn = 0.0
    both_ways: bool = True


def _hides(value: Any) -> Any:
    return (value,) if isinstance(value, dict | HideSettings) else value


GivenHides = Annotated[tuple[HideSettings, ...], BeforeValidator(_hides)]
"""Hides, none where there are none; one may stand as a table of its own."""


def _no_bed(value: Any) -> Any:
    return None if value == "no" else value


GivenBed = Annotated[
    BedSettings | None,
    BeforeValidator(_no_bed),
    PlainSerializer(lambda bed: "no" if bed is None else bed.model_dump(mode="json")),
]
"""A bed, or None for "no"."""
