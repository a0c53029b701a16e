"""Where the bound on the stretch binds: marked on the limb and on the flat leather, side by side."""

from __future__ import annotations

import numpy as np
from scipy.spatial import cKDTree

from flatten.findings import Message, message
from flatten.limb.kind import quarter_at
from flatten.mesh.surface import Flags, Floats, Ints
from flatten.report.limbview import MARGIN, Shown, bench_heights, limb_view, seen_from
from flatten.report.model import LimbReport
from flatten.report.picture import Picture, Stroke, line, stretch_strokes
from flatten.unwrap.certificate.binding import Binding

LEATHER_ASIDE = 40.0
"""mm between the limb and the leather."""

LEAST_LOAD = 0.25
"""Share of the heaviest load below which a line is not drawn: the lighter ones make a tangle and hardly carry."""

CENTRE, POINT = 10.0, 2.4
"""mm. Radius of the ring round the centre of what binds, and of a point that carries."""


def binding_pictures(report: LimbReport, panels: tuple[Shown, ...]) -> tuple[tuple[Message, Picture], ...]:
    """For each panel whose bound binds somewhere: what is seen, and limb and leather with the place marked."""
    pictures = []
    for panel in panels:
        if (binding := panel.report.binding) is not None:
            quarter = quarter_at(binding.panel.bearings[binding.centre])
            kind = report.limb.kind
            seen = message("picture.limb and piece", kind=kind.name, side=kind.sides[quarter], piece=panel.piece.name)
            below = message("picture.binding below", seen=seen, sentence=binding.sentence)
            pictures.append((below, _picture(report, panel, binding, quarter * np.pi / 2, seen)))
    return tuple(pictures)


def _picture(report: LimbReport, panel: Shown, binding: Binding, bearing: float, seen: Message) -> Picture:
    worn = binding.panel
    low, high = bench_heights(report)
    view = limb_view(report, (panel,), bearing=bearing)
    placed = _placed(panel, view.right + LEATHER_ASIDE)
    on_limb = seen_from(report, worn.mesh.vertices, bearing)
    eye = np.array([np.cos(bearing), np.sin(bearing), 0.0])
    facing = report.worn.normals(worn.heights, worn.bearings) @ eye >= 0.0
    on_leather = placed[_nearest(panel, binding)]
    right = float(placed[:, 0].max()) + MARGIN
    bottom, top = min(low, float(placed[:, 1].min())), max(high, float(placed[:, 1].max()))
    outline = line(placed[panel.rim], closed=True)
    strokes = [
        Stroke(line(np.array([[view.left, low], [right, low]])), "bench"),
        *view.strokes,
        *_marks(binding, on_limb, facing),
        Stroke(outline, "leather"),
        *stretch_strokes(placed, panel.faces, panel.fields),
        Stroke(outline, "outline"),
        *_marks(binding, on_leather, np.ones(len(on_leather), bool)),
    ]
    return Picture(
        message("picture.binding", seen=seen, cause=binding.cause),
        (view.left, -top - MARGIN, right - view.left, top - bottom + 2 * MARGIN),
        tuple(strokes),
        view.notes,
    )


def _marks(binding: Binding, at: Floats, facing: Flags) -> list[Stroke]:
    """The lines that carry most, the points at their ends and a ring round the centre, where they face the viewer."""
    weight = np.abs(binding.load)
    heavy = weight >= LEAST_LOAD * weight.max(initial=0.0)
    drawn = heavy & facing[binding.lines].all(axis=1)
    strokes = [
        Stroke("".join(line(at[ends]) for ends in binding.lines[drawn & kind]), name)
        for kind, name in ((binding.held_apart, "held apart"), (~binding.held_apart, "held together"))
    ]
    points = np.unique(binding.lines[heavy]) if len(binding.lines) else binding.points
    dots = "".join(_ring(at[point], POINT) for point in points if facing[point])
    strokes.append(Stroke(dots, "carries"))
    if facing[binding.centre]:
        strokes += [Stroke(_ring(at[binding.centre], CENTRE), f"binding-{k}") for k in ("halo", "mark")]
    return [stroke for stroke in strokes if stroke.path]


def _ring(at: Floats, radius: float) -> str:
    around = np.linspace(0.0, 2 * np.pi, 24, endpoint=False)
    return line(at + radius * np.column_stack([np.cos(around), np.sin(around)]), closed=True)


def _placed(panel: Shown, left: float) -> Floats:
    lift = float((panel.report.flat.panel.heights - panel.flat[:, 1]).mean())
    return panel.flat + np.array([left - float(panel.flat[:, 0].min()), lift])


def _nearest(panel: Shown, binding: Binding) -> Ints:
    """The vertices (V,) of the panel that lie nearest to those of the panel as meshed for the bound, on the limb.

    Half an edge of the finer mesh off at most: less than the marks' size. Across a seam nothing is near in the chart.
    """
    fine, coarse = panel.report.flat.panel, binding.panel
    radius = float(np.linalg.norm(fine.mesh.vertices[:, :2] - fine.mesh.vertices[:, :2].mean(axis=0), axis=1).mean())
    charts = [np.column_stack([radius * own.bearings, own.heights]) for own in (fine, coarse)]
    return np.asarray(cKDTree(charts[0]).query(charts[1])[1])
