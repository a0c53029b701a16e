"""Newton steps on a flat map that is held inside bounds on its stretch by a logarithmic barrier.

Each bound has a force λ of its own beside its clearance (primal-dual: at the barrier's centre λ·c = μ/faces). The
Hessian takes λ/c for the stiffness that the barrier alone would give as μ/c²: after μ has fallen that is what the
bound will be like, and not what it was. The step is then bent by the products λ·c that it would really leave.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from flatten.mesh.gradient import Complexes
from flatten.mesh.surface import Floats
from flatten.unwrap.bounds import Aim, Problem, Side, clearances_at, merit_at
from flatten.unwrap.dirichlet import (
    FLIP_MARGIN,
    SUFFICIENT,
    FaceModes,
    face_modes,
    first_flip,
    flip_curvature,
    gradient_of,
    hold,
)
from flatten.unwrap.system import Factor, element_entries

BOUNDARY = 0.99
"""Share of a clearance, and of a force, that one step may use up."""

SHORTEST = 1e-8
"""Share of a step below which no step is taken: its change then drowns in rounding."""

ROUNDING = 1e-6
"""Share of the barrier's weight to which merits are compared: at a centre no step lowers one by more, and rounding
would cut short what is taken whole."""

CORRECTIONS = 2
"""Times that a step is bent with the same factor: more bring fewer steps but no less time."""

FARTHER = 0.3
"""How much farther than it may go a step is looked at to bend it, as a share of the whole step."""

GAIN = 1.1
"""A bent step is taken where it reaches this many times as far as the one before."""

UNEVEN = 10.0
"""Products λ·c within this factor of their aim are left alone by the bending, and one beyond asks for no more."""

FREE = 1e4
"""A force is kept within this factor of what the barrier alone would give it, or it would be forgotten there."""

NEAR_EQUAL = 1e-6
"""Relative difference of two singular values below which a difference quotient is taken as the derivative."""


@dataclass(frozen=True, eq=False)
class Local:
    """The merit near a map: its slope (V,), clearances and forces (2,2,F), and factorised Hessian.

    `pull` (V,) is the slope without the barrier, `column` (V,) the Hessian's column of the excess, `scaled` the modes
    of the map as each side sees it.
    """

    slope: Complexes
    pull: Complexes
    column: Complexes
    factor: Factor
    clear: Floats
    force: Floats
    scaled: list[FaceModes]


def local(problem: Problem, flat: Complexes, excess: float, aim: Aim, force: Floats | None = None) -> Local:
    """The aim's merit near a map (V,) and an excess inside the bounds; without forces (2,2,F), the barrier's own."""
    gradients, share = problem.gradients, problem.gradients.share
    p, q = gradients.parts(flat)
    clear = clearances_at(problem.sides, p, q, excess)
    barrier = aim.mu * problem.weight / clear
    if force is None:
        force = barrier
    plain = face_modes(p, q)
    scaled = [side.seen(plain, p, q) for side in problem.sides]
    weight = 2 * aim.isometry * share
    pull = gradient_of(gradients, plain, *(weight * (value - value**-3) for value in (plain.large, plain.small)))
    sums = problem.system.sums(_hessian(problem, aim, plain, scaled, clear, force))
    hold(problem.system, sums, flat)
    return Local(
        slope=pull - _pushed(problem, scaled, barrier),
        pull=pull,
        column=_pushed(problem, scaled, force / clear),
        factor=problem.system.factor(sums),
        clear=clear,
        force=force,
        scaled=scaled,
    )


def _hessian(
    problem: Problem, aim: Aim, plain: FaceModes, scaled: list[FaceModes], clear: Floats, force: Floats
) -> Floats:
    """The merit's Hessian as the entries (21,F) of its faces' matrices.

    It keeps the Gauss–Newton part of each bound, and of the curvature what is not negative: exact for limits that are
    equal along and across, else but for the twist, which is taken in the unscaled map.
    """
    gradients = problem.gradients
    large, small, weight = plain.large, plain.small, aim.isometry * gradients.share
    twist = 2 * weight * (large - large**-3 + small - small**-3) / (large + small)
    own = np.stack([2 + 6 * large**-4, 2 + 6 * small**-4, flip_curvature(plain)]) * weight
    first, second = plain.vectors(gradients, 0), plain.vectors(gradients, 1)
    modes = []
    for side, seen, room, held in zip(problem.sides, scaled, clear, force, strict=True):
        curved = (held / room + max(side.sign, 0) * held) / np.stack([seen.large, seen.small]) ** 2
        weights = np.concatenate([curved, [_flip_quotient(held, room, side, seen)]])
        outward = -side.sign * (held[0] / seen.large + held[1] / seen.small)
        twist = twist + side.x * side.y * outward / (seen.large + seen.small)
        if side.even:
            own = own + side.x**2 * weights
        else:
            ends = [[side.scaled(vector) for vector in seen.vectors(gradients, corner)] for corner in (0, 1)]
            modes += [(each, ends[0][i], ends[1][i]) for each, i in zip(weights, (0, 1, 3), strict=True)]
    modes += [(each, first[i], second[i]) for each, i in zip(own, (0, 1, 3), strict=True)]
    modes.append((np.maximum(twist, 0.0), first[2], second[2]))
    return element_entries(modes)


def _flip_quotient(force: Floats, clear: Floats, side: Side, modes: FaceModes) -> Floats:
    """Difference quotient of the barrier's derivative between a face's two singular values, for forces (2,F)."""
    apart = modes.large - modes.small
    equal = apart <= NEAR_EQUAL * modes.large
    quotient = np.divide(np.log(modes.large / modes.small), apart, out=1 / modes.large, where=~equal)
    stiffness = np.sqrt(force[0] * force[1] / (clear[0] * clear[1]))
    return stiffness * quotient / modes.large + max(side.sign, 0) * force[1] / (modes.large * modes.small)


def _pushed(problem: Problem, scaled: list[FaceModes], values: Floats) -> Complexes:
    """Gradient (V,) of the sum of the clearances, each weighted by its entry of `values` (2,2,F)."""
    turning, flipping = np.zeros((2, len(problem.gradients.share)), dtype=np.complex128)
    for side, seen, value in zip(problem.sides, scaled, values, strict=True):
        by_large, by_small = side.sign * value[0] / seen.large, side.sign * value[1] / seen.small
        # Scaling is symmetric: what takes a map's parts to the scaled map's takes slopes the other way.
        by_p, by_q = side.parts(0.5 * (by_large + by_small) * seen.turn, 0.5 * (by_large - by_small) * seen.flip)
        turning += by_p
        flipping += by_q
    hats = problem.gradients.hats
    return problem.gradients.spread_to_vertices(turning * hats + flipping * hats.conj())


def forecast(problem: Problem, scaled: list[FaceModes], flat: Complexes, change: float) -> Floats:
    """Linear change (2,2,F) of the clearances under a displacement (V,) and a change of the excess."""
    return _forecast(problem.sides, scaled, *problem.gradients.parts(flat), change)


def _forecast(sides: tuple[Side, Side], scaled: list[FaceModes], dp: Complexes, dq: Complexes, change: float) -> Floats:
    out = np.empty((2, 2, len(dp)))
    for row, side, seen in zip(out, sides, scaled, strict=True):
        by_p, by_q = side.parts(dp, dq)
        turning, flipping = (seen.turn.conj() * by_p).real, (seen.flip.conj() * by_q).real
        row[0] = change + side.sign * (turning + flipping) / seen.large
        row[1] = change + side.sign * (turning - flipping) / seen.small
    return out


def _bordered(
    solved: tuple[Complexes, Complexes, Complexes],
    column: Complexes,
    turn: Complexes,
    stiff: float,
    slope: float,
    lean: float,
    *,
    free: bool,
) -> tuple[Complexes, float]:
    """Block elimination of the excess and of the condition that the map does not turn, by `lean` from which it is."""
    straight, by_excess, by_turn = solved
    if not free:
        return straight - by_turn * ((_dot(turn, straight) + lean) / _dot(turn, by_turn)), 0.0
    matrix = np.array(
        [
            [stiff - _dot(column, by_excess), -_dot(column, by_turn)],
            [-_dot(turn, by_excess), -_dot(turn, by_turn)],
        ]
    )
    change, force = np.linalg.solve(matrix, [-slope - _dot(column, straight), -lean - _dot(turn, straight)])
    return straight - change * by_excess - force * by_turn, float(change)


def _dot(a: Complexes, b: Complexes) -> float:
    return float(np.sum((a.conj() * b).real))


@dataclass(frozen=True, eq=False)
class _Way:
    """A way of maps: its change `flat` (V,) and that of the excess, of the forces and (linear) of the clearances.

    It is straight but for the turn of the whole by θ = `turning`, radians: at its share s the map z has become
    exp(iθs)·(z + s·(δ − iθ·z)), which sets out along δ, the Newton step; `flat` is δ − iθ·z and `parts` are its parts.
    On a straight way a face that turns by ω swells by ω²/2, more than one pressed against its bound has room for; along
    the circle none swells that turns with the whole, and only limits that differ by direction see it move. So θ is the
    mean turn of the faces, Im(dp/p) each, that leaves least of Σ (λ/c)·(ω − θ)²: each face weighs by the stiffness of
    its bounds.

    `reach` is the share of it, at most 1, that stays inside the bounds and before the first flip; `reach_force` the
    share that keeps the forces positive; `promised` the merit that all of it would take off by its slope.
    """

    flat: Complexes
    excess: float
    force: Floats
    clear: Floats
    turning: float
    parts: tuple[Complexes, Complexes]
    promised: float
    reach: float
    reach_force: float


class _Newton:
    """A Newton system at a map; kept while several right-hand sides use its factor."""

    def __init__(self, problem: Problem, flat: Complexes, excess: float, aim: Aim, force: Floats | None) -> None:
        self.problem, self.flat, self.excess, self.aim = problem, flat, excess, aim
        self.near = local(problem, flat, excess, aim, force)
        self.parts = problem.gradients.parts(flat)
        self.stiff = float(np.sum(self.near.force / self.near.clear))
        self.aimed = np.broadcast_to(aim.mu * problem.weight, self.near.clear.shape)
        columns = np.stack([self.near.column, problem.turn], axis=1)
        grip = np.sum(self.near.force / self.near.clear, axis=(0, 1))
        self.grip = grip / grip.sum()
        # A turn along a circle leaves the condition on turns by its square; the next step takes that back.
        self.lean = _dot(problem.turn, flat)
        self.by_excess, self.by_turn = self.near.factor.solve(columns).T

    def way(self, products: Floats) -> _Way:
        """The Newton step to forces whose products with the clearances are `products` (2,2,F)."""
        problem, near, aim = self.problem, self.near, self.aim
        held = products / near.clear
        straight = near.factor.solve(_pushed(problem, near.scaled, held) - near.pull)
        slope = aim.excess - float(np.sum(held))
        step, change = _bordered(
            (straight, self.by_excess, self.by_turn),
            near.column,
            problem.turn,
            self.stiff,
            slope,
            self.lean,
            free=aim.excess > 0,
        )
        (p, q), (dp, dq) = self.parts, problem.gradients.parts(step)
        clear = _forecast(problem.sides, near.scaled, dp, dq, change)
        turning = float(np.sum(self.grip * (dp / p).imag))
        parts = dp - 1j * turning * p, dq - 1j * turning * q
        force = held - near.force / near.clear * clear - near.force
        slope_excess = aim.excess - float(np.sum(self.aimed / near.clear))
        falling = float(np.max(-force / near.force))
        return _Way(
            flat=step - 1j * turning * self.flat,
            excess=change,
            force=force,
            clear=clear,
            turning=turning,
            parts=parts,
            promised=-_dot(near.slope, step) - slope_excess * change,
            reach=self._reach(parts, turning, change, clear),
            reach_force=BOUNDARY / falling if falling > BOUNDARY else 1.0,
        )

    def map_at(self, way: _Way, length: float) -> Complexes:
        """The map (V,) a share of the way on."""
        return np.exp(1j * way.turning * length) * (self.flat + length * way.flat)

    def at(self, way: _Way, length: float) -> tuple[Complexes, Complexes, float]:
        """Its parts and the excess."""
        return *self._parts_at(way.parts, way.turning, length), self.excess + length * way.excess

    def _parts_at(
        self, parts: tuple[Complexes, Complexes], turning: float, length: float
    ) -> tuple[Complexes, Complexes]:
        (p, q), (dp, dq), turn = self.parts, parts, np.exp(1j * turning * length)
        return turn * (p + length * dp), turn * (q + length * dq)

    def _reach(self, parts: tuple[Complexes, Complexes], turning: float, change: float, clear: Floats) -> float:
        """The share of a way that leaves (1 − BOUNDARY) of each clearance: each is all but a quadratic along it."""
        (p, q), (dp, dq) = self.parts, parts
        room = self.near.clear
        length = min(1.0, FLIP_MARGIN * first_flip(p, q, dp, dq))
        while length > SHORTEST:
            tried = clearances_at(
                self.problem.sides, *self._parts_at(parts, turning, length), self.excess + length * change
            )
            # Only those that are passed are worth a closer look: few, where the clearances are many.
            passed = tried < (1 - BOUNDARY) * room
            if not passed.any():
                return length
            at, start, slope = tried[passed], room[passed], clear[passed]
            bend = (at - start - length * slope) / length**2
            length = min(0.95 * length, 0.999 * _first_root(bend, slope, BOUNDARY * start))
        return 0.0

    def bent(self, way: _Way, products: Floats) -> Floats:
        """The products to aim at so that those which the way would really leave are less uneven.

        Gondzio 1996, "Multiple centrality corrections in a primal-dual method for linear programming", sec. 3, with
        the true clearances, so that it makes up for their curvature too.
        """
        goal = self.aimed[0, 0, 0]
        farther, force = min(1.0, way.reach + FARTHER), min(1.0, way.reach_force + FARTHER)
        tried = clearances_at(self.problem.sides, *self.at(way, farther))
        tried = np.where(np.isfinite(tried), tried, (1 - farther) * self.near.clear)
        left = tried * (self.near.force + force * way.force)
        return products + np.maximum(np.clip(left, goal / UNEVEN, UNEVEN * goal) - left, -UNEVEN * goal)


def _first_root(square: Floats, linear: Floats, constant: Floats) -> float:
    """The least positive root of any constant + linear·x + square·x², the constants positive; infinite without one."""
    root = np.sqrt(np.maximum(linear * linear - 4 * square * constant, 0.0))
    below = np.where((linear * linear >= 4 * square * constant) & (root > linear), root - linear, 0.0)
    return float(np.min(np.divide(2 * constant, below, out=np.full_like(constant, np.inf), where=below > 0)))


@dataclass(frozen=True, eq=False)
class Advance:
    """Map (V,), excess and forces (2,2,F) after a step, and the share of it that was taken (0: none lowers the merit).

    `promised` is the decrease that the unbent step promised, `gap` the sum of the products of forces and clearances:
    where the forces are in balance no map inside the bounds is better by more (of maps near this one).
    """

    flat: Complexes
    excess: float
    force: Floats
    length: float
    promised: float
    gap: float


def advance(problem: Problem, flat: Complexes, excess: float, aim: Aim, force: Floats | None) -> Advance:
    """One step from a map (V,) and an excess inside the bounds, with forces (2,2,F), towards less of the merit."""
    newton = _Newton(problem, flat, excess, aim, force)
    products = newton.aimed
    way = newton.way(products)
    promised = way.promised
    for _ in range(CORRECTIONS):
        if way.reach > BOUNDARY / GAIN:
            break
        products = newton.bent(way, products)
        bent = newton.way(products)
        if bent.reach < GAIN * way.reach or bent.promised <= 0:
            break
        way = bent
    near, length = newton.near, way.reach
    now = merit_at(problem, *newton.parts, excess, aim)
    while length > SHORTEST:
        p, q, changed = newton.at(way, length)
        if merit_at(problem, p, q, changed, aim) <= now - SUFFICIENT * length * way.promised + ROUNDING * aim.mu:
            break
        length /= 2
    else:
        return Advance(flat, excess, near.force, 0.0, promised, float(np.sum(near.force * near.clear)))
    clear = clearances_at(problem.sides, p, q, changed)
    barrier = aim.mu * problem.weight / clear
    held = np.clip(near.force + way.reach_force * way.force, barrier / FREE, barrier * FREE)
    gap = float(np.sum(held * clear))
    return Advance(newton.map_at(way, length), changed, held, length, promised, gap)
