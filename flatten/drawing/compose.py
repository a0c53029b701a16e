"""Pieces made into one neutral drawing, each kind of thing on its layer."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from flatten.drawing.kerf import Kerf, with_kerf
from flatten.drawing.model import LAYERS, Circle, Drawing, Layer
from flatten.drawing.order import in_cutting_order
from flatten.findings import message
from flatten.pattern.cutting import cut_line
from flatten.pattern.lettering import one_line, text_box
from flatten.pattern.light import lightened
from flatten.pattern.marks import CHECK, check_line
from flatten.pattern.model import Hole, Label, Path, Piece
from flatten.pattern.path import bounds
from flatten.pattern.rims import cross, slot_rim
from flatten.words import say
from flatten.words.english import ENGLISH
from flatten.words.language import Language

LAYER_OF = {
    "stitch line": "STITCH",
    "fold": "FOLD",
    "slit": "SLIT",
    "bevel line": "GROOVE",
    "border line": "GROOVE",
    "carved line": "CARVE",
    "bevelled side": "BEVEL",
    "background": "BACKGROUND",
    "square": "GRID",
    "shade": "GRID",
    "counted square": "COUNT",
    "field’s middle": "CENTRE",
    "grain": "TEXT",
    "way": "TEXT",
    "check line": "TEXT",
}
"""The layers of kinds of marks; all others are on MARK. With the texts is what is read and never drawn on leather."""

TITLE_HEIGHT = 6.0
"""mm. Height of the drawing's title."""

_TITLE_BASE, _CHECK_BASE, _STOP_BASE, _KERF_BASE = -18.0, -32.0, -48.0, -60.0
"""mm. Where the title, the check line, the word that it is not to be cut, and the kerf stand below the pieces, whose
lowest point is at 0."""

NO_KERF = Kerf()
"""Lines are where the leather ends."""


def drawing_of(
    pieces: Sequence[Piece],
    title: str,
    *,
    stopped: bool = False,
    kerf: Kerf = NO_KERF,
    language: Language = ENGLISH,
) -> Drawing:
    """The drawing of pieces where they lie, in the order of cutting; below them a title and a check line of 100 mm.

    No layer is empty. `title` is one line about the job; line breaks and control characters become spaces. Where the
    pieces are `stopped`, the drawing says that they are not to be cut as they are; where a `kerf` is counted in, it
    says that, too. Raises KerfError where something is too narrow for the kerf.
    """
    title = one_line(title)
    boxes = [bounds(piece.outline) for piece in pieces]
    x0 = min((box[0] for box in boxes), default=0.0)
    y0 = min((box[1] for box in boxes), default=0.0)
    check = check_line(x0 + 0.5 * CHECK, y0 + _CHECK_BASE, CHECK, 0.0)
    labels = [Label(x0, y0 + _TITLE_BASE, TITLE_HEIGHT, 0.0, title)] if title else []
    words = say.text(message("mm", value=CHECK), language)
    labels.append(Label(x0 + CHECK + 5.0, y0 + _CHECK_BASE - 2.5, 5.0, 0.0, words))
    if stopped:
        warning = say.text(message("sheet.not to be cut"), language)
        labels.append(Label(x0, y0 + _STOP_BASE, TITLE_HEIGHT, 0.0, warning))
    if kerf != NO_KERF:
        counted = say.text(message("drawing.kerf", cut=kerf.cut, holes=kerf.holes), language)
        labels.append(Label(x0, y0 + _KERF_BASE, 5.0, 0.0, counted))
    layers = _layers(pieces, tuple(mark.path for mark in check), tuple(labels))
    return with_kerf(Drawing(title, in_cutting_order(layers)), kerf)


def layers_of(piece: Piece) -> tuple[Layer, ...]:
    """The layers of one piece by itself, without title and check line beside it; no empty layer."""
    return _layers((piece,), (), ())


def layers_of_all(pieces: Sequence[Piece], labels: tuple[Label, ...] = ()) -> tuple[Layer, ...]:
    """The layers of pieces where they lie, without title and check line, but with `labels` of more; no empty layer."""
    return _layers(pieces, (), labels)


def _layers(pieces: Sequence[Piece], marks: tuple[Path, ...], labels: tuple[Label, ...]) -> tuple[Layer, ...]:
    """What is on pieces, and more marks and labels, on the layers of LAYERS that then hold something.

    A hole that comes after forming is a mark: its rim with a cross in it.
    """
    holes = [hole for piece in pieces for hole in piece.holes if hole.kind != "stop"]
    crosses = (path for hole in holes if hole.after for path in cross(hole))
    slots = {name: tuple(slot_rim(hole) for hole in holes if hole.run and _layer(hole) == name) for name in LAYERS}
    drawn: dict[str, list[Path]] = {name: [] for name in LAYERS}
    for mark in (mark for piece in pieces for mark in piece.marks):
        drawn[LAYER_OF.get(mark.kind, "MARK")].append(lightened(mark.path))
    paths = {
        **drawn,
        "CUT": tuple(lightened(cut_line(piece)) for piece in pieces),
        "HOLES": slots["HOLES"],
        "MARK": (*drawn["MARK"], *slots["MARK"], *crosses),
        "TEXT": (*drawn["TEXT"], *marks),
    }
    circles = {
        name: tuple(Circle(hole.x, hole.y, hole.diameter) for hole in holes if not hole.run and _layer(hole) == name)
        for name in LAYERS
    }
    texts = {"TEXT": (*(label for piece in pieces for label in piece.labels), *labels)}
    layers = (Layer(name, tuple(paths[name]), circles[name], texts.get(name, ())) for name in LAYERS)
    return tuple(layer for layer in layers if layer.paths or layer.circles or layer.labels)


def _layer(hole: Hole) -> str:
    """The layer that a hole is drawn on."""
    return "MARK" if hole.after else "HOLES"


def extent(drawing: Drawing) -> tuple[float, float, float, float]:
    """Least x, least y, greatest x, greatest y of all that is drawn, mm; texts by their estimated boxes."""
    boxes = [bounds(path) for layer in drawing.layers for path in layer.paths]
    for layer in drawing.layers:
        for circle in layer.circles:
            r = 0.5 * circle.diameter
            boxes.append((circle.x - r, circle.y - r, circle.x + r, circle.y + r))
        for label in layer.labels:
            corners = text_box(label)
            boxes.append((*corners.min(axis=0).tolist(), *corners.max(axis=0).tolist()))
    low, high = np.array(boxes)[:, :2].min(axis=0), np.array(boxes)[:, 2:].max(axis=0)
    return float(low[0]), float(low[1]), float(high[0]), float(high[1])
