"""A job's lames: settings with defaults and bounds."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, model_validator

from flatten.job.amounts import Ahead, Diameter, Height, LameEnds, LameWidth, Overlap, OwnThickness, Play
from flatten.job.points import FrozenSettings


class LamesSettings(FrozenSettings):
    """A row of lames: `count` bands of `width`, each lying on its neighbour nearer to the base and overlapping it.

    It begins at the base's top edge and goes up ("above"), at its bottom edge and goes down ("below"), or lies "on" the
    base from the height `start` upwards, over the limb's `side`, and runs `ends` past its pivots. A row that goes up so
    sheds rain and strokes downwards. `overlap` "auto" is what the bend needs. Each lame is as thick as the leather, or
    `thickness`.

    The joint bends by `bend` degrees `towards` the front or the back, about a hinge at the height `hinge`, `ahead` of
    the limb's middle line (below 0: behind it); "auto" is where the scan shows the joint beside that edge.
    `rivet` is the diameter of the holes for pivots and sliding rivets, `play` what slots are longer than their way.
    """

    name: Annotated[str, Field(min_length=1, max_length=40)] = "lame"
    where: Literal["above", "below", "on"] = "above"
    start: Height = None
    side: Literal["front", "back"] = "front"
    count: Annotated[int, Field(ge=1, le=8)] = 2
    width: LameWidth = 60.0
    overlap: Overlap = None
    thickness: OwnThickness = None
    hinge: Height = None
    ahead: Ahead = 0.0
    bend: Annotated[float, Field(ge=1.0, le=120.0)] = 30.0
    towards: Literal["auto", "front", "back"] = "auto"
    rivet: Diameter = 4.0
    play: Play = 1.0
    ends: LameEnds = 15.0

    @model_validator(mode="after")
    def _starts_where_it_lies(self) -> LamesSettings:
        if (self.start is None) == (self.where == "on"):
            raise ValueError(
                "lames on the base start at a height, and others at its edge; give 'start' with where = 'on', and only "
                "then"
            )
        return self
