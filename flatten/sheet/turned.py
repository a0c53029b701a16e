"""A piece turned on its sheet, its writing still read from below or from the right."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import shapely

from flatten.mesh.surface import Floats
from flatten.pattern.lettering import text_box
from flatten.pattern.model import Inscription, Label, Piece, Zone
from flatten.pattern.writing import upright


def inscriptions_of(piece: Piece) -> tuple[Inscription, ...]:
    """What is read on a piece, each in its box: its inscriptions, and every label that is in none of them."""
    alone = [label for label, own in zip(piece.labels, _inscribed(piece), strict=True) if own is None]
    return (*piece.inscriptions, *(Inscription("text", text_box(label)) for label in alone))


def _inscribed(piece: Piece) -> list[int | None]:
    """The number of the inscription that each label of a piece is part of; None of one that is in none."""
    if not piece.labels or not piece.inscriptions:
        return [None] * len(piece.labels)
    middles = np.array([text_box(label).mean(axis=0) for label in piece.labels])
    inside = np.array([shapely.contains_xy(shapely.Polygon(each.box), *middles.T) for each in piece.inscriptions])
    return [int(np.argmax(own)) if own.any() else None for own in inside.T]


def turned_piece(piece: Piece, angle: float) -> Piece:
    """The piece with its lines, holes and writing, turned about (0, 0) by `angle` rad, so that texts are still read
    from below or from the right: what would stand on its head is turned about its own middle.

    Its corners keep where they were before.
    """
    if not angle:
        return piece
    cos, sin = np.cos(angle), np.sin(angle)
    turn = np.array([[cos, sin], [-sin, cos]])
    holes = tuple(
        replace(hole, x=float(x), y=float(y), angle=hole.angle + angle)
        for hole, (x, y) in ((hole, np.array([hole.x, hole.y]) @ turn) for hole in piece.holes)
    )
    return replace(
        piece,
        outline=replace(piece.outline, points=piece.outline.points @ turn),
        holes=holes,
        marks=tuple(replace(mark, path=replace(mark.path, points=mark.path.points @ turn)) for mark in piece.marks),
        labels=_turned_labels(piece, turn, angle),
        inscriptions=tuple(replace(each, box=each.box @ turn) for each in piece.inscriptions),
        untooled=tuple(_turned_zone(zone, turn) for zone in piece.untooled),
        tooled=tuple(_turned_zone(zone, turn) for zone in piece.tooled),
    )


def _turned_zone(zone: Zone, turn: Floats) -> Zone:
    return replace(zone, rims=tuple(replace(rim, points=rim.points @ turn) for rim in zone.rims))


def _turned_labels(piece: Piece, turn: Floats, angle: float) -> tuple[Label, ...]:
    """A piece's labels turned; those of a block that would stand on its head, about the block's middle."""
    groups = _inscribed(piece)
    boxes = [text_box(label) for label in piece.labels]
    middles: dict[int, Floats] = {}
    for number in {group for group in groups if group is not None}:
        corners = np.vstack([box for box, group in zip(boxes, groups, strict=True) if group == number])
        # A block's lines are parallel: its middle is that of its box along and across them.
        first = next(label for label, group in zip(piece.labels, groups, strict=True) if group == number)
        along = np.array([np.cos(first.angle), np.sin(first.angle)])
        frame = np.stack([along, [-along[1], along[0]]])
        local = corners @ frame.T
        middles[number] = 0.5 * (local.min(axis=0) + local.max(axis=0)) @ frame
    found = []
    for label, box, group in zip(piece.labels, boxes, groups, strict=True):
        x, y = np.array([label.x, label.y]) @ turn
        stands = label.angle + angle
        if np.cos(stands - upright(stands)) < 0.0:
            middle = (box.mean(axis=0) if group is None else middles[group]) @ turn
            x, y = 2.0 * middle - np.array([x, y])
            stands += np.pi
        found.append(replace(label, x=float(x), y=float(y), angle=stands))
    return tuple(found)
