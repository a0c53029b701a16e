"""What stands against weaving or carving a drawing, each with its place and its sentence."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from flatten.findings import Message, message
from flatten.ornament.model import OrnamentError
from flatten.words.say import text

Kind = Literal["triple", "touch", "overlap", "end", "odd", "flat", "near", "tight"]
"""Three strands in one point; a touch without a crossing; one strand on another along a length; an open end in the
field; no even number of crossings round a loop; a crossing too flat for bands, strands too near for them, a bend too
tight for them."""


@dataclass(frozen=True)
class Trouble:
    """One place (x, y) mm where strands, by their numbers, cannot be woven or carved, and how they fail there.

    `measure` mm is the length of an overlap, or the width of the bands that do not fit; 0 where there is nothing to
    measure.
    """

    kind: Kind
    x: float
    y: float
    strands: tuple[int, ...]
    measure: float = 0.0

    def message(self) -> Message:
        """What is wrong, where, and what to do."""
        match self.kind:
            case "triple":
                return message("weave.triple", x=self.x, y=self.y)
            case "touch":
                return message("weave.touch", x=self.x, y=self.y)
            case "overlap":
                return message("weave.overlap", x=self.x, y=self.y, length=self.measure)
            case "end":
                return message("weave.end", x=self.x, y=self.y)
            case "odd":
                return message("weave.odd", x=self.x, y=self.y)
            case "flat":
                return message("weave.flat", x=self.x, y=self.y, width=self.measure)
            case "near":
                return message("weave.near", x=self.x, y=self.y, width=self.measure)
            case "tight":
                return message("weave.tight", x=self.x, y=self.y, width=self.measure)


def told_place(x: float, y: float) -> str:
    """A place (x, y) mm of a piece in a maker's words, for a sentence of an error."""
    return text(message("weave.place", x=x, y=y))


class TroubleError(OrnamentError):
    """A drawing cannot be woven or carved; `troubles` has every place."""

    def __init__(self, troubles: Iterable[Trouble]) -> None:
        """Of one trouble or more."""
        self.troubles = tuple(troubles)
        super().__init__(" ".join(text(each.message()) for each in self.troubles))
