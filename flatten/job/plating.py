"""A design's plates: where each lies on the flat leather, its panel laid flat, its rivets through both layers."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from flatten.findings import message
from flatten.job.bearings import aside, bearing_of
from flatten.job.design import Design
from flatten.job.fastenings import LACING_PITCH
from flatten.job.plates import Bearings, PlateSettings
from flatten.limb.kind import QUARTERS
from flatten.limb.surface.model import LimbSurface
from flatten.mesh.places import ROUNDING, Places, located, pierced
from flatten.mesh.surface import Floats
from flatten.pattern.added import Added, AddedHole, AddedLine
from flatten.pattern.around import LOOKS, MEASURED_FROM, rivets_round
from flatten.pattern.fastening import USUAL, DartClosing, Riveting, edge_distance
from flatten.pattern.ground import Ground, within
from flatten.pattern.holes import reach_inside
from flatten.pattern.model import Attachment, PatternError
from flatten.pattern.ring import Ring
from flatten.unwrap.model import FlatPanel
from flatten.worn.curves import DART_KINDS
from flatten.worn.darts import ChartCurve
from flatten.worn.panel import Boundary, Panel
from flatten.worn.plates import Plate, PlateError, fitted_sides, region_sides, smooth_sides, straight_sides
from flatten.worn.rise import raised_normals, raised_points

STRETCH_STEP = 6.0
"""mm between the points through which an offset edge is drawn: two edges of the finest mesh, whose ripples it evens."""

LEAST_STRETCH = 12.0
"""mm. Two corners of an offset edge nearer than this are one: a stretch between them holds no curve."""

_BENEATH = 64
"""Places of a plate's side that are carried to what lies beneath it: some 2 mm apart on a plate as long as a hand."""

BESIDE = 0.1
"""Sine of the least angle between a plate's middle and a quarter that one of its sides is named by: about 6°."""


def grounds_of(design: Design, flats: Sequence[FlatPanel]) -> tuple[Ground, ...]:
    """The base's flat panels as what plates lie on.

    Raises PatternError where the holes of a seam or dart cannot be.
    """
    return tuple(
        Ground(
            flat,
            design.wear.thickness,
            number,
            tuple(_kept(boundary, design) for boundary in flat.panel.boundaries),
            "base",
        )
        for number, flat in enumerate(flats)
    )


def _kept(boundary: Boundary, design: Design) -> float:
    """How far from a boundary its own holes reach, or leather that lies over it, mm."""
    if boundary.kind == "edge":
        return 0.0
    wish = design.fastenings.get(boundary.name, USUAL.get(boundary.kind))
    closing = wish.fastening if isinstance(wish, DartClosing) else wish
    overlap = next((seam.overlap for seam in design.cuts.seams if seam.name == boundary.name), 0.0)
    if not overlap:
        return reach_inside(closing, design.wear.thickness)
    if boundary.layer == "lower":
        return overlap
    return 0.5 * (overlap + getattr(closing, "diameter", 0.0))


def choices(settings: PlateSettings, grounds: Sequence[Ground]) -> tuple[Ground, ...]:
    """What a plate may lie on: any panel of the base, or what it names.

    Raises PlateError where there is no such panel, and no such plate before it.
    """
    wanted = [one for one in grounds if (one.part if settings.on == "base" else one.panel.name) == settings.on]
    if not wanted:
        known = ", ".join(f"'{name}'" for name in ("base", *(ground.panel.name for ground in grounds)))
        raise PlateError(
            f"plate '{settings.name}' is to lie on '{settings.on}', and there is no such panel and no plate of that "
            f"name before it in the job; write one of {known}"
        )
    return tuple(wanted)


def placed(settings: PlateSettings, grounds: Sequence[Ground], *, thickness: float) -> tuple[Plate, Ground]:
    """A plate as a curve in the chart, and which of `grounds` it lies on.

    Raises PlateError where it lies on none, reaches over an edge, a seam or a dart, or comes nearer than its inset to
    one, or to the rims of its holes.
    """
    if settings.curve or (settings.around is not None and settings.heights is not None):
        found = [(Plate(settings.name, thickness, _sides(settings, ground)), ground) for ground in grounds]
    else:
        ground = _meant(settings, grounds)
        found = [(Plate(settings.name, thickness, _offset_sides(settings, ground)), ground)]
    nearest = [ground.nearest(plate.chart, settings.inset) for plate, ground in found]
    best = max(range(len(found)), key=lambda k: nearest[k].spare)
    (plate, ground), near = found[best], nearest[best]
    if near.spare < -MEASURED_FROM:
        least = ground.keep[near.boundary] + settings.inset
        edge = ground.panel.boundaries[near.boundary]
        seam = "" if edge.kind == "edge" else f"{edge.kind} " if edge.kind in DART_KINDS else "seam "
        how = f"reaches {-near.away:.1f} mm over" if near.away < 0.0 else f"comes to {near.away:.1f} mm from"
        raise PlateError(
            f"plate '{plate.name}' {how} the {seam}'{edge.name}' "
            f"of '{ground.panel.name}' at {np.degrees(near.bearing):.0f}°, height {near.height:.0f} mm; it must lie at "
            f"least {least:.1f} mm inside: move its outline there, or give it a smaller inset"
        )
    return plate, ground


def _meant(settings: PlateSettings, grounds: Sequence[Ground]) -> Ground:
    """The panel whose own edges a plate goes by."""
    if len(grounds) == 1:
        return grounds[0]
    if settings.around is not None:
        middle = 0.5 * sum(_bearings(settings.around))
        for ground in grounds:
            if ground.panel.bearings.min() < middle + ground.turned(middle) < ground.panel.bearings.max():
                return ground
    names = ", ".join(f"'{ground.panel.name}'" for ground in grounds)
    raise PlateError(
        f"plate '{settings.name}' goes by the edges of the panel that it lies on, and there are several; write on = "
        f"one of {names}, or around which bearings it lies"
    )


def _bearings(around: Bearings) -> tuple[float, float]:
    """The two bearings (rad) that a plate lies between, the second above the first by less than a turn."""
    start, end = (float(np.radians(bearing_of(bearing))) for bearing in around)
    return start, start + float(np.mod(end - start, 2 * np.pi))


def _sides(settings: PlateSettings, ground: Ground) -> tuple[ChartCurve, ...]:
    """The sides of a plate that is told by a curve or a whole region, in the bearings of what it lies on."""
    if settings.around is not None and settings.heights is not None:
        low, high = _bearings(settings.around)
        turn = ground.turned(0.5 * (low + high))
        return region_sides((low + turn, high + turn), settings.heights)
    degrees, heights = np.array(settings.curve).T
    bearings = np.unwrap(np.radians(degrees))
    points = np.column_stack([heights, bearings + ground.turned(float(bearings.mean()))])
    if settings.corners == "sharp":
        return straight_sides(points)
    return smooth_sides(points, radius=ground.radius)


def _offset_sides(settings: PlateSettings, ground: Ground) -> tuple[ChartCurve, ...]:
    """The sides of a plate that keeps its inset from the panel's own edges, within the bearings or heights given."""
    region = ground.free(settings.inset)
    x0, y0, x1, y1 = (-np.inf, -np.inf, np.inf, np.inf) if region.is_empty else region.bounds
    if settings.around is not None:
        low, high = _bearings(settings.around)
        turn = ground.turned(0.5 * (low + high))
        x0, x1 = ((bearing + turn) * ground.radius for bearing in (low, high))
    if settings.heights is not None:
        y0, y1 = settings.heights
    region = region if region.is_empty else within(region, (x0, y0, x1, y1))
    if region.is_empty:
        raise PlateError(
            f"nothing of '{ground.panel.name}' is left for plate '{settings.name}', {settings.inset:g} mm inside its "
            "edges and its seams' holes; give it a smaller inset, or other bearings and heights"
        )
    ring = Ring.through(shapely.get_coordinates(shapely.orient_polygons(region).exterior))
    ends = ring.corners(LEAST_STRETCH)
    ends = ends if len(ends) > 1 else np.array([ring.highest()])
    stretches = []
    for start, stop in zip(ends, np.roll(ends, -1), strict=True):
        size = float(np.mod(stop - start, ring.length)) or ring.length
        steps = np.linspace(start, start + size, max(int(size / STRETCH_STEP), 2) + 1)
        stretches.append(ground.unplane(ring.at(steps)))
    return fitted_sides(stretches, radius=ground.radius)


def looks_of(settings: PlateSettings, plate: Plate) -> frozenset[str]:
    """The ways that the sides look which get rivets.

    Raises PlateError where a quarter is named that the plate's middle lies on, or right across from.
    """
    if isinstance(settings.rivets, str):
        return frozenset(LOOKS)
    middle = 0.5 * float(plate.chart[:, 1].min() + plate.chart[:, 1].max())
    looks = set()
    for side in settings.rivets:
        towards = next((aside(quarter, middle) for quarter in QUARTERS if quarter == side), None)
        if towards is not None and abs(towards) < BESIDE:
            raise PlateError(
                f"plate '{plate.name}' has its middle at the {side} or right across from it, so none of its sides is "
                f"the {side}; name the quarters beside it, or 'top' and 'bottom'"
            )
        looks.add(side if towards is None else "high" if towards > 0.0 else "low")
    return frozenset(looks)


@dataclass(frozen=True, eq=False)
class Riveted:
    """A flat plate's rivets: what they add to it and to what it lies on, how it is held, and how far (mm) from its edge
    the rims of its holes reach."""

    own: Added
    under: Added
    held: Attachment
    keep: float


def riveted(flat: FlatPanel, ground: Ground, settings: PlateSettings, *, plate: Plate, surface: LimbSurface) -> Riveted:
    """The rivets of a flat plate through what it lies on.

    They stand on the flat plate; each one's axis is the normal of the face where the layers meet, and its other hole is
    where that axis pierces the middle of what lies beneath, worn. Surfaces that are parallel have the same normals, so
    the axis passes through the plate's own hole at a right angle.

    Holes of the plate are punched flat. So that it can be hung up on the formed base, two beneath it are too: the one
    that is nearest to the plate's middle, where forming moves it least, and the one most nearly across from it, which
    fixes the plate's turn. All others are marked through the plate: leather gives unevenly, and holes further apart
    would no longer meet.

    Raises PatternError where the plate is too narrow for its rivets, PlateError where one meets no leather.
    """
    riveting = riveting_of(settings)
    away = edge_distance("rivet", riveting.diameter, plate.thickness)
    points, pitch = rivets_round(flat, away=away, pitch=riveting.pitch, sides=looks_of(settings, plate))
    faces = flat.panel.mesh.faces
    own = located(flat.uv, faces, points)
    chart = own.on(np.column_stack([flat.panel.heights, flat.panel.bearings]), faces)
    below = _beneath(ground, surface, own.on(flat.panel.mesh.vertices, faces), chart)
    if below.weights.min() < -ROUNDING:
        raise PlateError(f"a rivet of plate '{plate.name}' meets no leather of '{ground.panel.name}'")
    copies = below.on(ground.flat.uv, ground.panel.mesh.faces)
    flats = _punched(points, settings.punch)
    name = plate.name

    def holes(places: Places, later: Sequence[bool]) -> tuple[AddedHole, ...]:
        return tuple(
            AddedHole(places.part(slice(k, k + 1)), riveting.diameter, "rivet", name, after)
            for k, after in enumerate(later)
        )

    edge = AddedLine(
        _edges_beneath(ground, surface, plate, flat.panel), "overlap", message("piece.plate edge", plate=name)
    )
    return Riveted(
        Added(holes(own, [False] * len(points))),
        Added(holes(below, [k not in flats for k in range(len(points))]), (edge,)),
        Attachment(
            name,
            "plate",
            ground.part if ground.part == "base" else ground.panel.name,
            len(points),
            riveting.diameter,
            pitch,
            plate.thickness + ground.thickness,
            plate.thickness,
            len(flats),
            missed_if_copied(points, copies),
        ),
        away + MEASURED_FROM + 0.5 * riveting.diameter,
    )


def _beneath(ground: Ground, surface: LimbSurface, points: Floats, chart: Floats) -> Places:
    """Where on the ground's mesh the normals through worn points (n,3) over chart points (n,2) pierce it."""
    normals = raised_normals(surface, chart[:, 0], chart[:, 1], rises=ground.panel.rises)
    return pierced(ground.panel.mesh.vertices, ground.panel.mesh.faces, points, normals)


def _edges_beneath(ground: Ground, surface: LimbSurface, plate: Plate, panel: Panel) -> tuple[Places, ...]:
    """Places on the ground's mesh beneath each of a plate's sides."""
    found = []
    for side in plate.sides:
        chart = side(np.linspace(0.0, 1.0, _BENEATH))
        points = raised_points(surface, chart[:, 0], chart[:, 1], rises=panel.rises, beyond=panel.beyond)
        found.append(_beneath(ground, surface, points, chart))
    return tuple(found)


def _punched(points: Floats, which: str) -> frozenset[int]:
    """Which of the holes beneath a plate's rivets (n,2) are punched flat."""
    if which != "two":
        return frozenset(range(len(points)) if which == "all" else ())
    middle = points.mean(axis=0)
    first = int(np.hypot(*(points - middle).T).argmin())
    across = 2.0 * middle - points[first]
    apart = np.hypot(*(points - across).T)
    apart[first] = np.inf
    return frozenset((first, int(apart.argmin())))


def missed_if_copied(points: Floats, copies: Floats) -> float:
    """The greatest distance (mm) between points (n,2) and others (n,2) when they are turned and moved onto them as well
    as can be.

    The turn of least squares (Kabsch, Acta Cryst. A32, 922, 1976; in the plane an angle).
    """
    one, other = points - points.mean(axis=0), copies - copies.mean(axis=0)
    turn = np.arctan2(np.sum(one[:, 0] * other[:, 1] - one[:, 1] * other[:, 0]), np.sum(one * other))
    cos, sin = np.cos(turn), np.sin(turn)
    return float(np.hypot(*(one @ np.array([[cos, sin], [-sin, cos]]) - other).T).max())


def check_apart(plates: Mapping[str, Floats], name: str, chart: Floats, ground: Ground) -> None:
    """Raises PlateError where a plate (chart points (n,2) of its edge) lies over another of `plates` on one ground."""
    own = shapely.Polygon(ground.plane(chart))
    for other, there in plates.items():
        common = shapely.intersection(own, shapely.Polygon(ground.plane(there)))
        if common.area > 0.0:
            x0, y0, x1, y1 = common.bounds
            raise PlateError(
                f"the plates '{other}' and '{name}' lie over one another by {min(x1 - x0, y1 - y0):.0f} mm; move one, "
                f"or let it lie on the other: on = '{other}'"
            )


def riveting_of(settings: PlateSettings) -> Riveting:
    """How a plate is held. Raises PatternError where its holes have no size or their pitch is none."""
    try:
        return Riveting(settings.rivet, LACING_PITCH if settings.pitch is None else settings.pitch)
    except PatternError as error:
        raise PatternError(f"plate '{settings.name}': {error}") from error
