"""Where a flat panel's leather must give most when it is formed, and by how many mm over which length."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.spatial import cKDTree

from flatten.leather.model import Spot, StretchReport
from flatten.leather.regions import region_index, regions_of
from flatten.leather.tensors import grain_places, grain_tensors, patch_tensors
from flatten.mesh.surface import Floats
from flatten.mesh.tracing import PlaneFaces, plane_faces, traced
from flatten.unwrap.model import FlatPanel

NOTABLE = 0.01
"""Share of stretch or squeeze in a place's middle from which on it is told: 1 mm over a hand's breadth of leather. From
memory: less comes by itself."""

ABOUT = 40.0
"""mm on the flat piece within which a place's middle gives most, and from the line of one place to the middle of the
next at least: half of a hand's breadth, which forms it at once."""

MOST_PLACES = 3
"""Places of each sort that are told of a panel: what lies between them is formed on the way."""

LEVEL = 0.5
"""Share of the middle's stretch down to which leather beside it belongs to the same place."""

REACH = 60.0
"""mm to each side of its middle to which a place is told: as far as two hands beside each other work."""

DIRECTIONS = 24
"""Directions of half a turn in which a line is laid through a place, 7.5° apart: the best is missed by 4° at most, by
which it loses 0.5 % of its growth."""

STEP = 1.0
"""mm between the places along a line at which it is asked whether it still belongs to the place."""


@dataclass(frozen=True)
class Giving:
    """A place where the leather grows, or is squeezed, most of all about it.

    `spot` is its middle, with the stretch of the patch there, or of the line or piece of rim that gives most of all. A
    straight line of the flat leather through the middle belongs to the place as far as patches grow (are squeezed)
    along it by half of what the middle's does or more, within 60 mm to each side. Of all such lines the one is told
    that gives most: it `grows` by mm (negative: is squeezed) over `length` mm of flat leather, from `start` to `end`
    (mm, in the flat piece's uv). `up` is the share of the worn line that leads up the limb: 1 straight up, 0 round it.
    """

    spot: Spot
    grows: float
    length: float
    start: tuple[float, float]
    end: tuple[float, float]
    up: float


def places_that_give(flat: FlatPanel, report: StretchReport) -> tuple[Giving, ...]:
    """The places of a panel where its leather must give, in the order in which they are formed.

    `report` is what `stretch_report` tells of the panel. Places that grow come first, the most stretched first, then
    those that are squeezed, the most squeezed first.

    Raises DiskError where the panel's faces do not meet two at an edge, wound alike.
    """
    ground = _ground(flat, report)
    return (*_places(ground, 1), *_places(ground, -1))


@dataclass(frozen=True, eq=False)
class _Ground:
    """A flat panel in the grain's frame: its faces, their own tensors and those of their patches, and their centres."""

    flat: FlatPanel
    report: StretchReport
    plane: PlaneFaces
    tensors: Floats
    patches: Floats
    centres: Floats


def _ground(flat: FlatPanel, report: StretchReport) -> _Ground:
    grain = grain_places(flat)
    return _Ground(
        flat,
        report,
        plane_faces(flat.panel.mesh, grain),
        grain_tensors(flat),
        patch_tensors(flat),
        grain[flat.panel.mesh.faces].mean(axis=1),
    )


def _places(ground: _Ground, sign: int) -> list[Giving]:
    """The places that grow (`sign` 1) or are squeezed (−1), the one that gives most first."""
    report = ground.report
    patch = report.patch.greatest - 1.0 if sign > 0 else 1.0 - report.patch.least
    worst = report.most if sign > 0 else report.least
    gives = patch.copy()
    # Where a line or a piece of rim asks for more than any patch, what is told of the whole piece is told of its place.
    gives[worst.face] = sign * (worst.stretch - 1.0)
    found: list[Giving] = []
    for face in _middles(ground, gives):
        middle = ground.flat.uv[ground.flat.panel.mesh.faces[face]].mean(axis=0)
        if any(_off_line(middle, told) < ABOUT for told in found):
            continue
        level, stretch = LEVEL * float(patch[face]), 1.0 + sign * float(gives[face])
        place = _along_best_line(ground, face, sign, level=level, stretch=stretch)
        found += [] if place is None else [place]
        if len(found) == MOST_PLACES:
            break
    return found


def _middles(ground: _Ground, gives: Floats) -> list[int]:
    """The faces that give most within ABOUT of themselves, and notably, the one that gives most first."""
    beside = ground.plane.beyond
    around = np.where(beside >= 0, gives[np.maximum(beside, 0)], -np.inf).max(axis=1)
    tops = np.flatnonzero((gives >= NOTABLE) & (gives >= around))
    tree = cKDTree(ground.centres)
    return [
        top
        for top in tops[np.argsort(-gives[tops], kind="stable")].tolist()
        if gives[tree.query_ball_point(ground.centres[top], ABOUT)].max() <= gives[top]
    ]


def _off_line(place: Floats, told: Giving) -> float:
    """How far (mm) a place of the flat piece lies off the line of a place that is told."""
    start, end = np.array(told.start), np.array(told.end)
    along = end - start
    share = np.clip((place - start) @ along / (along @ along), 0.0, 1.0)
    return float(np.linalg.norm(place - start - share * along))


def _along_best_line(ground: _Ground, face: int, sign: int, *, level: float, stretch: float) -> Giving | None:
    """The place about a face, told along the line through its centre that gives most; None where the leather about it
    is so narrow that no line of 1 mm lies on it."""
    angles = np.arange(DIRECTIONS) * (np.pi / DIRECTIONS)
    ways = np.stack([np.cos(angles), np.sin(angles)], axis=1)
    reaches = np.stack([_reach(ground, face, hand * ways, sign=sign, level=level) for hand in (-1.0, 1.0)])
    middle = ground.centres[face]
    starts, steps = (
        np.tile(middle, (2 * DIRECTIONS, 1)),
        np.concatenate([-reaches[0][:, None] * ways, reaches[1][:, None] * ways]),
    )
    lengths, ends = traced(ground.plane, np.full(len(starts), face), starts, steps, growth=ground.tensors)
    flat = reaches.sum(axis=0)
    grows = lengths.reshape(2, -1).sum(axis=0) - flat
    best = int(np.argmax(sign * grows))
    if not sign * grows[best] > 0.0:
        return None
    ends = ends.reshape(2, -1)[:, best]
    cos, sin = np.cos(ground.flat.grain_angle), np.sin(ground.flat.grain_angle)
    line = np.stack([middle - reaches[0][best] * ways[best], middle + reaches[1][best] * ways[best]])
    uv = line @ np.array([[cos, sin], [-sin, cos]])
    heights = ground.flat.panel.heights[ground.flat.panel.mesh.faces[ends]].mean(axis=1)
    length = float(flat[best])
    return Giving(
        _spot(ground, face, stretch),
        float(grows[best]),
        length,
        (float(uv[0, 0]), float(uv[0, 1])),
        (float(uv[1, 0]), float(uv[1, 1])),
        float(min(abs(heights[1] - heights[0]) / (length + float(grows[best])), 1.0)),
    )


def _reach(ground: _Ground, face: int, ways: Floats, *, sign: int, level: float) -> Floats:
    """How far (n,) mm, of REACH at most, patches give by `level` or more along lines from a face's centre (n,2)."""
    centre = ground.centres[face]
    places = np.arange(STEP, REACH + 0.5 * STEP, STEP)
    steps = (places[:, None, None] * ways).reshape(-1, 2)
    starts, faces = np.tile(centre, (len(steps), 1)), np.full(len(steps), face)
    _, at = traced(ground.plane, faces, starts, steps, growth=ground.tensors)
    along, across, both = ground.patches[at].T
    x, y = np.tile(ways, (len(places), 1)).T
    own = np.sqrt(along * x**2 + across * y**2 + 2.0 * both * x * y) - 1.0
    goes = ((at >= 0) & (sign * own >= level)).reshape(len(places), -1)
    return STEP * np.logical_and.accumulate(goes, axis=0).sum(axis=0)


def _spot(ground: _Ground, face: int, stretch: float) -> Spot:
    panel = ground.flat.panel
    corners = panel.mesh.faces[face]
    height, bearing = float(panel.heights[corners].mean()), float(panel.bearings[corners].mean())
    span = (float(panel.heights.min()), float(panel.heights.max()))
    number = int(region_index(np.array([height]), np.array([bearing]), span=span)[0])
    return Spot(stretch, face, height, bearing, *regions_of(ground.report.kind)[number])
