"""The record of a fitting: a page for each limb with its places, what is foretold there, and blanks for what showed."""

from __future__ import annotations

import io
from collections.abc import Sequence
from itertools import pairwise

import numpy as np
from reportlab.pdfgen.canvas import Canvas

from flatten.drawing.ink import MM, broken, lined, put_text, ready_font
from flatten.findings import Message, message
from flatten.limb.kind import tape_places
from flatten.mesh.surface import Floats
from flatten.pattern.lettering import one_line
from flatten.report.limbview import bench_heights, seen_from, silhouette
from flatten.report.model import JobReport, LimbReport
from flatten.sheet.paper import paper_size
from flatten.words import say
from flatten.words.english import ENGLISH
from flatten.words.language import Language
from flatten.worn.rings import Ring

MARGIN = 14.0
"""mm. The sheet's own margin: every home printer prints up to here."""

HANDY = ("A4", "Letter")
"""Papers that lie beside the limb while one writes."""

APART = 50.0
"""mm from one ring without a name to the next: at every second one a tape is laid in a fitting."""

_TEXT, _LINE, _ROW = 2.3, 3.9, 7.5
"""mm. Height of capitals, from line to line of text, and from line to line to write on."""

_DRAWN = (62.0, 105.0)
"""mm. Room for the limb: two views beside each other."""

_HEADS = (
    message("record.place"),
    message("record.height"),
    message("record.inside"),
    message("record.tight"),
    message("record.loose"),
    message("record.side"),
)
"""The columns of the girths."""

_COLUMNS = (0.0, 0.29, 0.41, 0.57, 0.69, 0.81, 1.0)
"""Where the columns begin and end, as shares of the table's width."""

_BLANKS = (
    message("record.date"),
    message("record.material"),
    message("record.thickness"),
    message("record.beneath"),
)

_EDGES = (
    message("record.edge height", edge="top"),
    message("record.edge touches", edge="top"),
    message("record.edge height", edge="bottom"),
    message("record.edge touches", edge="bottom"),
    message("record.stands off"),
    message("record.slides"),
)
"""What shows besides girths, as the job file understands it, with blanks."""


def fitting_record(report: JobReport, *, paper: str, language: Language = ENGLISH) -> bytes:
    """The record as a PDF, an upright page for each limb; the same bytes each time.

    It is on `paper`, or where that is no sheet for a hand, on A4.
    """
    ready_font()
    width, height = paper_size(paper if paper in HANDY else "A4")
    out = io.BytesIO()
    canvas = Canvas(out, invariant=1, pageCompression=1)
    canvas.setTitle(one_line(say.text(message("record.title", job=report.job), language)))
    canvas.setCreator("Calfskin")
    canvas.setAuthor("")
    for limb in report.limbs:
        canvas.setPageSize((width * MM, height * MM))
        canvas.saveState()
        canvas.scale(MM, MM)
        _draw_page(canvas, report, limb, (width, height), language)
        canvas.restoreState()
        canvas.showPage()
    canvas.save()
    return out.getvalue()


def rings_to_try(rings: Sequence[Ring]) -> tuple[Ring, ...]:
    """The rings that a record has a line for, the highest first: those with names, and one every APART mm between."""
    named = [ring for ring in rings if ring.name]
    plain = [ring for ring in rings if not ring.name and ring.height % APART == 0.0]
    kept = [ring for ring in plain if all(abs(ring.height - other.height) >= 0.3 * APART for other in named)]
    return tuple(sorted((*named, *kept), key=lambda ring: -ring.height))


def place_of(ring: Ring) -> Message:
    """Where a ring is, in words that the job file understands: by its name where that is one, else by its height."""
    name = ring.name if ring.name in (*tape_places(), "top", "bottom", "middle") else ""
    return message("record.at", at=name, height=ring.height)


def _draw_page(
    canvas: Canvas, report: JobReport, limb: LimbReport, size: tuple[float, float], language: Language
) -> None:
    width, height = size
    wide = width - 2.0 * MARGIN
    canvas.setFillGray(0.1)
    y = height - MARGIN - 5.0
    put_text(canvas, MARGIN, y, 5.0, say.text(message("record.title", job=report.job), language), most=wide)
    whose = message("record.limb", side=limb.limb.side, kind=limb.limb.kind.name, pair=bool(limb.mirrored))
    put_text(canvas, MARGIN, y - 8.0, 3.0, say.text(whose, language), most=wide)
    y -= 17.0
    cell = wide / len(_BLANKS)
    canvas.setStrokeGray(0.3)
    canvas.setLineWidth(0.2)
    for k, blank in enumerate(_BLANKS):
        put_text(canvas, MARGIN + k * cell, y, 2.0, say.text(blank, language), most=cell - 4.0)
        canvas.line(MARGIN + k * cell, y - _ROW, MARGIN + (k + 1) * cell - 4.0, y - _ROW)
    y -= _ROW + 8.0
    rings = rings_to_try(limb.rings)
    _draw_views(canvas, limb, rings, (MARGIN, y - _DRAWN[1]), language)
    left = MARGIN + _DRAWN[0] + 6.0
    low = _draw_girths(canvas, rings, (left, y), width - MARGIN - left, language)
    y = min(low, y - _DRAWN[1]) - 9.0
    for told in _EDGES:
        put_text(canvas, MARGIN, y, _TEXT, say.text(told, language), most=wide)
        y -= _ROW
    for _ in range(2):
        canvas.line(MARGIN, y, MARGIN + wide, y)
        y -= _ROW
    y += 1.0
    for line in broken(say.text(message("record.write down"), language), _TEXT, wide):
        put_text(canvas, MARGIN, y, _TEXT, line)
        y -= _LINE


def _draw_girths(
    canvas: Canvas, rings: Sequence[Ring], corner: tuple[float, float], width: float, language: Language
) -> float:
    """The table of girths from its upper left corner downwards; its lower end."""
    x, y = corner
    edges = [x + share * width for share in _COLUMNS]
    for head, (left, right) in zip(_HEADS, pairwise(edges), strict=True):
        for row, line in enumerate(say.text(head, language).splitlines()):
            put_text(canvas, left + 1.5, y - 3.2 - 3.0 * row, 1.9, line, most=right - left - 2.0)
    top = y
    y -= _ROW
    canvas.line(x, top, x + width, top)
    for ring in rings:
        canvas.line(x, y, x + width, y)
        put_text(canvas, x + 1.5, y - 5.0, 2.1, say.text(place_of(ring), language), most=edges[1] - x - 2.5)
        put_text(canvas, edges[2] - 1.5, y - 5.0, 2.1, _whole(ring.height), anchor="end")
        put_text(canvas, edges[3] - 1.5, y - 5.0, 2.3, _whole(ring.drawn), anchor="end")
        y -= _ROW
    canvas.line(x, y, x + width, y)
    for edge in edges:
        canvas.line(edge, top, edge, y)
    return y


def _whole(value: float) -> str:
    """A length in whole mm."""
    return f"{value:.0f}".replace("-", "−")


def _draw_views(
    canvas: Canvas, limb: LimbReport, rings: Sequence[Ring], corner: tuple[float, float], language: Language
) -> None:
    """The limb from its front and from its outside above a corner, one scale, with the leather's rim and the rings."""
    views = [(side, quarter * np.pi / 2) for quarter, side in enumerate(limb.limb.kind.sides[:2])]
    shapes = [silhouette(limb, bearing) for _, bearing in views]
    low, high = bench_heights(limb)
    widths = [float(greatest.max() - least.min()) for _, least, greatest in shapes]
    scale = min((_DRAWN[0] - 17.0) / sum(widths), (_DRAWN[1] - 6.0) / (high - low))
    canvas.saveState()
    canvas.translate(corner[0] + 8.0, corner[1] + 6.0)
    for (side, bearing), (heights, least, greatest), wide in zip(views, shapes, widths, strict=True):
        canvas.saveState()
        canvas.scale(scale, scale)
        canvas.translate(-float(least.min()), -low)
        canvas.setLineWidth(0.2 / scale)
        canvas.setStrokeGray(0.5)
        _stroke(canvas, np.column_stack([least, heights]))
        _stroke(canvas, np.column_stack([greatest, heights]))
        canvas.setLineWidth(0.35 / scale)
        canvas.setStrokeGray(0.0)
        for run in _rims(limb, bearing):
            _stroke(canvas, run)
        canvas.setLineWidth(0.2 / scale)
        canvas.setFillGray(0.1)
        for ring in rings:
            from_, to = (float(np.interp(ring.height, heights, reach)) for reach in (least, greatest))
            lined(canvas, from_, ring.height, to, ring.height, (2.0 / scale, 1.2 / scale))
            if bearing == 0.0:
                x, y = from_ - 1.0 / scale, ring.height - 0.8 / scale
                put_text(canvas, x, y, 1.7 / scale, _whole(ring.height), anchor="end")
        canvas.restoreState()
        seen = say.text(message("record.seen", side=side), language)
        put_text(canvas, 0.5 * scale * wide, -4.5, 1.9, seen, anchor="middle", most=0.5 * _DRAWN[0])
        canvas.translate(scale * wide + 7.0, 0.0)
    canvas.restoreState()


def _rims(limb: LimbReport, bearing: float) -> list[Floats]:
    """The parts (n,2) of the rims of a limb's base panels that face a bearing, as seen from there."""
    eye = np.array([np.cos(bearing), np.sin(bearing), 0.0])
    found = []
    for report in limb.panels:
        panel = report.flat.panel
        if report.part != "base":
            continue
        for boundary in panel.boundaries:
            own = boundary.vertices
            faces = limb.worn.normals(panel.heights[own], panel.bearings[own]) @ eye > 0.0
            seen = seen_from(limb, panel.mesh.vertices[own], bearing)
            runs = np.split(np.arange(len(own)), 1 + np.flatnonzero(np.diff(faces)))
            found += [seen[run] for run in runs if faces[run[0]] and len(run) > 1]
    return found


def _stroke(canvas: Canvas, points: Floats) -> None:
    """A polyline."""
    path = canvas.beginPath()
    path.moveTo(*points[0].tolist())
    for point in points[1:]:
        path.lineTo(*point.tolist())
    canvas.drawPath(path, stroke=1, fill=0)
