"""A flat panel made into the piece that is cut: outline, holes, marks and labels."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np
import shapely

from flatten.findings import message
from flatten.limb.model import Landmark
from flatten.mesh.surface import Floats
from flatten.pattern.added import NOTHING, Added, added_holes
from flatten.pattern.corners import closed_edge_to_edge, corners_of, even_corners, near_holes, rounded
from flatten.pattern.distances import HOLE_FIT, check_holes, check_lines, rims_of
from flatten.pattern.edging import EDGE_LINES, USUAL, Edging, edge_lines, edge_stitches
from flatten.pattern.fastening import DartClosing, edge_distance
from flatten.pattern.grown import grown
from flatten.pattern.holes import Wishes, punched
from flatten.pattern.isoline import isolines
from flatten.pattern.marks import NoRoomError, clear_of, line_region, notches, ring_region, traced
from flatten.pattern.mirrored import even_sides
from flatten.pattern.model import Corner, Hole, Join, Mark, Path, Piece, Skive
from flatten.pattern.outline import Side, outline_of, shape_of, sides_of, turned_over, wearers_uv
from flatten.pattern.overlap import other_edge, upper_edges
from flatten.pattern.path import length
from flatten.pattern.symmetry import Evened
from flatten.pattern.writing import (
    Written,
    start,
    with_arrow,
    with_block,
    with_check_line,
    with_line_name,
    with_side_name,
)
from flatten.unwrap.model import FlatPanel
from flatten.words import say
from flatten.words.english import ENGLISH
from flatten.words.language import Language

_WRITING_FROM_EDGE = 6.0
"""mm. Texts stay this far inside the cut line, beyond the notches."""


NO_WISHES: Wishes = MappingProxyType({})
"""Every seam is closed in the way that is usual for its kind."""


@dataclass(frozen=True, eq=False)
class Pattern:
    """The pieces of one limb, and how their seams and darts are joined."""

    pieces: tuple[Piece, ...]
    joins: tuple[Join, ...]


@dataclass(frozen=True)
class TitleBlock:
    """What stands on each piece of a limb: the job's name, the `side` ("left" or "right"), the leather's `thickness`
    (mm), and what is made (`work`), such as "shin guard"; the panel's name follows it where there are several or it is
    another `part` than the "base", and stands alone without it. It is cut larger by an `allowance` (mm) all round, and
    a `lining` (mm) is glued beneath it."""

    job: str
    side: str
    thickness: float
    work: str | None = None
    part: str = "base"
    allowance: float = 0.0
    lining: float = 0.0


def pattern_from(
    flats: Sequence[FlatPanel],
    title: TitleBlock,
    *,
    mirrored: bool = False,
    fastenings: Wishes = NO_WISHES,
    girths: Sequence[Landmark] = (),
    even: Sequence[Evened] = (),
    added: Sequence[Added] = (),
    edging: Edging = USUAL,
    language: Language = ENGLISH,
) -> Pattern:
    """The pieces that are cut for the flat panels of one limb, mm, grain side up, y towards the body.

    Each piece lies where its panel's uv lie, x negated where `mirrored` (limb coordinates are the mirror image of
    the body's); all marks and texts are placed after that. Its outline is one smooth line per boundary, within
    CUT_LINE of it. Seams and darts get the holes of their kind, which match on whichever pieces they lie. `girths` are
    heights whose rings are drawn and named. `fastenings` says, by the seam's or dart's name, what is not closed as
    usual, `edging` what the edges are given. `even` is what `evened` said of the flat panels, where they were made
    symmetrical: outlines are then exact mirror images, and so are the holes of seams that are closed alike. `added` is
    what each piece has beside all that, empty where none has.

    Raises PatternError where an outline crosses itself, a boundary turns too sharply, a hole does not fit or the
    writing has no room.
    """
    thickness = title.thickness
    alone = len(flats) == 1 and title.part == "base"
    called = [_called(flat, title.work, alone=alone, language=language) for flat in flats]
    if even:
        sides = [turned_over(own) if mirrored else own for own in even_sides(flats, even)]
    else:
        sides = [sides_of(flat, mirrored=mirrored) for flat in flats]
    folded = {entry.panel for entry in even if entry.panel == entry.mate}
    for own, name in zip(sides, called, strict=True):
        outline_of(tuple(side.path for side in own), name)
    seams, joins = punched(sides, fastenings=fastenings, thickness=thickness, by_share=bool(even), lining=title.lining)
    every = added or (NOTHING,) * len(flats)
    layers = [
        added_holes(more, wearers_uv(flat, mirrored=mirrored), flat.panel.mesh.faces)
        for more, flat in zip(every, flats, strict=True)
    ]
    holes = [(*own, *more) for own, more in zip(seams, layers, strict=True)]
    corners = _corners(sides, called, holes, edging, fastenings, thickness=thickness, even=bool(even))
    side_up, leather = message("piece.side up", side=title.side), message("piece.leather", thickness=thickness)
    texts = (say.text(side_up, language), title.job, say.text(leather, language))
    pieces = []
    for i, (flat, name, own, bends, found) in enumerate(zip(flats, called, sides, corners, holes, strict=True)):
        cut = rounded(own, bends)
        net = outline_of(cut.paths, name)
        outline = grown(net, title.allowance) if title.allowance else net
        shape = shape_of(outline)
        touching = closed_edge_to_edge(own, _openings(fastenings))
        edges = edge_lines(own, cut, edging, shape=shape, closed=touching) if title.part == "base" else ()
        check_lines(edges, found, name=name)
        found = (*found, *edge_stitches(edges, edging, found, thickness=thickness))
        uv = wearers_uv(flat, mirrored=mirrored)
        more = every[i]
        check_holes(shape, found, thickness=thickness, name=name, rims=rims_of(own, cut))
        centre = (_axis(uv),) if i in folded else isolines(uv, flat.panel.mesh.faces, flat.panel.bearings, 0.0)
        lines, names = _lines(flat, uv, (centre, upper_edges(flats, i, uv)), shape, own, found, girths, more, language)
        skived = _skive_marks(
            flats, i, uv, {join.name: join.skive for join in joins}, line_region(shape, found), language
        )
        # On a lower layer that line is drawn already: the upper one's edge comes there.
        lines = (*edges, *lines, *(mark for layer, _, mark in skived if layer == "upper"))
        names = (*names, *((text, mark) for _, text, mark in skived))
        angle = float(np.pi - flat.grain_angle if mirrored else flat.grain_angle)
        free = clear_of(shape, found, edge=_WRITING_FROM_EDGE)
        along = _side_names(own, joins, language)
        if title.allowance:
            lines = (*lines, Mark("trim", net))
        lines, written = _written(free, (name, *texts), angle, lines, names, along, language)
        marks = (*lines, *written.marks)
        pieces.append(Piece(name, title.side, outline, found, marks, written.labels, thickness, title.part, bends))
    return Pattern(tuple(pieces), joins)


def _openings(fastenings: Wishes) -> frozenset[str]:
    """The names of the slashes that stay open."""
    return frozenset(name for name, wish in fastenings.items() if isinstance(wish, DartClosing) and wish.opening > 0.0)


def _corners(
    sides: Sequence[tuple[Side, ...]],
    called: Sequence[str],
    holes: Sequence[tuple[Hole, ...]],
    edging: Edging,
    fastenings: Wishes,
    *,
    thickness: float,
    even: bool,
) -> tuple[tuple[Corner, ...], ...]:
    """The corners of each piece, rounded where they have room for it; of symmetrical pieces as mirror images.

    Raises PatternError where a radius that is asked for has no room.
    """
    found = [
        corners_of(
            own,
            name=name,
            radius=edging.radius,
            near=near_holes(
                punched_here,
                [edge_distance(hole.kind, hole.diameter, thickness) - HOLE_FIT for hole in punched_here],
            ),
            closed=closed_edge_to_edge(own, _openings(fastenings)),
        )
        for own, name, punched_here in zip(sides, called, holes, strict=True)
    ]
    return even_corners(found) if even else tuple(found)


def _written(
    free: shapely.Geometry,
    texts: Sequence[str],
    angle: float,
    lines: tuple[Mark, ...],
    names: Sequence[tuple[str, Mark]],
    along: Sequence[tuple[str, Path]],
    language: Language,
) -> tuple[tuple[Mark, ...], Written]:
    """The lines that are drawn on a piece, and all that is written beside them; its grain runs along `angle`.

    Where the label or the grain arrow finds no room, the lines lose their names, then all but notches and lines along
    edges go.

    Raises PatternError where there is no room even then.
    """
    bare = tuple(mark for mark in lines if mark.kind in ("notch", *EDGE_LINES))
    for drawn, named in ((lines, names), (lines, ())):
        try:
            return drawn, _label(free, texts, angle, drawn, named, along, language)
        except NoRoomError:
            continue
    return bare, _label(free, texts, angle, bare, (), along, language)


def _label(
    free: shapely.Geometry,
    texts: Sequence[str],
    angle: float,
    lines: tuple[Mark, ...],
    names: Sequence[tuple[str, Mark]],
    along: Sequence[tuple[str, Path]],
    language: Language,
) -> Written:
    """Names of lines, label block, grain arrow, names of seams `along` sides and check line, each where there is room.

    Raises NoRoomError where label or arrow find none.
    """
    written = start(free, lines)
    for text, mark in names:
        written = with_line_name(written, text, mark)
    x0, y0, x1, y1 = (0.0,) * 4 if shapely.is_empty(free) else shapely.bounds(free).tolist()
    left, right, middle = 0.7 * x0 + 0.3 * x1, 0.3 * x0 + 0.7 * x1, 0.5 * (y0 + y1)
    written = with_block(written, texts, name=texts[0], near=(left, middle + 0.1 * (y1 - y0)))
    written = with_arrow(
        written, angle, say.text(message("piece.grain"), language), name=texts[0], near=(right, middle)
    )
    for text, side in along:
        written = with_side_name(written, text, side)
    return with_check_line(written, near=(left, 0.8 * y0 + 0.2 * y1), language=language)


def _side_names(sides: tuple[Side, ...], joins: Sequence[Join], language: Language) -> list[tuple[str, Path]]:
    """What is written along the sides of a piece: the seam or dart, and which half of its closing comes there."""
    buckles = {join.name: join.buckle for join in joins if join.buckle}
    found = []
    for i, side in enumerate(sides):
        dart = side.kind in ("dart", "slash")
        if side.kind == "edge" or (dart and sides[i - 1].name == side.name and sides[i - 1].kind == side.kind):
            continue
        half = side.layer or None
        if side.name in buckles and not dart:
            here = "after" if side.side == "low" else "before"
            half = "buckles" if buckles[side.name] == here else "straps"
        found.append((say.text(message("piece.seam", seam=side.name, half=half), language), side.path))
    return found


def _called(flat: FlatPanel, work: str | None, *, alone: bool, language: Language) -> str:
    """What a piece is called: the work, with the panel's name where there are several; that alone without a work."""
    name = flat.panel.name
    if work is None:
        return say.name(name, language)
    return work if alone else say.text(message("piece.one of several", work=work, panel=name), language)


def _lines(
    flat: FlatPanel,
    uv: Floats,
    along: tuple[tuple[Floats, ...], tuple[Floats, ...]],
    shape: shapely.Polygon,
    sides: tuple[Side, ...],
    holes: tuple[Hole, ...],
    girths: Sequence[Landmark],
    added: Added,
    language: Language,
) -> tuple[tuple[Mark, ...], tuple[tuple[str, Mark], ...]]:
    """Centre line, girth rings, notches, what upper layers leave bare and what is added, and the names of some of them.

    `along` are the centre line and the edges of upper layers as they were traced.
    """
    faces, panel = flat.panel.mesh.faces, flat.panel
    region = line_region(shape, holes)
    centre, upper = (traced(kind, found, region) for kind, found in zip(("centre line", "overlap"), along, strict=True))
    marks = [*centre, *upper]
    of_centre, of_upper = (
        say.text(one, language) for one in (message("piece.centre line"), message("piece.upper edge"))
    )
    names = [*((of_centre, mark) for mark in centre[:1]), *((of_upper, mark) for mark in upper[:1])]
    for line in added.lines:
        drawn = traced(line.kind, tuple(at.on(uv, faces) for at in line.at), region)
        marks += drawn
        if drawn and line.name is not None:
            names.append((say.text(line.name, language), max(drawn, key=_mark_length)))
    rings = ring_region(region, sides)
    for girth in girths:
        lines = isolines(uv, faces, panel.heights, girth.height)
        drawn = traced("girth ring", lines, rings)
        marks += [*drawn, *notches(lines, sides, holes)]
        names += [(say.name(girth.name, language), max(drawn, key=_mark_length))] if drawn else []
    return tuple(marks), tuple(names)


def _skive_marks(
    flats: Sequence[FlatPanel],
    number: int,
    uv: Floats,
    skives: Mapping[str, Skive | None],
    region: shapely.Geometry,
    language: Language,
) -> list[tuple[str, str, Mark]]:
    """The lines from which a piece's overlaps are skived: the layer that it is there, what is said of it, the line."""
    found = []
    for boundary in flats[number].panel.boundaries:
        skive = skives.get(boundary.name) if boundary.layer else None
        if skive is not None:
            told = message("piece.skive", left=skive.left, width=skive.width, layer=boundary.layer)
            lines = traced("skive", other_edge(flats, number, boundary, uv), region)
            found += [(boundary.layer, say.text(told, language), line) for line in lines]
    return found


def _axis(uv: Floats) -> Floats:
    """The line (2,2) about which a symmetrical piece's halves are mirror images, past both its ends."""
    return np.array([[0.0, uv[:, 1].min()], [0.0, uv[:, 1].max()]])


def _mark_length(mark: Mark) -> float:
    """Length of a mark's path, mm."""
    return length(mark.path)
