"""A job's pieces laid on its hides, or on its bed."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import numpy as np
import shapely

from flatten.job.leathers import HideSettings
from flatten.job.settings import Job
from flatten.pattern.model import Piece
from flatten.sheet.ground import Ground, HideError, bed_outline
from flatten.sheet.hides import CUTS, belly_strips, cut_outline
from flatten.sheet.laying import Laying, Wanted, laid_on_beds, laid_on_hides
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


def laid_out(
    limbs: Sequence[tuple[Sequence[Piece], Sequence[Piece], float]], grounds: Sequence[Ground]
) -> Laying | None:
    """The pieces of each limb and their mirror images, with the angle of their grain (rad), laid on the grounds.

    None where there is no ground. A piece's mate is its mirror image, or the piece of its name and part of the other
    limb.
    """
    if not grounds:
        return None
    pieces: list[tuple[Piece, float, int]] = []
    for own, mirrored, grain in limbs:
        pieces += [(piece, grain, number) for number, piece in enumerate(own)]
        pieces += [(piece, np.pi - grain, number) for number, piece in enumerate(mirrored)]
    wanted = []
    for number, (piece, grain, order) in enumerate(pieces):
        mates = [
            k
            for k, (other, _, place) in enumerate(pieces)
            if k != number and place == order and other.part == piece.part and other.side != piece.side
        ]
        wanted.append(Wanted(piece, float(grain), mates[0] if len(mates) == 1 else None))
    hides = [ground for ground in grounds if ground.kind == "hide"]
    return laid_on_hides(wanted, hides) if hides else laid_on_beds(wanted, grounds[0])
