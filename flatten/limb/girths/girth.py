"""Girths of a limb surface: along the skin, and as a tape reads them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.spatial import ConvexHull

from flatten.limb.model import Limb, LimbError
from flatten.limb.surface.model import LimbSurface
from flatten.mesh.surface import Floats

TURN = 360
"""Points round a section: a circle of 120 mm girth is then short by 0.002 mm before its arcs are summed."""

EVERY = 25.0
"""mm. The girth table has a row at each multiple of this height."""


@dataclass(frozen=True)
class Girth:
    """The girths at one height, mm: `section` along the skin, `tape` over its hollows. `name` "" for a plain row."""

    name: str
    height: float
    section: float
    tape: float


def section_girth(surface: LimbSurface, height: float) -> float:
    """Length of the section across the limb's axis at `height`, along the skin, mm.

    Raises LimbError where the height lies outside the trusted range.
    """
    _check(surface, height)
    return float(_sections(surface, np.array([height]))[1].sum())


def tape_girth(surface: LimbSurface, height: float) -> float:
    """Perimeter of the section's convex hull at `height`, mm: what a tape measure reads, which spans hollows.

    Raises LimbError where the height lies outside the trusted range.
    """
    _check(surface, height)
    return float(tape_girths(surface, np.array([height]))[0])


def tape_girths(surface: LimbSurface, heights: Floats) -> Floats:
    """Tape girths (m,) at heights (m,), wherever the spline is defined."""
    return np.array([_tape(*section) for section in zip(*_sections(surface, np.asarray(heights, float)), strict=True)])


def girth_table(limb: Limb, surface: LimbSurface) -> tuple[Girth, ...]:
    """The girths at the limb's landmarks and at every multiple of 25 mm within the trusted range, by height."""
    low, high = surface.trusted
    named = [(mark.name, mark.height) for mark in limb.landmarks if low <= mark.height <= high]
    plain = [("", EVERY * step) for step in range(int(np.ceil(low / EVERY)), int(np.floor(high / EVERY)) + 1)]
    rows = sorted(named + plain, key=lambda row: (row[1], row[0]))
    return tuple(
        Girth(name, height, section_girth(surface, height), tape_girth(surface, height)) for name, height in rows
    )


def tape_height(limb: Limb, at: str | float) -> float:
    """The height, mm, of a tape entry: a landmark's name ("ankle", "widest") or a height itself.

    Raises LimbError where the limb has no landmark of that name.
    """
    return limb.height_of(at) if isinstance(at, str) else float(at)


def _check(surface: LimbSurface, height: float) -> None:
    low, high = surface.trusted
    if not low <= height <= high:
        raise LimbError(
            f"no girth can be told at height {height:.0f} mm: the scan carries the limb from {low:.0f} to {high:.0f} mm"
        )


def _sections(surface: LimbSurface, heights: Floats) -> tuple[Floats, Floats]:
    """Sections (m,TURN,2) at heights (m,), and the lengths (m,TURN) of their arcs by Simpson's rule.

    About a centre that is one point in a section, |dp/dbearing| = √(r² + (dr/dbearing)²).
    """
    bearing = np.arange(2 * TURN, dtype=np.float64) * (np.pi / TURN)
    radius, slope = surface.sections(heights, bearing)
    speed = np.hypot(radius, slope)
    arcs = (speed[:, 0::2] + 4 * speed[:, 1::2] + np.roll(speed[:, 0::2], -1, axis=1)) * (np.pi / TURN / 3)
    outward = np.stack([np.cos(bearing[::2]), np.sin(bearing[::2])], axis=1)
    return surface.centre_line(heights)[:, None] + radius[:, ::2, None] * outward, arcs


def _tape(points: Floats, arcs: Floats) -> float:
    ahead = np.roll(points, -1, axis=0) - points
    behind = np.roll(ahead, 1, axis=0)
    if (behind[:, 0] * ahead[:, 1] >= behind[:, 1] * ahead[:, 0]).all():
        # Convex all round: the tape lies on the skin.
        return float(arcs.sum())
    touched = np.sort(ConvexHull(points).vertices)
    following = np.roll(touched, -1)
    steps = np.mod(following - touched, TURN)
    spans = np.linalg.norm(points[following] - points[touched], axis=1)
    return float(np.where(steps == 1, arcs[touched], spans).sum())
