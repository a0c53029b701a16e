"""What carving an ornament takes: lengths and hours, and where the tool does not pass between its lines."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components
from scipy.spatial import KDTree

from flatten.mesh.surface import Floats
from flatten.ornament.bands import SLIVER
from flatten.ornament.model import Carving, OrnamentError, Region, Weave

FACING = np.radians(20.0)
"""rad. Edges that face each other within this run side by side; where they open wider, they form a corner."""


@dataclass(frozen=True)
class Narrow:
    """A place (x, y) mm between carved lines `gap` mm apart, where the tool does not pass."""

    x: float
    y: float
    gap: float


@dataclass(frozen=True)
class Tooling:
    """What carving takes: strands `closed` and `open`, `crossings` in the field, the lengths to carve and to bevel, mm,
    `hours`, and the places where lines are too `near` to each other for the tool."""

    closed: int
    open: int
    crossings: int
    carved: float
    bevelled: float
    hours: float
    near: tuple[Narrow, ...]


def tooling_of(weave: Weave, carving: Carving, *, tool: float, pace: float) -> Tooling:
    """What carving a weave takes with a tool that is `tool` mm wide, at `pace` mm an hour.

    The pace is that of lines carved and bevelled: each carved line counts once. Raises OrnamentError where tool or pace
    is not above 0.
    """
    if not (tool > 0.0 and pace > 0.0 and np.isfinite([tool, pace]).all()):
        raise OrnamentError(f"the tool is {tool:g} mm wide and the pace {pace:g} mm an hour; give both above 0")
    lines = [
        line.points if not line.closed else np.concatenate([line.points, line.points[:1]]) for line in carving.lines
    ]
    carved = float(sum(np.hypot(*np.diff(line, axis=0).T).sum() for line in lines))
    bevelled = float(sum(np.hypot(*np.diff(bevel.points, axis=0).T).sum() for bevel in carving.bevels))
    closed = sum(strand.closed for strand in weave.strands)
    return Tooling(
        closed=closed,
        open=len(weave.strands) - closed,
        crossings=sum(
            bool(shapely.contains_xy(carving.bands[each.over.strand].shape, each.x, each.y)) for each in weave.crossings
        ),
        carved=carved,
        bevelled=bevelled,
        hours=carved / pace,
        near=narrow_places(carving, tool=tool),
    )


def narrow_places(carving: Carving, *, tool: float) -> tuple[Narrow, ...]:
    """Where between bands the background is too narrow for a tool `tool` mm wide, the narrowest first.

    Spots that it does not fit into at all, and places where edges face each other nearer than that. Corners wider than
    FACING, which every tool leaves to the knife, are none; nor is the field's rim, which is no carved line.
    """
    # The ground that is pressed down goes on beyond the rim.
    field = _whole(carving)
    outside = shapely.difference(shapely.buffer(field, 2.0 * tool, join_style="mitre"), field)
    cells = shapely.get_parts(shapely.union_all([carving.background.shape, outside]))
    spots = cells[shapely.is_empty(shapely.buffer(cells, -0.5 * tool)) & (shapely.area(cells) > 0.0)]
    circles = shapely.maximum_inscribed_circle(spots)
    middles = shapely.get_coordinates(shapely.get_point(circles, 0))
    found = [
        Narrow(x, y, 2.0 * radius)
        for (x, y), radius in zip(middles.tolist(), shapely.length(circles).tolist(), strict=True)
    ]
    places, gaps = _facing(carving, tool)
    elsewhere = ~shapely.intersects(shapely.union_all(spots), shapely.points(places))
    return tuple(sorted([*found, *_least(places[elsewhere], gaps[elsewhere], tool)], key=lambda each: each.gap))


def _whole(carving: Carving) -> shapely.Geometry:
    """The field that a carving fills, without the slivers that rounding leaves between its parts."""
    parts = [carving.background, carving.distances, *carving.bands]
    rims = Region.of(shapely.union_all([part.shape for part in parts])).rims
    return Region(tuple(rim for rim in rims if shapely.area(shapely.Polygon(rim)) > SLIVER)).shape


def _facing(carving: Carving, tool: float) -> tuple[Floats, Floats]:
    """Places (m,2) midway between edges that face each other, and how far these are apart there, mm, less than the
    tool's width."""
    start, end, outward = [], [], []
    for bevel in carving.bevels:
        points = shapely.get_coordinates(shapely.segmentize(shapely.LineString(bevel.points), 0.5 * tool))
        way = np.diff(points, axis=0) / np.hypot(*np.diff(points, axis=0).T)[:, None]
        start.append(points[:-1])
        end.append(points[1:])
        outward.append(np.stack([-way[:, 1], way[:, 0]], axis=1) * (1.0 if bevel.side == "left" else -1.0))
    if not start:
        return np.zeros((0, 2)), np.zeros(0)
    a, b, n = np.concatenate(start), np.concatenate(end), np.concatenate(outward)
    middle = 0.5 * (a + b)
    low, high = np.minimum(a, b), np.maximum(a, b)
    tree = shapely.STRtree(np.asarray(shapely.box(*low.T, *high.T), dtype=object))
    far = middle + tool * n
    low, high = np.minimum(middle, far), np.maximum(middle, far)
    i, j = tree.query(np.asarray(shapely.box(*low.T, *high.T), dtype=object))
    facing = -(n[i] * n[j]).sum(axis=1) >= np.cos(FACING)
    i, j = i[facing], j[facing]
    # The ray from a middle along its normal meets the line of the other edge: its part along that line is in the edge.
    step, apart = b[j] - a[j], a[j] - middle[i]
    across = n[i][:, 0] * step[:, 1] - n[i][:, 1] * step[:, 0]
    gap = (apart[:, 0] * step[:, 1] - apart[:, 1] * step[:, 0]) / across
    share = (apart[:, 0] * n[i][:, 1] - apart[:, 1] * n[i][:, 0]) / across
    met = (gap > 0.0) & (gap < tool) & (share >= 0.0) & (share <= 1.0)
    return middle[i[met]] + 0.5 * gap[met, None] * n[i[met]], gap[met]


def _least(places: Floats, gaps: Floats, tool: float) -> list[Narrow]:
    """The narrowest of places that hang together, for each run of them."""
    if not len(places):
        return []
    i, j = KDTree(places).query_pairs(tool, output_type="ndarray").T
    links = coo_array((np.ones(len(i)), (i, j)), shape=(len(places), len(places)))
    _, label = connected_components(links, directed=False)
    order = np.lexsort((gaps, label))
    first = order[np.diff(label[order], prepend=-1) > 0]
    return [Narrow(float(places[at, 0]), float(places[at, 1]), float(gaps[at])) for at in first.tolist()]
