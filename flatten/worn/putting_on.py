"""Putting a piece on: how far its openings open, what the limb needs of them, and what then holds it up."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from flatten.limb.surface.model import LimbSurface
from flatten.mesh.surface import Floats
from flatten.worn.curves import OPENING_KINDS, Edge, Seam
from flatten.worn.neutral import Wear
from flatten.worn.panel import SeamCutError

HARD_STRAIN = 0.01
"""Share by which the face of hardened leather may stretch when it is bent open, and spring back. From memory: dry
leather takes 1 to 3 %, and a hardened shell gives little."""

SECTIONS = 25
"""Heights between the edges at which the opening is looked at: about every 12 mm on a shin guard."""

GREATEST_GAP = 200.0
"""mm. No wider lacing gap is asked for: beyond it the piece is a plate with straps."""

_TURN = 720


@dataclass(frozen=True)
class PuttingOn:
    """How a piece goes on.

    `way` is "apart" (it comes apart in several pieces), "bends" (soft leather bends open as far as wanted), "springs"
    (a hardened shell springs open far enough), "too stiff" (it does not), "closed" (no seam opens). `height` is the
    tightest place, where the shell opens to `opens` mm and the limb in its padding is `needs` mm wide. `gap` is the
    least lacing gap (mm) with which it would go on, None where none up to GREATEST_GAP does or none is needed.
    """

    way: str
    height: float
    opens: float
    needs: float
    gap: float | None


def putting_on(
    surface: LimbSurface, *, bottom: Edge, top: Edge, seams: Sequence[Seam], wear: Wear, hardened: bool
) -> PuttingOn:
    """How the pieces between `seams` go on the limb; `surface` is the neutral surface that they lie on.

    With two or more seams that open they come apart. With one, soft leather bends open; a hardened shell is pushed
    on sideways: its opening must become as wide as the limb in its padding, and an overlap takes as much off it. It is
    taken as a bow of leather pulled open at its ends, whose bending moment grows with the distance from the line of
    pull; so the place across from the opening bends most, and is bent until its faces stretch by HARD_STRAIN.

    Raises CutError where the edges leave no height between them.
    """
    opening = [seam for seam in seams if seam.kind in OPENING_KINDS]
    if len(opening) != 1 or not hardened:
        way = "closed" if not opening else "bends" if len(opening) == 1 else "apart"
        return PuttingOn(way, 0.0, 0.0, 0.0, None)
    (seam,) = opening
    low, high = _heights(seam, bottom, top)
    sections = [_Section.of(surface, seam, height, wear) for height in np.linspace(low, high, SECTIONS)]
    lacks = [section.needs - section.opens(seam, wear.thickness) for section in sections]
    worst = sections[int(np.argmax(lacks))]
    opens = worst.opens(seam, wear.thickness)
    if max(lacks) <= 0.0:
        return PuttingOn("springs", worst.height, opens, worst.needs, None)
    return PuttingOn("too stiff", worst.height, opens, worst.needs, _wider(sections, seam, wear.thickness))


def opened_chord(points: Floats, *, gap: float, bend: float) -> float:
    """Width (mm) to which the gap of a bow of leather opens when its ends are pulled apart.

    `points` (n,2) are its section, closed and nearly evenly spaced, with the middle of the gap at the first point;
    `gap` is cut out there, along the section. `bend` (1/mm) is the change of curvature at the place farthest from
    the line of pull through both ends; elsewhere it is smaller by the distance from that line. Linear elastic,
    with the lever of the unbent shape.

    Raises CutError where the gap leaves no bow.
    """
    around = np.vstack([points, points[:1]])
    run = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(around, axis=0), axis=1))])
    if not 0.0 <= gap < run[-1]:
        raise SeamCutError(f"a gap of {gap:.0f} mm leaves nothing of a section {run[-1]:.0f} mm round")
    place = np.linspace(0.5 * gap, run[-1] - 0.5 * gap, len(points))
    bow = np.column_stack([np.interp(place, run, around[:, k]) for k in (0, 1)])
    edge = np.diff(bow, axis=0)
    middle = 0.5 * (bow[1:] + bow[:-1])
    along = bow[-1] - bow[0]
    size = float(np.hypot(*along))
    # A slit has no line between its ends: it is pulled along the section's own direction there.
    along = along / size if size > 0.0 else edge[0] / np.hypot(*edge[0])
    lever = np.abs((middle - bow[0]) @ np.array([-along[1], along[0]]))
    length = np.hypot(*edge.T)
    turning = np.cumsum(bend * lever / lever.max() * length)
    heading = np.arctan2(edge[:, 1], edge[:, 0])
    # Opening takes curvature away, whichever way round the section was given.
    way = np.sign(np.sum(bow[:-1, 0] * bow[1:, 1] - bow[1:, 0] * bow[:-1, 1]))
    step = length[:, None] * np.column_stack([np.cos(heading - way * turning), np.sin(heading - way * turning)])
    return float(np.hypot(*step.sum(axis=0)))


@dataclass(frozen=True, eq=False)
class _Section:
    """The neutral section (n,2) at a height, from the seam round, and the width that the limb needs there, mm."""

    height: float
    points: Floats
    needs: float

    @classmethod
    def of(cls, surface: LimbSurface, seam: Seam, height: float, wear: Wear) -> _Section:
        bearing = float(seam.bearing(height)) + 2 * np.pi * np.arange(_TURN) / _TURN
        points = surface.points(np.full(_TURN, height), bearing)[:, :2]
        centre = surface.centre_line(height)
        towards = points[0] - centre
        across = np.array([-towards[1], towards[0]]) / np.hypot(*towards)
        spread = points @ across
        worn_off = 2 * (wear.neutral * wear.thickness + wear.lining)
        inside = (wear.ease + float(wear.flexed.girth(height))) / np.pi + worn_off
        return cls(height, points, float(spread.max() - spread.min()) - inside)

    def opens(self, seam: Seam, thickness: float, *, gap: float | None = None) -> float:
        """Clear width (mm) of the opening of a hardened shell of this section, with another `gap` than the seam's."""
        wide = seam.gap if gap is None else gap
        return opened_chord(self.points, gap=wide, bend=2.0 * HARD_STRAIN / thickness) - seam.overlap


def _wider(sections: Sequence[_Section], seam: Seam, thickness: float) -> float | None:
    """The least gap, in whole 5 mm, with which every section opens far enough; a seam that overlaps has none."""
    if seam.overlap:
        return None
    for wide in np.arange(5.0 * np.ceil((seam.gap + 1.0) / 5.0), GREATEST_GAP + 1.0, 5.0):
        if all(section.opens(seam, thickness, gap=float(wide)) >= section.needs for section in sections):
            return float(wide)
    return None


def _heights(seam: Seam, bottom: Edge, top: Edge) -> tuple[float, float]:
    """Heights at which the seam's opening begins and ends: where it meets the edges, within a millimetre."""
    around = np.linspace(0.0, 2 * np.pi, 181)
    reach = np.arange(float(bottom.height(around).min()), float(top.height(around).max()) + 1.0, 1.0)
    bearing = seam.bearing(reach)
    open_at = reach[(reach >= bottom.height(bearing)) & (reach <= top.height(bearing))]
    if not len(open_at):
        raise SeamCutError(f"seam '{seam.name}' has no height between the edges; draw the edges further apart")
    return float(open_at[0]), float(open_at[-1])
