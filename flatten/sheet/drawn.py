"""Lines that somebody drew, from a DXF or an SVG file: each with the name of its layer, in mm, y up."""

from __future__ import annotations

import io
import logging
import math
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from flatten.mesh.surface import Floats
from flatten.sheet.ground import HideError
from flatten.units import MM_PER_UNIT

FINE = 0.2
"""mm. Chords of drawn curves leave them by no more: a hide's edge is not known better than that."""

_ONE_POINT = 1e-6
"""mm, or a drawing's own unit. Places that are no further apart are one: readers round by less."""

LARGEST_FILE = 20_000_000
"""bytes. More is no outline: a drawing with its photo in it."""

DXF_UNITS = {1: "in", 4: "mm", 5: "cm", 6: "m"}
"""What $INSUNITS of a DXF's header names, of the units that are known here (DXF reference)."""

_SVG_UNITS = ("mm", "cm", "in", "m")


@dataclass(frozen=True, eq=False)
class Drawn:
    """A line that was drawn: `layer` is what it lies on, in capitals, and `points` (n,2); a closed one does not repeat
    its first point."""

    layer: str
    points: Floats
    closed: bool


def drawn_lines(path: Path, *, unit: str) -> list[Drawn]:
    """The lines in a DXF or SVG file; `unit` is what its numbers are in, "auto": as the file says.

    Raises HideError where the file is missing, empty, neither, damaged, or does not say its unit.
    """
    try:
        if path.stat().st_size > LARGEST_FILE:
            raise HideError(f"{path.name} is larger than {LARGEST_FILE // 1_000_000} MB; save the outline alone in it")
        data = path.read_bytes()
    except OSError as error:
        raise HideError(f"the hide's outline {path.name} cannot be read: {error.strerror}; mend its path") from None
    if not data.strip():
        raise HideError(f"{path.name} is empty; save the hide's outline in it again")
    ending = path.suffix.lower()
    if ending == ".dxf":
        return _from_dxf(data, path.name, unit)
    if ending == ".svg":
        return _from_svg(data, path.name, unit)
    raise HideError(f"{path.name} is neither DXF nor SVG; save the hide's outline as one of them")


def _scale(found: str | None, unit: str, name: str) -> float:
    known = unit if unit != "auto" else found
    if known is None:
        raise HideError(
            f"{name} does not say its unit, as $INSUNITS of a DXF and the width of an SVG do; save it in millimetres, "
            "or write unit = 'mm' (or cm, m, in) for that hide"
        )
    return MM_PER_UNIT[known]


def _from_dxf(data: bytes, name: str, unit: str) -> list[Drawn]:
    from ezdxf import path as paths
    from ezdxf import recover
    from ezdxf.disassemble import recursive_decompose
    from ezdxf.lldxf.const import DXFError

    try:
        with _unsaid("ezdxf"):
            document, _ = recover.read(io.BytesIO(data))
        code = int(document.header.get("$INSUNITS", 0))
    except (DXFError, ValueError, KeyError, IndexError, TypeError, AttributeError) as error:
        raise HideError(f"{name} is no DXF file that can be read ({type(error).__name__}); save it again") from None
    scale = _scale(DXF_UNITS.get(code), unit, name)
    found = []
    for entity in recursive_decompose(document.modelspace()):
        if entity.dxftype() not in ("LINE", "ARC", "CIRCLE", "ELLIPSE", "SPLINE", "LWPOLYLINE", "POLYLINE"):
            continue
        whole = paths.make_path(entity)
        if len(whole) == 0:
            continue
        points = scale * np.array([(point.x, point.y) for point in whole.flattening(FINE / scale)])
        found.append(_drawn(str(entity.dxf.layer), points, whole.is_closed))
    return found


@contextmanager
def _unsaid(library: str) -> Iterator[None]:
    """Within, a library's log is silent: of a spoilt file it speaks in its own words, and our error tells of it."""
    log = logging.getLogger(library)
    before, log.disabled = log.disabled, True
    try:
        yield
    finally:
        log.disabled = before


def _from_svg(data: bytes, name: str, unit: str) -> list[Drawn]:
    # Loaded here: only who has such a file needs it.
    from xml.etree.ElementTree import ParseError

    import svgelements

    try:
        # With 25.4 dots to the inch a dot is a millimetre.
        document = svgelements.SVG.parse(io.BytesIO(data), ppi=25.4)
    except (ParseError, ValueError, TypeError, AttributeError, KeyError, IndexError) as error:
        raise HideError(f"{name} is no SVG file that can be read ({type(error).__name__}); save it again") from None
    if not isinstance(document, svgelements.SVG):
        raise HideError(f"{name} is no SVG file; save the hide's outline as SVG or DXF")
    width = str(document.values.get("width") or "").strip().lower()
    given = next((known for known in _SVG_UNITS if width.endswith(known)), None)
    scale = _scale(None, unit, name) if given is None else 1.0
    found = []
    for layer, shape in _svg_shapes(document, ""):
        for part in svgelements.Path(shape).as_subpaths():
            points = scale * _svg_points(svgelements.Path(part), FINE / scale)
            if len(points) > 1:
                closed = isinstance(part[-1], svgelements.Close) or (len(points) > 2 and _ends_meet(points))
                found.append(_drawn(layer, points * (1.0, -1.0), closed))
    return found


def _svg_shapes(group: Any, layer: str) -> Iterator[tuple[str, Any]]:
    """Shapes with the name of the nearest group above them that has one, or their own."""
    import svgelements

    for element in group:
        own = _svg_name(element) or layer
        if isinstance(element, svgelements.Group):
            yield from _svg_shapes(element, own)
        elif isinstance(element, svgelements.Shape):
            yield (layer if layer.startswith(("FLAW", "BELLY", "BACKBONE")) else own), element


def _svg_name(element: Any) -> str:
    """What an editor calls a group or shape: its label, else its id."""
    values = getattr(element, "values", None) or {}
    own = values.get("attributes", values)
    label = next((value for key, value in own.items() if str(key).endswith("}label") or key == "label"), None)
    return str(label or own.get("id") or "").upper()


def _svg_points(path: Any, fine: float) -> Floats:
    """Points along an SVG path whose chords leave it by about `fine` at most."""
    import svgelements

    points: list[tuple[float, float]] = []
    for segment in path:
        if isinstance(segment, svgelements.Move | svgelements.Line | svgelements.Close):
            if segment.end is not None:
                points.append((float(segment.end.x), float(segment.end.y)))
        else:
            # A chord c of a circle of radius r leaves it by c²/8r; a curve that turns once round has r = length/2π.
            count = max(8, math.ceil(math.sqrt(np.pi * float(segment.length(error=1e-3)) / (4.0 * fine))))
            for share in np.linspace(0.0, 1.0, count + 1)[1:]:
                at = segment.point(float(share))
                points.append((float(at.x), float(at.y)))
    return np.array(points, dtype=float).reshape(-1, 2)


def _ends_meet(points: Floats) -> bool:
    return bool(np.hypot(*(points[0] - points[-1])) < _ONE_POINT)


def _drawn(layer: str, points: Floats, closed: bool) -> Drawn:
    apart = np.concatenate([[True], np.hypot(*np.diff(points, axis=0).T) > _ONE_POINT])
    points = points[apart]
    if closed and len(points) > 1 and np.hypot(*(points[0] - points[-1])) < _ONE_POINT:
        points = points[:-1]
    return Drawn(layer.upper(), points, closed)
