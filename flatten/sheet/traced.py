"""A hide as somebody traced it from a photo: which drawn line is its edge, its backbone, a flaw, its belly."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import shapely
from shapely.validation import explain_validity

from flatten.drawn.model import Drawn, DrawnError
from flatten.drawn.read import drawn_file
from flatten.mesh.surface import Floats
from flatten.sheet.ground import HideError

FINE = 0.1
"""mm. Chords of drawn curves leave them by no more: a hide's edge is known to half a millimetre at best."""

JOINED = 1.0
"""mm. Ends of drawn lines that are no further apart are one point: a hand does not trace a hide better."""

SCAR = 5.0
"""mm to each side of a flaw that is drawn as a line, such as a scar: nothing lies over them."""

SIZES = (100.0, 4000.0)
"""mm. Extents of a hide that are believed."""

BACKBONES = ("bottom edge", "top edge", "left edge", "right edge", "level", "upright")
"""Where the backbone may be, as the outline lies in its file: along an edge, or through its middle."""

_LAYERS = ("FLAW", "BELLY", "BACKBONE")

_TURNS = {"bottom edge": 0.0, "top edge": np.pi, "left edge": -0.5 * np.pi, "right edge": 0.5 * np.pi, "level": 0.0,
          "upright": -0.5 * np.pi}  # fmt: skip


@dataclass(frozen=True, eq=False)
class Traced:
    """A hide's edge (n,2), its flaws and stretchy parts, tail towards small x, backbone at y = 0, mm."""

    outline: Floats
    flaws: tuple[Floats, ...]
    soft: tuple[Floats, ...]


def traced_hide(path: Path, *, unit: str, backbone: str) -> Traced:
    """The hide in a DXF or SVG file, turned so that its backbone is y = 0 and x grows along it.

    Lines on a layer (in an SVG, a group or a line) whose name begins with FLAW, BELLY or BACKBONE are that; any other
    closed line inside the largest one is a flaw as well. `backbone` is one of BACKBONES, or "auto": as drawn, from tail
    to neck.

    Raises HideError where the file cannot be read or does not say its unit, and where there is no closed outline, it
    crosses itself, several lie apart, it is no size of a hide, or nothing tells the backbone.
    """
    try:
        read = drawn_file(path, what="the hide's outline", fine=FINE, unit=unit, layers=_LAYERS)
    except DrawnError as error:
        raise HideError(str(error)) from None
    lines = _joined(read.lines)
    name = path.name
    plain = [line for line in lines if not line.layer.startswith(_LAYERS)]
    closed = [line for line in plain if line.closed and len(line.points) > 2]
    if not closed:
        raise HideError(_unclosed(plain, name))
    shapes = {id(line): _sound(line, name) for line in closed}
    edge = max(closed, key=lambda line: shapes[id(line)].area)
    whole = shapes[id(edge)]
    flaws = [_flaw(line, name) for line in lines if line.layer.startswith("FLAW")]
    for line in closed:
        if line is edge:
            continue
        if not whole.contains(shapes[id(line)]):
            x, y = shapes[id(line)].representative_point().coords[0]
            raise HideError(
                f"{name} has a second outline, about ({x:.0f}, {y:.0f}) mm, that lies not inside the first; leave one "
                "of them, or give it a file of its own"
            )
        flaws.append(line.points)
    size = np.ptp(edge.points, axis=0)
    if size.min() < SIZES[0] or size.max() > SIZES[1]:
        raise HideError(
            f"the outline in {name} is {size[0]:.4g} × {size[1]:.4g} mm, which is no hide's; draw it true to size, or "
            "say with unit what its numbers are in"
        )
    soft = [_sound(line, name) for line in lines if line.layer.startswith("BELLY") and line.closed]
    turn, origin = _backbone([line for line in lines if line.layer.startswith("BACKBONE")], edge, backbone, name)
    cos, sin = np.cos(turn), np.sin(turn)
    matrix = np.array([[cos, -sin], [sin, cos]])

    def placed(points: Floats) -> Floats:
        return (points - origin) @ matrix.T

    outline = placed(edge.points)
    outline = outline if shapely.is_ccw(shapely.LinearRing(outline)) else outline[::-1]
    middle = shapely.Polygon(outline).centroid.y
    if middle < 0.0 and outline[:, 1].max() < -middle:
        # Grain side up a hide cannot be mirrored: turned half round, its leather lies above the backbone again.
        return Traced(-outline, tuple(-placed(flaw) for flaw in flaws), tuple(-placed(_ring(one)) for one in soft))
    return Traced(outline, tuple(placed(flaw) for flaw in flaws), tuple(placed(_ring(one)) for one in soft))


def _ring(shape: shapely.Polygon) -> Floats:
    return shapely.get_coordinates(shape.exterior)[:-1]


def _sound(line: Drawn, name: str) -> shapely.Polygon:
    shape = shapely.Polygon(line.points)
    if not shape.is_valid:
        at = explain_validity(shape).partition("[")[2].rstrip("]").split()
        where = f" at ({float(at[0]):.0f}, {float(at[1]):.0f}) mm" if len(at) == 2 else ""
        raise HideError(f"an outline in {name} crosses itself{where}; draw it once round, without a loop")
    return shape


def _flaw(line: Drawn, name: str) -> Floats:
    if line.closed and len(line.points) > 2:
        return _ring(_sound(line, name))
    return _ring(shapely.LineString(line.points).buffer(SCAR))


def _unclosed(plain: Sequence[Drawn], name: str) -> str:
    if not plain:
        return f"{name} has no line that could be a hide's edge; draw its outline as one closed line"
    longest = max(plain, key=lambda line: float(np.hypot(*np.diff(line.points, axis=0).T).sum()))
    (x0, y0), (x1, y1) = longest.points[0], longest.points[-1]
    apart = float(np.hypot(x1 - x0, y1 - y0))
    return (
        f"the outline in {name} is not closed: its ends, ({x0:.0f}, {y0:.0f}) and ({x1:.0f}, {y1:.0f}) mm, are "
        f"{apart:.0f} mm apart; close it"
    )


def _joined(lines: Sequence[Drawn]) -> list[Drawn]:
    """The lines with open ones of a layer that meet end to end made into one, closed where its ends meet."""
    found = [line for line in lines if line.closed]
    waiting = [line for line in lines if not line.closed and len(line.points) > 1]
    while waiting:
        line = waiting.pop(0)
        points = line.points
        while True:
            for other in waiting:
                if other.layer != line.layer:
                    continue
                for one in (other.points, other.points[::-1]):
                    if _near(points[-1], one[0]):
                        points = np.concatenate([points, one[1:]])
                        break
                    if _near(points[0], one[-1]):
                        points = np.concatenate([one[:-1], points])
                        break
                else:
                    continue
                waiting.remove(other)
                break
            else:
                break
        closed = len(points) > 3 and _near(points[0], points[-1])
        found.append(Drawn(line.layer, points[:-1] if closed else points, closed))
    return found


def _near(one: Floats, other: Floats) -> bool:
    return bool(np.hypot(*(one - other)) <= JOINED)


def _backbone(drawn: Sequence[Drawn], edge: Drawn, backbone: str, name: str) -> tuple[float, Floats]:
    """The turn that lays the backbone along x, and a point on it."""
    if backbone == "auto":
        if not drawn:
            *some, last = (f"'{each}'" for each in BACKBONES)
            raise HideError(
                f"{name} has no line on a layer BACKBONE, which tells how the grain runs; draw it from tail to neck, "
                f"or write backbone = {', '.join(some)} or {last}"
            )
        start, end = drawn[0].points[0], drawn[0].points[-1]
        if np.hypot(*(end - start)) <= JOINED:
            raise HideError(f"the line on the layer BACKBONE in {name} has no length; draw it from tail to neck")
        return -float(np.arctan2(*(end - start)[::-1])), start
    low, high = edge.points.min(axis=0), edge.points.max(axis=0)
    at = {
        "bottom edge": low,
        "top edge": high,
        "left edge": np.array([low[0], high[1]]),
        "right edge": np.array([high[0], low[1]]),
        "level": np.array([low[0], 0.5 * (low[1] + high[1])]),
        "upright": np.array([0.5 * (low[0] + high[0]), low[1]]),
    }
    return float(_TURNS[backbone]), at[backbone]
