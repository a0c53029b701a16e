"""A job's pieces laid on its hides, or on its bed."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np
import shapely

from flatten.job.leathers import HideSettings
from flatten.job.pieces import Drawn, Laid
from flatten.job.settings import Job
from flatten.pattern.model import Piece
from flatten.report.model import PanelReport
from flatten.sheet.ground import Ground, HideError, bed_outline
from flatten.sheet.hides import CUTS, belly_strips, cut_outline
from flatten.sheet.laying import Laying, Wanted, laid_on_beds, laid_on_hides, shape_of
from flatten.sheet.splits import Split, split_of
from flatten.sheet.traced import traced_hide

FLAW_CORNERS = 24
"""Corners of a flaw that is told by its place and size; it is drawn round about that circle."""


def grounds_of(job: Job, *, folder: Path) -> tuple[Ground, ...]:
    """The hides of a job, or else its bed; none where it has neither. Outlines are looked for in `folder`.

    Raises HideError where an outline cannot be read or is none, or a margin leaves no room.
    """
    grounds = [_hide(hide, job.leather.thickness, folder) for hide in job.hide]
    if job.bed is not None:
        bed = job.bed
        grounds.append(
            Ground(
                "bed",
                "bed",
                job.leather.thickness,
                bed_outline(bed.width, bed.height),
                bed.margin,
                bed.space,
                turn=float(np.radians(bed.turn)),
                both_ways=bed.both_ways,
            )
        )
    for ground in grounds:
        if shapely.is_empty(ground.usable(soft=True)):
            across, up = ground.size
            raise HideError(
                f"a {ground.kind} of {across:.0f} × {up:.0f} mm with a margin of {ground.margin:g} mm has no room for "
                "a piece; make its margin smaller"
            )
    return tuple(grounds)


def _hide(hide: HideSettings, base: float, folder: Path) -> Ground:
    flaws: tuple[np.ndarray, ...] = ()
    soft: tuple[np.ndarray, ...] = ()
    if not hide.shape:
        traced = traced_hide(folder / hide.outline, unit=hide.unit, backbone=hide.backbone)
        outline, flaws, soft = traced.outline, traced.flaws, traced.soft
        both, strip, name = bool(outline[:, 1].min() < -0.25 * outline[:, 1].max()), 0.0, Path(hide.outline).name
    else:
        cut = CUTS[hide.shape]
        length, width = hide.length or cut.length, hide.width or cut.width
        outline, both, name = cut_outline(cut, length=length, width=width), cut.both, hide.shape
        strip = cut.belly * width
    if hide.belly_width is not None:
        strip = hide.belly_width
    around = np.linspace(0.0, 2.0 * np.pi, FLAW_CORNERS, endpoint=False)
    # A polygon round about the circle, so that none of the flaw lies outside of it.
    circle = np.column_stack([np.cos(around), np.sin(around)]) / np.cos(np.pi / FLAW_CORNERS)
    start = float(outline[:, 0].min())
    flaws += tuple(np.array([start + along, across]) + 0.5 * large * circle for along, across, large in hide.flaws)
    return Ground(
        "hide",
        name,
        hide.thickness or base,
        outline,
        hide.margin,
        hide.space,
        flaws,
        soft + belly_strips(outline, strip=strip, both=both),
        hide.belly,
        float(np.radians(hide.turn)),
        hide.both_ways,
    )


def laid_out(limbs: Sequence[tuple[Laid, Drawn]], grounds: Sequence[Ground]) -> Laying | None:
    """The pieces of each limb and their mirror images laid on the grounds, None where there is none.

    A piece's mate is its mirror image, or the piece of its place in the order on the other limb. Of a piece that is too
    large for a bed it is told where it can be split.
    """
    if not grounds:
        return None
    pieces: list[tuple[Piece, float, int]] = []
    for laid, drawn in limbs:
        grain = laid.design.grain_angle
        pieces += [(piece, grain, number) for number, piece in enumerate(drawn.pieces)]
        pieces += [(piece, np.pi - grain, number) for number, piece in enumerate(drawn.mirrored)]
    wanted = []
    for number, (piece, angle, order) in enumerate(pieces):
        mates = [
            k
            for k, (other, _, place) in enumerate(pieces)
            if k != number and place == order and other.part == piece.part and other.side != piece.side
        ]
        wanted.append(Wanted(piece, float(angle), mates[0] if len(mates) == 1 else None))
    hides = [ground for ground in grounds if ground.kind == "hide"]
    if hides:
        return laid_on_hides(wanted, hides)
    laying = laid_on_beds(wanted, grounds[0])
    return replace(laying, splits=tuple(_splits(laying, limbs, grounds[0])))


def _splits(laying: Laying, limbs: Sequence[tuple[Laid, Drawn]], bed: Ground) -> Iterator[Split]:
    """Of each piece that no bed takes, but of a pair only of one, where it can be split."""
    large = {number for short in laying.short for number in short.large}
    number = 0
    for laid, drawn in limbs:
        for piece, panel in zip(drawn.pieces, laid.all_panels, strict=True):
            mate = laying.wanted[number].mate
            if number in large and not (mate in large and mate is not None and mate < number):
                yield _split(number, piece, panel, laid, bed)
            number += 1
        number += len(drawn.mirrored)


def _split(number: int, piece: Piece, panel: PanelReport, laid: Laid, bed: Ground) -> Split:
    flat = panel.flat
    # A seam goes through the base; a plate or a lame has its own cuts.
    faces = flat.panel.mesh.faces if panel.part == "base" else np.zeros((0, 3), dtype=np.int64)
    uv = flat.uv * (-1.0, 1.0) if laid.design.limb.frame.mirrored else flat.uv
    over = [part.flat.panel.bearings for part in laid.parts if part.part == "plate"]
    cuts = [flat.panel.bearings[side.vertices] for side in flat.panel.boundaries if side.kind in ("dart", "slash")]
    return split_of(
        number,
        shape_of(piece),
        laid.design.grain_angle,
        uv=uv,
        faces=faces,
        bearings=flat.panel.bearings,
        ground=bed,
        barred=[(float(own.min()), float(own.max())) for own in (*over, *cuts)],
    )
