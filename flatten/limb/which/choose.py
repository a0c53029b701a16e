"""Which limb of a scan that shows several: a pair of legs, a whole body; places_of by where the surface forks."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from scipy.sparse import csr_array
from scipy.spatial import cKDTree

from flatten.findings import finding
from flatten.limb.model import SeveralLimbsError
from flatten.limb.surface.sample import even_points
from flatten.limb.which.graph import NeighbourGraph, distances, forks_of, neighbour_graph_of
from flatten.limb.which.naming import NAMED_BY, seen_limbs, thinned
from flatten.mesh.graph import components
from flatten.mesh.surface import Floats, Ints
from flatten.scan.model import Scan, some_points
from flatten.scan.parts import ASK_ONE, pick_lines
from flatten.units import unit_mm
from flatten.words.say import text

NODES, FINE_NODES = 4000, 16_000
"""Points that stand for the surface: 12 mm apart on a leg, 22 mm on a whole body; and where it forks, half of that."""

JOINING = 40.0
"""mm. What hangs down by so much beside a limb, above its joint, is the trunk or another limb: folds are shallower."""

RING = 3.0
"""Width of the rings that a limb is first followed by, over the skin from its tip, in steps of the graph: narrower ones
fall to pieces."""

FAR_END = 0.4
"""Share of a limb's length from its tip that foot or hand may take: a foot 0.3 of a leg, a hand 0.3 of an arm."""

SPREAD, SPREAD_RUN = 0.3, 60.0
"""Slope of the rings' radius, over so many mm, at which a limb spreads into the trunk: a calf's is 0.2."""

TORN = 0.1
"""Fall of that radius at which rings break up beyond the groin or armpit: below a forearm's belly it is 0.06."""

BACK_OFF = 100.0
"""mm. The rings so near to where they spread or break up are not trusted: they may hold some of the trunk."""

STRETCH = 160.0
"""mm. The rings over this length below those tell the direction of thigh or upper arm: most of an upper arm."""

OFF = 50.0
"""mm. What lies farther than this from the graph is no part of its limb: an unseen ring of so much is bridged."""

COMPARABLE = 0.5
"""Points off the graph, as a share of those on it, that are a second limb."""

ENDS = 8
"""Far points that tell the middle of the scan: a body has five."""

ROOT = 0.03
"""Share of the points, those whose farthest end is nearest, that are the middle: a ring round a limb, a crotch."""

BEYOND = 250.0
"""mm over the skin that a limb is followed past the place where it forks off, where no other limb is nearer: so the
groin and the armpit are seen with it."""

LEAST_BRANCH = 250.0
"""mm. What stands off by less is no limb: a thumb is 110 mm long, a heel 100, a hip's stump on a cut leg 200."""

FOLD = 0.6
"""Two ends whose straight distance is this share of the way over the skin are two limbs side by side: 0.1–0.4 for
standing legs and 0.55 for thighs alone, 0.7 for an arm bent square."""


@dataclass(frozen=True, eq=False)
class Branch:
    """Something long that stands off the rest: its nodes, its tip (3,) mm, its length and its mean thickness, mm."""

    nodes: Ints
    tip: Floats
    length: float
    thick: float


def one_limb(scan: Scan, *, pick: tuple[float, float, float] | None = None) -> Scan:
    """The limb that the point `pick` (mm, scan's axes) lies on; without it the whole scan, where it shows only one.

    The surface is a neighbour graph of points; where the sets beyond a distance from its middle part, it forks (the
    merge tree of a distance function; Edelsbrunner & Harer, Computational Topology, 2010, VI.4). Raises
    SeveralLimbsError where the scan shows several limbs and none is picked, with their places, or where the pick lies
    on none of them.
    """
    place = None if pick is None else np.array(pick)
    graph = neighbour_graph_of(scan, count=NODES, pick=place)
    if place is None and (second := _second(scan, graph)) is not None:
        one = graph.places[len(graph.places) // 2]
        nearer = np.linalg.norm(scan.points - one, axis=1) < np.linalg.norm(scan.points - second, axis=1)
        raise _several(
            "the scan shows two limbs apart from each other",
            [thinned(scan.points[nearer]), thinned(scan.points[~nearer])],
            [one, second],
            scan,
        )
    branches = branches_of(graph)
    if len(branches) < 2 or (len(branches) == 2 and not _folded(branches)):
        return scan if place is None else _part(scan, graph, np.arange(len(graph.places)))
    if place is None:
        raise _several_branches(f"the scan shows {len(branches)} limbs or other long parts", graph, branches, scan)
    graph = neighbour_graph_of(scan, count=FINE_NODES, pick=place)
    branches = branches_of(graph)
    near = int(cKDTree(graph.places).query(place)[1])
    for branch in branches:
        if near in branch.nodes:
            return _part(scan, graph, below_trunk(graph, branch))
    between = f"the picked point lies on none of the {len(branches)} limbs or other long parts, but between them"
    raise _several_branches(between, graph, branches, scan)


def _second(scan: Scan, graph: NeighbourGraph) -> Floats | None:
    """A point (3,) of a second limb of a cloud, which is off the graph by more than a hole that is bridged."""
    some = scan.points[:: len(scan.points) // FINE_NODES + 1]
    off = some[cKDTree(graph.places).query(some)[0] > OFF]
    return off[len(off) // 2] if len(off) > COMPARABLE * (len(some) - len(off)) else None


def _several_branches(seen: str, graph: NeighbourGraph, branches: tuple[Branch, ...], scan: Scan) -> SeveralLimbsError:
    """The error about a scan's branches, each by its tip, which picks it."""
    parts = [even_points(_part(scan, graph, branch.nodes), count=NAMED_BY) for branch in branches]
    return _several(seen, parts, [branch.tip for branch in branches], scan)


def _several(seen: str, parts: Sequence[Floats], places: Sequence[Floats], scan: Scan) -> SeveralLimbsError:
    """The error about several limbs of points `parts`, with a line for the job file that picks each by its place."""
    limbs, facing = seen_limbs(parts, places)
    lines = pick_lines([(text(limb.name), limb.place) for limb in limbs], unit=unit_mm(scan.unit) * scan.scale)
    return SeveralLimbsError(seen, way=f"{ASK_ONE}:{lines}", limbs=limbs, view=np.stack([facing.across, facing.up]))


def branches_of(graph: NeighbourGraph) -> tuple[Branch, ...]:
    """The long branches of a neighbour graph, the longest first."""
    places, edges = graph.places, graph.edges
    farthest = _far_points(edges).max(axis=0)
    root = np.argsort(farthest, kind="stable")[: max(1, round(ROOT * len(places)))]
    away = distances(edges, root)
    forks = sorted(forks_of(edges, away, least=LEAST_BRANCH), key=lambda fork: -fork[2])
    regions = _grown(edges, [nodes for nodes, _, _ in forks])
    return tuple(
        Branch(region, places[tip], length, graph.area * len(nodes) / len(places) / (np.pi * length))
        for region, (nodes, tip, length) in zip(regions, forks, strict=True)
    )


def _grown(edges: csr_array, seeds: list[Ints]) -> list[Ints]:
    """The seeds, each with what lies within BEYOND of it and nearer to it than to any other."""
    ways = [distances(edges, nodes, limit=BEYOND) for nodes in seeds]
    if not ways:
        return []
    nearest = np.argmin(ways, axis=0)
    return [np.flatnonzero((nearest == which) & np.isfinite(way)) for which, way in enumerate(ways)]


def rings_from(graph: NeighbourGraph, tip: int, *, among: Ints) -> tuple[Floats, Floats]:
    """Middles (m,3) and mean radii (m,) of the rings of places `among` that lie RING steps after RING steps from a tip.

    Of a ring in several pieces, such as a wrist's with the other fingers', the largest counts; nan for an empty one.
    """
    edges, places = graph.edges[among][:, among].tocsr(), graph.places[among]
    away = distances(edges, np.flatnonzero(among == tip))
    away[~np.isfinite(away)] = -1.0
    ring = np.floor(away / (RING * graph.step)).astype(np.int64)
    rows, columns = edges.nonzero()
    same = ring[rows] == ring[columns]
    piece = components(np.stack([rows[same], columns[same]], axis=1), len(places))
    sizes = np.bincount(piece)
    middles, radii = np.full((ring.max() + 1, 3), np.nan), np.full(ring.max() + 1, np.nan)
    for number in range(len(radii)):
        inside = np.flatnonzero(ring == number)
        if inside.size:
            main = places[piece == piece[inside[np.argmax(sizes[piece[inside]])]]]
            middles[number] = main.mean(axis=0)
            radii[number] = np.linalg.norm(main - middles[number], axis=1).mean()
    return middles, radii


def _upper_stretch(graph: NeighbourGraph, branch: Branch, tip: int) -> tuple[Floats, Floats]:
    """A place (3,) and the direction (3,) of a limb's last stretch before its rings spread or break up."""
    middles, radii = rings_from(graph, tip, among=branch.nodes)
    width = RING * graph.step
    run = max(1, round(SPREAD_RUN / width))
    first, last = int(np.ceil(FAR_END * branch.length / width)), len(radii) - 1
    rise = (radii[first + run :] - radii[first:-run]) / (run * width)
    ends = np.flatnonzero((rise > SPREAD) | (rise < -TORN))
    if ends.size:
        last = first + int(ends[0])
    last = max(1, last - round(BACK_OFF / width))
    start = max(0, last - round(STRETCH / width))
    line = middles[last] - middles[start]
    return middles[start], line / np.linalg.norm(line)


def below_trunk(graph: NeighbourGraph, branch: Branch) -> Ints:
    """The branch's places below the plane across it through the groin or the armpit.

    Going up along a limb, its surface meets what hangs down beside it first at the groin or the armpit.
    """
    tip = branch.nodes[cKDTree(graph.places[branch.nodes]).query(branch.tip)[1]]
    start, axis = _upper_stretch(graph, branch, int(tip))
    heights = (graph.places - start) @ axis
    ring = branch.nodes[np.abs(heights[branch.nodes]) < graph.step]
    own = ring[np.argmin(np.linalg.norm(graph.places[ring] - start, axis=1))]
    above = np.flatnonzero(heights > min(0.0, heights[own]) - graph.step)
    forks = forks_of(graph.edges[above][:, above].tocsr(), -heights[above], least=JOINING)
    limbs = [fork for fork in forks if own in above[fork[0]]]
    if not limbs:
        return branch.nodes
    _, top, length = limbs[0]
    below = np.flatnonzero(heights < heights[above[top]] + length - graph.step / 2)
    label = components(np.stack(graph.edges[below][:, below].nonzero(), axis=1), len(below))
    return below[label == label[np.searchsorted(below, own)]]


def _far_points(edges: csr_array) -> Floats:
    """Distances (ENDS, N) over the graph to points that lie as far from each other as can be."""
    rows = [distances(edges, np.array([np.argmax(distances(edges, np.zeros(1, np.int64)))]))]
    while len(rows) < ENDS:
        rows.append(distances(edges, np.array([np.argmax(np.min(rows, axis=0))])))
    return np.stack(rows)


def _folded(branches: tuple[Branch, ...]) -> bool:
    one, other = branches
    return bool(np.linalg.norm(one.tip - other.tip) < FOLD * (one.length + other.length))


def _part(scan: Scan, graph: NeighbourGraph, nodes: Ints) -> Scan:
    """The scan's points beside some places of the graph, and the faces between them."""
    kept = graph.holding(nodes, points=scan.points, outward=scan.normals)
    index = np.cumsum(kept) - 1
    gone = scan.points[~kept]
    left_out = finding("scan.other limbs", "note", count=len(gone), share=1.0 - float(kept.mean()))
    faces = index[scan.faces[kept[scan.faces].all(axis=1)]] if len(scan.faces) else scan.faces
    return replace(
        scan,
        points=scan.points[kept],
        normals=scan.normals[kept],
        faces=faces,
        repairs=(*scan.repairs, left_out) if len(gone) else scan.repairs,
        colours=None if scan.colours is None else scan.colours[kept],
        dropped=np.concatenate([scan.dropped, some_points(gone)]),
    )
