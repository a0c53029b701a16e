"""A flat panel made into the piece that is cut: outline, holes, marks and labels."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np
import shapely

from flatten.findings import Message, message
from flatten.limb.kind import USUAL as USUAL_KIND
from flatten.limb.kind import LimbKind
from flatten.limb.model import Landmark
from flatten.mesh.surface import Floats
from flatten.pattern.added import NOTHING, Added, added_holes
from flatten.pattern.corners import closed_edge_to_edge, corners_of, even_corners, near_holes, rounded
from flatten.pattern.distances import HOLE_FIT, check_holes, rims_of
from flatten.pattern.edging import USUAL, Edging, edge_lines, edge_stitches, parted_lines
from flatten.pattern.fastening import DartClosing, edge_distance
from flatten.pattern.finish import finished, turned_names, with_strips
from flatten.pattern.grown import grown
from flatten.pattern.holes import Wishes, punched
from flatten.pattern.labelling import Wording, labelled
from flatten.pattern.limb_words import LimbWords, edge_paths
from flatten.pattern.lines import lines_of
from flatten.pattern.marks import clear_of, zone_marks
from flatten.pattern.matching import match_marks, matchings
from flatten.pattern.mirrored import even_sides
from flatten.pattern.model import Corner, Hole, Join, Mark, Path, Piece, Zone
from flatten.pattern.outline import Side, outline_of, shape_of, sides_of, turned_over, wearers_uv
from flatten.pattern.path import length
from flatten.pattern.symmetry import Evened
from flatten.pattern.writing import NO_JOINTS
from flatten.pattern.zones import ground_of, zones_of
from flatten.unwrap.model import FlatPanel
from flatten.words import say
from flatten.words.english import ENGLISH
from flatten.words.language import Language

_WRITING_FROM_EDGE = 6.0
"""mm. Texts stay this far inside the cut line, beyond the notches."""

_TIGHT_FROM_EDGE = 2.0
"""mm. The same on a piece that has no room else."""


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
    a `lining` (mm) is glued beneath it. Of a mock-up, `sheet` is what it is made of."""

    job: str
    side: str
    thickness: float
    work: str | None = None
    part: str = "base"
    allowance: float = 0.0
    lining: float = 0.0
    sheet: str | None = None


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
    beyond_tooling: Sequence[Floats] = (),
    kind: LimbKind = USUAL_KIND,
    joints: Callable[[Path], shapely.Geometry] = lambda outline: NO_JOINTS,
    language: Language = ENGLISH,
) -> Pattern:
    """The pieces that are cut for the flat panels of one limb, mm, grain side up, y towards the body.

    Each piece lies where its panel's uv lie, x negated where `mirrored` (limb coordinates are the mirror image of
    the body's); all marks and texts are placed after that. Its outline is one smooth line per boundary, within
    CUT_LINE of it. Seams and darts get the holes of their kind, which match on whichever pieces they lie. `girths` are
    heights whose rings are drawn and named. `fastenings` says, by the seam's or dart's name, what is not closed as
    usual, `edging` what the edges are given. `even` is what `evened` said of the flat panels, where they were made
    symmetrical: outlines are then exact mirror images, and so are the holes of seams that are closed alike. `added` is
    what each piece has beside all that, empty where none has, `beyond_tooling` how far its vertices (V,) are beyond
    what tooling takes, more than 0 where they are; empty where no zones are to be marked. Sides and heights are told in
    the words of the limb's `kind`. `joints` says where printed sheets are joined on an outline: what is written keeps
    clear of that where it can.

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
    corners = _corners(
        sides, called, holes, edging, fastenings, thickness=thickness, even=bool(even), base=title.part == "base"
    )
    radius = max((bend.radius for bends in corners for bend in bends), default=0.0)
    matched = matchings(sides, rings=[girth.height for girth in girths], radius=radius)
    words = LimbWords(kind, tuple(flats), joins, language)
    side_up, made_of, arrow = (say.text(told, language) for told in _told(title))
    pieces = []
    for i, (flat, name, own, bends, found) in enumerate(zip(flats, called, sides, corners, holes, strict=True)):
        cut = rounded(own, bends)
        net = outline_of(cut.paths, name)
        strips: tuple[Mark, ...] = ()
        if title.part == "base":
            parts, strips = with_strips(own, cut, edging.finish, name=name)
            outline, shape = outline_of(parts, name), shape_of(net)
        else:
            outline = grown(net, title.allowance, sides=own) if title.allowance else net
            shape = shape_of(outline)
        touching = closed_edge_to_edge(own, _openings(fastenings))
        edges = edge_lines(own, cut, edging, shape=shape, closed=touching) if title.part == "base" else ()
        stitches = edge_stitches(edges, edging, found)
        edges = parted_lines(edges, found, name=name)
        found = (*found, *stitches)
        check_holes(shape, found, thickness=thickness, name=name, rims=rims_of(own, cut))
        uv = wearers_uv(flat, mirrored=mirrored)
        lines = lines_of(
            flats,
            i,
            uv,
            shape=shape,
            sides=own,
            holes=found,
            girths=girths,
            added=every[i],
            skives={join.name: join.skive for join in joins},
            symmetrical=i in folded,
        )
        beyond = beyond_tooling[i] if beyond_tooling else np.full(len(uv), -1.0)
        untooled = zones_of(uv, flat.panel.mesh.faces, beyond, shape=shape)
        calm = sum(zone.area for zone in untooled) > 0.5 * shape.area
        tooled = zones_of(uv, flat.panel.mesh.faces, -beyond, shape=shape) if calm else ()
        free, tight = (clear_of(shape, found, edge=edge) for edge in (_WRITING_FROM_EDGE, _TIGHT_FROM_EDGE))
        zones = _drawn_zones(tooled if calm else untooled, free, language, calm=calm)
        match = match_marks(flat, uv, sides=own, holes=found, upper=lines.upper, matched=matched)
        wording = Wording(
            name,
            say.text(message("piece.short name", panel=flat.panel.name, side=title.side), language),
            side_up,
            title.job,
            made_of,
            arrow=arrow,
            grain=float(np.pi - flat.grain_angle if mirrored else flat.grain_angle),
            top=(words.edge("top"), edge_paths(own, "top edge")),
            bottom=(words.edge("bottom"), edge_paths(own, "bottom edge")),
            high=uv[int(np.argmax(flat.panel.heights))],
            seams=words.seams(i, own),
            lines=[(words.line(told), mark) for told, mark in lines.named],
            skives=[(words.line(told), mark) for told, mark in lines.skived],
            zones=[
                (drawn.texts, ground_of(drawn.zone), max(drawn.marks, key=lambda mark: length(mark.path)))
                for drawn in zones
            ],
            quarters=words.quarters(i, uv),
            numbers=[(words.mark(mark), mark.end, mark.inward) for mark in match],
            way=words.way(i, uv),
        )
        ticks = (tick for mark in match for tick in mark.ticks)
        kept = (*(mark for zone in zones for mark in zone.marks), *strips, *edges, *lines.notches, *ticks)
        drawn = (*lines.drawn, Mark("trim", net)) if title.allowance else lines.drawn
        marks, written = labelled(
            free, wording, tight=tight, kept=kept, lines=drawn, joints=joints(outline), language=language
        )
        marks = (*marks, *written.marks)
        pieces.append(
            Piece(
                name,
                title.side,
                outline,
                found,
                marks,
                written.labels,
                thickness,
                title.part,
                corners=bends,
                untooled=untooled,
                tooled=tooled,
                finished=finished(own, cut, edging.finish, thickness=thickness) if title.part == "base" else (),
                inscriptions=written.inscriptions,
            )
        )
    return Pattern(tuple(pieces), joins)


@dataclass(frozen=True, eq=False)
class _DrawnZone:
    """A zone as it is drawn: what is said within it or beside its line, and its marks."""

    texts: tuple[str, str]
    zone: Zone
    marks: tuple[Mark, ...]


def _drawn_zones(shown: Sequence[Zone], free: shapely.Geometry, language: Language, *, calm: bool) -> list[_DrawnZone]:
    """Zones that are not to be tooled, or `calm` ones that alone are, as they show in what is `free` of a piece."""
    here, within = (
        (message("piece.tooling here"), message("piece.tooling"))
        if calm
        else (message("piece.no tooling here"), message("piece.no tooling"))
    )
    texts = say.text(here, language), say.text(within, language)
    drawn = zip(shown, zone_marks(shown, free, calm=calm), strict=True)
    return [_DrawnZone(texts, zone, marks) for zone, marks in drawn if marks]


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
    base: bool,
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
            turned=turned_names(own, edging.finish) if base else frozenset(),
        )
        for own, name, punched_here in zip(sides, called, holes, strict=True)
    ]
    return even_corners(found) if even else tuple(found)


def _told(title: TitleBlock) -> tuple[Message, Message, Message]:
    """What a piece says of its side, of what it is made of, and beside its arrow: leather's grain, or the way up."""
    if title.sheet is None:
        side, of = message("piece.side up", side=title.side), message("piece.leather", thickness=title.thickness)
        return side, of, message("piece.grain")
    side, of = (
        message("piece.outside up", side=title.side),
        message("mock-up", sheet=title.sheet, thickness=title.thickness),
    )
    return side, of, message("piece.up")


def _called(flat: FlatPanel, work: str | None, *, alone: bool, language: Language) -> str:
    """What a piece is called: the work, with the panel's name where there are several; that alone without a work."""
    name = flat.panel.name
    if work is None:
        return say.name(name, language)
    return work if alone else say.text(message("piece.one of several", work=work, panel=name), language)
