"""A panel's mesh: its quadrilateral of the chart, its seam lines and its darts, as triangles that follow them all."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from flatten.mesh.region import Curve, InnerLine, RegionMesh, mesh_region, opened
from flatten.mesh.surface import Floats, Ints, Mesh
from flatten.worn.curves import Seam
from flatten.worn.darts import ChartCurve, Notch
from flatten.worn.panel import Boundary, Panel
from flatten.worn.plan import Plan, Quad, plan_of


@dataclass(frozen=True)
class Closing:
    """A seam as one of a panel's two sides: the panel's bearings exceed its own by `turn`.

    `layer` is "upper" or "lower" where leather lies on leather, else "".
    """

    seam: Seam
    turn: float
    layer: str


@dataclass(frozen=True)
class _Named:
    """A boundary's name, kind and side, its seam line's number and layer; vertices come with the mesh."""

    name: str
    kind: str
    side: str
    line: int | None = None
    layer: str = ""


@dataclass
class _Outline:
    """The panel's outline as it is gone round: stretches and their boundaries, inner lines and slits."""

    curves: list[ChartCurve] = field(default_factory=list)
    owners: list[int] = field(default_factory=list)
    boundaries: list[_Named] = field(default_factory=list)
    lines: list[tuple[ChartCurve, int, int | None]] = field(default_factory=list)
    slits: list[tuple[int, int]] = field(default_factory=list)
    """Line number, and number of the slit's first boundary."""

    def begin(self, boundary: _Named) -> None:
        """Go on along the next boundary."""
        self.boundaries.append(boundary)

    def run(self, curve: ChartCurve) -> None:
        """One more stretch of the boundary begun last."""
        self.curves.append(curve)
        self.owners.append(len(self.boundaries) - 1)


def meshed(
    quad: Quad, *, low: Closing, high: Closing, notches: Sequence[Notch], edge_length: float, name: str
) -> Panel:
    """The panel of a quad between its two seams, cut open at `notches`, with edges of about `edge_length` mm."""
    plan = plan_of(quad, edge_length=edge_length)
    outline = _outline(quad, low, high, notches)

    def in_plan(curve: ChartCurve) -> Curve:
        return lambda u: plan.at(*quad.square(curve(u)))

    region = mesh_region(
        [in_plan(curve) for curve in outline.curves],
        size=edge_length,
        lines=[InnerLine(in_plan(curve), start, end) for curve, start, end in outline.lines],
    )
    return _panel(quad, region, _chart(quad, region, plan, outline), outline, name)


def _outline(quad: Quad, low: Closing, high: Closing, notches: Sequence[Notch]) -> _Outline:
    """Once round counter-clockwise: bottom edge, high boundary, top edge, low boundary."""
    outline = _Outline()
    overlapping = [closing for closing in (low, high) if closing.seam.overlap]
    along = [_seam_line(quad, closing) for closing in overlapping]
    at_bottom = _edge(outline, quad, along, [notch for notch in notches if notch.dart.edge == "bottom"], top=False)
    outline.begin(_named(high, "high", overlapping))
    outline.run(lambda u: quad.chart(np.ones_like(u), u))
    at_top = _edge(outline, quad, along, [notch for notch in notches if notch.dart.edge == "top"], top=True)
    outline.begin(_named(low, "low", overlapping))
    outline.run(lambda u: quad.chart(np.zeros_like(u), 1.0 - u))
    seam_lines = [(line, start, end) for line, start, end in zip(along, at_bottom, at_top, strict=True)]
    outline.slits = [(number + len(seam_lines), boundary) for number, boundary in outline.slits]
    outline.lines = [*seam_lines, *outline.lines]
    return outline


def _named(closing: Closing, side: str, overlapping: list[Closing]) -> _Named:
    line = overlapping.index(closing) if closing in overlapping else None
    return _Named(closing.seam.name, closing.seam.kind, side, line, closing.layer)


def _seam_line(quad: Quad, closing: Closing) -> ChartCurve:
    """The seam itself, from the bottom to the top edge."""

    def bearing(height: Floats) -> Floats:
        return closing.seam.bearing(height) + closing.turn

    low, high = (float(quad.meeting(bearing, edge)) for edge in (quad.bottom, quad.top))

    def curve(u: Floats) -> Floats:
        height = low + u * (high - low)
        return np.column_stack([height, bearing(height)])

    return curve


def _edge(outline: _Outline, quad: Quad, along: list[ChartCurve], notches: Sequence[Notch], *, top: bool) -> list[int]:
    """Runs along an edge, into its notches and out again; the numbers of the stretches at which seam lines end."""
    name, t = ("top edge", 1.0) if top else ("bottom edge", 0.0)

    def stretch(start: float, end: float) -> ChartCurve:
        return lambda u: quad.chart(start + u * (end - start), np.full_like(u, t))

    ends = [float(quad.square(curve(np.array([t])))[0][0]) for curve in along]
    stops: list[tuple[float, int | Notch]] = [(s, k) for k, s in enumerate(ends)]
    stops += [(notch.leaves[0], notch) for notch in notches]
    numbers = [0] * len(along)
    at = float(top)
    outline.begin(_Named(name, "edge", ""))
    for s, stop in sorted(stops, key=lambda entry: entry[0], reverse=top):
        if isinstance(stop, int):
            outline.run(stretch(at, s))
            numbers[stop] = len(outline.curves)
            at = s
            continue
        first, last = (stop.leaves[-1], stop.leaves[0]) if top else (stop.leaves[0], stop.leaves[-1])
        outline.run(stretch(at, first))
        _notch(outline, stop, top=top)
        outline.begin(_Named(name, "edge", ""))
        at = last
    outline.run(stretch(at, float(not top)))
    return numbers


def _notch(outline: _Outline, notch: Notch, *, top: bool) -> None:
    """The two sides of a dart: two stretches of the outline, or a slit for later."""
    dart = notch.dart
    sides = ("high", "low") if top else ("low", "high")
    if len(notch.curves) == 1:
        outline.slits.append((len(outline.lines), len(outline.boundaries)))
        outline.lines.append((notch.curves[0], len(outline.curves), None))
        for side in sides:
            outline.begin(_Named(dart.name, dart.kind, side))
        return
    inwards, outwards = notch.curves[::-1] if top else notch.curves
    outline.begin(_Named(dart.name, dart.kind, sides[0]))
    outline.run(inwards)
    outline.begin(_Named(dart.name, dart.kind, sides[1]))
    outline.run(lambda u: outwards(1.0 - u))


def _chart(quad: Quad, region: RegionMesh, plan: Plan, outline: _Outline) -> Floats:
    """Chart points (N,2) of the region's points: by their curves, else by the plan."""
    chart = np.empty((len(region.points), 2))
    inner = np.ones(len(chart), dtype=bool)
    curves = [*outline.curves, *(curve for curve, _, _ in outline.lines)]
    for curve, found in zip(curves, (*region.sides, *region.lines), strict=True):
        chart[found.vertices] = curve(found.parameters)
        inner[found.vertices] = False
    chart[inner] = quad.chart(*plan.inverse(region.points[inner]))
    return chart


def _panel(quad: Quad, region: RegionMesh, chart: Floats, outline: _Outline, name: str) -> Panel:
    chains: list[Ints] = [np.zeros(0, dtype=np.int64)] * len(outline.boundaries)
    for owner, side in zip(outline.owners, region.sides, strict=True):
        chains[owner] = np.concatenate([chains[owner][:-1], side.vertices])
    faces = region.faces
    for number, boundary in outline.slits:
        slit = region.lines[number].vertices
        faces, copies = opened(faces, slit, len(chart))
        chart = np.vstack([chart, chart[slit[:-1]]])
        chains[boundary], chains[boundary + 1] = slit, copies[::-1]
        chains[boundary + 2] = np.append(copies[0], chains[boundary + 2][1:])
    boundaries = tuple(
        Boundary(
            named.name,
            named.kind,
            named.side,
            chain,
            chain[:0] if named.line is None else region.lines[named.line].vertices,
            named.layer,
        )
        for named, chain in zip(outline.boundaries, chains, strict=True)
    )
    return Panel(name, Mesh(quad.points(chart), faces), chart[:, 0], chart[:, 1], boundaries, quad.rises)
