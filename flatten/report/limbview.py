"""The limb as it stands on the bench: silhouette, the leather on it, and a height ruler beside it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from flatten.findings import message
from flatten.leather.tensors import flat_areas
from flatten.mesh.surface import Floats, Ints
from flatten.pattern.model import Piece
from flatten.report.model import LimbReport, PanelReport
from flatten.report.picture import Note, Picture, Stroke, filled, level_lines, line, stretch_strokes
from flatten.report.ramp import Fields, vertex_fields

RULER_APART = 26.0
"""mm between the limb's widest reach and the ruler."""

RULER_ROOM = 42.0
"""mm that the ruler's ticks and numbers take, left of its line."""

BEYOND = 35.0
"""mm of bare limb that is shown below and above what matters: enough to see where it goes on."""

MARGIN = 16.0
"""mm kept free round a picture."""

_SILHOUETTE_HEIGHTS, _SILHOUETTE_BEARINGS = 120, 180


@dataclass(frozen=True, eq=False)
class Shown:
    """A panel as it is drawn: its report, its piece, its flat points (V,2) as the wearer sees them, and its fields."""

    report: PanelReport
    piece: Piece
    flat: Floats
    faces: Ints
    fields: Fields

    @property
    def rim(self) -> Ints:
        """The vertices of the panel's boundary, once round."""
        return np.concatenate([boundary.vertices[:-1] for boundary in self.report.flat.panel.boundaries])


@dataclass(frozen=True, eq=False)
class LimbView:
    """The limb from one side: its strokes and notes, and how far it reaches left (with its ruler) and right, mm."""

    strokes: tuple[Stroke, ...]
    notes: tuple[Note, ...]
    left: float
    right: float


def handed(report: LimbReport) -> float:
    """-1.0 where limb coordinates are the mirror image of the wearer, else 1.0: the sign of sideways."""
    return -1.0 if report.limb.frame.mirrored else 1.0


def shown_panels(report: LimbReport) -> tuple[Shown, ...]:
    """The panels as they are drawn, the flat ones as the wearer sees them, grain side up.

    Raises StretchError where a face of one is turned over.
    """
    pairs = zip(report.panels, report.pieces, strict=True)
    return tuple(_shown(panel, piece, handed(report)) for panel, piece in pairs)


def bench_heights(report: LimbReport) -> tuple[float, float]:
    """Height (mm) of the bench and of the limb's upper end: leather, landmarks and BEYOND of known skin about them."""
    shown = [mark.height for mark in report.limb.landmarks]
    for panel in report.panels:
        shown += [float(panel.flat.panel.heights.min()), float(panel.flat.panel.heights.max())]
    low, high = report.skin.trusted
    return max(float(low), min(shown) - BEYOND), min(float(high), max(shown) + BEYOND)


def limb_view(report: LimbReport, panels: tuple[Shown, ...], *, bearing: float) -> LimbView:
    """The limb seen level from `bearing` (radians), the leather on it coloured, the ruler to its left."""
    heights, least, greatest = silhouette(report, bearing)
    skin = np.concatenate([np.column_stack([least, heights]), np.column_stack([greatest, heights])[::-1]])
    strokes = [Stroke(line(skin, closed=True), "skin")]
    right, left = float(greatest.max()), float(least.min())
    eye = np.array([np.cos(bearing), np.sin(bearing), 0.0])

    def seen(chart: Floats) -> Floats:
        return seen_from(report, report.worn.points(chart[:, 1], chart[:, 0]), bearing)

    for panel in panels:
        worn = panel.report.flat.panel
        # Drawn in the chart (bearing, height), where no face is turned over, and taken to the picture from there.
        chart = np.column_stack([worn.bearings, worn.heights])
        facing = report.worn.normals(worn.heights, worn.bearings) @ eye
        outline = filled(chart, panel.faces, facing, seen=seen)
        if outline:
            colours = stretch_strokes(chart, panel.faces, panel.fields, within=facing, seen=seen)
            strokes += [Stroke(outline, "leather"), *colours, Stroke(outline, "outline")]
            across = seen(chart[facing >= 0.0])[:, 0]
            left, right = min(left, float(across.min())), max(right, float(across.max()))
    ticks, notes = _ruler(left - RULER_APART, bench_heights(report))
    return LimbView((*strokes, *ticks), notes, left - RULER_APART - RULER_ROOM, right)


def front_levels(
    report: LimbReport, panels: tuple[Shown, ...], *, heights: Sequence[float], until: float
) -> list[Floats]:
    """The ends (2,2), y up, of the level lines over the limb and its leather from the front, run on to x = `until`."""
    around = np.linspace(0.0, 2 * np.pi, _SILHOUETTE_BEARINGS, endpoint=False)
    grid = np.meshgrid(np.asarray(heights, float), around, indexing="ij")
    starts = seen_from(report, report.skin.points(*grid), 0.0)[..., 0].min(axis=1)
    for panel in panels:
        mesh = panel.report.flat.panel.mesh
        seen = seen_from(report, mesh.vertices, 0.0)
        for k, runs in enumerate(level_lines(seen, mesh.faces, mesh.vertices[:, 2], levels=heights)):
            starts[k] = min(starts[k], *(float(run[:, 0].min()) for run in runs)) if runs else starts[k]
    return [np.array([[start, height], [until, height]]) for start, height in zip(starts, heights, strict=True)]


def side_pictures(report: LimbReport, panels: tuple[Shown, ...]) -> tuple[tuple[str, Picture], ...]:
    """The limb on the bench from its four sides, all at one scale, each with the side's key."""
    low, high = bench_heights(report)
    views = [limb_view(report, panels, bearing=quarter * np.pi / 2) for quarter in range(4)]
    left, right = min(view.left for view in views), max(view.right for view in views) + MARGIN
    bench = Stroke(line(np.array([[left, low], [right, low]])), "bench")
    box = (left, -high - MARGIN, right - left, high - low + 1.5 * MARGIN)
    return tuple(
        (
            side,
            Picture(
                message("picture.limb side", kind=report.limb.kind.name, side=side),
                box,
                (bench, *view.strokes),
                view.notes,
            ),
        )
        for side, view in zip(report.limb.kind.sides, views, strict=True)
    )


def _shown(panel: PanelReport, piece: Piece, hand: float) -> Shown:
    faces = panel.flat.panel.mesh.faces
    fields = vertex_fields(panel.stretch, faces=faces, count=len(panel.flat.uv), areas=flat_areas(panel.flat))
    return Shown(panel, piece, panel.flat.uv * np.array([hand, 1.0]), faces, fields)


def seen_from(report: LimbReport, points: Floats, bearing: float) -> Floats:
    """Picture coordinates (N,2), y up, of limb points seen from `bearing`: bearing grows to the wearer's true side."""
    right = points[..., 1] * np.cos(bearing) - points[..., 0] * np.sin(bearing)
    return np.stack([handed(report) * right, points[..., 2]], axis=-1)


def silhouette(report: LimbReport, bearing: float) -> tuple[Floats, Floats, Floats]:
    """Heights (n,), and the least and the greatest sideways reach of the skin (n,) at each."""
    heights = np.linspace(*bench_heights(report), _SILHOUETTE_HEIGHTS)
    around = np.linspace(0.0, 2 * np.pi, _SILHOUETTE_BEARINGS, endpoint=False)
    across = seen_from(report, report.skin.points(*np.meshgrid(heights, around, indexing="ij")), bearing)[..., 0]
    return heights, across.min(axis=1), across.max(axis=1)


def _ruler(x: float, span: tuple[float, float]) -> tuple[list[Stroke], tuple[Note, ...]]:
    low, high = span
    strokes = [Stroke(line(np.array([[x, low], [x, high]])), "ruler")]
    notes = []
    for ten in range(int(np.ceil(low / 10.0)), int(np.floor(high / 10.0)) + 1):
        height, long = 10.0 * ten, ten % 5 == 0
        strokes.append(Stroke(line(np.array([[x, height], [x - (8.0 if long else 4.0), height]])), "ruler"))
        if long:
            notes.append(Note(x - 11.0, -height, f"{height:.0f}".replace("-", "−"), "tick", "end"))
    return strokes, tuple(notes)
