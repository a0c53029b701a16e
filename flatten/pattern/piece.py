"""A flat panel made into the piece that is cut: outline, holes, marks and labels."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely

from flatten.limb.model import Landmark
from flatten.mesh.surface import Floats
from flatten.pattern.isoline import isolines
from flatten.pattern.lacing import Lacing, check_holes, edge_distance, eyelets
from flatten.pattern.marks import clear_of, line_region, notches, ring_region, traced
from flatten.pattern.model import Hole, Mark, Piece
from flatten.pattern.outline import Side, outline_of, shape_of, sides_of, wearers_uv
from flatten.pattern.path import length
from flatten.pattern.writing import start, with_arrow, with_block, with_check_line, with_line_name
from flatten.unwrap.model import FlatPanel

_WRITING_FROM_EDGE = 6.0
"""mm. Texts stay this far inside the cut line, beyond the notches."""


def piece_from(
    flat: FlatPanel,
    *,
    side: str,
    job: str,
    thickness: float,
    work: str | None = None,
    mirrored: bool = False,
    lacing: Lacing | None = None,
    girths: Sequence[Landmark] = (),
) -> Piece:
    """The piece that is cut for one flat panel; see `pieces_from`."""
    return pieces_from(
        (flat,),
        side=side,
        job=job,
        thickness=thickness,
        work=work,
        mirrored=mirrored,
        lacing=lacing,
        girths=girths,
    )[0]


def pieces_from(
    flats: Sequence[FlatPanel],
    *,
    side: str,
    job: str,
    thickness: float,
    work: str | None = None,
    mirrored: bool = False,
    lacing: Lacing | None = None,
    girths: Sequence[Landmark] = (),
) -> tuple[Piece, ...]:
    """The pieces that are cut for the flat panels of one limb, mm, grain side up, y towards the body.

    Each piece lies where its panel's uv lie, x negated where `mirrored` (limb coordinates are the mirror image of
    the body's); all marks and texts are placed after that. Its outline is one smooth line per border, within
    CUT_LINE of it. Laced seams get eyelet holes that face each other, on whichever pieces they lie. `girths` are
    heights whose rings are drawn and named. `side` is "left" or "right", `job` the job's name, `thickness` the
    leather's, mm. `work` is what the label calls the whole, such as "shin guard"; the panel's name follows where
    there are several, and stands alone without it.

    Raises PatternError where an outline crosses itself, a border turns too sharply, a hole does not fit or the
    writing has no room.
    """
    lacing = Lacing() if lacing is None else lacing
    sides = [sides_of(flat, mirrored=mirrored) for flat in flats]
    outlines = [outline_of(own, flat.panel.name) for own, flat in zip(sides, flats, strict=True)]
    holes = eyelets(sides, lacing=lacing, thickness=thickness)
    texts = (f"{side.upper()}, grain side up", job, f"leather {thickness:.1f} mm")
    pieces = []
    for flat, own, outline, punched in zip(flats, sides, outlines, holes, strict=True):
        shape = shape_of(outline)
        check_holes(shape, punched, edge_distance(lacing, thickness), name=flat.panel.name)
        uv = wearers_uv(flat, mirrored=mirrored)
        lines, names = _lines(flat, uv, shape, own, punched, girths)
        written = start(clear_of(shape, punched, edge=_WRITING_FROM_EDGE), lines)
        for text, mark in names:
            written = with_line_name(written, text, mark)
        x0, y0, x1, y1 = shape.bounds
        middle = 0.5 * (y0 + y1)
        name = flat.panel.name
        heading = name if work is None else work if len(flats) == 1 else f"{work}, {name}"
        written = with_block(
            written, (heading, *texts), name=name, near=(0.7 * x0 + 0.3 * x1, middle + 0.1 * (y1 - y0))
        )
        angle = np.pi - flat.grain_angle if mirrored else flat.grain_angle
        written = with_arrow(written, float(angle), name=name, near=(0.3 * x0 + 0.7 * x1, middle))
        written = with_check_line(written, name=name, near=(0.7 * x0 + 0.3 * x1, 0.8 * y0 + 0.2 * y1))
        pieces.append(Piece(name, side, outline, punched, (*lines, *written.marks), written.labels))
    return tuple(pieces)


def _lines(
    flat: FlatPanel,
    uv: Floats,
    shape: shapely.Polygon,
    sides: tuple[Side, ...],
    holes: tuple[Hole, ...],
    girths: Sequence[Landmark],
) -> tuple[tuple[Mark, ...], tuple[tuple[str, Mark], ...]]:
    """The centre line, girth rings and notches of a piece, and the names that some of them bear."""
    faces, panel = flat.panel.mesh.faces, flat.panel
    region = line_region(shape, holes)
    centre = traced("centre line", isolines(uv, faces, panel.bearings, 0.0), region)
    marks, names = list(centre), [("centre line", mark) for mark in centre[:1]]
    rings = ring_region(region, sides)
    for girth in girths:
        lines = isolines(uv, faces, panel.heights, girth.height)
        drawn = traced("girth ring", lines, rings)
        marks += [*drawn, *notches(lines, sides)]
        names += [(girth.name, max(drawn, key=_mark_length))] if drawn else []
    return tuple(marks), tuple(names)


def _mark_length(mark: Mark) -> float:
    """Length of a mark's path, mm."""
    return length(mark.path)
