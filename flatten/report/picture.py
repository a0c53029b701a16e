"""A picture of the page as paths and notes, and how areas and level lines of a triangulation become paths."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from flatten.findings import Message
from flatten.mesh.surface import Floats, Ints
from flatten.report.ramp import SQUEEZE_STEPS, STRETCH_STEPS, Fields

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.contour import ContourSet
    from matplotlib.tri import Triangulation

Seen = Callable[[Floats], Floats]
"""Takes places (n,2) of a triangulation's plane into the picture's, y up."""


@dataclass(frozen=True)
class Stroke:
    """A path in SVG's own path language, y already down, and its class in the page."""

    path: str
    kind: str


@dataclass(frozen=True)
class Note:
    """A text at (x, y), y down: a message, or a name or number as it is; `anchor` is "start", "middle" or "end"."""

    x: float
    y: float
    text: Message | str
    kind: str
    anchor: str


@dataclass(frozen=True)
class Picture:
    """A picture in mm, y down: `box` is left, top, width and height; `title` says what is seen, for who cannot see."""

    title: Message
    box: tuple[float, float, float, float]
    strokes: tuple[Stroke, ...]
    notes: tuple[Note, ...]


def line(points: Floats, *, closed: bool = False) -> str:
    """The SVG path through points (n,2), mm, y up."""
    if not len(points):
        return ""
    return "M" + "L".join(f"{x:.1f} {0.0 - y:.1f}" for x, y in points) + ("Z" if closed else "")


def smooth_run(start: Floats, end: Floats) -> str:
    """The SVG path of a line that leaves `start` level and arrives level at `end`, y up."""
    (x0, y0), (x1, y1) = start, end
    middle = 0.5 * (x0 + x1)
    return f"M{x0:.1f} {-y0:.1f}C{middle:.1f} {-y0:.1f} {middle:.1f} {-y1:.1f} {x1:.1f} {-y1:.1f}"


def filled(points: Floats, faces: Ints, values: Floats, *, seen: Seen = np.asarray) -> str:
    """The SVG path round all places of a triangulation where `values` (V,), linear on each face, are not negative.

    All faces run counter-clockwise in the plane of `points`; `seen` takes places there (n,2) into the picture.
    """
    if not len(faces) or values[faces].max() < 0.0:
        return ""
    levels = [0.0, max(float(values.max()), 0.0) + 1.0]
    axes, triangles = _plotted(points, faces)
    found = axes.tricontourf(triangles, values, levels=levels)
    return "".join(line(seen(ring), closed=True) for ring in _runs(found, closed=True)[0] if len(ring) > 3)


def level_lines(points: Floats, faces: Ints, values: Floats, *, levels: Iterable[float]) -> list[list[Floats]]:
    """For each rising level the lines (n,2) on which `values` (V,) have it."""
    axes, triangles = _plotted(points, faces)
    found = axes.tricontour(triangles, values, levels=list(levels))
    return _runs(found, closed=False)


def stretch_strokes(
    points: Floats, faces: Ints, fields: Fields, *, within: Floats | None = None, seen: Seen = np.asarray
) -> list[Stroke]:
    """The coloured bands of stretch and squeeze over a triangulation, and the hatched places beyond the limits.

    A place shows its stretch where that is the larger of the two, else its squeeze. Bands are laid over one
    another, each from its lower end upwards. Only places where `within` (V,) is not negative are painted; `seen` is
    as in `filled`.
    """
    lean = fields.stretch - fields.squeeze
    painted = [
        (f"band {kind}{k + 1}", np.minimum(field - low, sign * lean))
        for kind, field, sign, steps in (
            ("s", fields.stretch, 1.0, STRETCH_STEPS),
            ("q", fields.squeeze, -1.0, SQUEEZE_STEPS),
        )
        for k, low in enumerate(steps)
    ]
    strokes = []
    for kind, values in [*painted, ("beyond", fields.over)]:
        path = filled(points, faces, values if within is None else np.minimum(values, within), seen=seen)
        if path:
            strokes.append(Stroke(path, kind))
    return strokes


def _plotted(points: Floats, faces: Ints) -> tuple[Axes, Triangulation]:
    # Loaded where it is first needed: it takes as long as half of the rest, and only who draws needs it.
    from matplotlib.figure import Figure
    from matplotlib.tri import Triangulation

    return Figure().add_subplot(), Triangulation(points[:, 0], points[:, 1], triangles=faces)


def _runs(contours: ContourSet, *, closed: bool) -> list[list[Floats]]:
    """The point runs (n,2) of each level of a set of contours; those without length are left out."""
    levels = [[np.array(run, float) for run in path.to_polygons(closed_only=closed)] for path in contours.get_paths()]
    return [[run for run in level if len(run) > 1] for level in levels]
