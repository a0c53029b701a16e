"""The lines of a DXF file."""

from __future__ import annotations

import io
import logging
from collections import Counter
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from typing import Any

import numpy as np

from flatten.drawn.curves import arc_angles, bulge_points
from flatten.drawn.model import DEEPEST, MOST_POINTS, MOST_SHAPES, Drawn, DrawnError, DrawnFile, drawn
from flatten.drawn.units import DXF_UNITS, told_unit
from flatten.mesh.surface import Floats

_LINES = ("LINE", "ARC", "CIRCLE", "ELLIPSE", "SPLINE", "LWPOLYLINE", "POLYLINE")

_KINDS = {"TEXT": "text", "MTEXT": "text", "ATTRIB": "text", "ATTDEF": "text", "IMAGE": "image", "HATCH": "hatch",
          "DIMENSION": "dimension", "MULTILEADER": "dimension", "LEADER": "dimension"}  # fmt: skip


_FRAME = 16
"""The flag of a polyline's vertex that only steers a curve and lies not on it (DXF reference, VERTEX, group 70)."""


def read_dxf(data: bytes, *, unit: str, fine: float) -> DrawnFile:
    """The lines of a DXF file's model space, those in blocks too; layers that are frozen or off are not read.

    Raises DrawnError as `flatten.drawn.read.drawn_file` says.
    """
    from ezdxf import recover
    from ezdxf.lldxf.const import DXFError

    try:
        with _unsaid("ezdxf"):
            document, _ = recover.read(io.BytesIO(data))
        code = int(document.header.get("$INSUNITS", 0))
    except (DXFError, ValueError, KeyError, IndexError, TypeError, AttributeError) as error:
        raise DrawnError(f"is no DXF file that can be read ({type(error).__name__}); save it again") from None
    known, scale = told_unit(DXF_UNITS.get(code), unit)
    hidden = {str(layer.dxf.name).upper() for layer in document.layers if layer.is_frozen() or layer.is_off()}
    left_out: Counter[str] = Counter()
    found: list[Drawn] = []
    total = 0
    try:
        with _unsaid("ezdxf"):
            for layer, entity in _shown(document.modelspace(), "0", hidden, left_out):
                line = _line(layer, entity, scale, fine)
                if line is not None:
                    found.append(line)
                    total += len(line.points)
                    if total > MOST_POINTS:
                        raise DrawnError(f"has lines of more than {MOST_POINTS} points; save {{what}} alone in it")
    except (DXFError, ArithmeticError, KeyError, IndexError, TypeError, AttributeError) as error:
        raise DrawnError(f"has a line that cannot be read ({type(error).__name__}); save it again") from None
    return DrawnFile(tuple(found), known, tuple(left_out.items()))


@contextmanager
def _unsaid(library: str) -> Iterator[None]:
    """Within, a library's log is silent: of a spoilt file it speaks in its own words, and our error tells of it."""
    log = logging.getLogger(library)
    before, log.disabled = log.disabled, True
    try:
        yield
    finally:
        log.disabled = before


def _shown(space: Iterable[Any], layer: str, hidden: set[str], left_out: Counter[str]) -> Iterator[tuple[str, Any]]:
    """(layer, line) of all that is seen: what a block has on layer 0 lies on the layer that the block is put on."""
    # A stack of what is still to be walked, not recursion: a block that shows itself ends in a sentence.
    waiting: list[tuple[Iterator[Any], str]] = [(iter(space), layer)]
    count = 0
    while waiting:
        entities, outer = waiting[-1]
        entity = next(entities, None)
        if entity is None:
            waiting.pop()
            continue
        count += 1
        if count > MOST_SHAPES:
            raise DrawnError(f"shows more than {MOST_SHAPES} lines, blocks counted wherever they stand; simplify it")
        own = str(entity.dxf.get("layer", "0"))
        own = outer if own == "0" else own
        if own.upper() in hidden or entity.dxf.get("invisible", 0):
            continue
        kind = entity.dxftype()
        if kind == "INSERT":
            if len(waiting) > DEEPEST:
                raise DrawnError(f"has blocks more than {DEEPEST} deep inside each other; explode them")
            if max(entity.mcount, 1) > MOST_SHAPES:
                raise DrawnError(f"repeats a block more than {MOST_SHAPES} times; simplify it")
            parts = entity.multi_insert() if entity.mcount > 1 else entity.virtual_entities()
            waiting.append((iter(parts), own))
        elif kind in _LINES and not (kind == "POLYLINE" and not (entity.is_2d_polyline or entity.is_3d_polyline)):
            yield own, entity
        else:
            left_out[_KINDS.get(kind, "other")] += 1


def _line(layer: str, entity: Any, scale: float, fine: float) -> Drawn | None:
    kind, chord = entity.dxftype(), fine / scale
    closed = False
    if kind == "LINE":
        points = _plane([entity.dxf.start, entity.dxf.end])
    elif kind in ("ARC", "CIRCLE"):
        closed = kind == "CIRCLE"
        start, sweep = (0.0, 2.0 * np.pi) if closed else _arc(entity)
        radius = abs(float(entity.dxf.radius))
        turns = start + np.concatenate([[0.0], arc_angles(radius, sweep, chord)])
        x, y, z = entity.dxf.center
        around = zip(x + radius * np.cos(turns), y + radius * np.sin(turns), np.full(len(turns), z), strict=True)
        points = _plane(entity.ocs().points_to_wcs(around))
    elif kind in ("LWPOLYLINE", "POLYLINE") and not (kind == "POLYLINE" and entity.is_3d_polyline):
        points, closed = _polyline(entity, chord)
    elif kind == "POLYLINE":
        points, closed = _plane(entity.points()), bool(entity.is_closed)
    else:
        points = _plane(entity.flattening(chord))
        closed = len(points) > 2 and bool(np.allclose(points[0], points[-1], rtol=0.0, atol=1e-9))
    return drawn(layer, scale * points, closed)


def _arc(entity: Any) -> tuple[float, float]:
    start, end = np.radians(float(entity.dxf.start_angle)), np.radians(float(entity.dxf.end_angle))
    sweep = float((end - start) % (2.0 * np.pi))
    return float(start), sweep if sweep > 0.0 else 2.0 * np.pi


def _polyline(entity: Any, chord: float) -> tuple[Floats, bool]:
    """The points of a flat polyline with its bulges, and whether it is closed."""
    if entity.dxftype() == "LWPOLYLINE":
        closed, height = bool(entity.closed), float(entity.dxf.elevation)
        rows = [tuple(map(float, row)) for row in entity.get_points("xyb")]
    else:
        closed, height = bool(entity.is_closed), float(entity.dxf.get("elevation", (0.0, 0.0, 0.0))[2])
        rows = [
            (float(v.dxf.location.x), float(v.dxf.location.y), float(v.dxf.get("bulge", 0.0)))
            for v in entity.vertices
            if not v.dxf.get("flags", 0) & _FRAME
        ]
    if not rows:
        return np.zeros((0, 2)), False
    corners = np.array(rows)
    ends = np.concatenate([corners, corners[:1]]) if closed else corners
    pieces = [ends[:1, :2]]
    for (x, y, bulge), end in zip(ends[:-1].tolist(), ends[1:, :2], strict=True):
        pieces.append(bulge_points(np.array([x, y]), end, bulge, chord))
    own = np.concatenate(pieces)
    return _plane(entity.ocs().points_to_wcs([(x, y, height) for x, y in own.tolist()])), closed


def _plane(points: Iterable[Any]) -> Floats:
    """The points (n,2) seen from above."""
    return np.array([(point[0], point[1]) for point in points], dtype=float).reshape(-1, 2)
