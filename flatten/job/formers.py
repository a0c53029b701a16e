"""The settings of the former: whether one is made, how it is printed, and how its ribs are cut."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import Field, PlainSerializer, PlainValidator

from flatten.former.model import FormerPlan
from flatten.job.amounts import Amount, Board, Clearance, Cover, Spacing, length_text
from flatten.job.points import FrozenSettings
from flatten.leather.limits import share
from flatten.leather.model import LeatherError
from flatten.units import length, share_text

MOST_SPRINGBACK = 0.3
"""Greatest springback that a former is bent further by: 10 to 30 % of what is asked comes back, from memory."""

WALLS = (4.0, 40.0)
"""mm. A wall of less is three lines of a nozzle and gives under a clamp; one of more is as good as solid."""

BEDS = (60.0, 1000.0)
"""mm. Sides of a printer's bed that are believed."""


def _wall(value: Any) -> float:
    if value in ("solid", 0.0):
        return 0.0
    mm = length(value)
    if not WALLS[0] <= mm <= WALLS[1]:
        raise ValueError(f"'{value}' is outside {WALLS[0]:g} to {WALLS[1]:g} mm; or write 'solid'")
    return mm


def _bed(value: Any) -> tuple[float, ...]:
    if not isinstance(value, list | tuple) or len(value) != 3:
        raise ValueError(f"{value!r} is no bed; write its three sides, such as ['220 mm', '220 mm', '250 mm']")
    sides = tuple(length(side) for side in value)
    if not all(BEDS[0] <= side <= BEDS[1] for side in sides):
        raise ValueError(f"{value!r} has a side outside {BEDS[0]:g} to {BEDS[1]:g} mm")
    return sides


def _springback(value: Any) -> float:
    try:
        found = share(value, name="springback")
    except LeatherError as error:
        raise ValueError(str(error)) from None
    if found > MOST_SPRINGBACK:
        raise ValueError(f"'{value}' is outside 0 % to {share_text(MOST_SPRINGBACK, 0)}")
    return found


def _share_text(ratio: float) -> str | float:
    """The text that reads as this share again, "4 %"; the ratio itself where no percentage does."""
    text = f"{100.0 * ratio:g} %"
    return text if share(text, name="springback") == ratio else ratio


class FormerSettings(FrozenSettings):
    """The former that the leather is formed on: `kind` "print" makes STL files, "ribs" sheets to cut, "both" both.

    It reaches `past` every edge. `springback` is the share of a bend that comes back when the leather is dry; the
    former is bent further by it. Printed, it is "solid" or has a `wall`, and parts that fit the `bed`; pegs have
    `clearance` all round. Ribs are cut from `board` of that thickness, at most `every` apart, on 1 or 2 crossed
    `spines`, with slots wider than it by `play`, and smaller than the piece by the `cover` that is laid over them.
    """

    kind: Literal["none", "print", "ribs", "both"] = "none"
    past: Amount = 25.0
    springback: Annotated[float, PlainValidator(_springback), PlainSerializer(_share_text)] = 0.0
    wall: Annotated[float, PlainValidator(_wall), PlainSerializer(lambda mm: length_text(mm) if mm else "solid")] = 0.0
    bed: Annotated[
        tuple[float, float, float],
        PlainValidator(_bed),
        PlainSerializer(lambda sides: [length_text(side) for side in sides]),
    ] = (220.0, 220.0, 250.0)
    clearance: Clearance = 0.2
    board: Board = 6.0
    every: Spacing = 25.0
    spines: Annotated[int, Field(ge=1, le=2)] = 1
    play: Clearance = 0.2
    cover: Cover = 0.0


def former_plan(settings: FormerSettings) -> FormerPlan | None:
    """What a former is asked to be; None where none is asked for."""
    if settings.kind == "none":
        return None
    own = {name: value for name, value in settings if name != "kind"}
    return FormerPlan(printed=settings.kind in ("print", "both"), ribbed=settings.kind in ("ribs", "both"), **own)
