"""What travels between the steps of an ornament: regions, fields, strands, crossings, what is carved."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import shapely

from flatten.errors import CalfskinError
from flatten.mesh.surface import Floats, frozen


class OrnamentError(CalfskinError, ValueError):
    """An ornament cannot be drawn as it is asked for."""


class NoRoomError(OrnamentError):
    """A motif does not fit its field; bands `width` mm wide would, or so many `strands` (0: not known)."""

    def __init__(self, sentence: str, *, width: float = 0.0, strands: int = 0) -> None:
        """`sentence` is the whole of it."""
        super().__init__(sentence)
        self.width, self.strands = width, strands


@dataclass(frozen=True, eq=False)
class Region:
    """A part of the plane by its rims, closed polylines (n,2) mm whose first point is not repeated: outer ones
    counter-clockwise, holes clockwise."""

    rims: tuple[Floats, ...]

    def __post_init__(self) -> None:
        """Freeze the arrays."""
        object.__setattr__(self, "rims", tuple(frozen(rim) for rim in self.rims))

    @classmethod
    def of(cls, shape: shapely.Geometry) -> Region:
        """The region that shapely's polygons fill; points and lines among them are left out."""
        parts = [part for part in shapely.get_parts(shape).tolist() if isinstance(part, shapely.Polygon)]
        rims = []
        for part in parts:
            turned = shapely.geometry.polygon.orient(part)
            rims += [shapely.get_coordinates(ring)[:-1] for ring in (turned.exterior, *turned.interiors)]
        return cls(tuple(rims))

    @cached_property
    def shape(self) -> shapely.Geometry:
        """The same as a polygon or polygons of shapely."""
        # Even and odd: an island may lie in a hole.
        return shapely.build_area(shapely.GeometryCollection([shapely.LinearRing(rim) for rim in self.rims]))

    @property
    def area(self) -> float:
        """Its area, mm²."""
        return float(shapely.area(self.shape))


@dataclass(frozen=True, eq=False)
class Field:
    """The area of a piece, called `piece`, that is free for ornament, in the piece's plane, mm, grain side up.

    `centre` (2,2) is its centre line from the lower end to the upper one; None where it has none. `even` is whether the
    piece is the same on both sides of it.
    """

    piece: str
    region: Region
    centre: Floats | None = None
    even: bool = False

    def __post_init__(self) -> None:
        """Freeze the array."""
        if self.centre is not None:
            object.__setattr__(self, "centre", frozen(self.centre))


@dataclass(frozen=True, eq=False)
class Strand:
    """The centre line of a strand: corners `points` (n,2) mm of a polyline so fine that it stands for the curve.

    A `closed` one leads back from its last point to its first, which is not repeated.
    """

    points: Floats
    closed: bool = False

    def __post_init__(self) -> None:
        """Freeze the array."""
        object.__setattr__(self, "points", frozen(self.points))


@dataclass(frozen=True)
class Visit:
    """Where a strand, by its number, passes a crossing: at `along`, mm from its first point."""

    strand: int
    along: float


@dataclass(frozen=True)
class Crossing:
    """Two strands, or one twice, cross at (x, y) mm: one passes over, the other under."""

    x: float
    y: float
    over: Visit
    under: Visit


@dataclass(frozen=True, eq=False)
class Weave:
    """Strands and where they cross, over and under alternating along each of them.

    `parts` tells of each strand the connected part that it belongs to, numbered from 0. On each part over and under may
    be exchanged as a whole, and nothing else.
    """

    strands: tuple[Strand, ...]
    crossings: tuple[Crossing, ...]
    parts: tuple[int, ...]


@dataclass(frozen=True, eq=False)
class Bevel:
    """A carved line (n,2) that is bevelled on its `side`, "left" or "right" as it runs: the background's side, or the
    under strand's, is pressed down."""

    points: Floats
    side: str

    def __post_init__(self) -> None:
        """Freeze the array."""
        object.__setattr__(self, "points", frozen(self.points))


@dataclass(frozen=True, eq=False)
class Carving:
    """What is carved in a field of a weave: bands `width` mm wide, broken `apart` mm from what they pass under.

    `bands` are the seen parts of each strand's band, in the strands' order; `distances` what lies between a band and
    those it passes under; `background` the rest of the field. `lines` are to be carved with the knife, `bevels` to be
    bevelled. Bands, distances and background together are the field.
    """

    width: float
    apart: float
    bands: tuple[Region, ...]
    distances: Region
    background: Region
    lines: tuple[Strand, ...]
    bevels: tuple[Bevel, ...]
