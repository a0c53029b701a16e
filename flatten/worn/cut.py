"""Panels: the neutral surface cut along edges and lacing gaps, each meshed to its own curves."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from scipy.interpolate import CubicSpline

from flatten.limb.surface import LimbSurface
from flatten.mesh.region import Curve, mesh_region
from flatten.mesh.surface import Floats, Mesh
from flatten.worn.curves import Edge, Seam
from flatten.worn.gap import cut_lines
from flatten.worn.panel import Border, CutError, Panel
from flatten.worn.plan import Plan, Quad, plan_of

LEAST_LENGTH = 40.0
"""mm. A panel shorter than this from edge to edge holds no two eyelets: surely a slip of the edges."""

LEAST_WIDTH = 30.0
"""mm. A panel narrower than this has no room for eyelets along both its sides."""


_SQUARE = (((0.0, 0.0), (1.0, 0.0)), ((1.0, 0.0), (1.0, 1.0)), ((1.0, 1.0), (0.0, 1.0)), ((0.0, 1.0), (0.0, 0.0)))
"""The quad's sides, counter-clockwise: bottom edge, high cut line, top edge, low cut line."""


def cut_panels(
    surface: LimbSurface, *, bottom: Edge, top: Edge, seams: Sequence[Seam], edge_length: float
) -> tuple[Panel, ...]:
    """The panels between neighbouring seams, by rising bearing; one seam gives one panel round the limb.

    Each is meshed with edges of about `edge_length` mm; its border vertices lie exactly on the curves. A single
    panel is called "whole", one of several by the quarter of the limb that it looks to.

    Raises CutError where an edge leaves the trusted heights, edges come too near one another, a seam ends
    inside an edge, or two seams' gaps meet.
    """
    if not seams:
        raise CutError("there is no seam; a closed tube cannot be laid flat: give at least one [[seam]]")
    _check_edges(surface, bottom, top)
    middle = float(np.mean(surface.trusted))
    seams = sorted(seams, key=lambda seam: float(np.mod(seam.bearing(middle), 2 * np.pi)))
    for seam in seams:
        _check_reach(surface, seam, bottom, top)
    lines = [cut_lines(surface, seam, heights=surface.trusted) for seam in seams]
    panels = []
    for i, seam in enumerate(seams):
        following = (i + 1) % len(seams)
        apart = float(seams[following].bearing(middle)) - float(seam.bearing(middle))
        low, high = _side_by_side(lines[i][1], lines[following][0], apart)
        quad = Quad(surface, bottom, top, low, high)
        _check_width(quad, seam, seams[following])
        panels.append(_meshed(quad, seam, seams[following], edge_length, _panel_name(quad, len(seams))))
    return tuple(panels)


def _side_by_side(low: Floats, high: Floats, apart: float) -> tuple[CubicSpline, CubicSpline]:
    """Bearing by height of a panel's two cut lines, whole turns added: the high line's seam follows the low
    line's, `apart` rad from it, within one turn; the panel's middle lies within half a turn of the front."""
    turn = 2 * np.pi
    onwards = turn * (np.ceil(apart / turn) - 1.0)
    middle = 0.5 * float(low[:, 1].mean() + high[:, 1].mean() - onwards)
    back = turn * np.round(middle / turn)
    return (
        CubicSpline(low[:, 0], low[:, 1] - back),
        CubicSpline(high[:, 0], high[:, 1] - onwards - back),
    )


def _panel_name(quad: Quad, count: int) -> str:
    """ "whole" for a single panel, else the quarter of the limb that its middle looks to."""
    if count == 1:
        return "whole"
    height = float(np.mean(quad.surface.trusted))
    middle = 0.5 * float(quad.low(height) + quad.high(height))
    return ("front", "outside", "back", "inside")[int(np.round(middle / (np.pi / 2))) % 4]


def _check_edges(surface: LimbSurface, bottom: Edge, top: Edge) -> None:
    bearing = np.linspace(-np.pi, np.pi, 361)
    low, high = surface.trusted
    for edge in (bottom, top):
        height = edge.height(bearing)
        under, over = int(np.argmin(height)), int(np.argmax(height))
        if height[under] < low:
            raise CutError(
                f"the {edge.name} runs at {height[under]:.0f} mm, but the surface can be trusted only above "
                f"{low:.0f} mm; "
                f"raise it by {low - height[under]:.0f} mm at {np.degrees(bearing[under]):.0f}° from the front"
            )
        if height[over] > high:
            raise CutError(
                f"the {edge.name} runs at {height[over]:.0f} mm, but the surface can be trusted only up to "
                f"{high:.0f} mm; "
                f"lower it by {height[over] - high:.0f} mm at {np.degrees(bearing[over]):.0f}° from the front, "
                f"or scan more of the limb"
            )
    length = top.height(bearing) - bottom.height(bearing)
    least = int(np.argmin(length))
    if length[least] < LEAST_LENGTH:
        raise CutError(
            f"the edges come within {length[least]:.0f} mm of one another at {np.degrees(bearing[least]):.0f}° from "
            f"the front; keep at least {LEAST_LENGTH:.0f} mm between the bottom edge and the top edge"
        )


def _check_reach(surface: LimbSurface, seam: Seam, bottom: Edge, top: Edge) -> None:
    low, high = seam.reach(surface.trusted)
    for edge, end, outward in ((bottom, low, -1.0), (top, high, 1.0)):
        short = outward * (float(edge.height(seam.bearing(end))) - end)
        if short > 0.0:
            raise CutError(f"seam '{seam.name}' ends {short:.1f} mm inside the {edge.name}; draw it past both edges")


def _check_width(quad: Quad, seam: Seam, following: Seam) -> None:
    height = np.linspace(*quad.surface.trusted, 200)
    width = (quad.high(height) - quad.low(height)) * quad.surface.radius(height, quad.low(height))
    least = int(np.argmin(width))
    if width[least] < LEAST_WIDTH:
        raise CutError(
            f"between seam '{seam.name}' and seam '{following.name}' only {max(width[least], 0.0):.0f} mm of leather "
            f"are left at height {height[least]:.0f} mm; keep at least {LEAST_WIDTH:.0f} mm: move them apart or make "
            f"the lacing gap narrower"
        )


def _meshed(quad: Quad, seam: Seam, following: Seam, edge_length: float, name: str) -> Panel:
    plan = plan_of(quad)
    region = mesh_region([_side(plan, *ends) for ends in _SQUARE], size=edge_length)
    chart = np.empty((len(region.points), 2))
    inner = np.ones(len(chart), dtype=bool)
    for (start, end), side in zip(_SQUARE, region.sides, strict=True):
        chart[side.vertices] = quad.chart(*_between(start, end, side.parameters))
        inner[side.vertices] = False
    chart[inner] = plan.chart_at(region.points[inner])
    kinds = (
        ("bottom edge", "edge", ""),
        (following.name, following.kind, "high"),
        ("top edge", "edge", ""),
        (seam.name, seam.kind, "low"),
    )
    borders = tuple(Border(*kind, side.vertices) for kind, side in zip(kinds, region.sides, strict=True))
    mesh = Mesh(quad.surface.points(*chart.T), region.faces)
    return Panel(name, mesh, chart[:, 0], chart[:, 1], borders)


def _between(start: tuple[float, float], end: tuple[float, float], u: Floats) -> Floats:
    """Points (2,N) of the square between two of its corners."""
    return np.outer(start, 1.0 - u) + np.outer(end, u)


def _side(plan: Plan, start: tuple[float, float], end: tuple[float, float]) -> Curve:
    def curve(u: Floats) -> Floats:
        return plan.at(*_between(start, end, u))

    return curve
