"""The neutral drawing: named layers of paths, circles and texts in mm, y up."""

from __future__ import annotations

from dataclasses import dataclass

from flatten.pattern.model import Label, Path


@dataclass(frozen=True)
class Look:
    """How a layer is shown: colour number of the DXF format, colour "#rrggbb" on white paper, line width in mm."""

    number: int
    colour: str
    width: float


LAYERS = {
    "CUT": Look(1, "#b3261e", 0.5),
    "HOLES": Look(5, "#1f4fa3", 0.4),
    "STITCH": Look(3, "#2e7d32", 0.3),
    "MARK": Look(8, "#555555", 0.3),
    "TEXT": Look(7, "#222222", 0.3),
}
"""The layers in their order, and their looks: red, blue, green, grey and black; on paper darker than on a screen."""


@dataclass(frozen=True)
class Circle:
    """A circle at (x, y) of the given diameter, mm."""

    x: float
    y: float
    diameter: float


@dataclass(frozen=True, eq=False)
class Layer:
    """What is drawn on one layer."""

    name: str
    paths: tuple[Path, ...]
    circles: tuple[Circle, ...]
    labels: tuple[Label, ...]


@dataclass(frozen=True, eq=False)
class Drawing:
    """Layers in the order of LAYERS, true size in mm, y up; `title` is one line about the job."""

    title: str
    layers: tuple[Layer, ...]
