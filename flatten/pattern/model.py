"""A piece as it is cut: closed outline of lines and arcs, holes, marks and labels, true size."""

from __future__ import annotations

from dataclasses import dataclass

from flatten.errors import CalfskinError
from flatten.mesh.surface import Floats, frozen
from flatten.tolerances import SEAM_MATCH


class PatternError(CalfskinError, ValueError):
    """A piece cannot be drawn as asked: a hole does not fit, an outline crosses itself."""


@dataclass(frozen=True, eq=False)
class Path:
    """Lines and arcs through `points` (n,2) mm: `bulges` (n,) = tan(arc angle / 4), counter-clockwise positive.

    bulges[i] belongs to the span from point i to the next; in an open path the last one counts for nothing. One that is
    `light` is drawn as it is: its runs of short spans are merged already (`light.lightened`).
    """

    points: Floats
    bulges: Floats
    closed: bool
    light: bool = False

    def __post_init__(self) -> None:
        """Freeze the arrays."""
        object.__setattr__(self, "points", frozen(self.points))
        object.__setattr__(self, "bulges", frozen(self.bulges))


@dataclass(frozen=True)
class Hole:
    """A hole at (x, y), mm: an "eyelet", "rivet", "snap", "stitch", "strap rivet", "slot" or "stop" hole.

    `seam` and `side` say whose boundary it lies along; of a "stop" hole, the dart's name and ""; of a part's, the
    part's name and "". A slot has round ends of its `diameter`, whose centres are `run` mm apart along `angle` (rad);
    the others are round, `run` 0. One that comes `after` forming is not punched in the flat piece: it is marked through
    the hole of the other layer, once both lie on the limb's form.
    """

    x: float
    y: float
    diameter: float
    kind: str
    seam: str
    side: str
    run: float = 0.0
    angle: float = 0.0
    after: bool = False


@dataclass(frozen=True, eq=False)
class Mark:
    """A path that is drawn and not cut: "grain", "centre line", "check line", "girth ring", "notch", "match mark",
    "overlap", "skive", "trim", "way"; of an ornament "carved line", "bevelled side", "background".

    An "overlap" is the line on a lower layer that the upper layer's edge, or a part's, comes to; of a skived overlap
    the lower layer tapers from there, the upper one from its "skive". A piece with an allowance is cut back to its
    "trim". A "notch" is where a ring meets a side, a "match mark" where a height that a seam's mates share does. A
    "way" is an arrow to the limb's front.
    """

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
class Inscription:
    """What is read in one look on a piece, and the corners (4,2) of the box that it fills, mm: the "name" block, or a
    line of it that stands alone; "grain", "way" or "check line", a mark with its word; any other "text"."""

    kind: str
    box: Floats

    def __post_init__(self) -> None:
        """Freeze the box."""
        object.__setattr__(self, "box", frozen(self.box))


@dataclass(frozen=True)
class Skive:
    """How an overlap is skived: both layers over its whole `width`, to a thickness of `left` at their edges; mm."""

    left: float
    width: float


@dataclass(frozen=True)
class Join:
    """How one seam or dart is closed: `kind` is "laced", "strapped", "riveted", "snapped" or "stitched".

    `count` pairs of holes (straps, where strapped) face each other, of `diameter` mm, `pitch` mm apart on average.
    `lengths` are those of the flat leather before and after the seam (lower and higher bearings), mm, from the first
    hole to the last. `apart` mm lie between the holes of a pair when it is worn. Where it is riveted, `stack` mm lie
    on one another, the piece's own leather being `leather` mm thick. `row` is how far its holes are from the edge, mm
    (0: on the seam's own line). `panels` are the numbers of the panels before and after the seam. Straps are `strap` mm
    wide, `slotted` where they go through slots, with their buckles on the leather "before" or "after" (`buckle`).
    `strip` is the width of the strip of leather beneath a dart or slash that is closed over one, mm (0: none). `skive`
    is how its overlap is skived, None where it is not. `what` is joined: a "seam", a "dart", a "slash",
    or another thing that is riveted or stitched on. Straps stand at `heights` along the limb, mm, `placed` by
    "heights", "number", "pitch" or the usual "rule".
    """

    name: str
    kind: str
    count: int
    diameter: float
    pitch: float
    lengths: tuple[float, float]
    apart: float
    stack: float
    leather: float
    row: float
    panels: tuple[int, int] = (0, 0)
    strap: float = 0.0
    slotted: bool = False
    buckle: str = ""
    strip: float = 0.0
    skive: Skive | None = None
    what: str = "seam"
    heights: tuple[float, ...] = ()
    placed: str = ""

    @property
    def ease(self) -> float:
        """How much longer one side is than the other, mm; 0 where they are equal within SEAM_MATCH."""
        difference = abs(self.lengths[0] - self.lengths[1])
        return difference if difference > SEAM_MATCH else 0.0


@dataclass(frozen=True)
class Corner:
    """A corner of a piece, at (x, y) mm as a point, that turns by `turn` rad (positive where the piece bulges).

    The side `before` ends there and `after` begins, each by its kind and name. It is rounded by `radius` mm, 0 where it
    is a point; `wanted` is the radius that it would have had with room for it, 0 where it is to be a point. `kept_by`
    is what had no room for that: "side", a kind of hole, or "notch"; "" where there was room.
    """

    x: float
    y: float
    before: tuple[str, str]
    after: tuple[str, str]
    turn: float
    radius: float = 0.0
    wanted: float = 0.0
    kept_by: str = ""


@dataclass(frozen=True)
class Attachment:
    """How a part is riveted `on` the base or another part: by `count` rivets through holes of `diameter` mm, `pitch` mm
    apart on average, where `stack` mm of leather lie on one another, `leather` mm of them its own.

    `punched` of the holes beneath it are punched flat, the others come after forming. Holes copied from one flat piece
    to the other would miss by up to `copied` mm, laid on one another as well as can be.
    """

    part: str
    kind: str
    on: str
    count: int
    diameter: float
    pitch: float
    stack: float
    leather: float
    punched: int
    copied: float

    @property
    def join(self) -> Join:
        """Its rivets as what is bought for."""
        return Join(
            self.part,
            "riveted",
            self.count,
            self.diameter,
            self.pitch,
            (0.0, 0.0),
            0.0,
            self.stack,
            self.leather,
            0.0,
            what=self.kind,
        )


@dataclass(frozen=True)
class Finished:
    """An edge of a piece that is "turned" or "bound" (`kind`): its strip's length and width, and how thick that is, mm.

    The width of a turned strip is what lies beyond the finished edge.
    """

    edge: str
    kind: str
    length: float
    width: float
    thickness: float


@dataclass(frozen=True, eq=False)
class Zone:
    """A part of a piece by its rims, closed paths, the outer one first; its `area`, mm², without what is in holes."""

    rims: tuple[Path, ...]
    area: float


@dataclass(frozen=True, eq=False)
class Piece:
    """One leather piece, grain side up, y towards the body; mm.

    It is cut from leather of `thickness` mm; `part` is "base", "plate", "lame" or "lining". `corners` are those of its
    outline, in its order, `finished` its edges that are not left raw, `untooled` the zones that move too much in
    forming to be carved or stamped. Where those are more than half of it, the calm zones between them are drawn in
    their place, `tooled`. A former's board is "rib" or "spine". `inscriptions` are what its labels and marks make
    together; a label that is in none stands for itself.
    """

    name: str
    side: str
    outline: Path
    holes: tuple[Hole, ...]
    marks: tuple[Mark, ...]
    labels: tuple[Label, ...]
    thickness: float
    part: str = "base"
    corners: tuple[Corner, ...] = ()
    untooled: tuple[Zone, ...] = ()
    tooled: tuple[Zone, ...] = ()
    finished: tuple[Finished, ...] = ()
    inscriptions: tuple[Inscription, ...] = ()
