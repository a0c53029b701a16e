"""Flat panels made symmetrical about a centre line, or mirror images of one another."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import igl
import numpy as np
from scipy.interpolate import CubicSpline
from scipy.sparse.linalg import splu

from flatten.mesh.gradient import face_gradients, jacobian_determinants, singular_values, spread
from flatten.mesh.surface import Floats
from flatten.pattern.isoline import isolines
from flatten.unwrap.dirichlet import distortion
from flatten.unwrap.mates import check_dart_moved, mated_boundaries, mates_of, side_bearing
from flatten.unwrap.model import FlatPanel, UnwrapError
from flatten.unwrap.overlap import count_overlaps

MIRROR = np.array([-1.0, 1.0])
"""What flat points are multiplied by to be mirrored about the centre line, x = 0."""

_SAMPLE = 2.0
"""mm. Step of the places along boundaries at which two halves are compared: below the edges of the finest mesh."""


@dataclass(frozen=True)
class Evened:
    """Panel number `panel` made the mirror image of panel number `mate`, which is itself where a piece has two halves.

    Each of `boundaries` is a boundary of the panel and that of the mate which is its mirror image. Both halves moved by
    at most `moved` mm, `mean` mm on average along the boundary, to meet half-way. A piece's centre line then lies up to
    `off` mm off the line at bearing `line` (rad) of the limb when worn, at `height`; 0 for a pair of panels.
    """

    panel: int
    mate: int
    boundaries: tuple[tuple[int, int], ...]
    moved: float
    mean: float
    off: float = 0.0
    line: float = 0.0
    height: float = 0.0


def evened(flats: Sequence[FlatPanel]) -> tuple[tuple[FlatPanel, ...], tuple[Evened, ...]]:
    """The flat panels of a limb, by rising bearing, made symmetrical about the limb's front, and what that took.

    A panel that lies across the front or the back gets two halves that are mirror images about x = 0, the line that
    fits both best (least squares over the boundary); two panels that lie to the two sides become each other's mirror
    image. Places correspond by their share of the arc length between corners, and meet half-way; inside a panel the
    move is spread harmonically. `spread`, `energy` and `overlaps` are told anew, what the solver reached is kept.
    Panels that were laid flat as symmetrical ones, and not changed since, stay as they are.

    Raises UnwrapError where seams or darts have no mirror image, or a panel is too crooked to be moved.
    """
    found = list(flats)
    entries = []
    for one, other in mates_of([flat.panel for flat in flats]):
        boundaries = mated_boundaries(flats[one].panel, flats[other].panel)
        halves = flats[one].halves
        if halves is not None and flats[other].halves is not None:
            entry = Evened(one, other, boundaries, *halves)
            entries.append(_with_line(entry, found[one]) if one == other else entry)
            continue
        if one == other:
            found[one] = _centred(found[one], boundaries)
        else:
            found[other] = _laid_against(found[one], found[other], boundaries)
        pair = (found[one],) if one == other else (found[one], found[other])
        back = tuple((image, own) for own, image in boundaries)
        moved = [_moved(flat, _ways(flat, pair[-1 - n], (boundaries, back)[n])) for n, flat in enumerate(pair)]
        found[one], found[other] = moved[0], moved[-1]
        steps, weights = _steps(pair, moved)
        entry = Evened(one, other, boundaries, float(steps.max()), float(steps @ weights / weights.sum()))
        entries.append(_with_line(entry, found[one]) if one == other else entry)
    return tuple(found), tuple(entries)


def halfway(line: Floats, mate: Floats, *, reverse: bool) -> Floats:
    """The points (n,2) of `line`, each moved half-way to the mirror image of `mate` (m,2) at its share of the length.

    `reverse` where the mate is gone along the other way. Two lines moved to one another lie on mirrored curves.
    """
    shares = _shares(line)
    return 0.5 * (line + MIRROR * _spline(mate)(1.0 - shares if reverse else shares))


def _shares(line: Floats) -> Floats:
    """Shares (n,) of a polyline's length at its points."""
    run = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(line, axis=0).T))])
    return run / run[-1]


def _spline(line: Floats) -> CubicSpline:
    return CubicSpline(_shares(line), line)


def _ways(flat: FlatPanel, mate: FlatPanel, boundaries: tuple[tuple[int, int], ...]) -> dict[int, Floats]:
    """How far (n,2) the vertices of each boundary of a panel move to meet their mirror image on the mate half-way.

    Raises UnwrapError where a dart moves too far.
    """
    ways = {}
    for k, m in boundaries:
        boundary = flat.panel.boundaries[k]
        own, image = flat.uv[boundary.vertices], mate.uv[mate.panel.boundaries[m].vertices]
        ways[k] = halfway(own, image, reverse=True) - own
        far = float(np.hypot(*ways[k].T).max())
        check_dart_moved(flat.panel, boundary, far)
    return ways


def _samples(flat: FlatPanel, mate: FlatPanel, boundaries: tuple[tuple[int, int], ...]) -> tuple[Floats, Floats]:
    """Places (n,2) along a panel's boundaries, evenly by length, and the mirrored places of its mate."""
    own, other = [], []
    for k, m in boundaries:
        line, image = flat.uv[flat.panel.boundaries[k].vertices], mate.uv[mate.panel.boundaries[m].vertices]
        longer = max(float(np.hypot(*np.diff(points, axis=0).T).sum()) for points in (line, image))
        count = max(2, int(np.ceil(longer / _SAMPLE)))
        share = (np.arange(count) + 0.5) / count
        own.append(_spline(line)(share))
        other.append(MIRROR * _spline(image)(1.0 - share))
    return np.concatenate(own), np.concatenate(other)


def _motion(from_points: Floats, to_points: Floats) -> tuple[float, Floats]:
    """The turn (rad) and then shift (2,) that lay points on others best, by least squares (plane Procrustes)."""
    p, q = (points[:, 0] + 1j * points[:, 1] for points in (from_points, to_points))
    turn = float(np.angle(np.vdot(p - p.mean(), q - q.mean())))
    shift = q.mean() - p.mean() * np.exp(1j * turn)
    return turn, np.array([shift.real, shift.imag])


def _turned(points: Floats, turn: float) -> Floats:
    cos, sin = np.cos(turn), np.sin(turn)
    return points @ np.array([[cos, sin], [-sin, cos]])


def _centred(flat: FlatPanel, boundaries: tuple[tuple[int, int], ...]) -> FlatPanel:
    """The panel laid so that the line about which it is nearly symmetrical is x = 0.

    Mirrored about x = 0 and then turned by a and shifted, it lies best on itself; that is a mirror about a line whose
    direction is a/2 off upright, so the panel is turned back by a/2, and what is left of the shift is square to x = 0.
    """
    own, image = _samples(flat, flat, boundaries)
    turn, _ = _motion(image, own)
    uv = _turned(flat.uv, -0.5 * turn)
    own, image = (_turned(own, -0.5 * turn), MIRROR * _turned(MIRROR * image, -0.5 * turn))
    return replace(flat, uv=uv - np.array([0.5 * float((own - image)[:, 0].mean()), 0.0]))


def _laid_against(flat: FlatPanel, mate: FlatPanel, boundaries: tuple[tuple[int, int], ...]) -> FlatPanel:
    """The mate laid so that its mirror image lies best on the panel."""
    own, image = _samples(flat, mate, boundaries)
    turn, shift = _motion(image, own)
    return replace(mate, uv=MIRROR * (_turned(MIRROR * mate.uv, turn) + shift))


def _moved(flat: FlatPanel, ways: dict[int, Floats]) -> FlatPanel:
    """The panel with its boundaries moved, by number, and the move spread harmonically inside.

    Raises UnwrapError where that would flip a face.
    """
    mesh = flat.panel.mesh
    move = np.zeros_like(flat.uv)
    held = np.zeros(len(move), dtype=bool)
    for k, way in ways.items():
        vertices = flat.panel.boundaries[k].vertices
        move[vertices], held[vertices] = way, True
    if not held.all():
        laplacian = igl.cotmatrix(mesh.vertices, mesh.faces).tocsc()
        inner = laplacian[~held]
        move[~held] = -splu(inner[:, ~held].tocsc()).solve(inner[:, held] @ move[held])
    uv = flat.uv + move
    gradients, plane = face_gradients(mesh), uv[:, 0] + 1j * uv[:, 1]
    flipped = np.flatnonzero(jacobian_determinants(gradients, plane) <= 0.0)
    if len(flipped):
        x, y = uv[mesh.faces[flipped[0]]].mean(axis=0)
        raise UnwrapError(
            f"the piece '{flat.panel.name}' is too crooked to be made symmetrical: near ({x:.0f}, {y:.0f}) mm its "
            f"leather would fold; leave it the limb's own shape, or move its seam to the middle of the back"
        )
    boundary = np.concatenate([one.vertices[:-1] for one in flat.panel.boundaries])
    return replace(
        flat,
        uv=uv,
        energy=4 + distortion(gradients, plane),
        spread=spread(*singular_values(gradients, plane)),
        overlaps=count_overlaps(plane, boundary),
    )


def _steps(before: Sequence[FlatPanel], after: Sequence[FlatPanel]) -> tuple[Floats, Floats]:
    """How far (n,) boundary vertices moved, mm, and the length (n,) of boundary that each stands for."""
    steps, weights = [], []
    for old, new in zip(before, after, strict=True):
        for boundary in old.panel.boundaries:
            line = old.uv[boundary.vertices]
            size = np.hypot(*np.diff(line, axis=0).T)
            steps.append(np.hypot(*(new.uv[boundary.vertices] - line).T))
            weights.append(0.5 * (np.append(size, 0.0) + np.append(0.0, size)))
    return np.concatenate(steps), np.concatenate(weights)


def _with_line(entry: Evened, flat: FlatPanel) -> Evened:
    """The entry with how far the centre line lies off the nearest of the limb's four lines, and where most."""
    panel = flat.panel
    line = 0.5 * np.pi * np.round(0.5 * (side_bearing(panel, "low") + side_bearing(panel, "high")) / (0.5 * np.pi))
    traced = isolines(flat.uv, panel.mesh.faces, panel.bearings, float(line))
    if not traced:
        return entry
    points = np.concatenate(traced)
    worst = points[int(np.argmax(np.abs(points[:, 0])))]
    nearest = int(np.argmin(np.hypot(*(flat.uv - worst).T)))
    return replace(entry, off=float(abs(worst[0])), line=float(line), height=float(panel.heights[nearest]))
