"""A flat panel's sides as smooth cut lines between its corners, and the closed outline that they make."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace

import numpy as np
import shapely

from flatten.mesh.surface import Floats, frozen
from flatten.pattern.curve import smooth_path
from flatten.pattern.model import Path, PatternError
from flatten.pattern.path import joined, length, mirrored_path, polyline, reversed_path
from flatten.tolerances import CUT_LINE
from flatten.unwrap.model import FlatPanel
from flatten.worn.panel import Boundary

FINE = 0.005
"""mm. Sagitta of the polylines that stand for cut lines where shapely measures: a twentieth of a cut line's own."""


@dataclass(frozen=True, eq=False)
class Side:
    """One side of a piece between two corners, counter-clockwise; names as in the panel's boundary.

    `upward` tells whether the path runs towards the body. `row` is the line, going up, that holes follow: the seam
    itself where leather runs past it (`on_seam`), else the side. `heights` (n,) rise along it, and `arcs` (n,) are its
    arc lengths there. `layer` is "upper" or "lower" where leather lies on leather.
    """

    name: str
    kind: str
    side: str
    upward: bool
    path: Path
    row: Path
    heights: Floats
    arcs: Floats
    on_seam: bool = False
    layer: str = ""

    def __post_init__(self) -> None:
        """Freeze the arrays."""
        object.__setattr__(self, "heights", frozen(self.heights))
        object.__setattr__(self, "arcs", frozen(self.arcs))


def wearers_uv(flat: FlatPanel, *, mirrored: bool) -> Floats:
    """The flat vertices (V,2) mm as the wearer's piece lies with its grain side up: x is negated where `mirrored`."""
    return flat.uv * np.array([-1.0 if mirrored else 1.0, 1.0])


def sides_of(flat: FlatPanel, *, mirrored: bool) -> tuple[Side, ...]:
    """The sides of a flat panel, counter-clockwise, each one smooth line within CUT_LINE of its boundary.

    Lines are smoothed before they are mirrored, so that a pair's two pieces are each other's exact mirror image.

    Raises PatternError where a boundary has no length or turns too sharply.
    """
    sides = tuple(side_along(flat, boundary) for boundary in flat.panel.boundaries)
    return turned_over(sides) if mirrored else sides


def turned_over(sides: tuple[Side, ...]) -> tuple[Side, ...]:
    """The sides of the piece turned over, counter-clockwise again."""
    return tuple(_mirror_image(side) for side in sides[::-1])


def side_along(flat: FlatPanel, boundary: Boundary, *, path: Path | None = None, row: Path | None = None) -> Side:
    """The side of a flat panel along a boundary; its `path` and its `row` going up are smoothed here where not given.

    Raises PatternError where the boundary has no length or turns too sharply.
    """
    heights = flat.panel.heights
    if path is None:
        path = smooth_path(flat.uv[boundary.vertices], CUT_LINE)
    upward = bool(heights[boundary.vertices[-1]] > heights[boundary.vertices[0]])
    on_seam = bool(boundary.line.size)
    if row is None or not on_seam:
        row = smooth_path(flat.uv[boundary.line], CUT_LINE) if on_seam else path if upward else reversed_path(path)
    chain = boundary.line if on_seam else boundary.vertices if upward else boundary.vertices[::-1]
    line = shapely.LineString(polyline(row, FINE))
    arcs = shapely.line_locate_point(line, shapely.points(flat.uv[chain]), normalized=True) * length(row)
    rising = np.maximum.accumulate(arcs)
    return Side(
        boundary.name, boundary.kind, boundary.side, upward, path, row, heights[chain], rising, on_seam, boundary.layer
    )


def _mirror_image(side: Side) -> Side:
    """The side of the piece turned over; it is gone along the other way, so that the piece stays counter-clockwise."""
    return replace(
        side, upward=not side.upward, path=reversed_path(mirrored_path(side.path)), row=mirrored_path(side.row)
    )


def outline_of(paths: tuple[Path, ...], name: str) -> Path:
    """The closed outline of the piece `name`, given its parts in turn. Raises PatternError where it crosses itself."""
    outline = joined(paths)
    shape = shape_of(outline)
    if not shape.is_valid:
        why = shapely.is_valid_reason(shape)
        found = re.search(r"\[(\S+) (\S+)\]", why)
        place = f" near ({float(found[1]):.0f}, {float(found[2]):.0f}) mm" if found else ""
        raise PatternError(
            f"the flat piece '{name}' overlaps itself{place}; it cannot be cut from one leather: "
            "move an edge away from there or add a seam"
        )
    if not shape.exterior.is_ccw:
        raise PatternError(f"the flat piece '{name}' is inside out; its panel's boundaries must run counter-clockwise")
    return outline


def shape_of(outline: Path) -> shapely.Polygon:
    """The shapely polygon of a closed path, within FINE mm."""
    return shapely.Polygon(polyline(outline, FINE))
