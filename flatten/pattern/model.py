"""A piece as it is cut: closed outline of lines and arcs, holes, marks and labels, true size."""

from __future__ import annotations

from dataclasses import dataclass

from flatten.errors import CalfskinError
from flatten.mesh.surface import Floats, frozen


class PatternError(CalfskinError, ValueError):
    """A piece cannot be drawn as asked: a hole does not fit, an outline crosses itself."""


@dataclass(frozen=True, eq=False)
class Path:
    """Lines and arcs through `points` (n,2) mm: `bulges` (n,) = tan(arc angle / 4), counter-clockwise positive.

    bulges[i] belongs to the span from point i to the next; in an open path the last one counts for nothing.
    """

    points: Floats
    bulges: Floats
    closed: bool

    def __post_init__(self) -> None:
        """Freeze the arrays."""
        object.__setattr__(self, "points", frozen(self.points))
        object.__setattr__(self, "bulges", frozen(self.bulges))


@dataclass(frozen=True)
class Hole:
    """A round hole at (x, y), mm; `kind` such as "eyelet"; `seam` and `side` say whose border it lies along."""

    x: float
    y: float
    diameter: float
    kind: str
    seam: str
    side: str


@dataclass(frozen=True, eq=False)
class Mark:
    """A path that is drawn and not cut: "grain", "centre line", "check line", "girth ring", "notch"."""

    kind: str
    path: Path


@dataclass(frozen=True)
class Label:
    """Text whose baseline starts at (x, y), `height` mm tall, turned by `angle` radians."""

    x: float
    y: float
    height: float
    angle: float
    text: str


@dataclass(frozen=True, eq=False)
class Piece:
    """One leather piece, grain side up, y towards the body; mm."""

    name: str
    side: str
    outline: Path
    holes: tuple[Hole, ...]
    marks: tuple[Mark, ...]
    labels: tuple[Label, ...]
