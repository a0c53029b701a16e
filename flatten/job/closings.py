"""How a job's seams run and are closed, and its darts: settings with defaults and bounds."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import Field, PlainSerializer, PlainValidator, model_validator

from flatten.job.amounts import (
    AsText,
    DartDepth,
    Diameter,
    Opening,
    Overlap,
    Pitch,
    StitchesPerInch,
    StrapHeights,
    StrapNumber,
    StrapWidth,
    along_text,
    is_number,
)
from flatten.job.points import FrozenSettings
from flatten.limb.kind import QUARTERS, Quarter
from flatten.units import length


def _along(value: Any) -> Any:
    """A quarter's name, a bearing in degrees, or [bearing in degrees, height] points."""
    if is_number(value) or (isinstance(value, str) and value in QUARTERS):
        return value
    if isinstance(value, list | tuple) and len(value) > 1:
        points = [p for p in value if isinstance(p, list | tuple) and len(p) == 2 and is_number(p[0])]
        if len(points) == len(value):
            return tuple((float(bearing), length(height)) for bearing, height in points)
    raise ValueError(
        f"{value!r} is no line for a seam; write 'back' (or front, outside, inside), a bearing in degrees, "
        f"or two or more points such as [[180, '-10 mm'], [175, '300 mm']]"
    )


LEAST_SKIVED = 0.5
"""mm. Leather skived thinner tears at its holes. From memory."""


def _skive(value: Any) -> Any:
    if value in ("auto", "no"):
        return value
    mm = length(value)
    if not LEAST_SKIVED <= mm <= 8.0:
        raise ValueError(f"'{value}' is outside {LEAST_SKIVED:g} to 8 mm; it is what is left at the overlap's edges")
    return mm


class SeamSettings(FrozenSettings):
    """A seam: along a quarter of the limb, at a bearing in degrees, or through [bearing, height] points.

    `gap` is what a laced, strapped or open seam leaves open. `overlap` is how far leather lies on leather: "auto" is
    22 mm riveted or snapped, and nothing (edge to edge) stitched. `on_top` names the quarter that the upper leather
    comes from; "auto" puts the front's over the back's, and at the front and back the outside's over the inside's.
    `skive` tapers both layers of an overlap to so much at their edges: "auto" is half of the leather's thickness.

    `eyelet`, `rivet` (also a strap's), `snap` and `stitch` are diameters of holes, `stitches` their number to the inch.
    `strap` is a strap's width; straps are held by rivets or run through slots (`hold`), so many as `straps`, or `at`
    their heights along the limb; their `buckles` sit on the leather that comes from that quarter, "auto": from the
    outside, or along the outside and the inside from the front. `pitch` is how far eyelets, rivets, snaps or straps are
    apart: "auto" is 30 mm, 50 mm for snaps, and for straps as many as is usual.
    """

    name: Annotated[str, Field(min_length=1, max_length=40)] = "back"
    along: Annotated[
        Quarter | float | tuple[tuple[float, float], ...], PlainValidator(_along), PlainSerializer(along_text)
    ] = "back"
    kind: Literal["laced", "strapped", "open", "snapped", "stitched", "riveted"] = "laced"
    gap: Opening = 25.0
    overlap: Overlap = None
    on_top: Literal["auto"] | Quarter = "auto"
    skive: Annotated[Literal["auto", "no"] | float, PlainValidator(_skive), AsText] = "no"
    eyelet: Diameter = 5.0
    rivet: Diameter = 3.0
    snap: Diameter = 4.0
    pitch: Pitch = None
    stitch: Diameter = 1.3
    stitches: StitchesPerInch = 5.0
    strap: StrapWidth = 20.0
    hold: Literal["rivets", "slots"] = "rivets"
    straps: StrapNumber = None
    at: StrapHeights = ()
    buckles: Literal["auto"] | Quarter = "auto"

    @model_validator(mode="after")
    def _straps_are_placed_in_one_way(self) -> SeamSettings:
        asked = {"straps": self.straps, "at": self.at, "pitch": self.pitch}
        ways = [name for name, value in asked.items() if value]
        if self.kind == "strapped" and len(ways) > 1:
            raise ValueError(f"its straps are placed by {' and by '.join(ways)}; leave only one of them")
        return self

    @model_validator(mode="after")
    def _widths_are_of_the_kind(self) -> SeamSettings:
        if self.overlap and self.kind not in ("stitched", "riveted", "snapped"):
            raise ValueError(
                f"a {self.kind} seam does not overlap; leave 'overlap' out, or make it riveted, snapped or stitched"
            )
        if self.overlap == 0.0 and self.kind in ("riveted", "snapped"):
            raise ValueError(f"a {self.kind} seam must overlap; leave 'overlap' out for the usual 22 mm")
        if self.skive != "no" and self.kind == "snapped":
            raise ValueError("a snapped seam is not skived: snaps hold in whole leather; leave 'skive' out")
        if self.skive != "no" and (
            self.kind not in ("stitched", "riveted") or (self.kind == "stitched" and not self.overlap)
        ):
            raise ValueError(
                f"the {self.kind} seam does not overlap, so there is nothing to skive; leave 'skive' out, or give it "
                "an overlap"
            )
        if self.gap == 0.0 and self.kind in ("laced", "strapped"):
            raise ValueError(f"a {self.kind} seam needs a gap to close over; 15 to 40 mm is usual")
        return self


class DartSettings(FrozenSettings):
    """A cut from an edge into the leather: a dart is closed when worn, a slash stays open by `opening` at the edge.

    `close` says how its sides are joined (riveted: to a strip beneath it); "auto" stitches a dart and leaves a slash
    open. `stop` is the diameter of the round hole at its tip, from which it cannot tear; `stitch`, `stitches`, `rivet`
    and `pitch` are as for seams.
    """

    name: Annotated[str, Field(min_length=1, max_length=40)] = "dart"
    kind: Literal["dart", "slash"] = "dart"
    edge: Literal["top", "bottom"] = "top"
    along: Annotated[Quarter | float, Field(union_mode="left_to_right")] = "front"
    depth: DartDepth = 60.0
    opening: Opening = 0.0
    close: Literal["auto", "stitched", "riveted", "open"] = "auto"
    stop: Diameter = 4.0
    stitch: Diameter = 1.3
    stitches: StitchesPerInch = 5.0
    rivet: Diameter = 3.0
    pitch: Pitch = None

    @model_validator(mode="after")
    def _opening_is_a_slashs(self) -> DartSettings:
        if self.opening and self.kind == "dart":
            raise ValueError("a dart is closed when worn; leave 'opening' out, or make it a slash")
        return self
