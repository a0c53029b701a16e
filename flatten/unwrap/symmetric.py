"""Symmetrical pieces laid flat as such: inside the limits, one outline for both halves."""

from __future__ import annotations

from collections.abc import Sequence

import igl
import numpy as np
from scipy.sparse.linalg import splu

from flatten.mesh.disk import check_disk
from flatten.mesh.gradient import (
    Complexes,
    FaceGradients,
    face_gradients,
    jacobian_determinants,
    singular_values,
    spread,
)
from flatten.mesh.surface import Flags, Floats, Mesh
from flatten.unwrap.bounds import Problem, bounds_of
from flatten.unwrap.dirichlet import IsometricResult, distortion, most_isometric
from flatten.unwrap.disk import UP, as_uv
from flatten.unwrap.initial import initial_parametrization
from flatten.unwrap.limits import TO_CUT, Accuracy, within_limits
from flatten.unwrap.mates import check_dart_moved
from flatten.unwrap.model import Attainable, FlatPanel, Limits, UnwrapError
from flatten.unwrap.overlap import count_overlaps
from flatten.unwrap.panel import plane_chart
from flatten.unwrap.place import front_line, upright
from flatten.unwrap.system import MeshSystem
from flatten.unwrap.ties import TiedSystem, Ties, ties_of
from flatten.worn.panel import Panel


def flatten_symmetric(
    panels: Sequence[Panel],
    boundaries: Sequence[tuple[int, int]],
    *,
    limits: Limits,
    grain_angle: float = UP,
    room: float = 0.0,
    known: Sequence[Attainable | None] = (None,),
    accuracy: Accuracy = TO_CUT,
) -> tuple[FlatPanel, ...]:
    """One panel laid flat with two equal halves, or two that are each other's mirror image, about x = 0.

    `boundaries` are pairs of sides that are mirror images, as `mated_boundaries` gives them. Among all maps whose
    outlines are so, what is found and how the limits, the grain, `room`, `known` and `accuracy` count is told with
    `flatten_panel`; `excess` and `allowed` are one for both panels. Places of the outline correspond by their share of
    the worn length from corner to corner.

    Raises DiskError where a panel's mesh is no disk, UnwrapError where no map without flipped faces is found or the
    limits leave no room at all.
    """
    to_grain = complex(np.exp(1j * (UP - grain_angle)))
    first = len(panels[0].mesh.vertices) if len(panels) == 2 else 0
    ties = ties_of(panels, boundaries, axis=1j * to_grain)
    mesh = _together([panel.mesh for panel in panels])
    gradients = face_gradients(mesh)
    free = [_free_map(panel) for panel in panels]
    start = _laid_on_axis(np.concatenate([one.flat for one in free]) * to_grain, ties, first=first)
    start, moves = _made_symmetrical(start, mesh, gradients, ties, panels)
    problem = Problem(
        gradients,
        TiedSystem(mesh, gradients, _folded(panels), ties, first=first),
        bounds_of(limits),
        _turn(panels, to_grain, ties),
        turns=len(panels) == 2,
    )
    areas = [face_gradients(panel.mesh).area for panel in panels]
    energy = float(np.average([one.distortion for one in free], weights=areas))
    had = [one for one in known if one is not None]
    held = within_limits(problem, start, energy, room=room, known=_worst(had), accuracy=accuracy)
    steps = held.steps + sum(one.steps for one in free)
    converged = held.converged and all(one.converged for one in free)
    parts = np.split(held.flat / to_grain, [first] if first else [])
    return tuple(
        _flat_panel(panel, z, grain_angle, held.attainable, held.allowed, steps, converged, moves)
        for panel, z in zip(panels, parts, strict=True)
    )


def _worst(known: Sequence[Attainable]) -> Attainable | None:
    """What is attainable for all of them, where anything is known."""
    return Attainable(max(k.excess for k in known), max(k.spread for k in known)) if known else None


def _flat_panel(
    panel: Panel,
    z: Complexes,
    grain_angle: float,
    attainable: Attainable,
    allowed: float,
    steps: int,
    converged: bool,
    halves: tuple[float, float],
) -> FlatPanel:
    gradients = face_gradients(panel.mesh)
    return FlatPanel(
        panel=panel,
        uv=as_uv(z),
        grain_angle=grain_angle,
        energy=4 + distortion(gradients, z),
        steps=steps,
        converged=converged,
        spread=spread(*singular_values(gradients, z)),
        spread_reachable=attainable.spread,
        excess=attainable.excess,
        allowed=allowed,
        overlaps=count_overlaps(z, check_disk(panel.mesh)),
        halves=halves,
    )


def _together(meshes: Sequence[Mesh]) -> Mesh:
    counts = np.cumsum([0, *(len(mesh.vertices) for mesh in meshes[:-1])])
    faces = [mesh.faces + count for mesh, count in zip(meshes, counts, strict=True)]
    return Mesh(np.concatenate([mesh.vertices for mesh in meshes]), np.concatenate(faces))


def _free_map(panel: Panel) -> IsometricResult:
    """The panel's most isometric map, upright."""
    boundary, gradients, chart = check_disk(panel.mesh), face_gradients(panel.mesh), plane_chart(panel)
    system = MeshSystem(panel.mesh, gradients, chart)
    start = initial_parametrization(panel.mesh, boundary, gradients, system, chart[:, 0] + 1j * chart[:, 1])
    found = most_isometric(gradients, system, start)
    return IsometricResult(upright(found.flat, front_line(panel)), found.distortion, found.steps, found.converged)


def _folded(panels: Sequence[Panel]) -> Floats:
    """Places (V,2) of vertices that lie near those which they are tied to: folded about the middle of a panel's
    bearings, or about the front."""
    middle = 0.0
    if len(panels) == 1:
        middle = 0.5 * (float(panels[0].bearings.min()) + float(panels[0].bearings.max()))
    found = []
    for panel in panels:
        chart = plane_chart(panel)
        scale = np.ptp(chart[:, 0]) / np.ptp(panel.bearings)
        off = panel.bearings - middle
        if len(panels) == 2:
            off = off - 2 * np.pi * np.round(off.mean() / (2 * np.pi))
        found.append(np.stack([np.abs(off) * scale, chart[:, 1]], axis=1))
    return np.concatenate(found)


def _turn(panels: Sequence[Panel], to_grain: complex, ties: Ties) -> Complexes:
    """The gradient (V,) of what must stay 0: how far a panel is shifted along the axis, or by how much more two lean
    to one side than to the other."""
    if len(panels) == 1:
        count = len(panels[0].mesh.vertices)
        return np.full(count, ties.axis / count)
    own = [front_line(panel).weights(len(panel.mesh.vertices)) * 1j * (1j * to_grain) for panel in panels]
    return np.concatenate([own[0], -own[1]])


def _laid_on_axis(flat: Complexes, ties: Ties, *, first: int) -> Complexes:
    """The maps (V,) laid so that the images of each tied place's sources lie best on it (plane Procrustes)."""
    places, images = flat[ties.tied], ties.images(flat)
    across = places - places.mean(), images - images.mean()
    turn = np.angle(np.vdot(across[0], across[1]))
    if first:
        # The second panel is turned and moved onto the first one's image.
        second = flat[first:] * np.exp(1j * turn)
        shift = images.mean() - places.mean() * np.exp(1j * turn)
        return np.concatenate([flat[:first], second + shift])
    # Turned by half, a map's image turns by half the other way, and both halves meet.
    turned = flat * np.exp(0.5j * turn)
    turned -= 0.5 * np.mean(turned[ties.tied] - ties.images(turned))
    # Only the shift along the axis is left open.
    return np.asarray(turned - ties.axis * np.mean((turned * np.conj(ties.axis)).real))


def _made_symmetrical(
    flat: Complexes, mesh: Mesh, gradients: FaceGradients, ties: Ties, panels: Sequence[Panel]
) -> tuple[Complexes, tuple[float, float]]:
    """The map (V,) with its boundary moved to the nearest symmetrical one, the move spread harmonically inside; and how
    far (mm) it was moved, at most and on average along the boundary.

    Raises UnwrapError where that would flip a face, or move a dart too far.
    """
    on = np.zeros(len(flat), dtype=bool)
    weights = np.zeros(len(flat))
    shift = 0
    for panel in panels:
        for boundary in panel.boundaries:
            line = shift + boundary.vertices
            on[line] = True
            length = 0.5 * np.abs(np.diff(flat[line]))
            weights[line[:-1]] += length
            weights[line[1:]] += length
        shift += len(panel.mesh.vertices)
    move = np.where(on, ties.nearest(flat) - flat, 0.0)
    shift = 0
    for panel in panels:
        for boundary in panel.boundaries:
            check_dart_moved(panel, boundary, float(np.abs(move[shift + boundary.vertices]).max()))
        shift += len(panel.mesh.vertices)
    moved = flat + harmonic(mesh, on, move)
    if jacobian_determinants(gradients, moved).min() <= 0.0:
        raise UnwrapError(
            f"the piece '{panels[0].name}' is too crooked to be made symmetrical: its leather would fold; leave it the "
            f"limb's own shape, or move its seam to the middle of the back"
        )
    steps = np.abs(move)
    return moved, (float(steps.max()), float(np.average(steps, weights=weights)))


def harmonic(mesh: Mesh, held: Flags, values: Complexes) -> Complexes:
    """The harmonic function (V,) on a mesh with the given values at the vertices `held` (V,)."""
    found = np.where(held, values, 0.0)
    if not held.all():
        inner = igl.cotmatrix(mesh.vertices, mesh.faces).tocsc()[~held]
        right = inner[:, held] @ np.stack([found[held].real, found[held].imag], axis=1)
        solved = splu(inner[:, ~held].tocsc()).solve(right)
        found[~held] = -(solved[:, 0] + 1j * solved[:, 1])
    return found
