"""The flat map inside a leather's limits: first the least excess that any map needs, then the most isometric one."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from flatten.mesh.gradient import Complexes, singular_values, spread
from flatten.mesh.surface import Floats
from flatten.unwrap.barrier import newton_step
from flatten.unwrap.bounds import Objective, Problem, least_fitting_excess, slacks
from flatten.unwrap.model import Attainable, UnwrapError

RELAXATION = 5e-4
"""Log-excess (0.05 % of a length) allowed beyond the least at the least, so that the most isometric map has room to
move; a continuous function of the limits, or outlines would jump where the excess crosses zero."""

FIRST_ROOM = 1.5
"""How many times its own distance from the limits' bound a map is given at first: from less the barrier can jam."""

LEAST_ROOM = 0.01
"""Log-excess above the limits' bound that a map is given at least: an isometry would otherwise start on its bound."""

FIRST_MU = 0.15
"""The barrier's first weight, as a share of that room."""

MU_REDUCTION = 8.0
"""Factor by which the barrier's weight falls from stage to stage."""

CENTRED = 0.1
"""Newton decrement, in units of the barrier's weight, below which a stage is centred and its bound on the gap holds."""

NEARLY = 2.0
"""The same for a stage on the way, which only has to lead to the next."""

WHOLE = 0.9
"""Share of a step from which on it counts as taken whole: a small decrement alone does not say so, for where a face
stands at its bound only the linear forecast is near the centre."""

HALF = 0.5
"""The same for a stage on the way."""

GAP_FACTOR = 2.0
"""Times the centre's duality gap that the bounds' multipliers may leave at the end."""

LAST_MU = 5e-4
"""Last weight of the barrier, as a share of half the spread: four times this, 0.2 %, bounds what is left to gain."""

FINEST_MU = 2e-7
"""Last weight of the barrier on a surface that needs no stretch: the gap is then below 1e-6."""

LAST_MU_ISOMETRIC = 5e-3
"""Last weight of the barrier in the most isometric map inside the limits, as a share of the distortion without limits:
the outline is then within 0.05 mm of where it settles."""


@dataclass(frozen=True)
class Accuracy:
    """The barrier's last weight in both phases: as a share of half the spread, and of the distortion without limits."""

    excess: float
    isometry: float


TO_CUT = Accuracy(LAST_MU, LAST_MU_ISOMETRIC)
"""For a piece that is cut."""

TO_SHOW = Accuracy(8 * LAST_MU, 4 * LAST_MU_ISOMETRIC)
"""For a piece that is only shown, on a coarse mesh: where the limits cannot be kept to, the least excess is then good
to 1.6 % of half the spread, 0.07 % of a length where leather goes from −3 to +5 %; and the outline to a few tenths of
a mm, less than an 8 mm mesh moves it. Both shares go with the panel, not with whether it fits: so nothing jumps where
the excess crosses zero."""

STAGE_STEPS = 200
"""Newton steps in one stage after which it counts as not converged; from a centred start it takes 2 to 20."""


@dataclass(frozen=True, eq=False)
class BarrierResult:
    """A map (V,) inside its limits widened by the log-excess; steps taken; whether every stage was centred.

    `multiplier` (2,2,F) are the bounds' at it. Where all was centred they are in balance with what is lowered, and
    `gap`, the sum of their complementarities, bounds what any map near this one could still gain.
    """

    flat: Complexes
    excess: float
    steps: int
    converged: bool
    multiplier: Floats | None = None
    gap: float = np.inf


def least_possible_excess(problem: Problem) -> float:
    """The least log-excess that any surface needs: −½ log of the narrowest (1 + stretch) / (1 − squeeze)."""
    stretch, squeeze = problem.bounds
    return -0.5 * float(np.log(min(stretch.x / squeeze.x, stretch.y / squeeze.y)))


def _centre(
    problem: Problem, start: BarrierResult, objective: Objective, *, last: bool, enough: float = -np.inf
) -> BarrierResult:
    """The centre of one stage, or near it where another follows; or the first map that needs less than `enough`."""
    flat, excess, multiplier = start.flat, start.excess, start.multiplier
    near, whole = (CENTRED, WHOLE) if last else (NEARLY, HALF)
    for count in range(1, STAGE_STEPS + 1):
        at = newton_step(problem, flat, excess, objective, multiplier)
        flat, excess, multiplier = at.flat, at.excess, at.multiplier
        centred = at.predicted_decrease <= near * objective.mu and at.length >= whole
        if last:
            centred &= at.gap <= GAP_FACTOR * gap_of(objective.mu)
        if centred or excess < enough:
            return BarrierResult(flat, excess, start.steps + count, True, multiplier, at.gap)
        if at.length == 0:
            return BarrierResult(flat, excess, start.steps + count, False, multiplier, at.gap)
    return BarrierResult(flat, excess, start.steps + STAGE_STEPS, False, multiplier)


def gap_of(mu: float) -> float:
    """What is at most left to gain at the centre of the barrier of weight `mu`: each face has four bounds."""
    return 4 * mu


def least_excess(
    problem: Problem, flat: Complexes, enough: float = -np.inf, *, accuracy: Accuracy = TO_CUT
) -> BarrierResult:
    """The map of least log-excess over the limits, from a map (V,) without flipped faces; near the most isometric.

    Minimax over all faces and directions by a log barrier that is centred at each stage. Its excess is what the
    returned map needs, so never below the least; it is above by at most four times the last weight, locally. The first
    map that needs less than `enough` is returned as it is.
    """
    bound = least_possible_excess(problem)
    room = max(FIRST_ROOM * (least_fitting_excess(problem, flat) - bound), LEAST_ROOM)
    at, mu = BarrierResult(flat, bound + room, 0, True), FIRST_MU * room
    while True:
        last = max(accuracy.excess * (at.excess - bound), FINEST_MU)
        at = _centre(problem, at, Objective(mu=mu, excess=1.0), last=mu <= last, enough=enough)
        if mu <= last or not at.converged or at.excess < enough:
            return replace(at, excess=least_fitting_excess(problem, at.flat))
        mu = max(mu / MU_REDUCTION, max(accuracy.excess * (at.excess - bound), FINEST_MU))


def allowed_excess(least: float, *, room: float = 0.0, known: float = np.nan) -> float:
    """The log-excess that the cut map may have where no map on its mesh has less than `least`.

    Below 0, where the limits leave slack, the share `room` of it is left unused: 0 goes as far as the limits, 1 as near
    to the least extremes as RELAXATION lets it. Else hardly more than the least. `known` is the least of a coarser mesh
    of the same piece, which then says how much slack there is. Continuous in both.
    """
    return max(room * min(least if np.isnan(known) else known, 0.0), least + RELAXATION)


def enough_excess(known: float, *, room: float) -> float:
    """The log-excess below which a mesh need not look for a map of less, its cut map being the same; −∞: for any.

    `known` is the least of a coarser mesh of the same piece; NaN, not known, is enough where no room is to be left.
    """
    if np.isnan(known):
        return -RELAXATION if room == 0.0 else -np.inf
    enough = room * min(known, 0.0) - RELAXATION
    return enough if known < enough else -np.inf


def most_isometric_within(
    problem: Problem, flat: Complexes, excess: float, distortion: float, *, accuracy: Accuracy = TO_CUT
) -> BarrierResult:
    """The most isometric map inside the limits widened by `excess`, from a map (V,) that lies inside them.

    `distortion` is the least without limits: the barrier's weights are shares of it.

    Raises UnwrapError where the map does not lie inside.
    """
    if not slacks(problem, flat, excess).min() > 0:
        raise UnwrapError(f"the map to start from lies beyond a log-excess of {excess:.6g}")
    at, mu = BarrierResult(flat, excess, 0, True), max(distortion, FINEST_MU)
    last = accuracy.isometry * mu
    while True:
        at = _centre(problem, at, Objective(mu=mu, isometry=1.0), last=mu <= last)
        if mu <= last or not at.converged:
            return at
        mu = max(mu / MU_REDUCTION, last)


@dataclass(frozen=True, eq=False)
class Within:
    """The map (V,) that is cut, the log-excess that it was held to, and what is attainable; as `FlatPanel` tells it."""

    flat: Complexes
    allowed: float
    attainable: Attainable
    steps: int
    converged: bool


def within_limits(
    problem: Problem,
    flat: Complexes,
    distortion: float,
    *,
    room: float,
    known: Attainable | None,
    accuracy: Accuracy,
) -> Within:
    """The most isometric map inside the limits with the share `room` of their slack left, from a map (V,).

    `distortion` is the least without limits; `known` and `accuracy` are as for `flatten_disk`.
    """
    enough = -np.inf if known is None else enough_excess(known.excess, room=room)
    least = least_excess(problem, flat, enough, accuracy=accuracy)
    allowed = allowed_excess(least.excess, room=room, known=np.nan if known is None else known.excess)
    held = most_isometric_within(problem, least.flat, allowed, distortion, accuracy=accuracy)
    attainable = Attainable(least.excess, spread(*singular_values(problem.gradients, least.flat)))
    if known is not None and least.excess < enough:
        own = Attainable(least.excess, spread(*singular_values(problem.gradients, held.flat)))
        attainable = known.at_most(attainable).at_most(own)
    return Within(
        held.flat,
        allowed,
        attainable,
        least.steps + held.steps,
        least.converged and held.converged,
    )
