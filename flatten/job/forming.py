"""From leather laid flat to what it is formed on: the formers of a limb's pieces, for its side or for both."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from flatten.former.face import Face, edge_lines, face_of
from flatten.former.model import Closed, Former, FormerPlan
from flatten.former.printed import printed
from flatten.former.sheets import ribs_of
from flatten.job.design import Design
from flatten.job.pieces import Laid
from flatten.limb.girths.girth import section_girth
from flatten.limb.which.told import other_side
from flatten.mesh.surface import Floats
from flatten.words.english import ENGLISH
from flatten.words.language import Language
from flatten.worn.curves import OPENING_KINDS, Seam
from flatten.worn.panel import Panel


def formers_of(laid: Laid, *, language: Language = ENGLISH) -> tuple[Former, ...]:
    """The former that a design asks for on its limb, and its mirror image where the opposite limb's pieces are cut too;
    none where none is asked for. What is engraved and written is of a language.

    Raises LayersError where the layers beneath the leather make no surface, FormerError where it cannot be cut into
    parts or ribs as asked, PatternError where a rib cannot be drawn.
    """
    design = laid.design
    plan = design.former
    if plan is None:
        return ()
    face = face_of(design.skin, design.wear, span=design.span, past=plan.past, springback=plan.springback)
    panels = [panel.flat.panel for panel in laid.panels]
    depth = design.wear.neutral * design.wear.thickness
    edges = edge_lines(panels, laid.neutral.surface, face, depth=depth)
    own = _former(design, plan, face, edges, panels, opposite=False, language=language)
    if not design.mirrored:
        return (own,)
    return own, _former(design, plan, face, edges, panels, opposite=True, language=language)


def _former(
    design: Design,
    plan: FormerPlan,
    face: Face,
    edges: Sequence[Floats],
    panels: Sequence[Panel],
    *,
    opposite: bool,
    language: Language,
) -> Former:
    limb = design.limb
    side = other_side(limb.side) if opposite else limb.side
    mirrored = limb.frame.mirrored != opposite
    parts = printed(face, plan, edges, side=side, mirrored=mirrored, language=language) if plan.printed else ()
    ribs = None
    if plan.ribbed:
        opening = _opening(design, 0.5 * (face.low + face.high))
        ribs = ribs_of(
            face, plan, opening=opening, side=side, front=limb.kind.sides[0], mirrored=mirrored, language=language
        )
    rows = [(mark.name, mark.height) for mark in limb.landmarks if face.low <= mark.height <= face.high]
    girths = tuple(
        (name, height, section_girth(face.inner, height), section_girth(face.surface, height)) for name, height in rows
    )
    closed = _closed(face, design.cuts.seams, panels, span=design.span)
    return Former(plan, side, face.low, face.high, face.short, girths, closed, parts, ribs)


def _opening(design: Design, height: float) -> float:
    """The bearing of the first seam that can be opened, at a height; of the back where there is none."""
    for seam in design.cuts.seams:
        if seam.kind in OPENING_KINDS:
            return float(seam.bearing(height))
    return np.pi


def _closed(
    face: Face, seams: Sequence[Seam], panels: Sequence[Panel], *, span: tuple[float, float]
) -> tuple[Closed, ...]:
    """The seams without an overlap whose gap leather that keeps its length does not have left on the former."""
    if face.springback == 0.0:
        return ()
    found = []
    heights = np.linspace(max(span[0], face.low), min(span[1], face.high), 60)
    for seam in seams:
        before = [panel for panel in panels if (seam.name, "high") in _sides(panel)]
        after = [panel for panel in panels if (seam.name, "low") in _sides(panel)]
        if seam.overlap or not before or not after:
            continue
        start, end = (0.5 * float(panel.bearings.min() + panel.bearings.max()) for panel in (before[0], after[0]))
        end = start + (float(np.mod(end - start, 2.0 * np.pi)) or 2.0 * np.pi)
        apart = max(_arc(face, height, start, end) for height in heights)
        less = face.springback * apart
        if less > seam.gap:
            found.append(Closed(seam.name, seam.gap, less, seam.gap / apart))
    return tuple(found)


def _sides(panel: Panel) -> set[tuple[str, str]]:
    return {(side.name, side.side) for side in panel.boundaries}


def _arc(face: Face, height: float, start: float, end: float) -> float:
    """Length, mm, of the inner face's section between two bearings."""
    turns = np.linspace(start, end, 361)
    points = face.inner.points(np.full(turns.shape, height), turns)
    return float(np.linalg.norm(np.diff(points, axis=0), axis=1).sum())
