"""All that is written on a piece, and what gives way first where there is little room."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from itertools import product

import numpy as np
import shapely

from flatten.mesh.surface import Floats
from flatten.pattern.facing import QuarterPart
from flatten.pattern.lettering import SMALL_TEXT, reach, text_width
from flatten.pattern.marks import NoRoomError, no_room
from flatten.pattern.model import Mark, Path
from flatten.pattern.title import with_arrow, with_bare_arrow, with_block, with_check_line, with_way
from flatten.pattern.writing import (
    NO_JOINTS,
    TIGHT_GAP,
    Written,
    off_joints,
    start,
    with_line_name,
    with_number,
    with_side_name,
    with_spot,
)
from flatten.words.language import Language

GIVES_WAY = (
    "numbers",
    "bottom",
    "lines' names",
    "quarters",
    "lines",
    "seams' way",
    "seams",
    "job",
    "leather",
    "long name",
    "grain",
    "top",
    "whole name",
)
"""What a piece goes without, one after the other, until what it must bear has room, and what it then bears only where
there is still room. First go the numbers of match marks (the marks stay, and the topmost is double), then what can be
told from what is left. The mates of its seams stay long, at last in small letters and without the way they meet. The
job's name and the leather's thickness stand on other pieces too. A plate of a few cm bears its panel's name and its
side's letter alone ("long name"), nearer to edges and lines, and a grain arrow without a word; then no arrow, then no
TOP: its name is level and read with the top up. At last two letters of the name are left. A check line, the way to the
front, and whatever finds no place of its own are left out without a word."""

Texts = tuple[str, ...]
"""What can be written in one place, the longest first."""


@dataclass(frozen=True, eq=False)
class Wording:
    """What is to be written on a piece.

    `name` and `side_up` stand in its label with `job` and `leather`, or the `short` name alone; its grain runs along
    `grain` rad, with the word `arrow`. `top` and `bottom` are the edges' texts, each with the sides that it may stand
    along, and `high` is a place (2,) near the top. `seams` are those of other sides, the last text without what meets
    them; `lines` those of lines that are drawn, `skives` of those that a skiver goes by, `quarters` those of parts of
    the piece, `numbers` those of match marks, with their inner ends and ways inwards. `way` is the word for the way to
    the front, with its direction (rad), None where the piece shows the front. `zones` are those of zones, one for
    within and one for beside the line. Seams' texts are `small` on a piece with little room.
    """

    name: str
    short: str
    side_up: str
    job: str
    leather: str
    grain: float
    arrow: str
    top: tuple[Texts, tuple[Path, ...]]
    bottom: tuple[Texts, tuple[Path, ...]]
    high: Floats
    seams: Sequence[tuple[Texts, Path]] = ()
    lines: Sequence[tuple[Texts, Mark]] = ()
    skives: Sequence[tuple[Texts, Mark]] = ()
    quarters: Sequence[tuple[Texts, QuarterPart]] = ()
    numbers: Sequence[tuple[str, Floats, Floats]] = ()
    zones: Sequence[tuple[tuple[str, str], shapely.Geometry, Mark]] = ()
    way: tuple[str, float] | None = None
    small: bool = False


def labelled(
    free: shapely.Geometry,
    wording: Wording,
    *,
    tight: shapely.Geometry,
    kept: Sequence[Mark],
    lines: Sequence[Mark],
    joints: shapely.Geometry = NO_JOINTS,
    language: Language,
) -> tuple[tuple[Mark, ...], Written]:
    """The lines that are drawn on a piece, and all that is written beside them in what is `free` of it.

    `tight` is what is free of a small piece, nearer to its edges. `kept` are drawn whatever happens; `lines` too,
    unless there is no room for what must be written, see GIVES_WAY. What is written keeps clear of `joints` of printed
    sheets where it has room so.

    Raises NoRoomError where not even two letters of its name have room.
    """
    # Where joints would make something give way, they are passed over: a text across a joint is still read.
    clear = (NO_JOINTS,) if shapely.is_empty(joints) else (joints, NO_JOINTS)
    for count, passed in product(range(len(GIVES_WAY)), clear):
        try:
            return _tried(free, tight, wording, kept, lines, frozenset(GIVES_WAY[:count]), passed, language)
        except NoRoomError:
            continue
    return _tried(free, tight, wording, kept, lines, frozenset(GIVES_WAY), NO_JOINTS, language)


def _tried(
    free: shapely.Geometry,
    tight: shapely.Geometry,
    wording: Wording,
    kept: Sequence[Mark],
    lines: Sequence[Mark],
    without: frozenset[str],
    joints: shapely.Geometry,
    language: Language,
) -> tuple[tuple[Mark, ...], Written]:
    """What `labelled` gives, `without` some of GIVES_WAY. Raises NoRoomError where what must be written has no room."""
    drawn = tuple(kept) if "lines" in without else (*lines, *kept)
    if "long name" in without:
        return drawn, _on_small(start(tight, drawn, gap=TIGHT_GAP), wording, without)
    return drawn, _placed(start(free, drawn, joints=joints), wording, without, language)


def _on_small(written: Written, wording: Wording, without: frozenset[str]) -> Written:
    """What a small piece bears: TOP, its short name, and a grain arrow, `without` some of them.

    Raises NoRoomError where one of them has no room.
    """
    x0, y0, x1, y1 = _bounds(written.free)
    if "top" not in without:
        found = with_spot(written, wording.top[0][-1:], within=written.free, near=wording.high, level=True)
        if found is None:
            raise _no_room(wording)
        written = found
    name = wording.short[:2] if "whole name" in without else wording.short
    near = np.array([0.5 * (x0 + x1), 0.5 * (y0 + y1)])
    found = with_spot(written, (name,), within=written.free, near=near, level=True)
    if found is None:
        raise _no_room(wording)
    written = found
    if "grain" in without:
        return written
    return with_bare_arrow(written, wording.grain, name=wording.name, near=(0.3 * x0 + 0.7 * x1, 0.5 * (y0 + y1)))


def _placed(written: Written, wording: Wording, without: frozenset[str], language: Language) -> Written:
    """What is to be written, each in its place; what has least choice of places comes first, and what the piece goes
    `without` for the rest comes last, where it still finds room.

    Raises NoRoomError where what a piece must bear has no room.
    """
    x0, y0, x1, y1 = _bounds(written.free)
    left, right, middle = 0.7 * x0 + 0.3 * x1, 0.3 * x0 + 0.7 * x1, 0.5 * (y0 + y1)
    first = tuple(part for part in _OPTIONAL if part not in without)
    last = tuple(part for part in reversed(GIVES_WAY) if part in without and part in _OPTIONAL)
    lines = "lines" not in without
    if "seams' way" in without:
        wording = replace(wording, seams=[(texts[1:] or texts, path) for texts, path in wording.seams], small=True)
    written = _with_zones(_with_top(written, wording), wording)
    # A seam's text finds a place further inside; how much is skived off has none but beside its line.
    for texts, mark in wording.skives if lines else ():
        written = _named(written, texts, mark)
    written = _with_some(written, wording, first, lines=lines)
    block = [wording.name, wording.side_up]
    block += [] if "job" in without else [wording.job]
    block += [] if "leather" in without else [wording.leather]
    # Name and side are not cut short.
    written = _put(
        written, lambda w: with_block(w, block, whole=2, name=wording.name, near=(left, middle + 0.1 * (y1 - y0)))
    )
    written = _put(
        written, lambda w: with_arrow(w, wording.grain, wording.arrow, name=wording.name, near=(right, middle))
    )
    written = _with_some(written, wording, last, lines=lines)
    if wording.way is not None:
        word, angle = wording.way
        written = _put(written, lambda w: with_way(w, angle, word, near=(0.5 * (x0 + x1), 0.3 * y0 + 0.7 * y1)))
    return _put(written, lambda w: with_check_line(w, near=(left, 0.8 * y0 + 0.2 * y1), language=language))


def _put(written: Written, put: Callable[[Written], Written | None]) -> Written:
    """What `put` adds, off joints where it can be; what is written already, where it finds no room."""
    return off_joints(written, put) or written


def _named(written: Written, texts: Texts, mark: Mark) -> Written:
    """A line's name added beside it, where it has room."""
    found = off_joints(
        written,
        lambda w: with_line_name(w, texts, mark),
        lambda w: with_line_name(w, texts, mark, height=SMALL_TEXT),
    )
    return found or written


_OPTIONAL = ("numbers", "seams", "lines' names", "bottom", "quarters")
"""Of GIVES_WAY, what is written, in the order in which it is placed where all has room."""


def _with_some(written: Written, wording: Wording, parts: tuple[str, ...], *, lines: bool) -> Written:
    """Some of _OPTIONAL added in the order given, each where it has room; names of lines where `lines` are drawn."""
    if parts[:2] == _OPTIONAL[:2]:
        written, parts = _along_seams(written, wording), parts[2:]
    for part in parts:
        if part == "numbers":
            written = _with_numbers(written, wording)
        elif part == "seams":
            written = _with_seams(written, wording)[0]
        elif part == "lines' names" and lines:
            for texts, mark in wording.lines:
                written = _named(written, texts, mark)
        elif part == "bottom":
            written = _put(written, lambda w: _along_one(w, *wording.bottom))
        elif part == "quarters":
            for texts, one in wording.quarters:
                written = _in_quarter(written, texts, one)
    return written


def _in_quarter(written: Written, texts: Texts, quarter: QuarterPart) -> Written:
    """A quarter's name added within its part of the piece, where it has room."""
    return _put(written, lambda w: with_spot(w, texts, within=quarter.part, near=quarter.near))


def _along_seams(written: Written, wording: Wording) -> Written:
    """Numbers of match marks, close to them, and texts of seams; those first where a mate would not be told."""
    found, told = _with_seams(_with_numbers(written, wording), wording)
    return found if told else _with_numbers(_with_seams(written, wording)[0], wording)


def _with_zones(written: Written, wording: Wording) -> Written:
    """What is said of zones added, each within it, or else beside its line."""
    for (within, beside), zone, mark in wording.zones:
        written = _in_zone(written, within, beside, zone, mark)
    return written


def _in_zone(written: Written, within: str, beside: str, zone: shapely.Geometry, mark: Mark) -> Written:
    """What is said of a zone added within it, or else beside its line."""
    near = np.array(shapely.get_coordinates(shapely.point_on_surface(zone))[0])

    def put(here: Written) -> Written:
        found = with_spot(here, (within,), within=zone, near=near)
        return found or with_line_name(here, (beside,), mark)

    return _put(written, put)


def _with_numbers(written: Written, wording: Wording) -> Written:
    """The numbers of match marks added, each where it has room."""
    for text, end, inward in wording.numbers:
        written = _numbered(written, text, end, inward)
    return written


def _numbered(written: Written, text: str, end: Floats, inward: Floats) -> Written:
    """A match mark's number added, where it has room."""
    return _put(written, lambda w: with_number(w, text, end, inward))


def _with_seams(written: Written, wording: Wording) -> tuple[Written, bool]:
    """The texts of seams added, each where it has room, and whether all mates are told."""
    told = True
    for texts, path in wording.seams:
        found = _along_seam(written, texts, path, small=wording.small)
        told = told and found is not None and found.labels[-1].text in texts[: max(len(texts) - 1, 1)]
        written = found or written
    return written, told


def _along_seam(written: Written, texts: Texts, path: Path, *, small: bool) -> Written | None:
    """A seam's text added along its side; None where it has no room. Rather than go without what meets it, it lies
    across a joint."""
    telling = texts[: max(len(texts) - 1, 1)]
    found = off_joints(written, lambda w: with_side_name(w, telling, path, small=small))
    return found or off_joints(written, lambda w: with_side_name(w, texts, path, small=small))


def _bounds(free: shapely.Geometry) -> tuple[float, float, float, float]:
    """Least x, least y, greatest x, greatest y of what is free, mm; 0 where nothing is."""
    return (0.0,) * 4 if shapely.is_empty(free) else tuple(shapely.bounds(free).tolist())


def _no_room(wording: Wording) -> NoRoomError:
    """The error that not even the beginning of a piece's name has room on it."""
    name = wording.short[:2]
    return no_room(wording.name, f"“{name}”, its name", text_width(name, SMALL_TEXT), SMALL_TEXT * sum(reach(name)))


def _with_top(written: Written, wording: Wording) -> Written:
    """Which edge is the top, along it, or where that has no room as near to it as can be.

    Raises NoRoomError where there is none at all.
    """
    texts, paths = wording.top

    def put(here: Written) -> Written | None:
        found = _along_one(here, texts, paths)
        return found or with_spot(here, texts, within=here.free, near=wording.high)

    found = off_joints(written, put)
    if found is None:
        raise no_room(wording.name, f"“{texts[-1]}”", 20.0, 6.0)
    return found


def _along_one(written: Written, texts: Texts, paths: tuple[Path, ...]) -> Written | None:
    """The first of `texts` that has room along one of several sides added; None where none has."""
    for text in texts:
        for path in paths:
            found = with_side_name(written, (text,), path)
            if found is not None:
                return found
    return None
