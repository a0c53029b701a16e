"""A flat panel's sides as smooth cut lines between its corners, and the closed outline that they make."""

from __future__ import annotations

import re
from dataclasses import dataclass

import numpy as np
import shapely

from flatten.mesh.surface import Floats
from flatten.pattern.curve import smooth_path
from flatten.pattern.model import Path, PatternError
from flatten.pattern.path import joined, polyline
from flatten.tolerances import CUT_LINE
from flatten.unwrap.model import FlatPanel

FINE = 0.005
"""mm. Sagitta of the polylines that stand for cut lines where shapely measures: a twentieth of a cut line's own."""


@dataclass(frozen=True, eq=False)
class Side:
    """One side of a piece between two corners, counter-clockwise; names as in the panel's border.

    `upward` tells whether the path runs from the bottom edge to the top edge.
    """

    name: str
    kind: str
    side: str
    upward: bool
    path: Path


def wearers_uv(flat: FlatPanel, *, mirrored: bool) -> Floats:
    """The flat vertices (V,2) mm as the wearer's piece lies with its grain side up: x is negated where `mirrored`."""
    return flat.uv * np.array([-1.0 if mirrored else 1.0, 1.0])


def sides_of(flat: FlatPanel, *, mirrored: bool) -> tuple[Side, ...]:
    """The sides of a flat panel, counter-clockwise, each one smooth line within CUT_LINE of its border.

    Raises PatternError where a border has no length or turns too sharply.
    """
    uv = wearers_uv(flat, mirrored=mirrored)
    step = -1 if mirrored else 1
    return tuple(
        Side(
            name=border.name,
            kind=border.kind,
            side=border.side,
            upward=(border.side == "high") != mirrored,
            path=smooth_path(uv[border.vertices[::step]], CUT_LINE),
        )
        for border in flat.panel.borders[::step]
    )


def outline_of(sides: tuple[Side, ...], name: str) -> Path:
    """The closed outline of the piece `name`. Raises PatternError where it crosses or touches itself."""
    outline = joined(tuple(side.path for side in sides))
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
        raise PatternError(f"the flat piece '{name}' is inside out; its panel's borders must run counter-clockwise")
    return outline


def shape_of(outline: Path) -> shapely.Polygon:
    """The shapely polygon of a closed path, within FINE mm."""
    return shapely.Polygon(polyline(outline, FINE))
