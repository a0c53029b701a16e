"""A design's rows of lames: where each lies, its lames' panels, pivots and slots through both layers."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from flatten.findings import message
from flatten.job.design import Design
from flatten.job.lames import LamesSettings
from flatten.limb.surface.model import LimbSurface
from flatten.mesh.places import ROUNDING, Places, pierced
from flatten.mesh.surface import Floats
from flatten.pattern.added import NOTHING, Added, AddedHole, AddedLine
from flatten.pattern.fastening import edge_distance
from flatten.pattern.ground import Ground
from flatten.pattern.model import Join
from flatten.report.model import MovedRow, PanelReport
from flatten.worn.curves import Edge
from flatten.worn.darts import ChartCurve
from flatten.worn.lames import Hinge, LameError, Pair, Row, check_reach, lame_sides, out_of_step, pair_of
from flatten.worn.motion import Motion, motions_of
from flatten.worn.panel import Panel
from flatten.worn.part import Part
from flatten.worn.plates import Plate, plate_panel
from flatten.worn.rise import raised_normals, raised_points

BEYOND_EDGE = 0.3
"""mm by which holes stand further in than they must: cut lines are smoothed, and slots are straight where ways bend."""

FLAT_SHORTER = 0.1
"""Share by which they stand further in, worn: cased leather is laid flat up to 5 % shorter than it is worn, more where
it cannot be, and slots run aslant beside an edge that does. On three scanned legs, with one lame and
two, 10 % were lost at most."""

HEAD = 5.0
"""mm. Half the width of a rivet's head or washer, on which another lame's edge comes to lie. From memory."""

_REFINEMENTS = 6
_BENEATH = 65


@dataclass(frozen=True, eq=False)
class LamesLaid:
    """Rows of lames laid flat: their panels, what each adds to itself (in their order) and to the base's panels (by
    number), how the rows move, and what is bought for them."""

    parts: tuple[PanelReport, ...]
    added: tuple[Added, ...]
    on_base: dict[int, Added]
    rows: tuple[MovedRow, ...]
    joins: tuple[Join, ...]


def lames_laid(
    design: Design,
    grounds: Sequence[Ground],
    surface: LimbSurface,
    *,
    edge_length: float,
    lay: Callable[[Part], PanelReport],
) -> LamesLaid:
    """A design's rows of lames over its base `grounds` on its neutral `surface`, each laid flat by `lay`.

    Raises LameError where a row cannot be, opens or gathers more than it can, or where a rivet meets no leather.
    """
    parts: list[PanelReport] = []
    added: list[Added] = []
    on_base: dict[int, Added] = {}
    rows, joins = [], []
    for settings in design.lames:
        row = row_of(settings, design, surface)
        levels = _levels(row, design)
        pairs = tuple(pair_of(surface, row, number, face=face) for number, (face, _) in enumerate(levels, 1))
        _check_moves(row, pairs)
        ground = _beneath(row, grounds, surface)
        turn = ground.turned(row.middle)
        lower: list[tuple[int | None, Panel]] = [(one.number, one.panel) for one in grounds]
        for number, (pair, (face, beyond)) in enumerate(zip(pairs, levels, strict=True), 1):
            name = row.name if row.count == 1 else f"{row.name} {number} of {row.count}"
            pivots = np.array([own.pivots for own in pairs[number - 1 : number + 1]])
            sides = tuple(_turned(side, turn) for side in lame_sides(surface, row, number, pivots))
            panel = plate_panel(
                surface,
                Plate(name, row.thickness, sides),
                on=replace(ground.panel, rises=()),
                beyond=beyond,
                edge_length=edge_length,
            )
            own, beneath = _holes(row, pair, panel, lower, surface, face=face, name=name, turn=turn)
            for base, more in beneath.items():
                if base is None:
                    added[-1] += more
                else:
                    on_base[base] = on_base.get(base, NOTHING) + more
            parts.append(lay(Part("lame", panel, row.thickness)))
            added.append(own)
            lower = [(None, panel)]
            under = design.wear.thickness if number == 1 else row.thickness
            count = len(pair.pivots) + len(pair.slots)
            joins.append(_rivets(name, row, count, stack=under + row.thickness))
        tip = surface.points(*row_tip(row))[0, [0, 2]]
        rows.append(MovedRow(row, pairs, out_of_step(row, pairs, tip)))
    return LamesLaid(tuple(parts), tuple(added), on_base, tuple(rows), tuple(joins))


def row_tip(row: Row) -> tuple[Floats, Floats]:
    """Height and bearing (1,) of the middle of the last lame's far edge."""
    middle = np.array([row.middle])
    return row.heights(row.near(row.count) + row.width, middle), middle


def row_of(settings: LamesSettings, design: Design, surface: LimbSurface) -> Row:
    """A row of lames as a job asks for it on a design's neutral surface; its overlap what the bend needs, where none is
    given.

    Raises LameError where it lies beside a flared edge, goes beyond trusted heights, or goes by a joint that the scan
    does not show.
    """
    thickness = design.wear.thickness if settings.thickness is None else settings.thickness
    bottom, top = design.cuts.edges
    edge = bottom if settings.where == "below" else top
    if settings.where != "on" and any(lip.edge is edge for lip in design.cuts.lips):
        raise LameError(
            f"the {edge.name} is flared, and the lames '{settings.name}' cannot slide on a lip; leave its flare out"
        )
    least = edge_distance("pivot", settings.rivet, max(thickness, design.wear.thickness))
    away = (least + BEYOND_EDGE) * (1.0 + FLAT_SHORTER)
    given = settings.overlap
    overlap = 2.0 * away + settings.play if given is None else given
    row = Row(
        settings.name,
        settings.count,
        settings.width,
        overlap,
        thickness,
        edge,
        settings.where != "below",
        settings.side == "front",
        _hinge(settings, design, surface),
        settings.rivet,
        away,
        settings.play,
        settings.ends,
    )
    row = _started(row, settings)
    face = (1.0 - design.wear.neutral) * design.wear.thickness + (row.count - 1) * thickness
    if given is None:
        # A wider overlap moves the pivots, and with them the way, by ever less.
        for _ in range(_REFINEMENTS):
            check_reach(surface, row)
            room = [np.subtract(*pair_of(surface, row, k + 1, face=face).tightest) for k in range(row.count)]
            row = _started(replace(row, overlap=row.overlap + settings.play - float(min(room))), settings)
    check_reach(surface, row)
    return row


def _started(row: Row, settings: LamesSettings) -> Row:
    """The row with its edge at its start, where it lies on the base: its first lame overlaps the base by as much."""
    if settings.start is None:
        return row
    return replace(row, edge=Edge("start", np.zeros(1), np.array([settings.start + row.overlap])))


def _hinge(settings: LamesSettings, design: Design, surface: LimbSurface) -> Hinge:
    """The hinge as the job gives it, or the joint beside the row's edge."""
    edge = "bottom" if settings.where == "below" else "top"
    motions = [one for one in motions_of(design.limb, top=design.skin.trusted[1]) if one.edge == edge]
    # A row opens where the joint bends away from it.
    away = np.pi if settings.side == "front" else 0.0
    motions.sort(key=lambda one: abs(np.cos(one.bearing) - np.cos(away)))
    forward = _forward(settings, motions)
    height = settings.hinge
    if height is None:
        if not motions:
            raise LameError(
                f"the scan does not show the joint that the lames '{settings.name}' bend with; give the height of its "
                'hinge, hinge = "360 mm", or scan more of the limb'
            )
        height = motions[0].joint
    centre = surface.centre_line(np.clip(height, *surface.trusted))
    return Hinge(height, float(np.ravel(centre)[0]) + settings.ahead, float(np.radians(settings.bend)), forward)


def _forward(settings: LamesSettings, motions: Sequence[Motion]) -> bool:
    if settings.towards != "auto":
        return settings.towards == "front"
    return bool(np.cos(motions[0].bearing) > 0.0) if motions else settings.side == "back"


def _levels(row: Row, design: Design) -> list[tuple[float, float]]:
    """How far (mm) above the base's neutral surface each lame meets the layer beneath, and its own neutral one lies."""
    share, face = design.wear.neutral, (1.0 - design.wear.neutral) * design.wear.thickness
    return [(face + k * row.thickness, face + (k + share) * row.thickness) for k in range(row.count)]


def _check_moves(row: Row, pairs: Sequence[Pair]) -> None:
    """Raises LameError where a row opens when bent, or a lame slides onto the rivets of the next."""
    step = np.degrees(row.step)
    for pair in pairs:
        overlap, needed = pair.tightest
        slid = row.width - 0.5 * needed - HEAD
        most = max(pair.most, row.overlap)
        what = f"lame {pair.number} of '{row.name}'"
        if overlap < needed:
            raise LameError(
                f"{what} overlaps by only {overlap:.1f} mm when it is bent by {step:.0f}°, and its rivets need "
                f"{needed:.1f} mm; overlap by {row.overlap + needed - overlap:.0f} mm or more, let more lames share "
                "the bend, or bend less"
            )
        if pair.number > 1 and most > slid:
            raise LameError(
                f"{what} slides over its neighbour until they overlap by {most:.1f} mm, and the rivets there stop it "
                f"at {slid:.1f} mm; make the lames {most - slid:.1f} mm wider or more, let more of them share the "
                "bend, or bend less"
            )


def _beneath(row: Row, grounds: Sequence[Ground], surface: LimbSurface) -> Ground:
    """The panel of the base that the middle of the first lame lies on."""
    at = np.array([row.middle])
    height = row.heights(row.near(1) + 0.5 * row.overlap, at)
    for ground in grounds:
        chart = np.column_stack([height, at + ground.turned(row.middle)])
        if ground.places(chart).weights.min() >= -ROUNDING:
            return ground
    raise LameError(
        f"the middle of the lames '{row.name}' meets no leather of the base at height {height[0]:.0f} mm: a seam or "
        "dart is there; move it, or lay the lames over the other side"
    )


def _turned(side: ChartCurve, turn: float) -> ChartCurve:
    return lambda u: side(u) + np.array([0.0, turn])


def _holes(
    row: Row,
    pair: Pair,
    upper: Panel,
    lower: Sequence[tuple[int | None, Panel]],
    surface: LimbSurface,
    *,
    face: float,
    name: str,
    turn: float,
) -> tuple[Added, dict[int | None, Added]]:
    """The holes of a lame for its pivots and sliding rivets, and those beneath it by what they lie on.

    A rivet's axis is the surface's normal where the layers meet; both holes lie where it pierces the layers' middles.
    """

    def at(panel: Panel, chart: Floats) -> Places:
        bearings = chart[:, 1] + turn
        points = raised_points(surface, chart[:, 0], bearings, rises=(), beyond=face)
        normals = raised_normals(surface, chart[:, 0], bearings, rises=())
        return pierced(panel.mesh.vertices, panel.mesh.faces, points, normals)

    def under(chart: Floats) -> tuple[int | None, Places]:
        for number, panel in lower:
            places = at(panel, chart)
            if places.weights.min() >= -ROUNDING:
                return number, places
        raise LameError(
            f"a rivet of {name} at {np.degrees(chart[0, 1]) % 360:.0f}°, height {chart[0, 0]:.0f} mm, meets no leather "
            "beneath it; move the seam or dart there, or the hinge ahead or back, or let the lames overlap more"
        )

    own: list[AddedHole] = []
    beneath: dict[int | None, Added] = {}
    wanted = [(chart[None], chart[None], "pivot") for chart in pair.pivots]
    wanted += [(slot.rivet[None], slot.ends, "sliding rivet") for slot in pair.slots]
    for above, below, kind in wanted:
        own.append(AddedHole(at(upper, above), row.rivet, kind, name))
        number, places = under(below)
        hole = AddedHole(places, row.rivet, kind, name, after=True)
        beneath[number] = beneath.get(number, NOTHING) + Added((hole,))
    bearings = np.linspace(pair.pivots[1, 1], pair.pivots[0, 1], _BENEATH)
    edge = np.column_stack([row.heights(row.near(pair.number), bearings), bearings])
    number, places = under(edge[_BENEATH // 2 : _BENEATH // 2 + 1])
    places = at(dict(lower)[number], edge)
    there = np.flatnonzero(places.weights.min(axis=1) >= -ROUNDING)
    shown = Places(places.faces[there], places.weights[there])
    line = AddedLine((shown,), "overlap", message("piece.plate edge", plate=name))
    beneath[number] = beneath.get(number, NOTHING) + Added((), (line,))
    return Added(tuple(own)), beneath


def _rivets(name: str, row: Row, count: int, *, stack: float) -> Join:
    return Join(name, "riveted", count, row.rivet, 0.0, (0.0, 0.0), 0.0, stack, row.thickness, 0.0, what="lame")
