"""What try-ons changed: in sentences, as a table of girths, and the pieces before and after."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from scipy.interpolate import LinearNDInterpolator

from flatten.findings import Message, message
from flatten.limb.girths.girth import Girth
from flatten.mesh.surface import Floats
from flatten.pattern.model import Piece
from flatten.pattern.outline import wearers_uv
from flatten.pattern.path import bounds, polyline
from flatten.report.cutting import SAGITTA
from flatten.report.messages import girth_name
from flatten.report.model import LimbReport
from flatten.report.picture import Note, Picture, Stroke, line
from flatten.unwrap.model import FlatPanel

_ROUND = 8.0
"""mm free about a piece and what it was before."""


@dataclass(frozen=True)
class ChangeRow:
    """One line of the table: a girth's name, and the change of each fitting and of all, mm, as text."""

    name: Message
    height: str
    changes: tuple[Message, ...]


@dataclass(frozen=True)
class FittedShown:
    """One limb's fittings on the page: its side, the columns' numbers, the rows of the table, and the pictures."""

    side: str
    numbers: tuple[int, ...]
    rows: tuple[ChangeRow, ...]
    pictures: tuple[Picture, ...]


def fitting_messages(limb: LimbReport) -> list[Message]:
    """What each fitting showed and what was made of it, in their order."""
    told = []
    for fitting in limb.fittings:
        told.append(
            message(
                "fitting.tried",
                number=fitting.number,
                material=fitting.material,
                thickness=fitting.thickness,
                said=fitting.said,
            )
        )
        if fitting.converted:
            told.append(message("fitting.converted", number=fitting.number, girth=fitting.converted))
        for change in fitting.edges:
            if change.up:
                side = None if change.bearing is None else limb.limb.kind.side_at(change.bearing)
                told.append(message("fitting.edge", number=fitting.number, edge=change.edge, up=change.up, side=side))
        if fitting.changes_nothing:
            told.append(message("fitting.nothing", number=fitting.number))
    return told


def change_rows(limb: LimbReport) -> list[ChangeRow]:
    """What each fitting changed of the named girths and of those every 25 mm between the edges, from the top down."""
    return [
        ChangeRow(
            girth_name(limb.limb, girth),
            f"{girth.height:.0f}".replace("-", "−"),
            tuple(message("fitting.change", girth=each) for each in (*own, sum(own))),
        )
        for girth in reversed(_girths(limb))
        for own in (_changes(limb, girth.height),)
    ]


def _girths(limb: LimbReport) -> list[Girth]:
    """The rows of the girth table that lie on the pieces, from the bottom up."""
    ends = [girth.height for girth in limb.worn_girths if girth.name in ("bottom edge", "top edge")]
    return [girth for girth in limb.worn_girths if min(ends) <= girth.height <= max(ends)]


def _changes(limb: LimbReport, height: float) -> list[float]:
    return [float(fitting.correction.girth(height)) for fitting in limb.fittings]


def fitting_numbers(limb: LimbReport) -> list[dict[str, Any]]:
    """report.json's `fittings` of one limb, in their order: mm of girth at the named heights, mm of the edges."""
    return [
        {
            "number": fitting.number,
            "material": fitting.material,
            "thickness": fitting.thickness,
            "converted": fitting.converted,
            "showed": list(fitting.said),
            "girths": [
                {"name": girth.name, "height": girth.height, "change": float(fitting.correction.girth(girth.height))}
                for girth in _girths(limb)
            ],
            "edges": [{"edge": each.edge, "up": each.up, "bearing": each.bearing} for each in fitting.edges],
        }
        for fitting in limb.fittings
    ]


def fitted_pictures(limb: LimbReport) -> list[Picture]:
    """Each piece of the base with its outline before any fitting beneath it, laid over it as a maker would."""
    if limb.before is None:
        return []
    mirrored = limb.limb.frame.mirrored
    pairs = zip(limb.before.pieces, limb.before.flats, limb.pieces, limb.panels, strict=False)
    return [_picture(piece, laid_over(old, (was, panel.flat), mirrored=mirrored)) for old, was, piece, panel in pairs]


def laid_over(old: Piece, flats: tuple[FlatPanel, FlatPanel], *, mirrored: bool) -> Floats:
    """The outline (n,2) of a piece as it was, turned and moved so that its places lie nearest to where they are now.

    Places are one where height and bearing are; turn and move are the least squares' (plane Procrustes).
    """
    was, now = flats
    seen = [wearers_uv(flat, mirrored=mirrored) for flat in flats]
    charts = [np.column_stack([flat.panel.bearings * 100.0, flat.panel.heights]) for flat in (was, now)]
    found = LinearNDInterpolator(charts[0], seen[0])(charts[1])
    there = ~np.isnan(found[:, 0])
    one, other = (uv[there, 0] + 1j * uv[there, 1] for uv in (found, seen[1]))
    turn = np.exp(1j * np.angle(np.vdot(one - one.mean(), other - other.mean())))
    outline = polyline(old.outline, SAGITTA)
    placed = (outline[:, 0] + 1j * outline[:, 1] - one.mean()) * turn + other.mean()
    return np.column_stack([placed.real, placed.imag])


def _picture(piece: Piece, before: Floats) -> Picture:
    left, bottom, right, top = bounds(piece.outline)
    low, high = np.minimum([left, bottom], before.min(axis=0)), np.maximum([right, top], before.max(axis=0))
    width, height = high - low + 2 * _ROUND
    return Picture(
        message("picture.fitted", piece=piece.name),
        (float(low[0]) - _ROUND, -float(high[1]) - _ROUND, float(width), float(height)),
        (
            Stroke(line(polyline(piece.outline, SAGITTA), closed=True), "piece"),
            Stroke(line(before, closed=True), "before"),
        ),
        (Note(0.5 * (left + right), -0.5 * (bottom + top), piece.name, "name", "middle"),),
    )


def fitted_shown(limb: LimbReport) -> FittedShown:
    """What the page shows of a limb's fittings beside their sentences."""
    numbers = tuple(fitting.number for fitting in limb.fittings)
    return FittedShown(limb.limb.side, numbers, tuple(change_rows(limb)), tuple(fitted_pictures(limb)))
