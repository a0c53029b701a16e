"""A drawing as the bytes of a DXF file: R2010 or R12, millimetres, closed polylines with arc bulges."""

from __future__ import annotations

import io
import threading
from collections import OrderedDict
from collections.abc import Iterator
from contextlib import contextmanager

import numpy as np
from ezdxf import options, units
from ezdxf.filemanagement import new
from ezdxf.lldxf.const import LWPOLYLINE_PLINEGEN

from flatten.drawing.compose import extent
from flatten.drawing.dashes import dashes_of
from flatten.drawing.model import LAYERS, Drawing, DxfVersion, Look
from flatten.pattern.lettering import one_line

_FIXED = threading.Lock()
"""The library's switch for fixed dates and identifiers is global: one writer at a time may hold it."""

_FONTS = {"R2010": "arial.ttf", "R12": "txt"}
"""Fonts of texts: R12 knows no other than those of lines."""


def dxf_bytes(drawing: Drawing, version: DxfVersion = "R2010") -> bytes:
    """The drawing as DXF in mm: paths and slots are LWPOLYLINE, in R12 POLYLINE, round holes CIRCLE, labels TEXT.

    R2010 tells its unit (INSUNITS 4); R12 has no word for one, and the check line's text tells it. Layers are those of
    the drawing in their order, each with its line type; dashes run through a path's points, and paths too short for
    them are solid. Same drawing, same bytes: dates and identifiers are fixed.
    """
    with _fixed_metadata():
        # Asked to tell its unit, R12 would warn that it has no word for one.
        doc = new(version, units=0 if version == "R12" else units.MM)
        doc.header["$MEASUREMENT"] = 1
        doc.styles.add("CAPITALS", font=_FONTS[version])
        space = doc.modelspace()
        for layer in drawing.layers:
            look = LAYERS[layer.name]
            if look.dashes and look.line not in doc.linetypes:
                doc.linetypes.add(look.line, _pattern(look), description=look.line.lower())
            doc.layers.add(layer.name, color=look.number, linetype=look.line)
            on = {"layer": layer.name}
            solid = {**on, "linetype": "CONTINUOUS"} if look.dashes else on
            for path in layer.paths:
                spans = np.column_stack([path.points, path.bulges])
                if not path.closed:
                    spans[-1, 2] = 0.0
                shown = {**on, "flags": LWPOLYLINE_PLINEGEN} if dashes_of(path, look) else solid
                add = space.add_polyline2d if version == "R12" else space.add_lwpolyline
                add(spans.tolist(), format="xyb", close=path.closed, dxfattribs=shown)
            for circle in layer.circles:
                space.add_circle((circle.x, circle.y), 0.5 * circle.diameter, dxfattribs=solid)
            for label in layer.labels:
                turn = float(np.degrees(label.angle))
                place = {"insert": (label.x, label.y), "rotation": turn, "style": "CAPITALS"}
                space.add_text(coded(label.text), height=label.height, dxfattribs={**on, **place})
        x0, y0, x1, y1 = extent(drawing)
        doc.header["$EXTMIN"], doc.header["$EXTMAX"] = (x0, y0, 0.0), (x1, y1, 0.0)
        doc.set_modelspace_vport(height=1.1 * max(y1 - y0, 0.6 * (x1 - x0)), center=(0.5 * (x0 + x1), 0.5 * (y0 + y1)))
        # The library gathers the classes in use from a set, whose order changes from run to run.
        doc.classes.add_required_classes(doc.dxfversion)
        doc.classes.classes = OrderedDict(sorted(doc.classes.classes.items()))
        text = io.StringIO()
        doc.write(text)
    # R12 has one byte for a letter; what is none of its letters is told by its number.
    return bytes(doc.encode(text.getvalue()))


def _pattern(look: Look) -> list[float]:
    """A line type as the format has it: its period, then lengths drawn (0 a dot) and, less than 0, left; mm."""
    return [sum(look.dashes), *(-size if k % 2 else size for k, size in enumerate(look.dashes))]


def coded(text: str) -> str:
    """The text as a DXF TEXT holds it: one line, a caret as "^ ", and no two per cent signs that start a code."""
    return one_line(text).replace("^", "^ ").replace("%%", "% %")


@contextmanager
def _fixed_metadata() -> Iterator[None]:
    """Within, the library writes a fixed date and fixed identifiers; the switch is put back afterwards."""
    with _FIXED:
        before = options.write_fixed_meta_data_for_testing
        options.write_fixed_meta_data_for_testing = True
        try:
            yield
        finally:
            options.write_fixed_meta_data_for_testing = before
