"""Panels laid flat together, so that what is joined to one another is equally long, as far as the limits let it.

Each panel lies inside its limits already. The panels' distortion energies and barriers are summed by their areas, and
½ρ·(difference)² is added for each stretch of seam. A difference that the limits allow to vanish is then about λ/ρ,
with λ the force along the seam: as good as none. One that they do not is as small as they let it become, and no limit
is passed. So nothing has to be known beforehand about what can be met, and what is found is continuous in the limits.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Protocol

import numpy as np
from scipy.sparse import csr_array, hstack

from flatten.mesh.disk import check_disk
from flatten.mesh.gradient import Complexes, face_gradients
from flatten.mesh.surface import Floats
from flatten.tolerances import SEAM_MATCH
from flatten.unwrap.barrier import FREE, SHORTEST, forecast, local
from flatten.unwrap.bounds import Aim, Problem, clearances, merit, sides_of
from flatten.unwrap.dirichlet import FLIP_MARGIN, SUFFICIENT, distortion, flip_free_step
from flatten.unwrap.disk import UP, as_uv, spread
from flatten.unwrap.limits import CENTRED, FINEST_MU, SETTLED, STAGE_STEPS, allowed_excess
from flatten.unwrap.model import FlatPanel, Limits, UnwrapError
from flatten.unwrap.overlap import count_overlaps
from flatten.unwrap.place import FrontLine, front_line, upright
from flatten.unwrap.rows import map_of, mated_seams
from flatten.unwrap.system import MeshSystem

WIDEST = 200.0
"""How many times as strong as at last the barrier is at first. The panels come pressed against their limits; from
there the seams would drive single faces into a bound, which then shorten every further step."""

FAINT = 1e-6
"""Share of the seams' last weight in the first stage, which only takes the panels away from their limits."""

STAGE = 16.0
"""Factor by which the barrier's weight falls, or before that the seams' grows, from stage to stage."""

NEARLY = 2.0
"""Newton decrement, in units of the barrier's weight, that is enough for a stage on the way."""

WHOLE = 0.9
"""Share of a step from which on it counts as taken whole."""

CLOSER = 0.9
"""Share of a clearance that one step may use up."""

FORCES = 0.99
"""Share of a bound's force that one step may take away."""

EVEN = 0.01
"""mm. Stretches of seam that differ by less are left as they are: a twentieth of what a seam may differ by."""


@dataclass(frozen=True, eq=False)
class _Part:
    """One panel among those that are solved together: its share of their area, its last barrier weight."""

    problem: Problem
    turned: complex
    line: FrontLine
    excess: float
    share: float
    mu: float

    def aim(self, wider: float) -> Aim:
        """Its part in the sum, the barrier `wider` times as strong as at last."""
        return Aim(mu=self.share * self.mu * wider, isometry=self.share)


class Conditions(Protocol):
    """What is to vanish in the maps of P panels: K lengths, mm."""

    @property
    def count(self) -> int:
        """How many there are."""

    def differences(self, flats: Sequence[Complexes]) -> Floats:
        """The lengths (K,) that are to vanish."""

    def slopes(self, flats: Sequence[Complexes]) -> tuple[csr_array, ...]:
        """Their gradients (V,K) by each map."""


@dataclass(frozen=True, eq=False)
class _Whole:
    """All that is solved together."""

    parts: tuple[_Part, ...]
    wants: Conditions
    stiffness: float

    def merit(self, maps: Sequence[Complexes], wider: float) -> float:
        """What a step must lower; infinite outside the bounds."""
        inside = sum(merit(p.problem, z, p.excess, p.aim(wider)) for p, z in zip(self.parts, maps, strict=True))
        return inside + 0.5 * self.stiffness * float(np.sum(self.wants.differences(maps) ** 2))


@dataclass(frozen=True, eq=False)
class _State:
    """The maps (V,) and, but at first, the forces (2,2,F) of their bounds."""

    maps: list[Complexes]
    forces: Sequence[Floats | None]


@dataclass(frozen=True, eq=False)
class _Moved:
    """A step of all maps and forces, the decrease that it promises, and the share of it that the bounds may allow."""

    maps: list[Complexes]
    forces: list[Floats]
    promised: float
    reach: float


def seams_made_equal(
    flats: Sequence[FlatPanel], *, limits: Limits, insets: Mapping[str, float]
) -> tuple[FlatPanel, ...]:
    """The flat panels of one limb, both sides of each seam or dart in `insets` equally long where the limits allow it.

    The flats come from `flatten_panel` with the same limits. `insets` is how far from the boundary the holes run, mm,
    by the name of the seam or dart: along that line, over each stretch of about 30 mm, the sides are equally long
    within a small part of SEAM_MATCH, or as nearly as the limits allow. Panels without such a seam, or whose sides are
    equal already, stay as they are.

    Raises UnwrapError where a panel does not keep to the limits that it was laid flat by.
    """
    found = list(flats)
    for group in groups_of(flats, insets):
        chosen = [flats[i] for i in group]
        seams = mated_seams(chosen, insets)
        if np.abs(seams.differences([map_of(flat) for flat in chosen])).max(initial=0.0) <= EVEN:
            continue
        for i, flat in zip(group, solved_together(chosen, limits=limits, wants=seams), strict=True):
            found[i] = flat
    return tuple(found)


def groups_of(flats: Sequence[FlatPanel], insets: Mapping[str, float]) -> list[list[int]]:
    """The panels that seams of `insets` hold together, by their numbers; those without any are left out."""
    group = list(range(len(flats)))
    touched = set()
    for name in insets:
        on = [
            i for i, flat in enumerate(flats) if any(b.name == name and b.kind != "edge" for b in flat.panel.boundaries)
        ]
        touched.update(on)
        for i in on[1:]:
            old, new = group[i], group[on[0]]
            group = [new if number == old else number for number in group]
    return [[i for i in sorted(touched) if group[i] == number] for number in sorted({group[i] for i in touched})]


def solved_together(
    flats: Sequence[FlatPanel], *, limits: Limits, wants: Conditions, least: float = FINEST_MU
) -> tuple[FlatPanel, ...]:
    """The panels laid flat anew so that what `wants` tells vanishes as far as the limits let it, by stages.

    `least` is the distortion energy above 4 that it is worth at least, where the panels have less.

    Raises UnwrapError where a panel does not keep to the limits that it was laid flat by.
    """
    areas = [face_gradients(flat.panel.mesh).area for flat in flats]
    parts = tuple(_part(flat, limits, area / sum(areas)) for flat, area in zip(flats, areas, strict=True))
    energy = sum(p.share * max(flat.energy - 4, least) for p, flat in zip(parts, flats, strict=True))
    # A condition that is missed by SEAM_MATCH weighs half as much as all the distortion there is.
    whole = _Whole(parts, wants, energy / SEAM_MATCH**2)
    at = _State([map_of(flat) * part.turned for flat, part in zip(flats, parts, strict=True)], [None] * len(parts))
    steps, arrived = 0, True
    weight = 0.5 * whole.stiffness * float(np.sum(wants.differences(at.maps) ** 2))
    for wider, share in _stages(weight / energy):
        at, taken, arrived = _centred(replace(whole, stiffness=share * whole.stiffness), at, wider)
        steps += taken
        if not arrived:
            break
    return tuple(_laid(flat, part, z, steps, arrived) for flat, part, z in zip(flats, parts, at.maps, strict=True))


def _stages(strain: float) -> Iterator[tuple[float, float]]:
    """Strength of the barrier and share of the seams' weight, stage by stage.

    `strain` is what the seams weigh at first as a multiple of the distortion: they begin by weighing as much, and grow
    from stage to stage.
    """
    yield WIDEST, FAINT
    share = 1.0 / strain if strain > 1.0 else 1.0
    while share < 1.0:
        yield WIDEST, share
        share *= STAGE
    wider = WIDEST
    while wider > 1.0:
        yield wider, 1.0
        wider /= STAGE
    yield 1.0, 1.0


def _part(flat: FlatPanel, limits: Limits, share: float) -> _Part:
    mesh, line = flat.panel.mesh, front_line(flat.panel)
    gradients = face_gradients(mesh)
    turned = complex(np.exp(1j * (UP - flat.grain_angle)))
    turn = np.asarray(line.weights(len(flat.uv)) * 1j * (1j * turned), np.complex128)
    problem = Problem(gradients, MeshSystem(mesh, gradients, flat.uv), sides_of(limits), turn)
    excess = allowed_excess(flat.excess)
    if not clearances(problem, map_of(flat) * turned, excess).min() > 0:
        raise UnwrapError(f"panel '{flat.panel.name}' does not keep to the limits that it was laid flat by")
    return _Part(problem, turned, line, excess, share, SETTLED * max(flat.energy - 4, FINEST_MU))


def _laid(flat: FlatPanel, part: _Part, found: Complexes, steps: int, arrived: bool) -> FlatPanel:
    """The panel with its new map."""
    gradients, mesh = part.problem.gradients, flat.panel.mesh
    z = upright(found, part.line)
    return replace(
        flat,
        uv=as_uv(z),
        energy=4 + distortion(gradients, z),
        steps=flat.steps + steps,
        converged=flat.converged and arrived,
        spread=spread(gradients, z),
        overlaps=count_overlaps(z, check_disk(mesh)),
    )


def _centred(whole: _Whole, at: _State, wider: float) -> tuple[_State, int, bool]:
    """The centre of one stage, the steps taken, and whether it was reached; as for one panel alone.

    It is reached once a step promises little and the bounds would let it be whole. The model leaves out how a seam
    under force resists being bent. Where the merit takes less of a step for that, less is to be gained than promised.
    """
    near = CENTRED if wider == 1.0 else NEARLY
    weight = wider * sum(part.share * part.mu for part in whole.parts)
    for count in range(1, STAGE_STEPS + 1):
        step = _step(whole, at, wider)
        at, taken, inside = _take(whole, at, step, wider)
        if step.promised <= near * weight and inside >= WHOLE:
            return at, count, True
        if taken == 0.0:
            return at, count, False
    return at, STAGE_STEPS, False


def _step(whole: _Whole, at: _State, wider: float) -> _Moved:
    """The Newton step: each panel's own Hessian is factorised by itself, and the forces along seams found between them.

    With rows A of the differences d and one condition a panel that it does not turn, the system is [H Aᵀ; A −1/ρ];
    its Schur complement is as large as there are stretches and panels.
    """
    differences, rows = whole.wants.differences(at.maps), whole.wants.slopes(at.maps)
    size, turns = whole.wants.count, len(whole.parts)
    matrix, right = np.zeros((size + turns, size + turns)), np.zeros(size + turns)
    matrix[:size, :size] = np.eye(size) / whole.stiffness
    right[:size] = differences
    nears, solved, places = [], [], []
    for number, (part, z, force, own) in enumerate(zip(whole.parts, at.maps, at.forces, rows, strict=True)):
        near = local(part.problem, z, part.excess, part.aim(wider), force)
        touched = np.unique(own.indices)
        columns = csr_array(hstack([own[:, touched], csr_array(part.problem.turn[:, None])]))
        answers = near.factor.solve(np.concatenate([-near.slope[:, None], columns.toarray()], axis=1))
        place = np.append(touched, size + number)
        products = np.asarray(columns.conj().T @ answers).real
        matrix[np.ix_(place, place)] += products[:, 1:]
        right[place] += products[:, 0]
        nears.append(near)
        solved.append(answers)
        places.append(place)
    pulls = np.linalg.solve(matrix, right)
    steps = [answers[:, 0] - answers[:, 1:] @ pulls[place] for answers, place in zip(solved, places, strict=True)]
    slopes = [near.slope + whole.stiffness * (own @ differences) for near, own in zip(nears, rows, strict=True)]
    promised = -sum(float(np.sum((slope.conj() * step).real)) for slope, step in zip(slopes, steps, strict=True))
    forces, closing = [], 0.0
    for part, near, step in zip(whole.parts, nears, steps, strict=True):
        change = forecast(part.problem, near.scaled, step, 0.0)
        closing = max(closing, float(np.max(-change / near.clear)))
        aimed = part.aim(wider).mu * part.problem.weight
        move = aimed / near.clear - near.force * (1 + change / near.clear)
        forces.append(near.force + min(1.0, FORCES / float(np.max(-move / near.force, initial=FORCES))) * move)
    return _Moved(steps, forces, promised, CLOSER / closing if closing > CLOSER else 1.0)


def _take(whole: _Whole, at: _State, step: _Moved, wider: float) -> tuple[_State, float, float]:
    """Maps and forces after as much of the step as lowers the merit enough; that share, 0 where nothing does; and the
    share of it that the bounds let be taken.
    """
    free = min(
        flip_free_step(part.problem.gradients, z, d) for part, z, d in zip(whole.parts, at.maps, step.maps, strict=True)
    )
    length, inside = min(1.0, step.reach, FLIP_MARGIN * free), 0.0
    clear = [clearances(part.problem, z, part.excess) for part, z in zip(whole.parts, at.maps, strict=True)]
    now = whole.merit(at.maps, wider)
    while length > SHORTEST:
        moved = [z + length * d for z, d in zip(at.maps, step.maps, strict=True)]
        left = [clearances(part.problem, z, part.excess) for part, z in zip(whole.parts, moved, strict=True)]
        kept = all(np.all(new >= (1 - CLOSER) * old) for new, old in zip(left, clear, strict=True))
        inside = max(inside, length) if kept else inside
        if kept and whole.merit(moved, wider) <= now - SUFFICIENT * length * step.promised:
            barriers = [p.aim(wider).mu * p.problem.weight / room for p, room in zip(whole.parts, left, strict=True)]
            held = [np.clip(f, b / FREE, b * FREE) for f, b in zip(step.forces, barriers, strict=True)]
            return _State(moved, held), length, inside
        length *= 0.7
    return at, 0.0, inside
