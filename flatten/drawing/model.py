"""The neutral drawing: named layers of paths, circles and texts in mm, y up."""

from __future__ import annotations

from dataclasses import dataclass

from flatten.pattern.model import Label, Path


@dataclass(frozen=True)
class Look:
    """How a layer is shown: colour number of the DXF format, colour "#rrggbb" on white paper, line width in mm, and
    the name and pattern of its lines.

    `dashes` are the lengths in turn of what is drawn and what is left, mm, from a dash on; a length of 0 is a dot, and
    none at all a solid line.
    """

    number: int
    colour: str
    width: float
    line: str = "CONTINUOUS"
    dashes: tuple[float, ...] = ()


LAYERS = {
    "CUT": Look(1, "#b3261e", 0.35),
    "HOLES": Look(5, "#1f4fa3", 0.35),
    "SLIT": Look(1, "#b3261e", 0.35),
    "STITCH": Look(3, "#2e7d32", 0.4, "DOTTED", (0.0, 1.2)),
    "FOLD": Look(6, "#7b3f98", 0.35, "DASHDOT", (7.0, 1.4, 0.0, 1.4)),
    "GROOVE": Look(8, "#555555", 0.2, "LONGDASH", (12.0, 1.5)),
    "MARK": Look(8, "#555555", 0.3, "DASHED", (3.0, 1.8)),
    "TEXT": Look(7, "#222222", 0.3),
    "LEATHER": Look(9, "#8a7a66", 0.25),
}
"""The layers in their order, and their looks: red, blue, green, violet, grey and black, on paper darker than on a
screen, and told apart without colour by their lines.

Outlines, holes and what is read alone (arrows and check lines, with the texts) are solid. A SLIT is cut by hand when
its strip is turned. A GROOVE is where a beveller or groover runs along an edge, in dashes so long that it is not taken
for one of the lines that are only drawn. LEATHER is the edge of what pieces are laid on, and its flaws, which nothing
cuts."""


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
