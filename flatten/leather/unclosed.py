"""Where a sheet that hardly gives, such as paper, cannot lie on what it was laid flat from, in mm of its lines."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from flatten.leather.regions import region_index, regions_of
from flatten.limb.kind import LimbKind
from flatten.mesh.surface import Floats, Ints
from flatten.unwrap.model import FlatPanel

NOTICED = 1.0
"""mm by which a line must be too short or too long to be told: what tape and hands hide."""

RING_STEP, UPRIGHT_STEP = 5.0, np.radians(5.0)
"""mm and rad between the lines round the limb, and up it, that are measured."""

_BULGE = 3.0 / 8.0
"""A strip too long by e over a length L stands off by √(3/8 · e · L): an arc of height f over a chord L is longer than
it by 8f²/3L."""


@dataclass(frozen=True)
class Unclosed:
    """One region where a sheet cannot lie on the limb.

    Along the worst line there, "round" the limb or "up" it, the sheet is `short` mm too short (below 0: too long)
    beyond what it gives; too long, it stands off by `off` mm or folds.
    """

    side: str
    level: str
    way: Literal["round", "up"]
    short: float
    off: float


def unclosed(flat: FlatPanel, *, kind: LimbKind, gives: float) -> tuple[Unclosed, ...]:
    """The regions where a sheet that `gives` a share of its length either way cannot lie on the worn panel, the worst
    first: those with a line that is too short or too long by NOTICED or more.

    A line round the limb is the part of a ring of one height within a region, a line up it that of one bearing. On a
    surface that bends both ways some lines of every flat sheet have the wrong length.
    """
    panel = flat.panel
    faces = panel.mesh.faces
    span = (float(panel.heights.min()), float(panel.heights.max()))
    index = region_index(panel.heights[faces].mean(axis=1), panel.bearings[faces].mean(axis=1), span=span)
    lines = {
        "round": _lines(flat, index, panel.heights, RING_STEP, len(regions_of(kind))),
        "up": _lines(flat, index, panel.bearings, UPRIGHT_STEP, len(regions_of(kind))),
    }
    found = []
    for region, (side, level) in enumerate(regions_of(kind)):
        worst = max(
            (_misfit(way, worn[region], flat_[region], gives) for way, pair in lines.items() for worn, flat_ in pair),
            key=lambda each: abs(each[1]),
            default=("round", 0.0, 0.0),
        )
        if abs(worst[1]) >= NOTICED:
            found.append(Unclosed(side, level, *worst))
    return tuple(sorted(found, key=lambda each: -abs(each.short)))


def _misfit(way: str, worn: float, laid: float, gives: float) -> tuple[Literal["round", "up"], float, float]:
    """By how many mm a line of a sheet is too short (+) or too long (−), and how far it then stands off."""
    named: Literal["round", "up"] = "round" if way == "round" else "up"
    short, long = float(worn - (1.0 + gives) * laid), float((1.0 - gives) * laid - worn)
    if short > 0.0:
        return named, short, 0.0
    if long > 0.0:
        return named, -long, float(np.sqrt(_BULGE * long * worn))
    return named, 0.0, 0.0


def _lines(flat: FlatPanel, index: Ints, values: Floats, step: float, regions: int) -> list[tuple[Floats, Floats]]:
    """Of each level of `values` (V,), a `step` apart, the worn and the flat length of its line in each region.

    In a face the line is straight; its ends lie on the two sides that it crosses. `index` (F,) are the faces' regions.
    """
    faces, worn = flat.panel.mesh.faces, flat.panel.mesh.vertices
    count = int(np.ceil((values.max() - values.min()) / step))
    levels = values.min() + (np.arange(count) + 0.5) * (values.max() - values.min()) / count
    found = []
    for level in levels:
        above = values[faces] >= level
        crossed = above.any(axis=1) & ~above.all(axis=1)
        corners, over = faces[crossed], above[crossed]
        following = np.roll(corners, -1, axis=1)
        sides = over != np.roll(over, -1, axis=1)
        start, end = corners[sides], following[sides]
        share = ((level - values[start]) / (values[end] - values[start]))[:, None]
        lengths = [
            np.linalg.norm(np.diff((p[start] + share * (p[end] - p[start])).reshape(-1, 2, p.shape[1]), axis=1), axis=2)
            for p in (worn, flat.uv)
        ]
        of_region = index[crossed]
        worn_sum, flat_sum = (
            np.bincount(of_region, weights=own.ravel(), minlength=regions).astype(np.float64) for own in lengths
        )
        found.append((worn_sum, flat_sum))
    return found
