"""How pieces lie on leather, as report and report.json tell it: a picture of each hide or bed, and what has no room."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely

from flatten.findings import Finding, Message, finding, message
from flatten.leather.amount import leather_mass
from flatten.limb.kind import QUARTERS, LimbKind
from flatten.mesh.surface import Floats
from flatten.pattern.path import polyline
from flatten.report.cutting import SAGITTA, piece_area, piece_title
from flatten.report.picture import Note, Picture, Stroke, line
from flatten.sheet.laying import Laying, Layout, Short, shape_of
from flatten.sheet.splits import Split

WIDE = 600.0
"""Units of a picture along the longer side of its leather, so that texts and lines are as large in each."""

_HALF = 4.5
"""Units from a number's middle down to its base: half of its capitals."""

_FREE = 8.0
"""Units free round a leather in its picture."""


@dataclass(frozen=True)
class LayoutShown:
    """One leather or bed for the page: what it is called, how it is used, and its picture."""

    title: Message
    told: tuple[Message, ...]
    picture: Picture


def shown_layouts(laying: Laying | None) -> tuple[LayoutShown, ...]:
    """The leathers and beds for the page, in order."""
    if laying is None:
        return ()
    return tuple(
        LayoutShown(_name(layout, number), tuple(_told(layout)), _picture(laying, layout, number))
        for number, layout in enumerate(laying.layouts, 1)
    )


def layout_messages(laying: Laying | None) -> list[Message]:
    """What is told of all leathers together: how the pieces were laid, and the pairs."""
    if laying is None or not laying.layouts:
        return []
    told = [message("layout.how", ground=laying.layouts[0].ground.kind, space=laying.layouts[0].ground.space)]
    like = [pair for pair in laying.pairs if pair[2]]
    if like:
        told.append(message("layout.like", pairs=tuple(_pair(laying, one) for one, _, _ in like)))
    for one, other, alike in laying.pairs:
        if not alike:
            places = _distances(laying)
            told.append(message("layout.unlike", pair=_pair(laying, one), one=places[one], other=places[other]))
    return told


def layout_findings(laying: Laying | None, *, kind: LimbKind) -> list[Finding]:
    """What is to be looked at: pieces that have no room, and how they can get it."""
    if laying is None:
        return []
    splits = [_split(laying, split, kind) for split in laying.splits]
    return [*splits, *(_short(laying, short) for short in laying.short if not laying.splits)]


def _split(laying: Laying, split: Split, kind: LimbKind) -> Finding:
    """That a piece is too large for a bed, and where it can be split."""
    return finding(
        "layout.split",
        "look",
        piece=piece_title(laying.wanted[split.piece].piece),
        size=_size(split.size),
        on=_size(split.on),
        places=tuple(_place(kind, degrees) for degrees in split.seams),
        alongs=tuple(_along(degrees) for degrees in split.seams),
        parts=tuple(_size(part) for part in split.parts),
        bed=_size((math.ceil(split.bed[0]), math.ceil(split.bed[1]))),
    )


def _size(size: tuple[float, float]) -> Message:
    return message("layout.size", width=size[0], height=size[1])


def _place(kind: LimbKind, degrees: int) -> Message:
    if degrees % 90:
        return message("layout.angle", angle=degrees % 360, front=kind.sides[0])
    return message("layout.middle", side=kind.sides[degrees // 90 % 4])


def _along(degrees: int) -> str:
    """A bearing as a job file has it."""
    return f"{degrees % 360}" if degrees % 90 else f'"{QUARTERS[degrees // 90 % 4]}"'


def layout_numbers(laying: Laying | None) -> list[dict[str, Any]] | None:
    """report.json's `leather.sheets`: one entry for each hide or bed; null where the job has neither.

    Lengths mm, areas mm², mass g, angles radians. A piece is turned about the origin of its own coordinates, then moved
    by x and y.
    """
    if laying is None:
        return None
    return [
        {
            "name": layout.ground.name,
            "kind": layout.ground.kind,
            "thickness": layout.ground.thickness,
            "width": layout.ground.size[0],
            "height": layout.ground.size[1],
            "area": layout.ground.area,
            "covered": layout.covered,
            "yield": layout.share,
            "used": layout.used,
            "unused": layout.ground.area - layout.covered,
            "mass": leather_mass(layout.covered, thickness=layout.ground.thickness),
            "places": [
                {"piece": piece.name, "side": piece.side, "x": place.x, "y": place.y, "turn": place.turn}
                for piece, place in zip(layout.pieces, layout.places, strict=True)
            ],
        }
        for layout in laying.layouts
    ]


def _name(layout: Layout, number: int) -> Message:
    return message("layout.name", ground=layout.ground.kind, number=number, thickness=layout.ground.thickness)


def _told(layout: Layout) -> list[Message]:
    ground = layout.ground
    return [
        message(
            "layout.told",
            ground=ground.kind,
            count=len(layout.pieces),
            width=ground.size[0],
            height=ground.size[1],
            area=ground.area,
            covered=layout.covered,
            used=layout.used,
            mass=leather_mass(layout.covered, thickness=ground.thickness),
        ),
        *([message("layout.pieces", pieces=tuple(map(piece_title, layout.pieces)))] if layout.pieces else []),
    ]


def _pair(laying: Laying, number: int) -> Message:
    piece = laying.wanted[number].piece
    return message("layout.pair", piece=piece.name)


def _distances(laying: Laying) -> dict[int, float]:
    """How far the middle of each piece is from the backbone, mm, by the piece's number."""
    return {
        number: abs(float(shape_of(piece).centroid.y))
        for layout in laying.layouts
        for number, piece in zip(layout.numbers, layout.pieces, strict=True)
    }


def _short(laying: Laying, short: Short) -> Finding:
    pieces = [laying.wanted[number].piece for number in short.pieces]
    names = tuple(piece_title(piece) for piece in pieces)
    area = sum(piece_area(piece) for piece in pieces)
    if short.large:
        large = [laying.wanted[number].piece for number in short.large]
        return finding("layout.large", "look", pieces=tuple(piece_title(piece) for piece in large))
    if not short.more:
        return finding("layout.no leather", "look", pieces=names, thickness=short.thickness, area=area)
    return finding("layout.short", "look", pieces=names, area=area, more=short.more)


def _picture(laying: Laying, layout: Layout, number: int) -> Picture:
    """A leather with its flaws and belly, the pieces on it, and their names; on a hide the backbone too."""
    ground = layout.ground
    (x0, y0), (x1, y1) = ground.outline.min(axis=0), ground.outline.max(axis=0)
    scale = WIDE / float(max(x1 - x0, y1 - y0))

    def rim(points: Floats, kind: str, *, closed: bool = True) -> Stroke:
        return Stroke(line(scale * points, closed=closed), kind)

    belly = shapely.intersection(
        shapely.Polygon(ground.outline), shapely.union_all([shapely.Polygon(soft) for soft in ground.soft])
    )
    strokes = [rim(ground.outline, "hide")]
    strokes += [rim(shapely.get_coordinates(part), "belly") for part in shapely.get_parts(belly)]
    strokes += [rim(flaw, "flaw") for flaw in ground.flaws]
    if ground.kind == "hide":
        strokes.append(rim(np.array([[x0, 0.0], [x1, 0.0]]), "backbone", closed=False))
    notes = []
    for order, piece in enumerate(layout.pieces, 1):
        strokes.append(rim(polyline(piece.outline, SAGITTA), "piece"))
        strokes += [
            rim(polyline(mark.path, SAGITTA), "marked", closed=False) for mark in piece.marks if mark.kind == "grain"
        ]
        at = scale * shapely.get_coordinates(shape_of(piece).representative_point())[0]
        notes.append(Note(float(at[0]), float(_HALF - at[1]), str(order), "order", "middle"))
    low, high = scale * np.array([x0, -y1]) - _FREE, scale * np.array([x1, -y0]) + _FREE
    box = (float(low[0]), float(low[1]), float(high[0] - low[0]), float(high[1] - low[1]))
    title = message("layout.picture", name=_name(layout, number), count=len(layout.pieces))
    return Picture(title, box, tuple(strokes), tuple(notes))
