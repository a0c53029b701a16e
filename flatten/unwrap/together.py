"""Panels laid flat together, so that what is joined to one another is equally long, as far as the limits let it.

Each panel lies inside its limits already. The panels' distortions and barriers are summed by their areas, and a penalty
½ρ·(residual)² is added for each stretch of seam. A residual that the limits allow to vanish is then about λ/ρ, with λ
the force along the seam: as good as none. One that they do not is as small as they let it become, and no limit is
passed. So nothing has to be known beforehand about what can be met, and what is found is continuous in the limits.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Protocol

import numpy as np
from scipy.sparse import csr_array, hstack

from flatten.mesh.disk import check_disk
from flatten.mesh.gradient import Complexes, face_gradients, singular_values, spread
from flatten.mesh.graph import components
from flatten.mesh.surface import Floats
from flatten.tolerances import SEAM_MATCH
from flatten.unwrap.barrier import MULTIPLIER_RANGE, SHORTEST_STEP, local_model, slack_change
from flatten.unwrap.bounds import Objective, Problem, bounds_of, merit, slacks
from flatten.unwrap.dirichlet import FLIP_MARGIN, SUFFICIENT, distortion, flip_free_step
from flatten.unwrap.disk import UP, as_uv
from flatten.unwrap.limits import CENTRED, FINEST_MU, LAST_MU_ISOMETRIC, NEARLY, STAGE_STEPS, WHOLE
from flatten.unwrap.model import FlatPanel, Limits, UnwrapError
from flatten.unwrap.overlap import count_overlaps
from flatten.unwrap.place import FrontLine, front_line, upright
from flatten.unwrap.rows import Seams, map_of, mated_seams
from flatten.unwrap.system import MeshSystem

FIRST_BARRIER = 200.0
"""How many times as strong as at last the barrier is at first. The panels come pressed against their limits; from
there the seams would drive single faces into a bound, which then shorten every further step."""

FIRST_PENALTY = 1e-6
"""Share of the seams' last penalty in the first stage, which only takes the panels away from their limits."""

STAGE = 16.0
"""Factor by which the barrier falls, or before that the seams' penalty grows, from stage to stage."""

SLACK_SHARE = 0.9
"""Share of a slack that one step may use up."""

MULTIPLIER_SHARE = 0.99
"""Share of a multiplier that one step may take away."""

MET = 0.25 * SEAM_MATCH
"""mm. Stretches of seam that differ by no more have met; the penalty leaves them much less."""

HALVINGS = 3
"""How often the share of their room that panels give up so that seams meet is halved in on: to an eighth of it."""

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

    def objective(self, barrier: float) -> Objective:
        """Its part in the sum, the barrier so many times as strong as at last."""
        return Objective(mu=self.share * self.mu * barrier, isometry=self.share)


class Constraints(Protocol):
    """What is to vanish in the maps of P panels: K lengths, mm."""

    @property
    def count(self) -> int:
        """How many there are."""

    def residuals(self, flats: Sequence[Complexes]) -> Floats:
        """The lengths (K,) that are to vanish."""

    def jacobians(self, flats: Sequence[Complexes]) -> tuple[csr_array, ...]:
        """Their gradients (V,K) by each map."""


@dataclass(frozen=True, eq=False)
class _Whole:
    """All that is solved together: the panels, and the constraints with their penalty ρ."""

    parts: tuple[_Part, ...]
    constraints: Constraints
    penalty: float

    def penalised(self, maps: Sequence[Complexes]) -> float:
        """What the residuals weigh."""
        return 0.5 * self.penalty * float(np.sum(self.constraints.residuals(maps) ** 2))

    def merit(self, maps: Sequence[Complexes], barrier: float) -> float:
        """What a step must lower; infinite outside the bounds."""
        inside = sum(merit(p.problem, z, p.excess, p.objective(barrier)) for p, z in zip(self.parts, maps, strict=True))
        return inside + self.penalised(maps)


@dataclass(frozen=True, eq=False)
class _Iterate:
    """The maps (V,) and, but at first, the multipliers (2,2,F) of their bounds."""

    maps: list[Complexes]
    multipliers: Sequence[Floats | None]


@dataclass(frozen=True, eq=False)
class _Step:
    """Steps of all maps and new multipliers, the predicted decrease, and the share that the bounds may allow."""

    maps: list[Complexes]
    multipliers: list[Floats]
    predicted_decrease: float
    maximum_step: float


def seams_made_equal(
    flats: Sequence[FlatPanel], *, limits: Limits, insets: Mapping[str, float]
) -> tuple[FlatPanel, ...]:
    """The flat panels of one limb, both sides of each seam or dart in `insets` equally long where the limits allow it.

    The flats come from `flatten_panel` with the same limits. `insets` is how far from the boundary the holes run, mm,
    by the name of the seam or dart: along that line, over each stretch of about 30 mm, the sides are equally long
    within a small part of SEAM_MATCH, or as nearly as the limits allow. Panels without such a seam, or whose sides are
    equal already, stay as they are. Where seams cannot meet in limits that were shifted inwards to leave room, all
    panels joined give up the least share of it with which they do: a seam that does not meet is no piece, with whatever
    room.

    Raises UnwrapError where a panel does not keep to the limits that it was laid flat by, DiskError where its mesh is
    no disk.
    """
    found = list(flats)
    for group in groups_of(flats, insets):
        chosen = [flats[i] for i in group]
        seams = mated_seams(chosen, insets)
        if np.abs(seams.residuals([map_of(flat) for flat in chosen])).max(initial=0.0) <= EVEN:
            continue
        for i, flat in zip(group, _with_least_given_up(chosen, limits, seams), strict=True):
            found[i] = flat
    return tuple(found)


def _with_least_given_up(flats: Sequence[FlatPanel], limits: Limits, seams: Seams) -> tuple[FlatPanel, ...]:
    """The panels with their seams equal, of the room that they leave no more given up than that takes."""

    def solved(share: float) -> tuple[tuple[FlatPanel, ...], float]:
        made = solved_together(with_room_given_up(flats, share), limits=limits, constraints=seams)
        return made, float(np.abs(seams.residuals([map_of(flat) for flat in made])).max())

    kept, held_apart = solved(0.0)
    if held_apart <= MET or all(flat.allowed >= 0.0 for flat in flats):
        return kept
    best, apart = solved(1.0)
    # What cannot meet at all comes as near as it can.
    enough, low, high = max(MET, apart + EVEN), 0.0, 1.0
    if held_apart <= enough:
        return kept
    for _ in range(HALVINGS):
        middle = 0.5 * (low + high)
        tried, apart = solved(middle)
        if apart <= enough:
            best, high = tried, middle
        else:
            low = middle
    return best


def with_room_given_up(flats: Sequence[FlatPanel], share: float) -> tuple[FlatPanel, ...]:
    """The flat panels, held no more to a share of the room that they leave to their limits."""
    return tuple(replace(flat, allowed=(1.0 - share) * flat.allowed) if flat.allowed < 0.0 else flat for flat in flats)


def groups_of(flats: Sequence[FlatPanel], insets: Mapping[str, float]) -> list[list[int]]:
    """The panels that seams of `insets` hold together, by their numbers; those without any are left out."""
    edges, touched = [], set()
    for name in insets:
        on = [
            i for i, flat in enumerate(flats) if any(b.name == name and b.kind != "edge" for b in flat.panel.boundaries)
        ]
        touched.update(on)
        edges += list(pairwise(on))
    group = components(np.array(edges, dtype=np.int64).reshape(-1, 2), len(flats))
    return [[i for i in sorted(touched) if group[i] == number] for number in sorted({group[i] for i in touched})]


def solved_together(
    flats: Sequence[FlatPanel], *, limits: Limits, constraints: Constraints, least: float = FINEST_MU
) -> tuple[FlatPanel, ...]:
    """The panels laid flat anew so that the constraints hold as far as the limits let them, by stages.

    `least` is the distortion that it is worth at least, where the panels have less.

    Raises UnwrapError where a panel does not keep to the limits that it was laid flat by, DiskError where its mesh is
    no disk.
    """
    areas = [face_gradients(flat.panel.mesh).area for flat in flats]
    parts = tuple(_part(flat, limits, area / sum(areas)) for flat, area in zip(flats, areas, strict=True))
    distortion = sum(p.share * max(flat.energy - 4, least) for p, flat in zip(parts, flats, strict=True))
    # A constraint that is missed by SEAM_MATCH weighs half as much as all the distortion there is.
    whole = _Whole(parts, constraints, distortion / SEAM_MATCH**2)
    at = _Iterate([map_of(flat) * part.turned for flat, part in zip(flats, parts, strict=True)], [None] * len(parts))
    steps, converged = 0, True
    for barrier, share in _stages(whole.penalised(at.maps) / distortion):
        at, taken, converged = _centred(replace(whole, penalty=share * whole.penalty), at, barrier)
        steps += taken
        if not converged:
            break
    return tuple(_laid(flat, part, z, steps, converged) for flat, part, z in zip(flats, parts, at.maps, strict=True))


def _stages(strain: float) -> Iterator[tuple[float, float]]:
    """Strength of the barrier and share of the seams' penalty, stage by stage.

    `strain` is what the seams weigh at first as a multiple of the distortion: they begin by weighing as much, and grow
    from stage to stage.
    """
    yield FIRST_BARRIER, FIRST_PENALTY
    share = 1.0 / strain if strain > 1.0 else 1.0
    while share < 1.0:
        yield FIRST_BARRIER, share
        share *= STAGE
    barrier = FIRST_BARRIER
    while barrier > 1.0:
        yield barrier, 1.0
        barrier /= STAGE
    yield 1.0, 1.0


def _part(flat: FlatPanel, limits: Limits, share: float) -> _Part:
    mesh, line = flat.panel.mesh, front_line(flat.panel)
    gradients = face_gradients(mesh)
    turned = complex(np.exp(1j * (UP - flat.grain_angle)))
    turn = np.asarray(line.weights(len(flat.uv)) * 1j * (1j * turned), np.complex128)
    problem = Problem(gradients, MeshSystem(mesh, gradients, flat.uv), bounds_of(limits), turn)
    if not slacks(problem, map_of(flat) * turned, flat.allowed).min() > 0:
        raise UnwrapError(f"panel '{flat.panel.name}' does not keep to the limits that it was laid flat by")
    return _Part(problem, turned, line, flat.allowed, share, LAST_MU_ISOMETRIC * max(flat.energy - 4, FINEST_MU))


def _laid(flat: FlatPanel, part: _Part, found: Complexes, steps: int, converged: bool) -> FlatPanel:
    """The panel with its new map."""
    gradients, mesh = part.problem.gradients, flat.panel.mesh
    z = upright(found, part.line)
    return replace(
        flat,
        uv=as_uv(z),
        energy=4 + distortion(gradients, z),
        steps=flat.steps + steps,
        converged=flat.converged and converged,
        spread=spread(*singular_values(gradients, z)),
        overlaps=count_overlaps(z, check_disk(mesh)),
        halves=None,
    )


def _centred(whole: _Whole, at: _Iterate, barrier: float) -> tuple[_Iterate, int, bool]:
    """The centre of one stage, the steps taken, and whether it was reached; as for one panel alone.

    It is reached once the predicted decrease is small and the bounds would let the step be whole. The model leaves out
    how a seam under force resists being bent. Where the merit takes less of a step for that, less is to be gained than
    predicted.
    """
    near = CENTRED if barrier == 1.0 else NEARLY
    mu = barrier * sum(part.share * part.mu for part in whole.parts)
    for count in range(1, STAGE_STEPS + 1):
        step = _step(whole, at, barrier)
        at, taken, inside = _taken(whole, at, step, barrier)
        if step.predicted_decrease <= near * mu and inside >= WHOLE:
            return at, count, True
        if taken == 0.0:
            return at, count, False
    return at, STAGE_STEPS, False


def _step(whole: _Whole, at: _Iterate, barrier: float) -> _Step:
    """The Newton step: each panel's own Hessian is factorised by itself, and the forces along seams found between them.

    With rows A of the residuals d and one condition a panel that it does not turn, the system is [H Aᵀ; A −1/ρ];
    its Schur complement is as large as there are stretches and panels.
    """
    residuals, jacobians = whole.constraints.residuals(at.maps), whole.constraints.jacobians(at.maps)
    size, turns = whole.constraints.count, len(whole.parts)
    matrix, right = np.zeros((size + turns, size + turns)), np.zeros(size + turns)
    matrix[:size, :size] = np.eye(size) / whole.penalty
    right[:size] = residuals
    models, solved, places = [], [], []
    for number, (part, z, multiplier, own) in enumerate(
        zip(whole.parts, at.maps, at.multipliers, jacobians, strict=True)
    ):
        model = local_model(part.problem, z, part.excess, part.objective(barrier), multiplier)
        touched = np.unique(own.indices)
        columns = csr_array(hstack([own[:, touched], csr_array(part.problem.turn[:, None])]))
        answers = model.factor.solve(np.concatenate([-model.slope[:, None], columns.toarray()], axis=1))
        place = np.append(touched, size + number)
        products = np.asarray(columns.conj().T @ answers).real
        matrix[np.ix_(place, place)] += products[:, 1:]
        right[place] += products[:, 0]
        models.append(model)
        solved.append(answers)
        places.append(place)
    forces = np.linalg.solve(matrix, right)
    steps = [answers[:, 0] - answers[:, 1:] @ forces[place] for answers, place in zip(solved, places, strict=True)]
    slopes = [model.slope + whole.penalty * (own @ residuals) for model, own in zip(models, jacobians, strict=True)]
    predicted = -sum(float(np.sum((slope.conj() * step).real)) for slope, step in zip(slopes, steps, strict=True))
    multipliers, closing = [], 0.0
    for part, model, step in zip(whole.parts, models, steps, strict=True):
        change = slack_change(part.problem, model.modes, step, 0.0)
        closing = max(closing, float(np.max(-change / model.slack)))
        target = part.objective(barrier).mu * part.problem.weight
        move = target / model.slack - model.multiplier * (1 + change / model.slack)
        falling = float(np.max(-move / model.multiplier, initial=MULTIPLIER_SHARE))
        multipliers.append(model.multiplier + min(1.0, MULTIPLIER_SHARE / falling) * move)
    return _Step(steps, multipliers, predicted, SLACK_SHARE / closing if closing > SLACK_SHARE else 1.0)


def _taken(whole: _Whole, at: _Iterate, step: _Step, barrier: float) -> tuple[_Iterate, float, float]:
    """The iterate after as much of the step as lowers the merit enough; that share, 0 where nothing does; and the share
    of it that the bounds let be taken.
    """
    free = min(
        flip_free_step(part.problem.gradients, z, d) for part, z, d in zip(whole.parts, at.maps, step.maps, strict=True)
    )
    length, inside = min(1.0, step.maximum_step, FLIP_MARGIN * free), 0.0
    before = [slacks(part.problem, z, part.excess) for part, z in zip(whole.parts, at.maps, strict=True)]
    now = whole.merit(at.maps, barrier)
    while length > SHORTEST_STEP:
        moved = [z + length * d for z, d in zip(at.maps, step.maps, strict=True)]
        left = [slacks(part.problem, z, part.excess) for part, z in zip(whole.parts, moved, strict=True)]
        kept = all(np.all(new >= (1 - SLACK_SHARE) * old) for new, old in zip(left, before, strict=True))
        inside = max(inside, length) if kept else inside
        if kept and whole.merit(moved, barrier) <= now - SUFFICIENT * length * step.predicted_decrease:
            own = [
                p.objective(barrier).mu * p.problem.weight / slack for p, slack in zip(whole.parts, left, strict=True)
            ]
            held = [
                np.clip(multiplier, b / MULTIPLIER_RANGE, b * MULTIPLIER_RANGE)
                for multiplier, b in zip(step.multipliers, own, strict=True)
            ]
            return _Iterate(moved, held), length, inside
        length *= 0.7
    return at, 0.0, inside
