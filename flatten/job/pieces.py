"""What a job cuts, lays flat and draws: the steps that making its files and trying a change have in common."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import zip_longest
from pathlib import Path

import numpy as np

from flatten.job.fastenings import fastenings_of
from flatten.job.settings import Job
from flatten.job.steps import dart_of, edges_of, lips_of, seam_of, wear_of
from flatten.leather.model import LeatherLimits
from flatten.limb.girths.girth import tape_girth
from flatten.limb.model import Landmark, Limb
from flatten.limb.surface.model import LimbSurface
from flatten.mesh.surface import Floats
from flatten.pattern.holes import rows_inside
from flatten.pattern.piece import Pattern, pattern_from
from flatten.pattern.symmetry import Evened, evened
from flatten.tolerances import EDGE_PREVIEW
from flatten.unwrap.apart import overlaps_undone
from flatten.unwrap.limits import TO_CUT, Accuracy
from flatten.unwrap.model import Attainable, FlatPanel
from flatten.unwrap.panel import flatten_panel
from flatten.unwrap.together import seams_made_equal
from flatten.words.say import name
from flatten.worn.cut import cut_panels
from flatten.worn.panel import Panel
from flatten.worn.wearing import Wearing, wearing_of

WORTH = 0.7
"""Edge length, as a share of EDGE_PREVIEW, up to which a coarser mesh first saves time."""


def title_of(job: Job) -> str:
    """What stands on the pieces: the job's title, or its scan's name."""
    return job.output.title or Path(job.scan.file).stem


def panels_of(job: Job, *, limb: Limb, skin: LimbSurface, worn: LimbSurface, edge_length: float) -> tuple[Panel, ...]:
    """The panels that a job cuts from the neutral surface `worn`, on meshes of `edge_length` mm.

    Raises CutError where its edges, seams and darts cut none.
    """
    bottom, top = edges_of(job, limb=limb, trusted=skin.trusted)
    return cut_panels(
        worn,
        bottom=bottom,
        top=top,
        seams=[seam_of(seam) for seam in job.seam],
        edge_length=edge_length,
        thickness=job.leather.thickness,
        darts=[dart_of(dart) for dart in job.dart],
        lips=lips_of(job, edges=(bottom, top)),
        side_names=limb.kind.sides,
    )


def coarse_flats(
    job: Job, *, limits: LeatherLimits, limb: Limb, skin: LimbSurface, worn: LimbSurface, finer: float
) -> tuple[FlatPanel, ...]:
    """The panels on meshes of EDGE_PREVIEW mm, each laid flat by itself: they tell what finer ones can attain.

    Empty for meshes that are not much `finer` (mm): they find it themselves in the time that it would save.

    Raises CutError where the job cuts no panels, UnwrapError where one cannot be laid flat.
    """
    if finer > WORTH * EDGE_PREVIEW:
        return ()
    panels = panels_of(job, limb=limb, skin=skin, worn=worn, edge_length=EDGE_PREVIEW)
    return each_alone(job, panels, limits=limits)


def each_alone(
    job: Job,
    panels: Sequence[Panel],
    *,
    limits: LeatherLimits,
    known: Sequence[Attainable] = (),
    accuracy: Accuracy = TO_CUT,
) -> tuple[FlatPanel, ...]:
    """Each panel laid flat by itself within the limits.

    `known` is what is known to be attainable for each panel, as for `flatten_panel`, empty where nothing is; `accuracy`
    as for it.

    Raises UnwrapError where one cannot be laid flat.
    """
    grain = np.pi / 2 if job.leather.grain == "up the limb" else 0.0
    return tuple(
        flatten_panel(panel, limits=limits.in_force, grain_angle=grain, known=attainable, accuracy=accuracy)
        for panel, attainable in zip_longest(panels, known)
    )


def fitted(
    job: Job, alone: Sequence[FlatPanel], *, limits: LeatherLimits
) -> tuple[tuple[FlatPanel, ...], tuple[Evened, ...]]:
    """Panels that were laid flat each by itself, fitted to each other, and what it took to make them symmetrical where
    the job asks for it.

    Both sides of a stitched or riveted seam are made equally long, and a piece that lies over itself is parted, where
    the limits allow it.

    Raises UnwrapError where one cannot be made symmetrical.
    """
    insets = rows_inside(fastenings_of(job), job.leather.thickness)
    level = seams_made_equal(alone, limits=limits.in_force, insets=insets)
    flats = overlaps_undone(level, limits=limits.in_force, insets=insets)
    return evened(flats) if job.piece.symmetry == "centre line" else (flats, ())


def drawn(job: Job, flats: Sequence[FlatPanel], *, limb: Limb, even: Sequence[Evened], other: bool = False) -> Pattern:
    """The pieces of the limb, or those of the `other` one of a pair, mirrored.

    Raises PatternError where one cannot be drawn.
    """
    sides = ("left", "right")
    return pattern_from(
        flats,
        work=job.piece.name or name(limb.kind.piece),
        side=sides[(limb.side == "left") == other],
        job=title_of(job),
        thickness=job.leather.thickness,
        mirrored=limb.frame.mirrored != other,
        fastenings=fastenings_of(job),
        girths=[Landmark("widest", limb.height_of("widest"))],
        even=even,
    )


def worn_as(job: Job, *, limb: Limb, skin: LimbSurface, worn: LimbSurface, points: Floats | None = None) -> Wearing:
    """How the pieces on the neutral surface `worn` are put on and worn.

    `points` (N,3) are the scan's, limb coordinates mm, for the foot or hand among them.
    """
    return wearing_of(
        limb,
        skin,
        worn,
        edges=edges_of(job, limb=limb, trusted=skin.trusted),
        seams=[seam_of(seam) for seam in job.seam],
        wear=wear_of(job),
        widest=tape_girth(skin, limb.height_of("widest")),
        hardened=job.leather.hardened,
        points=points,
    )
