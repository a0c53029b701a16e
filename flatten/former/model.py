"""What a former is asked to be, and what it came out as."""

from __future__ import annotations

from dataclasses import dataclass

from flatten.errors import CalfskinError
from flatten.mesh.surface import Floats, Ints, frozen, frozen_ints
from flatten.pattern.model import Piece


class FormerError(CalfskinError, ValueError):
    """A former cannot be made as asked: a part has no room for pegs, a spine none within the ribs."""


@dataclass(frozen=True)
class FormerPlan:
    """What a former is asked to be; mm.

    `printed` and `ribbed` say which kinds are made. It reaches `past` every edge. `springback` is the share of a bend
    that the leather gives back when it is dry: the former bends by so much more. Printed, it is solid or has a `wall`
    (0: solid), and its parts fit the `bed` (along x, y, z); pegs have `clearance` all round in their holes. Ribs and
    spines are cut from board `board` thick, slots wider than it by `play`, a rib at least `every` so far, on 1 or 2
    `spines`; a `cover` lies on them, so that they are smaller by it.
    """

    printed: bool
    ribbed: bool
    past: float
    springback: float
    wall: float
    bed: tuple[float, float, float]
    clearance: float
    board: float
    play: float
    every: float
    spines: int
    cover: float


@dataclass(frozen=True, eq=False)
class Body:
    """A closed triangle mesh: `vertices` (V,3) mm, `faces` (F,3) counter-clockwise seen from outside."""

    vertices: Floats
    faces: Ints

    def __post_init__(self) -> None:
        """Freeze the arrays."""
        object.__setattr__(self, "vertices", frozen(self.vertices))
        object.__setattr__(self, "faces", frozen_ints(self.faces))


@dataclass(frozen=True, eq=False)
class Part:
    """One printed part as it lies on the bed: its lowest place at z = 0, the middle of its box at x = y = 0.

    `size` is its box (x, y, z), mm, `volume` mm³. In the whole former it lies turned back by `turned` (rad, about the
    upright axis) and then moved by `moved` mm. `pegs` and `holes` are how many it has.
    """

    body: Body
    size: tuple[float, float, float]
    volume: float
    turned: float
    moved: tuple[float, float, float]
    pegs: int
    holes: int


@dataclass(frozen=True, eq=False)
class Ribs:
    """Ribs and spines to be cut from board: a piece for each rib, from the lowest up, and for each spine.

    `heights` (n,) are those of the ribs' middles, mm; their outlines are the former's sections there, less `cover`.
    """

    heights: tuple[float, ...]
    ribs: tuple[Piece, ...]
    spines: tuple[Piece, ...]


@dataclass(frozen=True)
class Closed:
    """A seam whose gap the leather does not have left on a former that is bent further than the limb.

    Its lacing gap is `gap` mm on the limb, and on the former less by up to `less` mm; `most` is the greatest
    springback that leaves some of it.
    """

    seam: str
    gap: float
    less: float
    most: float


@dataclass(frozen=True, eq=False)
class Former:
    """A former as it came out, for the wearer's `side`, between the heights `low` and `high` mm.

    `short` is by how many mm it ends sooner below the bottom edge and above the top edge than was asked, because the
    scan is not trusted further. `girths` are rows (name, height, on the piece's inner face, on the former), mm.
    `parts` are printed, empty where nothing is; `ribs` None where none are cut.
    """

    plan: FormerPlan
    side: str
    low: float
    high: float
    short: tuple[float, float]
    girths: tuple[tuple[str, float, float, float], ...]
    closed: tuple[Closed, ...]
    parts: tuple[Part, ...]
    ribs: Ribs | None
