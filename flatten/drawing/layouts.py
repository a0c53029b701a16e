"""Pieces as they lie on leather or a bed, as files: one drawing for each, in that leather's own frame."""

from __future__ import annotations

import numpy as np

from flatten.drawing.compose import NO_KERF, layers_of_all
from flatten.drawing.dxf import dxf_bytes
from flatten.drawing.files import Files
from flatten.drawing.kerf import Kerf, with_kerf
from flatten.drawing.model import Drawing, DxfVersion, Layer
from flatten.drawing.order import in_cutting_order
from flatten.drawing.svg import svg_bytes
from flatten.findings import message
from flatten.mesh.surface import Floats
from flatten.pattern.lettering import one_line
from flatten.pattern.model import Label, Path
from flatten.sheet.laying import Laying, Layout
from flatten.words import say
from flatten.words.english import ENGLISH
from flatten.words.language import Language

TEXT = 8.0
"""mm. Height of what stands above the leather's edge."""

_ABOVE = 6.0
"""mm from the leather's highest place to that text, and from line to line."""


def layout_names(laying: Laying) -> tuple[tuple[str, str], ...]:
    """The DXF and the SVG of each leather or bed: layout.dxf; of several layout_1.dxf and so on."""
    if len(laying.layouts) == 1:
        return (("layout.dxf", "layout.svg"),)
    return tuple((f"layout_{k}.dxf", f"layout_{k}.svg") for k in range(1, len(laying.layouts) + 1))


def layout_files(
    laying: Laying | None,
    title: str,
    *,
    dxf: DxfVersion = "R2010",
    kerf: Kerf = NO_KERF,
    stopped: bool = False,
    language: Language = ENGLISH,
) -> Files:
    """The files of pieces laid on leather, none where they are not; where they are `stopped`, each file says so.

    They are of the version `dxf`, and count a `kerf` in. Raises KerfError where something is too narrow for that.
    """
    if laying is None:
        return ()
    found: list[tuple[str, bytes]] = []
    for number, (layout, names) in enumerate(zip(laying.layouts, layout_names(laying), strict=True), 1):
        drawing = _drawing(layout, number, title, kerf=kerf, stopped=stopped, language=language)
        found += [(names[0], dxf_bytes(drawing, dxf)), (names[1], svg_bytes(drawing, language))]
    return tuple(found)


def _drawing(layout: Layout, number: int, title: str, *, kerf: Kerf, stopped: bool, language: Language) -> Drawing:
    ground = layout.ground
    name = message("layout.name", ground=ground.kind, number=number, thickness=ground.thickness)
    lines = [say.text(name, language), *([one_line(title)] if title else [])]
    lines += [say.text(message("sheet.not to be cut"), language)] if stopped else []
    if kerf != NO_KERF:
        lines.append(say.text(message("drawing.kerf", cut=kerf.cut, holes=kerf.holes), language))
    x, y = float(ground.outline[:, 0].min()), float(ground.outline[:, 1].max()) + _ABOVE
    labels = tuple(Label(x, y + k * (TEXT + _ABOVE), TEXT, 0.0, line) for k, line in enumerate(reversed(lines)))
    rims = [_closed(rim) for rim in (ground.outline, *ground.flaws)]
    beneath = Layer("LEATHER", tuple(rims), (), ())
    layers = in_cutting_order((beneath, *layers_of_all(layout.pieces, labels)))
    return with_kerf(Drawing(one_line(title) or lines[0], layers), kerf)


def _closed(points: Floats) -> Path:
    return Path(points, np.zeros(len(points)), closed=True)
