"""The neutral drawing: named layers of paths, circles and texts in mm, y up."""

from __future__ import annotations

from dataclasses import dataclass

from flatten.pattern.model import Label, Path

LAYERS = ("CUT", "HOLES", "STITCH", "MARK", "CARVE", "TEXT")


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
