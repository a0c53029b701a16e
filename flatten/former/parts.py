"""A body cut into parts that fit a printer's bed, with pegs and holes where they meet."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import combinations, product

import numpy as np
import shapely
from manifold3d import CrossSection, Manifold

from flatten.former.engraving import DEPTH, width, words
from flatten.former.model import FormerError, Part
from flatten.former.solid import mesh_of
from flatten.mesh.surface import Floats
from flatten.pattern.placing import free_place

PEGS = (12.0, 8.0, 5.0, 3.0)
"""mm. Diameters of pegs, the first that has room is taken: a printed peg below 3 mm breaks off."""

MOST_PEGS = 3
"""Pegs where two parts meet: three hold against turning and tilting."""

SLENDER, TAPER = 0.8, 0.75
"""Length of a peg over its diameter, and its tip's diameter over that of its foot: it finds its hole by itself and is
printed without support, lying too."""

RIM = 1.5
"""mm of material that is left round a hole: three lines of a printer's nozzle."""

RIM_SHARE = 1.0 / 3.0
"""Share of a peg's diameter that is left round its hole where that is more than RIM: a clamp presses there."""

DEEPER = 0.5
"""mm by which a hole is deeper than its peg is long, so that the faces meet and not the peg's tip."""

ROOTED = 0.5
"""mm that a peg reaches into its own part, so that no film is left between them."""

BESIDE = 0.01
"""mm beside a cut at which the parts' faces there are looked at."""

_ROUNDING = 1e-9
"""mm. A grid that ends so near to a side's end has its last place there."""

PLACES = 2.0
"""mm between places that are tried for a peg."""

NUMBERS = (10.0, 7.0, 5.0, 4.0, 3.0)
"""mm. Heights of a part's number; the first that has room is taken."""

_SEGMENTS = 48
"""Corners of a peg's round."""

_CRUMB = 1.0
"""mm³. A body that is smaller is left over from rounding where a cut grazes the face."""


@dataclass
class _Cell:
    """One body of those that the cuts make, and what is put on it and taken from it."""

    body: Manifold
    pegs: list[Manifold] = field(default_factory=list)
    holes: list[Manifold] = field(default_factory=list)

    def taken(self) -> Floats:
        """The boxes (n,6) of all pegs and holes: least x, y, z, greatest x, y, z."""
        return np.array([each.bounding_box() for each in (*self.pegs, *self.holes)]).reshape(-1, 6)


def parts_of(body: Manifold, *, bed: tuple[float, float, float], clearance: float) -> tuple[Part, ...]:
    """The body in as few equal layers, and each of them in as few columns, as fit the bed; from the bottom up.

    A part's pegs stand on its upper side, or towards growing x or y, and count as part of its size; holes are wider
    than pegs by `clearance` mm all round.

    Raises FormerError where two parts have no room for pegs, or where the bed is too small for anything.
    """
    cells = [_Cell(each) for each in _cut(body, bed)]
    for axis, at, one, other in _meetings(cells):
        _pegged(one, other, axis, at, clearance)
    if len(cells) > 1 and not all(cell.pegs or cell.holes for cell in cells):
        raise FormerError(
            f"two parts of the former meet where pegs of {PEGS[-1]:g} mm have no room; make its wall at least "
            f"{PEGS[-1] + 2.0 * (clearance + RIM) + 1.0:.0f} mm thick, print it solid, or name a larger bed under "
            "[former]"
        )
    called = [f"{number}/{len(cells)}" if len(cells) > 1 else "" for number in range(1, len(cells) + 1)]
    return tuple(_part(cell, bed, name) for cell, name in zip(cells, called, strict=True))


def _reach() -> float:
    """mm by which the longest peg stands out of its part."""
    return SLENDER * PEGS[0]


def _cut(body: Manifold, bed: tuple[float, float, float]) -> list[Manifold]:
    """The bodies that cuts across z, then x and y, make of a body."""
    cells: list[Manifold] = []
    for layer in _sliced(body, 2, _count(_extents(body)[2], bed[2])):
        wide, deep, _ = _extents(layer)
        ways = [(_count(wide, across), _count(deep, along)) for across, along in _turns(bed)]
        across, along = min(ways, key=lambda way: way[0] * way[1])
        for column in _sliced(layer, 0, across):
            cells += _sliced(column, 1, along)
    return [each for cell in cells for each in cell.decompose() if each.volume() > _CRUMB]


def _turns(bed: tuple[float, float, float]) -> tuple[tuple[float, float], ...]:
    """The bed's sides as a part lies on it straight, and turned by a quarter."""
    return (bed[0], bed[1]), (bed[1], bed[0])


def _count(size: float, room: float) -> int:
    """How many equal pieces of a size, each but one with pegs on, go into the room; one needs none."""
    if size <= room:
        return 1
    free = room - _reach()
    if free <= 2.0 * _reach():
        raise FormerError(
            f"a bed of {room:g} mm is too small for the parts of a former and their pegs of {_reach():.0f} mm; "
            f"name the bed of your printer under [former], at least {3.0 * _reach():.0f} mm each way"
        )
    return int(np.ceil(size / free))


def _extents(body: Manifold) -> tuple[float, float, float]:
    x0, y0, z0, x1, y1, z1 = body.bounding_box()
    return x1 - x0, y1 - y0, z1 - z0


def _sliced(body: Manifold, axis: int, count: int) -> list[Manifold]:
    """A body cut across an axis into so many equal lengths, from the lowest on."""
    box = body.bounding_box()
    low, high = box[axis], box[axis + 3]
    normal = tuple(float(i == axis) for i in range(3))
    found, rest = [], body
    for number in range(1, count):
        rest, below = rest.split_by_plane(normal, low + (high - low) * number / count)
        found.append(below)
    return [*found, rest]


def _meetings(cells: Sequence[_Cell]) -> list[tuple[int, float, _Cell, _Cell]]:
    """Pairs of cells that meet in a plane: its axis and place, the cell below it and the cell above it."""
    found = []
    boxes = [cell.body.bounding_box() for cell in cells]
    for (i, one), (j, other) in combinations(enumerate(boxes), 2):
        for axis, (a, b) in product(range(3), ((i, j), (j, i))):
            if abs(boxes[a][axis + 3] - boxes[b][axis]) < BESIDE and all(
                min(one[k + 3], other[k + 3]) > max(one[k], other[k]) for k in range(3) if k != axis
            ):
                found.append((axis, boxes[b][axis], cells[a], cells[b]))
    return found


def _upright(axis: int) -> Floats:
    """The proper rotation (3,4) that brings an axis to z, by shifting the axes round."""
    return np.column_stack([np.roll(np.eye(3), axis - 2, axis=1), np.zeros(3)])


def _pegged(below: _Cell, above: _Cell, axis: int, at: float, clearance: float) -> None:
    """Pegs on the lower of two cells that meet in a plane, and their holes in the upper one, as large as have room;
    none where even the smallest have not."""
    turn = _upright(axis)
    axes = np.argmax(turn[:, :3], axis=1)
    one, other = below.body.transform(turn), above.body.transform(turn)
    face = shapely.intersection(_outline(one.slice(at - BESIDE)), _outline(other.slice(at + BESIDE)))
    if shapely.area(face) <= 0.0:
        return
    for diameter in PEGS:
        length = SLENDER * diameter
        beyond = [_outline(other.slice(at + share * (length + DEEPER))) for share in (0.5, 1.0)]
        room = shapely.intersection_all([face, *beyond, _outline(one.slice(at - ROOTED))])
        across = 0.5 * diameter + clearance + max(RIM, RIM_SHARE * diameter)
        # Pegs and holes of another cut must not come into this one's way, nor this one into theirs.
        in_way = [
            *_in_way(below.taken()[:, [*axes, *(axes + 3)]], at - across, at),
            *_in_way(above.taken()[:, [*axes, *(axes + 3)]], at, at + length + DEEPER + RIM),
        ]
        room = shapely.difference(room, shapely.union_all(in_way))
        places = _apart(shapely.buffer(room, -across), least=2.0 * diameter)
        if len(places) < 2:
            continue
        back = np.column_stack([turn[:, :3].T, np.zeros(3)])
        peg = _frustum(diameter, length + ROOTED, start=-ROOTED)
        hole = _frustum(diameter + 2.0 * clearance, length + DEEPER, start=0.0)
        for x, y in places:
            below.pegs.append(peg.translate((x, y, at)).transform(back))
            above.holes.append(hole.translate((x, y, at)).transform(back))
        return


def _in_way(boxes: Floats, low: float, high: float) -> list[shapely.Geometry]:
    """The rectangles that boxes (n,6) fill between two heights."""
    return [shapely.box(*box[[0, 1, 3, 4]]) for box in boxes if box[2] < high and box[5] > low]


def _frustum(diameter: float, length: float, *, start: float) -> Manifold:
    """A peg upwards from `start`: straight up to 0, narrowing from there on."""
    cone = Manifold.cylinder(length + start, 0.5 * diameter, 0.5 * TAPER * diameter, _SEGMENTS)
    if start == 0.0:
        return cone
    return Manifold.cylinder(-start, 0.5 * diameter, 0.5 * diameter, _SEGMENTS).translate((0.0, 0.0, start)) + cone


def _outline(shape: CrossSection) -> shapely.Geometry:
    """A plane section as polygons with their holes."""
    rings = [shapely.Polygon(ring) for ring in shape.to_polygons() if len(ring) > 2]
    found: shapely.Geometry = shapely.Polygon()
    for ring in sorted(rings, key=lambda each: -each.area):
        found = shapely.symmetric_difference(found, ring.buffer(0.0))
    return found


def _apart(room: shapely.Geometry, *, least: float) -> list[tuple[float, float]]:
    """Up to MOST_PEGS places in a room, at least `least` mm apart, each as far from those before as can be."""
    if shapely.is_empty(room):
        return []
    x0, y0, x1, y1 = shapely.bounds(room)
    x, y = (np.arange(low, high + _ROUNDING, PLACES) for low, high in ((x0, x1), (y0, y1)))
    grid = np.stack([axis.ravel() for axis in np.meshgrid(x, y)], axis=1)
    grid = grid[shapely.covers(room, shapely.points(grid))]
    if not len(grid):
        return []
    middle = shapely.get_coordinates(shapely.centroid(room))[0]
    found: list[Floats] = []
    away = np.hypot(*(grid - middle).T)
    while len(found) < MOST_PEGS:
        far = int(np.argmax(np.round(away, 6)))
        if found and away[far] < least:
            break
        away = np.hypot(*(grid - grid[far]).T) if not found else np.minimum(away, np.hypot(*(grid - grid[far]).T))
        found.append(grid[far])
    return [(float(place[0]), float(place[1])) for place in found]


def _numbered(body: Manifold, name: str) -> Manifold:
    """A body with its name engraved from below in its flat underside, as large as has room beside its holes."""
    z = body.bounding_box()[2]
    room = shapely.buffer(_outline(body.slice(z + DEPTH)), -RIM)
    if not name or shapely.is_empty(room):
        return body
    ((x, y),) = shapely.get_coordinates(shapely.centroid(room)).tolist()
    for height in NUMBERS:
        shape = words(name, height)
        for angle in (0.0, 0.5 * np.pi):
            place = free_place(room, width(shape), height, angle=angle, near=(x, y))
            if place is not None:
                seen = shape.mirror((1.0, 0.0)).rotate(float(np.degrees(angle))).translate(place)
                return body - Manifold.extrude(seen, 2.0 * DEPTH).translate((0.0, 0.0, z - DEPTH))
    return body


def _part(cell: _Cell, bed: tuple[float, float, float], name: str) -> Part:
    """A cell with its pegs and holes, as it lies on the bed, numbered by a name where it has one."""
    body = cell.body
    for peg in cell.pegs:
        body += peg
    for hole in cell.holes:
        body -= hole
    body = _numbered(body, name)
    straight = _extents(body)
    turned = 0.0 if straight[0] <= bed[0] and straight[1] <= bed[1] else 0.5 * np.pi
    if turned:
        body = body.rotate((0.0, 0.0, -90.0))
    x0, y0, z0, x1, y1, z1 = body.bounding_box()
    moved = 0.5 * (x0 + x1), 0.5 * (y0 + y1), z0
    body = body.translate((-moved[0], -moved[1], -moved[2]))
    # Back in the whole former it is first moved as it lies, then turned; told the other way round, so that the turn
    # is about the former's own axis.
    there = moved if not turned else (-moved[1], moved[0], moved[2])
    return Part(
        mesh_of(body),
        (x1 - x0, y1 - y0, z1 - z0),
        float(body.volume()),
        turned,
        there,
        len(cell.pegs),
        len(cell.holes),
    )
