"""The bench: the limb beside a height ruler, and the flat leather beside it, with the limb's girth lines running on."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from flatten.findings import Message, message
from flatten.leather.messages import NO_STRETCH
from flatten.mesh.surface import Floats
from flatten.report.cutting import hole_strokes
from flatten.report.limbview import MARGIN, Shown, bench_heights, front_levels, limb_view
from flatten.report.messages import girth_name, landmark_girths
from flatten.report.model import LimbReport
from flatten.report.picture import Note, Picture, Stroke, level_lines, line, smooth_run, stretch_strokes

RING_STEP = 50.0
"""mm. Heights between the girth lines."""

LEATHER_ASIDE = 84.0
"""mm between the limb and the leather: room for the girths' names."""

PIECES_APART = 36.0
"""mm between two pieces."""

SPOT_ROOM = np.array([17.0, 9.0])
"""mm. Half the width of a figure on the leather, and its height with some air: it stands this far inside the piece's
box, so that it covers neither the piece's name nor what stands beside it."""

NEAR = 12.0
"""mm. A plain girth line this near to a named one is left out, so that their figures do not lie on one another."""


@dataclass(frozen=True)
class Ring:
    """A girth line: its height, and its figure where the girth there is known, else nothing."""

    height: float
    words: Message | str
    named: bool


def bench_picture(report: LimbReport, panels: tuple[Shown, ...]) -> Picture:
    """The limb from the front on the bench, and the pieces of leather beside it at the same heights."""
    low, high = bench_heights(report)
    view = limb_view(report, panels, bearing=0.0)
    strokes, notes = list(view.strokes), list(view.notes)
    bottom, top, left = low, high, view.right + LEATHER_ASIDE
    rings = girth_rings(report)
    for number, panel in enumerate(panels):
        placed = _beside(panel, left)
        strokes += _leather(placed, panel)
        strokes += _ring_strokes(placed, panel, rings, limb_edge=view.right if number == 0 else None)
        notes += _spots(placed, panel)
        bottom, top = min(bottom, float(placed[:, 1].min())), max(top, float(placed[:, 1].max()))
        if len(panels) > 1:
            middle = float(placed[:, 0].mean())
            notes.append(Note(middle, -float(placed[:, 1].max()) - 5.0, panel.piece.name, "name", "middle"))
        left = float(placed[:, 0].max()) + PIECES_APART
    right = left - PIECES_APART + MARGIN
    notes += [Note(view.right + 8.0, -ring.height - 2.5, ring.words, _kind(ring), "start") for ring in rings]
    bench = Stroke(line(np.array([[view.left, low], [right, low]])), "bench")
    levels = front_levels(report, panels, heights=[ring.height for ring in rings], until=view.right)
    strokes += [Stroke(line(level), _line_kind(ring)) for ring, level in zip(rings, levels, strict=True)]
    return Picture(
        message("picture.bench", kind=report.limb.kind.name, side=report.limb.kind.sides[0]),
        (view.left, -top - MARGIN, right - view.left, top - bottom + 2 * MARGIN),
        (bench, *strokes),
        tuple(notes),
    )


def leather_pictures(report: LimbReport, panels: tuple[Shown, ...]) -> tuple[Picture, ...]:
    """Each flat piece alone with its height lines, all at one scale, for a narrow page."""
    room = max((float(np.ptp(panel.flat[:, 0])) for panel in panels), default=0.0)
    return tuple(_alone(panel, report, room) for panel in panels)


def girth_rings(report: LimbReport) -> tuple[Ring, ...]:
    """The girth lines by rising height: the named girths, and one every RING_STEP that is not near a named one."""
    low, high = bench_heights(report)
    named = landmark_girths(report.limb, report.girths)
    rings = [
        Ring(g.height, message("picture.girth", girth=girth_name(report.limb, g), length=g.tape), named=True)
        for g in named
    ]
    for height in np.arange(np.ceil(low / RING_STEP), np.floor(high / RING_STEP) + 1) * RING_STEP:
        if all(abs(height - girth.height) > NEAR for girth in named):
            here = [girth for girth in report.girths if girth.height == height]
            rings.append(Ring(float(height), message("mm", value=here[0].tape) if here else "", named=False))
    return tuple(sorted(rings, key=lambda ring: ring.height))


def _alone(panel: Shown, report: LimbReport, room: float) -> Picture:
    placed = _beside(panel, 0.0)
    (left, bottom), (_, top) = placed.min(axis=0), placed.max(axis=0)
    return Picture(
        message("picture.flat piece", piece=panel.piece.name),
        (float(left) - 4.0, -float(top) - MARGIN, room + 8.0, float(top - bottom) + 2 * MARGIN),
        (*_leather(placed, panel), *_ring_strokes(placed, panel, girth_rings(report), limb_edge=None)),
        tuple(_spots(placed, panel)),
    )


def _beside(panel: Shown, left: float) -> Floats:
    """The flat points (V,2) moved so that they begin at x = `left`, at the heights that they have on the limb."""
    lift = float((panel.report.flat.panel.heights - panel.flat[:, 1]).mean())
    return panel.flat + np.array([left - float(panel.flat[:, 0].min()), lift])


def _leather(placed: Floats, panel: Shown) -> list[Stroke]:
    """A piece of leather with its colours and with the holes that its pattern has: both lie in one flat place."""
    outline = line(placed[panel.rim], closed=True)
    moved = placed[0] - panel.flat[0]
    return [
        Stroke(outline, "leather"),
        *stretch_strokes(placed, panel.faces, panel.fields),
        Stroke(outline, "outline"),
        *hole_strokes(panel.piece.holes, moved=(float(moved[0]), float(moved[1]))),
    ]


def _ring_strokes(placed: Floats, panel: Shown, rings: tuple[Ring, ...], *, limb_edge: float | None) -> list[Stroke]:
    """Girth lines over a piece of leather, each joined to the limb's right edge where that is given."""
    strokes = []
    heights = panel.report.flat.panel.heights
    for ring, runs in zip(
        rings, level_lines(placed, panel.faces, heights, levels=[r.height for r in rings]), strict=True
    ):
        kind = _line_kind(ring)
        strokes += [Stroke(line(run), kind) for run in runs]
        if runs and limb_edge is not None:
            start = min((run[k] for run in runs for k in (0, -1)), key=lambda end: float(end[0]))
            strokes.append(Stroke(smooth_run(np.array([limb_edge, ring.height]), start), kind))
    return strokes


def _spots(placed: Floats, panel: Shown) -> list[Note]:
    """The figures of the largest stretch and squeeze at their places, or as near to them as they stand inside."""
    low, high = placed.min(axis=0) + SPOT_ROOM, placed.max(axis=0) - SPOT_ROOM
    centres = placed[panel.faces].mean(axis=1)
    stretch = panel.report.stretch
    spots = []
    for share, face in (
        (stretch.most.stretch - 1.0, stretch.most.face),
        (stretch.least.stretch - 1.0, stretch.least.face),
    ):
        if abs(share) >= NO_STRETCH:
            x, y = np.clip(centres[face], np.minimum(low, high), np.maximum(low, high))
            spots.append(Note(float(x), -float(y), message("picture.share", share=share), "spot", "middle"))
    return spots


def _kind(ring: Ring) -> str:
    return "girth named" if ring.named else "girth"


def _line_kind(ring: Ring) -> str:
    return "ring named" if ring.named else "ring"
