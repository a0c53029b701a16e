"""A job's ornament: the field's margins, tool and pace, and the motifs, as settings with defaults and bounds."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import Field, PlainSerializer, PlainValidator, model_validator

from flatten.job.amounts import Apart, BandWidth, Margin, PaceLength, length_text
from flatten.job.points import FrozenSettings
from flatten.units import length

MOST_STRANDS = 40
"""Strands of one motif: with the narrowest bands, more than a thigh guard has room for."""


class OrnamentSettings(FrozenSettings):
    """The field that a piece has for ornament, and how ornament is worked.

    The field keeps off the piece's `edge`, its `hole`s, its `stitch` lines, and off `bend`s and zones that are not to
    be tooled, by these margins. Without `calm_only` it takes in leather that moves too much in forming to be carved
    well. With `worn` a motif is drawn so that it looks as drawn on the formed piece's outside, without it as it lies
    flat. `sheet` is whether the fields' sheets are made, to draw on by hand. `tool` is the narrowest width that has
    to pass between two lines, `pace` the length of line that the maker carves or bevels in an hour.
    """

    edge: Margin = 6.0
    hole: Margin = 4.0
    stitch: Margin = 3.0
    bend: Margin = 5.0
    calm_only: bool = True
    worn: bool = True
    sheet: bool = False
    tool: Margin = 1.0
    pace: PaceLength = 1500.0


def _strands(value: Any) -> int | None:
    if value in ("auto", None):
        return None
    if not isinstance(value, int) or isinstance(value, bool) or not 1 <= value <= MOST_STRANDS:
        raise ValueError(f"{value!r} is no number of strands; write 'auto', or a whole number from 1 to {MOST_STRANDS}")
    return value


def _offset(value: Any) -> tuple[float, float]:
    if not isinstance(value, list | tuple) or len(value) != 2:
        raise ValueError(f"{value!r} is no place; write [to the right, up] from the field's middle: ['0 mm', '20 mm']")
    right, up = (length(one) for one in value)
    return right, up


class MotifSettings(FrozenSettings):
    """One motif, `on` the base (its first piece), or on a piece of several, a plate or a lame by its name.

    A "filling" fills the field with reeds and waves, a "border" runs along its edges; both have so many `strands`
    (None: as is usual), symmetrical where the piece is; another `seed` draws another filling, and `reeds` of a border's
    strands are straight. A border `along` one side alone is a plait, an even number of strands that turn back at its
    ends. A "drawing" comes from a `file` of strands' middle lines, SVG or DXF, in its own unit or in
    `unit`; `half` of it ("left" or "right") is mirrored about the middle. It is put as `place` says: "as drawn" by its
    own origin on the field's middle, "centred", "scaled" to fit or "fitted" to the outline; then moved `by` and turned
    (`turn`, degrees, against the clock).

    Strands become bands of `width`, broken `apart` from the bands that they pass under. Motifs of one piece come in
    their order, each in what the earlier ones leave. With `mend` a drawing that cannot be woven is mended as proposed.
    """

    on: Annotated[str, Field(min_length=1, max_length=60)] = "base"
    kind: Literal["filling", "border", "drawing"] = "filling"
    strands: Annotated[int | None, PlainValidator(_strands), PlainSerializer(lambda value: value or "auto")] = None
    along: Literal["all round", "top", "foot", "left", "right"] = "all round"
    reeds: Annotated[int, Field(ge=0, le=2)] = 1
    seed: Annotated[int, Field(ge=0, le=999_999)] = 1
    width: BandWidth = 5.0
    apart: Apart = 1.2
    file: str = ""
    unit: Literal["auto", "mm", "cm", "m", "in"] = "auto"
    half: Literal["whole", "left", "right"] = "whole"
    place: Literal["as drawn", "centred", "scaled", "fitted"] = "centred"
    by: Annotated[
        tuple[float, float],
        PlainValidator(_offset),
        PlainSerializer(lambda value: [length_text(mm) for mm in value]),
    ] = (0.0, 0.0)
    turn: Annotated[float, Field(ge=-360.0, le=360.0)] = 0.0
    mend: bool = False

    @model_validator(mode="after")
    def _has_what_it_is_drawn_from(self) -> MotifSettings:
        if self.kind == "drawing" and not self.file:
            raise ValueError("a drawing comes from a file; write file = 'reeds.svg', or kind = 'filling' or 'border'")
        if self.kind != "drawing" and self.file:
            raise ValueError(f"a {self.kind} is made and has no file; leave the file out, or write kind = 'drawing'")
        if self.along != "all round" and self.kind != "border":
            raise ValueError(f"a {self.kind} lies along no side; leave along out, or write kind = 'border'")
        if self.along != "all round" and (self.strands or 2) % 2:
            raise ValueError(
                f"{self.strands} strands along one side cannot each turn back into another; take an even number"
            )
        return self
