"""The neutral drawing: named layers of paths, circles and texts in mm, y up."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from flatten.pattern.model import Label, Path

DxfVersion = Literal["R2010", "R12"]
"""A version of DXF, one of DXF_VERSIONS."""

DXF_VERSIONS: tuple[DxfVersion, ...] = ("R2010", "R12")
"""Those that are written: what programs of today read, and what machines since 1992 do."""


@dataclass(frozen=True)
class Look:
    """How a layer is shown: colour number in DXF and SVG, colour "#rrggbb" on white paper, line width in mm, and the
    name and pattern of its lines.

    `dashes` are the lengths in turn of what is drawn and what is left, mm, from a dash on; a length of 0 is a dot, and
    none at all a solid line.
    """

    number: int
    colour: str
    width: float
    line: str = "CONTINUOUS"
    dashes: tuple[float, ...] = ()


CUT_RED, DRAWN_GREEN = 1, 3
"""Colour numbers of the DXF format: of all that is cut, and of all that is only drawn. Machines that go by colour take
red for a cut, and black, grey or blue for engraving [practice]; green stands for nothing until somebody says so."""

ON_SCREEN = {CUT_RED: "#ff0000", DRAWN_GREEN: "#008000"}
"""The same colours in SVG; the green is darker there, as it is seen on white."""

LAYERS = {
    "CUT": Look(CUT_RED, "#b3261e", 0.35),
    "HOLES": Look(CUT_RED, "#1f4fa3", 0.35),
    "SLIT": Look(DRAWN_GREEN, "#b3261e", 0.35),
    "STITCH": Look(DRAWN_GREEN, "#2e7d32", 0.4, "DOTTED", (0.0, 1.2)),
    "FOLD": Look(DRAWN_GREEN, "#7b3f98", 0.35, "DASHDOT", (7.0, 1.4, 0.0, 1.4)),
    "GROOVE": Look(DRAWN_GREEN, "#555555", 0.2, "LONGDASH", (12.0, 1.5)),
    "CARVE": Look(DRAWN_GREEN, "#14505c", 0.25),
    "BEVEL": Look(DRAWN_GREEN, "#14505c", 0.2, "SHORTDASH", (1.4, 0.9)),
    "BACKGROUND": Look(DRAWN_GREEN, "#7a6a2f", 0.2, "TWODASH", (5.0, 1.0, 1.4, 1.0)),
    "GRID": Look(DRAWN_GREEN, "#8fa3ad", 0.1),
    "COUNT": Look(DRAWN_GREEN, "#8fa3ad", 0.3),
    "CENTRE": Look(DRAWN_GREEN, "#8fa3ad", 0.5),
    "MARK": Look(DRAWN_GREEN, "#555555", 0.3, "DASHED", (3.0, 1.8)),
    "TEXT": Look(DRAWN_GREEN, "#222222", 0.3),
    "LEATHER": Look(DRAWN_GREEN, "#8a7a66", 0.25),
}
"""The layers in their order, and their looks: on paper in colours that print, told apart without colour by their lines.

Outlines, holes, what the knife carves of an ornament (CARVE) and what is read alone (arrows and check lines, with the
texts) are solid. BEVEL lines lie on the side of a carved line that is bevelled, BACKGROUND are the rims of what is
pressed down as a whole; a GRID, every fifth line of it on COUNT and its
middle line on CENTRE, is there to draw on and to shade. A SLIT is cut by
hand when its strip is turned. A GROOVE is where a beveller or groover runs along an edge, in dashes so long that it
is not taken for one of the lines that are only drawn. LEATHER is the edge of what pieces are laid on, and its flaws,
which nothing cuts."""

OUTLINES = "CUT"
"""The layer of the pieces' outlines."""

CUT_LAYERS = ("HOLES", OUTLINES)
"""The layers that a machine cuts, in the order in which it should: holes while the leather still lies as one. The
others are never cut."""


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
    """Layers in the order in which they are drawn and cut, true size in mm, y up; `title` is one line about the job."""

    title: str
    layers: tuple[Layer, ...]
