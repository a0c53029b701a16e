"""The shapes in which leather is sold, as plain outlines of a length and a width: side, bend, shoulder, belly."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from flatten.mesh.surface import Floats


@dataclass(frozen=True)
class Cut:
    """A cut of the hide: its usual length along the backbone and width across it (mm), and its edge.

    `edge` are places of its edge that are not on the backbone, from the tail on, as shares of length and width; with
    `both` sides of the backbone they are mirrored, and the width counts from edge to edge. `belly` is the share of the
    width, from its far edge, that is stretchy.
    """

    length: float
    width: float
    edge: tuple[tuple[float, float], ...]
    both: bool
    belly: float


CUTS = {
    "side": Cut(
        2200.0,
        1000.0,
        ((0.0, 0.35), (0.05, 0.95), (0.2, 0.85), (0.5, 0.88), (0.72, 0.8), (0.78, 1.0), (0.87, 0.95), (0.92, 0.55),
         (1.0, 0.4)),
        False,
        0.2,
    ),
    "bend": Cut(1300.0, 700.0, ((0.0, 0.8), (0.06, 1.0), (1.0, 1.0)), False, 0.0),
    "shoulder": Cut(800.0, 650.0, ((0.0, 1.0), (0.45, 0.95), (0.7, 0.7), (1.0, 0.45)), False, 0.0),
    "double shoulder": Cut(800.0, 1300.0, ((0.0, 1.0), (0.45, 0.95), (0.7, 0.7), (1.0, 0.45)), True, 0.0),
    "belly": Cut(1700.0, 350.0, ((0.0, 0.7), (0.08, 1.0), (0.25, 0.75), (0.75, 0.75), (0.9, 1.0), (1.0, 0.6)), False,
                 0.0),
}  # fmt: skip
"""The cuts by name; sizes, shapes and the belly's share from memory: hides differ, measure yours. Of a belly, the edge
that it was cut off along stands for the backbone; all of it is stretchy, and its buyer knows."""


def cut_outline(cut: Cut, *, length: float, width: float) -> Floats:
    """The outline (n,2), counter-clockwise, of a cut of that size: tail at x = 0, backbone at y = 0."""
    across = 0.5 * width if cut.both else width
    edge = np.array(cut.edge) * (length, across)
    if cut.both:
        return np.concatenate([edge * (1.0, -1.0), edge[::-1]])
    return np.concatenate([[[0.0, 0.0], [length, 0.0]], edge[::-1]])


def belly_strips(outline: Floats, *, strip: float, both: bool) -> tuple[Floats, ...]:
    """The strips of `strip` mm along the far edges of an outline, where its leather is stretchy; none without a width.

    They are rectangles that reach past the outline.
    """
    if strip <= 0.0:
        return ()
    (x0, y0), (x1, y1) = outline.min(axis=0) - 1.0, outline.max(axis=0) + 1.0
    far = np.array([[x0, y1 - 1.0 - strip], [x1, y1 - 1.0 - strip], [x1, y1], [x0, y1]])
    near = np.array([[x0, y0], [x1, y0], [x1, y0 + 1.0 + strip], [x0, y0 + 1.0 + strip]])
    return (far, near) if both else (far,)
