"""Ornament as the report tells it: the field of each piece, how it warps, each motif, and pictures flat and worn."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely

from flatten.findings import Message, message
from flatten.mesh.surface import Floats
from flatten.ornament.model import Region
from flatten.ornament.result import Motif, Ornament
from flatten.ornament.sheets import CARVED
from flatten.pattern.path import polyline
from flatten.report.cutting import SAGITTA
from flatten.report.limbview import MARGIN, bench_heights, seen_from, silhouette
from flatten.report.model import JobReport, LimbReport
from flatten.report.picture import Picture, Stroke, line

FREE = 6.0
"""mm free round a piece in its picture."""


UNEVEN = 0.2
"""mm by which lines may lie off what was drawn and nobody is told: less than a knife's line is wide."""


@dataclass(frozen=True)
class OrnamentShown:
    """One piece's ornament for the page: what the piece is called, what is told, and its pictures."""

    piece: str
    told: tuple[Message, ...]
    pictures: tuple[Picture, ...]


def shown_ornaments(report: JobReport) -> tuple[OrnamentShown, ...]:
    """The pieces that have a field, of all limbs in order."""
    return tuple(
        OrnamentShown(limb.pieces[each.panel].name, tuple(ornament_messages(each)), _pictures(limb, each))
        for limb in report.limbs
        for each in limb.ornaments
    )


def ornament_messages(ornament: Ornament) -> list[Message]:
    """What is told of one piece's ornament: its field, how it warps, and each motif."""
    size, warp = ornament.size, ornament.warp
    told = [
        message(
            "ornament.field",
            width=size.width,
            height=size.height,
            area=size.area,
            islands=size.islands,
            calm=ornament.calm,
        ),
        message(
            "ornament.warp",
            along=warp.along[0],
            along_most=warp.along[1],
            across=warp.across[0],
            across_most=warp.across[1],
            oval=warp.oval.greatest / warp.oval.least,
        ),
    ]
    for motif in ornament.motifs:
        told += motif_messages(motif)
    return told


def motif_messages(motif: Motif) -> list[Message]:
    """What is told of one motif: what it consists of, what working it takes, how true it is when worn."""
    work = motif.tooling
    told = [
        message(
            "ornament.motif",
            motif=motif.kind,
            closed=work.closed,
            open=work.open,
            crossings=work.crossings,
            width=motif.carving.width,
        ),
        message("ornament.work", carved=work.carved, bevelled=work.bevelled, hours=work.hours),
    ]
    if motif.least != 1.0 or motif.greatest != 1.0:
        told.append(message("ornament.true", least=motif.least, greatest=motif.greatest))
    if motif.uneven >= UNEVEN:
        told.append(message("ornament.uneven", off=motif.uneven))
    if work.near:
        worst = work.near[0]
        told.append(message("ornament.narrow", count=len(work.near), x=worst.x, y=worst.y, gap=worst.gap))
    return told


def ornament_numbers(piece: str, ornament: Ornament) -> dict[str, Any]:
    """An entry of report.json's `ornament`: lengths mm, areas mm², warps as ratios worn / drawn."""
    size, warp = ornament.size, ornament.warp
    return {
        "piece": piece,
        "field": {
            "width": size.width,
            "height": size.height,
            "area": size.area,
            "islands": size.islands,
            "outlines": [_plain_rim(rim) for rim in ornament.field.region.rims],
        },
        "warp": {"along": list(warp.along), "across": list(warp.across), "change": warp.change},
        "motifs": [
            {
                "kind": motif.kind,
                "strands": {"closed": motif.tooling.closed, "open": motif.tooling.open},
                "crossings": motif.tooling.crossings,
                "width": motif.carving.width,
                "apart": motif.carving.apart,
                "carved": motif.tooling.carved,
                "bevelled": motif.tooling.bevelled,
                "hours": motif.tooling.hours,
                "narrow": [{"x": one.x, "y": one.y, "gap": one.gap} for one in motif.tooling.near],
                "background": motif.carving.background.area,
            }
            for motif in ornament.motifs
        ],
    }


def _pictures(limb: LimbReport, ornament: Ornament) -> tuple[Picture, ...]:
    flat = flat_picture(limb, ornament)
    return (flat, worn_picture(limb, ornament)) if ornament.motifs else (flat,)


def flat_picture(limb: LimbReport, ornament: Ornament) -> Picture:
    """The flat piece with its field: circles as what they become when worn, and the motifs where there are some."""
    piece = limb.pieces[ornament.panel]
    outline = polyline(piece.outline, SAGITTA)
    strokes = [Stroke(line(outline, closed=True), "piece")]
    strokes += [Stroke(line(rim, closed=True), "field") for rim in ornament.field.region.rims]
    if ornament.motifs:
        strokes += _carved(ornament.background.rims, carved_lines(ornament))
    else:
        for circle in ornament.warp.circles:
            around = np.linspace(0.0, 2.0 * np.pi, 49)[:-1]
            drawn = np.array([circle.x, circle.y]) + circle.radius * np.stack([np.cos(around), np.sin(around)], axis=1)
            strokes += [Stroke(line(drawn, closed=True), "drawn"), Stroke(line(circle.outline, closed=True), "warped")]
    (x0, y0), (x1, y1) = outline.min(axis=0), outline.max(axis=0)
    box = (x0 - FREE, -y1 - FREE, x1 - x0 + 2.0 * FREE, y1 - y0 + 2.0 * FREE)
    title = message("picture.ornament", piece=piece.name)
    if not ornament.motifs:
        title = message("picture.field", piece=piece.name)
    return Picture(title, _plain(box), tuple(strokes), ())


def worn_picture(limb: LimbReport, ornament: Ornament) -> Picture:
    """The limb with the ornament on it, seen level from where most of the field faces."""
    face = ornament.face
    panel = face.flat.panel
    shape = ornament.field.region.shape
    middles = face.uv[panel.mesh.faces].mean(axis=1)
    inside = shapely.contains_xy(shape, *middles.T)
    bearing = float(np.median(panel.bearings[panel.mesh.faces].mean(axis=1)[inside]))
    eye = np.array([np.cos(bearing), np.sin(bearing), 0.0])
    facing = _facing(ornament, eye)

    def seen(runs: Sequence[Floats]) -> list[Floats]:
        """Places of the piece in the picture, all at once: to find them on the mesh takes longest."""
        if not runs:
            return []
        there = seen_from(limb, face.carried(np.concatenate(runs)), bearing)
        return np.split(there, np.cumsum([len(run) for run in runs])[:-1])

    heights, least, greatest = silhouette(limb, bearing)
    skin = np.concatenate([np.column_stack([least, heights]), np.column_stack([greatest, heights])[::-1]])
    leather = seen(Region.of(facing).rims)
    ground = Region.of(shapely.intersection(ornament.background.shape, facing))
    runs = shapely.intersection(shapely.MultiLineString(carved_lines(ornament)), facing)
    lines = [shapely.get_coordinates(run) for run in shapely.get_parts(runs).tolist() if run.length > 0.0]
    strokes = [
        Stroke(line(skin, closed=True), "skin"),
        Stroke("".join(line(rim, closed=True) for rim in leather), "leather"),
        *_carved(seen(ground.rims), seen(lines)),
        Stroke("".join(line(rim, closed=True) for rim in leather), "outline"),
    ]
    low, high = bench_heights(limb)
    left = min(float(least.min()), *(float(rim[:, 0].min()) for rim in leather)) - MARGIN
    right = max(float(greatest.max()), *(float(rim[:, 0].max()) for rim in leather)) + MARGIN
    box = (left, -high - MARGIN, right - left, high - low + 2.0 * MARGIN)
    title = message("picture.ornament worn", piece=limb.pieces[ornament.panel].name)
    return Picture(title, _plain(box), tuple(strokes), ())


def _plain_rim(rim: Floats) -> list[list[float]]:
    """A rim within SAGITTA, by few points."""
    ring = shapely.simplify(shapely.LinearRing(rim), SAGITTA)
    points: list[list[float]] = shapely.get_coordinates(ring)[:-1].tolist()
    return points


def _plain(box: tuple[float, ...]) -> tuple[float, float, float, float]:
    left, top, width, height = (float(value) for value in box)
    return left, top, width, height


def carved_lines(ornament: Ornament) -> list[Floats]:
    """The carved lines (n,2) of an ornament; a closed one comes back to its first point."""
    found = []
    for path in (mark.path for mark in ornament.marks if mark.kind == CARVED):
        points = polyline(path, SAGITTA)
        found.append(np.concatenate([points, points[:1]]) if path.closed else points)
    return found


def _carved(rims: Sequence[Floats], lines: Sequence[Floats]) -> list[Stroke]:
    """The background as one area, the carved lines as one stroke."""
    ground = "".join(line(rim, closed=True) for rim in rims)
    return [Stroke(ground, "ground"), Stroke("".join(line(run) for run in lines), "carved")]


def _facing(ornament: Ornament, eye: Floats) -> shapely.Geometry:
    """The part of a piece, in its own plane, that faces the eye when it is worn."""
    face = ornament.face
    corners = face.mesh.vertices[face.mesh.faces]
    across = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    towards = across @ eye > 0.0
    triangles = shapely.polygons(face.uv[face.mesh.faces[towards]])
    return shapely.buffer(shapely.union_all(shapely.make_valid(triangles)), -0.01)
