"""Holes of every kind of seam and dart: mates match one to one."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np
import shapely

from flatten.mesh.surface import Floats
from flatten.pattern.fastening import (
    PITCHES,
    SNAP_PITCHES,
    STITCH_ROW,
    STRAP_ASIDE,
    STRAP_RIVETS,
    STRAP_ROW,
    STRAP_SLOT,
    STRAP_SLOT_PLAY,
    USUAL,
    DartClosing,
    Fastening,
    Lacing,
    Riveting,
    Snapping,
    Stitching,
    Strapping,
    edge_distance,
)
from flatten.pattern.model import Hole, Join, PatternError
from flatten.pattern.outline import Side
from flatten.pattern.rows import Row, common_run, evenly, mean_length, row_of
from flatten.pattern.strap_lengths import STRAP_THICKNESS
from flatten.pattern.strap_places import strap_heights, strap_places

SLOT_SAGITTA = 1.0
"""mm. A slot's straight run stands so much further from a side that may bend: 22 mm on a bend of 60 mm radius."""

_HOLE_KINDS = {Lacing: "eyelet", Riveting: "rivet", Snapping: "snap", Stitching: "stitch", Strapping: "strap rivet"}
_JOIN_KINDS: dict[type, str] = {
    Lacing: "laced",
    Riveting: "riveted",
    Snapping: "snapped",
    Stitching: "stitched",
    Strapping: "strapped",
}

Wishes = Mapping[str, Fastening | DartClosing]
"""How seams and darts are closed, by their names; a name that is missing is closed in the way that is usual."""

Punched = tuple[tuple[tuple[Hole, ...], ...], tuple[Join, ...]]


def punched(
    pieces: Sequence[tuple[Side, ...]],
    *,
    fastenings: Wishes,
    thickness: float,
    by_share: bool,
    lining: float = 0.0,
) -> Punched:
    """The holes of each piece, given its sides, and how each seam and dart is joined by them.

    All mates of a seam, on whichever piece, get equally many, counted upwards. Eyelets and straps stand at equal
    fractions of their sides' arc lengths, so that mates face each other. Rivets and stitches go through two layers, so
    they stand at equal chart heights, and so do straps that are placed by height; with `by_share` (symmetrical pieces)
    at equal fractions too. End holes are as far from the corners' other edges as all holes are from their own. A seam
    that is open gets none; a dart or slash gets its stop hole. What is held also goes through a `lining`, mm.

    Raises PatternError where a side is too short for two holes, or a seam cannot be closed in the way wished for.
    """
    closings = {_named(side): _closing(side, fastenings) for sides in pieces for side in sides}
    holes = [list(_stops(sides, fastenings)) for sides in pieces]
    joins = []
    for name, fastening in closings.items():
        if fastening is None:
            continue
        mates = [(i, side) for i, sides in enumerate(pieces) for side in sides if _named(side) == name]
        away = _row_distance(fastening, thickness)
        shares = by_share or isinstance(fastening, Lacing) or (isinstance(fastening, Strapping) and not fastening.at)
        rows = [
            row_of(pieces[i], side, piece=i, away=away, by_share=shares, stops=_discs(holes[i])) for i, side in mates
        ]
        found, join = _joined(name, rows, fastening, thickness)
        join = replace(join, strip=_strip(join, fastenings.get(name)), stack=join.stack + lining)
        for row, more in zip(rows, found, strict=True):
            holes[row.piece] += more
        joins.append(join)
    return tuple(tuple(found) for found in holes), tuple(joins)


def _named(side: Side) -> str:
    """The name of the seam or dart that a side lies along; "" for an edge, whatever a seam may be called."""
    return "" if side.kind == "edge" else side.name


def _closing(side: Side, fastenings: Wishes) -> Fastening | None:
    """How a side is closed. Raises PatternError where the wish is not for a side of its kind."""
    wish = fastenings.get(side.name)
    if side.kind in ("dart", "slash"):
        return wish.fastening if isinstance(wish, DartClosing) else None
    if side.kind not in USUAL:
        return None
    usual = USUAL[side.kind]
    if wish is None:
        return usual
    if not isinstance(wish, type(usual)):
        raise PatternError(
            f"the seam '{side.name}' is {side.kind} and cannot be closed by {type(wish).__name__.lower()}"
        )
    return wish


def _stops(sides: tuple[Side, ...], fastenings: Wishes) -> list[Hole]:
    """The stop holes of a piece: where the first side of a dart ends and the second begins."""
    stops = []
    for side, after in zip(sides, (*sides[1:], *sides[:1]), strict=True):
        if side.kind in ("dart", "slash") and after.name == side.name:
            wish = fastenings.get(side.name, DartClosing())
            size = wish.stop if isinstance(wish, DartClosing) else DartClosing().stop
            x, y = side.path.points[-1]
            stops.append(Hole(float(x), float(y), size, "stop", side.name, ""))
    return stops


def _discs(holes: Sequence[Hole]) -> shapely.Geometry:
    """The stop holes among `holes` as discs: their rims are edges."""
    return shapely.union_all(
        [shapely.Point(hole.x, hole.y).buffer(0.5 * hole.diameter) for hole in holes if hole.kind == "stop"]
    )


def _row_distance(fastening: Fastening, thickness: float) -> float:
    """Distance of the row from its own edge, mm."""
    if isinstance(fastening, Stitching):
        return STITCH_ROW
    kind, size = _hole_kind(fastening)
    least = edge_distance(kind, size, thickness)
    # The tongue's tightest hole comes to the edge, and must not lie under the cap of the rivet beside it.
    return max(least, STRAP_ROW) if kind == "strap rivet" else least + (SLOT_SAGITTA if kind == "slot" else 0.0)


def _hole_kind(fastening: Fastening) -> tuple[str, float]:
    """Kind and diameter of the holes of a fastening."""
    if isinstance(fastening, Strapping) and fastening.slots:
        return "slot", STRAP_SLOT
    return _HOLE_KINDS[type(fastening)], fastening.diameter


def _row_holes(row: Row, places: Floats, fastening: Fastening) -> list[Hole]:
    """The holes of one row at its places: one each, or two behind one another for a riveted strap."""
    kind, size = _hole_kind(fastening)
    name, side = _named(row.side), row.side.side
    if isinstance(fastening, Strapping) and fastening.slots:
        run = fastening.width + STRAP_SLOT_PLAY
        return [
            Hole(float(x), float(y), size, kind, name, side, run, float(angle))
            for (x, y), angle in zip(row.points(places), row.angles(places), strict=True)
        ]
    depths = (0.0, STRAP_RIVETS) if isinstance(fastening, Strapping) else (0.0,)
    pairs = zip(*(row.points(places, further=depth) for depth in depths), strict=True)
    return [Hole(float(x), float(y), size, kind, name, side) for pair in pairs for x, y in pair]


def _ends(fastening: Fastening, away: float) -> float:
    """mm that the first and last place of a row keep from what is around them."""
    if not isinstance(fastening, Strapping):
        return away
    half = 0.5 * fastening.width
    return half + 0.5 * STRAP_SLOT_PLAY + away if fastening.slots else max(half + STRAP_ASIDE, away)


def rows_inside(fastenings: Wishes, thickness: float) -> dict[str, float]:
    """Distance of the holes from the edge, mm, by the name of each seam and dart that holds leather on leather.

    Those are riveted, snapped or stitched, so that both sides have to be equally long along their holes. A lace or a
    strap takes up what one side is longer.
    """
    closings = {name: wish.fastening if isinstance(wish, DartClosing) else wish for name, wish in fastenings.items()}
    return {
        name: _row_distance(closing, thickness)
        for name, closing in closings.items()
        if isinstance(closing, Riveting | Snapping | Stitching)
    }


def reach_inside(fastening: Fastening | None, thickness: float) -> float:
    """How far (mm) from its edge the holes of a fastening and their rims reach; 0 where there are none."""
    if fastening is None:
        return 0.0
    held_twice = isinstance(fastening, Strapping) and not fastening.slots
    return _row_distance(fastening, thickness) + (STRAP_RIVETS if held_twice else 0.0) + 0.5 * _hole_kind(fastening)[1]


def _joined(name: str, rows: list[Row], fastening: Fastening, thickness: float) -> tuple[list[list[Hole]], Join]:
    """The holes of each of a seam's rows, and the join that they make."""
    away = rows[0].away
    first, last = common_run(rows, _ends(fastening, away))
    strap = fastening if isinstance(fastening, Strapping) else None
    if isinstance(fastening, Strapping):
        places = strap_places(name, rows, fastening, first, last)
    else:
        places = evenly(rows, first, last, 1 + _intervals(name, mean_length(rows, first, last), fastening))
    count, lengths = len(places), _lengths(rows, float(places[0]), float(places[-1]))
    on_seam = rows[0].side.on_seam
    skive = fastening.skive if isinstance(fastening, Riveting | Stitching) else None
    gap = fastening.gap + 2.0 * away if isinstance(fastening, Lacing | Strapping) else 0.0 if on_seam else 2.0 * away
    join = Join(
        name,
        _JOIN_KINDS[type(fastening)],
        count,
        _hole_kind(fastening)[1],
        float(np.mean(lengths)) / (count - 1),
        lengths,
        gap,
        thickness + (STRAP_THICKNESS if strap else thickness if skive is None else skive.left),
        thickness,
        0.0 if on_seam else away,
        panels=_panels(rows),
        strap=strap.width if strap else 0.0,
        slotted=strap is not None and strap.slots,
        buckle=strap.buckle if strap else "",
        skive=skive,
        heights=strap_heights(rows, places) if strap else (),
        placed=strap.placed if strap else "",
        what=rows[0].side.kind if rows[0].side.kind in ("dart", "slash") else "seam",
    )
    return [_row_holes(row, places, fastening) for row in rows], join


def _strip(join: Join, wish: Fastening | DartClosing | None) -> float:
    """Width (mm) of the strip beneath a dart or slash: as far beyond each row of holes as that is from the edge."""
    if not isinstance(wish, DartClosing) or not (wish.opening or join.kind == "riveted"):
        return 0.0
    return wish.opening + 4.0 * join.row


def _panels(rows: list[Row]) -> tuple[int, int]:
    """Numbers of the panels before and after a seam."""
    before, after = ([row.piece for row in rows if _lies_after(row.side) == which] for which in (False, True))
    return (before or after)[0], (after or before)[0]


def _lengths(rows: list[Row], first: float, last: float) -> tuple[float, float]:
    """Lengths of the rows before and after the seam: a seam's leather before it is its panel's high side."""

    def mean(after: bool) -> float:
        chosen = [row for row in rows if _lies_after(row.side) == after]
        return float(np.mean([row.run_length(first, last) for row in chosen or rows]))

    return mean(False), mean(True)


def _lies_after(side: Side) -> bool:
    """Whether a side is of the leather after its seam or dart, at higher bearings."""
    return side.side == ("high" if side.kind in ("dart", "slash") else "low")


def _intervals(name: str, room: float, fastening: Lacing | Riveting | Snapping | Stitching) -> int:
    """How many steps from hole to hole divide `room` mm, near to the pitch wanted and within its bounds.

    Raises PatternError where there is no room for two holes.
    """
    bounds = None if isinstance(fastening, Stitching) else SNAP_PITCHES if isinstance(fastening, Snapping) else PITCHES
    least = fastening.pitch if bounds is None else bounds[0]
    if not room >= least:
        raise PatternError(
            f"the seam or dart '{name}' has {max(room, 0.0):.0f} mm for holes clear of its ends; to be "
            f"{_JOIN_KINDS[type(fastening)]} it needs at least {least:.0f} mm: make it longer or close it otherwise"
        )
    wanted = max(round(room / fastening.pitch), 1)
    if bounds is None:
        return wanted
    fewest, most = int(np.ceil(room / bounds[1])), int(room / bounds[0])
    # A room a little longer than the greatest pitch may hold no count within the bounds; the wanted one is nearest.
    return min(max(wanted, fewest), most) if fewest <= most else wanted
