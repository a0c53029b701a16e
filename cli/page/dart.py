"""Darts on the bench: one more where the maker points, one less, and the lines that they are drawn by on the limb."""

from __future__ import annotations

from typing import Any

import numpy as np

from cli.page.refusals import ordered
from flatten.errors import CalfskinError
from flatten.job.closings import DartSettings
from flatten.job.settings import Job
from flatten.limb.surface.model import LimbSurface
from flatten.mesh.surface import Floats
from flatten.worn.curves import Dart, Edge

LEAST_DEPTH = 15.0
"""mm that a dart is deep at least, as the job file wants it."""

DEEPEST = 0.4
"""Share of the leather's length there that a new dart takes at most: on a short piece the usual depth is too much."""

STEP = 2.0
"""mm between the points that a dart is drawn by, and within which its depth is known there."""


class DartError(CalfskinError, ValueError):
    """There is no such dart, or none can be there."""


def dart_added(job: Job, *, bearing: float, height: float, bottom: Edge, top: Edge) -> Job:
    """The job with one more dart, from the nearer edge at the bearing (degrees) that the maker points to.

    Raises DartError where the place is beyond the edges' reach: no leather is there.
    """
    turn = float(np.radians(bearing))
    low, high = float(bottom.height(turn)), float(top.height(turn))
    edge = "top" if high - height < height - low else "bottom"
    names = {*(one.name for one in job.seam), *(one.name for one in job.dart), *(one.name for one in job.plate)}
    word = DartSettings().name
    name = next(name for name in (word, *(f"{word} {n}" for n in range(2, len(names) + 3))) if name not in names)
    depth = min(DartSettings().depth, 5.0 * round(DEEPEST * (high - low) / 5.0))
    if depth < LEAST_DEPTH:
        raise DartError(f"the leather is only {high - low:.0f} mm long there: too short for a dart")
    dart = DartSettings(name=name, edge=edge, along=round(bearing % 360.0, 1), depth=depth)
    return _with_darts(job, (*job.dart, dart))


def dart_removed(job: Job, number: int) -> Job:
    """The job without a dart, counted from 0. Raises DartError where there is none of that number."""
    if not 0 <= number < len(job.dart):
        raise DartError(f"there is no dart {number + 1}")
    return _with_darts(job, (*job.dart[:number], *job.dart[number + 1 :]))


def dart_line(surface: LimbSurface, dart: Dart, edge: Edge) -> dict[str, Any]:
    """The line that a dart is drawn by, limb coordinates in mm: from the edge to its tip, and back where it is a slash
    that stays open; and its tip, by which it is moved."""
    inward = -1.0 if dart.edge == "top" else 1.0
    start = float(edge.height(dart.bearing))
    low, high = surface.trusted
    room = (start - low if inward < 0 else high - start) / STEP
    heights: Floats = start + inward * STEP * np.arange(max(2, int(room) + 1), dtype=float)
    run = np.append(0.0, np.cumsum(np.linalg.norm(np.diff(_at(surface, heights, dart.bearing), axis=0), axis=1)))
    tip = float(np.interp(dart.depth, run, heights))
    along = np.linspace(start, tip, max(2, int(dart.depth / STEP)))
    across = _at(surface, np.array([start, start]), np.array([dart.bearing, dart.bearing + 0.01]))
    turn = 0.5 * dart.opening * 0.01 / float(np.linalg.norm(across[1] - across[0]))
    shares = (along - tip) / (start - tip)
    sides = [_at(surface, along, dart.bearing - turn * shares)]
    if dart.opening:
        sides.append(_at(surface, along, dart.bearing + turn * shares)[::-1])
    points = np.vstack(sides)
    return {
        "name": dart.name,
        "edge": dart.edge,
        "start": start,
        "bearing": float(np.degrees(dart.bearing)),
        "height": tip,
        "points": np.round(points, 2).tolist(),
        "at": np.round(_at(surface, np.array([tip]), dart.bearing)[0], 2).tolist(),
    }


def _at(surface: LimbSurface, heights: Floats, bearings: Floats | float) -> Floats:
    inside = np.clip(heights, *surface.trusted)
    return surface.points(inside, np.broadcast_to(bearings, inside.shape))


def _with_darts(job: Job, darts: tuple[DartSettings, ...]) -> Job:
    return ordered(job.model_copy(update={"dart": darts}).model_dump(mode="json"))
