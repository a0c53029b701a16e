"""The straight lines on a flat panel that grow and that shrink most when it is worn."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import count

import numpy as np

from flatten.leather.aims import Aim, Found, Line, found_for
from flatten.leather.sighted import Lines, sighted_lines
from flatten.leather.tensors import beyond_aim, grain_places
from flatten.mesh.raster import rastered
from flatten.mesh.surface import Floats, Ints
from flatten.mesh.tracing import PlaneFaces, plane_faces, traced
from flatten.unwrap.model import FlatPanel

LINE = 20.0
"""mm. Straight lines of this length are what a maker can see grow: as long as a patch of 10 mm is wide."""

PIXELS = 3.0
"""Pixels on the side of a triangle of the panel's mean size, by which lines are sighted: with fewer, small faces are
passed over."""

FINEST, COARSEST = 1.0, 2.0
"""mm. Bounds of the pixels' size: a line has 20 to 10 samples."""

FIRST_STEP, LAST_STEP = 1.0, 0.03
"""mm. A line is moved by the first at the beginning and by the last at the end, and turned by as much at its ends."""

BEHIND = 0.002
"""Log-ratio. A line that lies this far behind the best when whole steps make neither worse is given up; when halves
do, half as far behind counts, and so on."""

ENOUGH = 1e-4
"""Log-ratio. No line is worse than the worst face: one within this of it, a hundredth of a per cent, is the worst."""

MOVES = 40
"""Ways in which a line is moved and turned at once, spread evenly over a sphere, other ones each time: the worst line
often lies in a corner of the leather, where few ways are left that stay on it."""


@dataclass(frozen=True, eq=False)
class _Ground:
    """Where lines are laid: the flat faces in the grain's frame, their tensors and their centres."""

    plane: PlaneFaces
    tensors: Floats
    centres: Floats


def worst_lines(flat: FlatPanel, tensors: Floats, aims: Iterable[Aim]) -> Found:
    """For each aim the worst straight line of LINE mm that lies on the leather.

    `tensors` (F,3) are those that `grain_tensors` gives. A line's worn length is the integral of √(dᵀCd) along it,
    exact from face to face. Lines are sighted all over the panel; those of the worst places are moved and turned until
    that makes them no worse. So what is told is the growth of a line that is there.

    Raises DiskError where the panel's faces do not meet two at an edge, wound alike.
    """
    mesh, grain = flat.panel.mesh, grain_places(flat)
    a, b, c = (grain[mesh.faces[:, k]] for k in range(3))
    ground = _Ground(plane_faces(mesh, grain), tensors, (a + b + c) / 3.0)
    doubled = float(np.mean((b - a)[:, 0] * (c - a)[:, 1] - (b - a)[:, 1] * (c - a)[:, 0]))
    pixel = float(np.clip(np.sqrt(2.0 / np.sqrt(3.0) * doubled) / PIXELS, FINEST, COARSEST))
    raster = rastered(grain, mesh.faces, pixel=pixel, margin=int(np.ceil(0.5 * LINE / pixel)))
    aims = tuple(aims)
    sighted = sighted_lines(raster, tensors, dict.fromkeys(aim.alike for aim in aims), length=LINE)
    worst = {aim: _worst(ground, lines, aim) for aim, lines in sighted.items()}
    return found_for(aims, {aim: line for aim, line in worst.items() if line is not None})


def _worst(ground: _Ground, lines: Lines, aim: Aim) -> Line | None:
    """The worst line that is reached from `lines` (N) by moving and turning them; None where all leave the leather."""
    enough = float(beyond_aim(ground.tensors, aim).max()) - ENOUGH
    middles, faces, angles = lines.middles.copy(), lines.faces.copy(), lines.angles.copy()
    values = np.full(len(angles), -np.inf)
    live, steps = np.arange(len(angles)), np.full(len(angles), FIRST_STEP)
    for turn in count():
        if not len(live) or values.max() >= enough:
            break
        tried = _tried(Lines(middles[live], faces[live], angles[live]), steps[live], _even_ways(MOVES, turn=turn))
        found, at = _beyond(ground, tried, aim)
        row, best = np.arange(len(live)), found.argmax(axis=1)
        worse = found[row, best] > values[live]
        kept, pick = live[worse], (row[worse], best[worse])
        middles[kept], faces[kept], angles[kept] = tried.middles[pick], at[pick], tried.angles[pick]
        values[kept] = found[pick]
        steps[live[~worse]] *= 0.5
        hope = values[live] >= values.max() - BEHIND * steps[live] / FIRST_STEP
        live = live[hope & (steps[live] >= LAST_STEP)]
    if not np.isfinite(values).any():
        return None
    worst = int(values.argmax())
    way = np.array([np.cos(angles[worst]), np.sin(angles[worst])])
    growth = float(aim.allowed(way) * np.exp(aim.sign * values[worst]))
    return Line(growth, float(values[worst]), int(faces[worst]))


def _tried(lines: Lines, steps: Floats, ways: Floats) -> Lines:
    """Each line (N) as it is and moved in each of the `ways` (M,3) by its own step (N,), mm: (N,M+1)."""
    moves = steps[:, None, None] * np.vstack([np.zeros(3), ways])
    return Lines(
        lines.middles[:, None] + moves[..., :2],
        np.broadcast_to(lines.faces[:, None], moves.shape[:2]),
        lines.angles[:, None] + moves[..., 2] / (0.5 * LINE),
    )


def _even_ways(number: int, *, turn: float) -> Floats:
    """Unit vectors (number,3) spread evenly over the sphere, on a spiral of golden angles that begins at `turn`."""
    steps = np.arange(number) + 0.5
    level, angle = 1.0 - 2.0 * steps / number, np.pi * (1.0 + np.sqrt(5.0)) * steps + turn
    radius = np.sqrt(1.0 - level**2)
    return np.stack([radius * np.cos(angle), radius * np.sin(angle), level], axis=1)


def _beyond(ground: _Ground, lines: Lines, aim: Aim) -> tuple[Floats, Ints]:
    """How far lines (N,M) lie beyond what is aimed at, as logarithms, −∞ for one that leaves the leather, and the faces
    that their middles lie on."""
    near, ways = lines.faces.ravel(), lines.ways.reshape(-1, 2)
    middles, centres = lines.middles.reshape(-1, 2), ground.centres[near]
    _, at = traced(ground.plane, near, centres, middles - centres, growth=ground.tensors)
    halves = 0.5 * LINE * np.concatenate([ways, -ways])
    lengths, ends = traced(ground.plane, np.tile(at, 2), np.tile(middles, (2, 1)), halves, growth=ground.tensors)
    whole = (at >= 0) & (ends.reshape(2, -1) >= 0).all(axis=0)
    growth = lengths.reshape(2, -1).sum(axis=0) / LINE
    beyond = np.full(len(near), -np.inf)
    beyond[whole] = aim.sign * (np.log(growth[whole]) - np.log(aim.allowed(ways[whole])))
    return beyond.reshape(lines.angles.shape), at.reshape(lines.angles.shape)
