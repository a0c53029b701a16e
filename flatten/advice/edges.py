"""Edges moved: all round, arched, and one quarter after another where that brings most."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from flatten.advice.model import Change, Ladder
from flatten.findings import Message, message
from flatten.job.design import Design
from flatten.job.resolve import edges_of
from flatten.job.settings import EdgeHeights, Job
from flatten.limb.kind import QUARTERS
from flatten.worn.curves import Edge
from flatten.worn.defaults import QUARTER_BEARINGS

EDGE_WORK = 1.0
"""Points (per cent of cover) for a moved edge: a line drawn elsewhere. An opinion."""

RISES = (20.0, 35.0)
"""mm by which the bottom edge is raised all round."""

ARCHES = (15.0, 30.0)
"""mm by which the bottom edge is raised at front and back alone."""

FALLS = (20.0, 40.0)
"""mm by which the top edge is lowered all round."""

SHIFT, SHIFT_SHARE = 40.0, 0.125
"""mm, and share of a long guard's mean height, by which an edge is moved at single quarters at the most: what a maker
gives up before the guard looks like another piece. An opinion."""

LEAST_STEP = 0.0002
"""Log-ratio of excess that one more quarter must bring: a tenth of what is worth telling, for quarters that bring
little one by one have brought much together."""


@dataclass(frozen=True)
class Move:
    """An edge ("bottom" is raised, "top" lowered) moved at some of its quarters, by their numbers."""

    edge: str
    quarters: tuple[int, ...]


def whole_edges(design: Design) -> tuple[Ladder, ...]:
    """The bottom edge raised all round, or arched, and the top edge lowered all round.

    Each raises CutError where it is applied to a job whose edges cannot be.
    """
    front, _, back, _ = design.limb.kind.sides
    raised = tuple(
        _moved(design, {"bottom": (by,) * 4}, (_moved_edge("bottom", by, message("advice.all round")),), "bottom edge")
        for by in RISES
    )
    arched = tuple(
        _moved(
            design,
            {"bottom": (by, 0.0, by, 0.0)},
            (message("advice.arch", by=by, front=front, back=back),),
            "bottom edge",
        )
        for by in ARCHES
    )
    lowered = tuple(
        _moved(design, {"top": (-by,) * 4}, (_moved_edge("top", by, message("advice.all round")),), "top edge")
        for by in FALLS
    )
    return raised, arched, lowered


def moves_of(design: Design) -> tuple[Move, ...]:
    """Each quarter of both edges by itself; of a symmetrical piece both sides together."""
    groups = ((0,), (1, 3), (2,)) if design.symmetrical else ((0,), (1,), (2,), (3,))
    return tuple(Move(edge, quarters) for edge in ("bottom", "top") for quarters in groups)


def shifts_of(design: Design) -> tuple[float, float]:
    """How far (mm) a design's edges are moved at single quarters: half-way, and at the most, up to whole 5 mm."""
    height = float(design.cuts.top.heights.mean() - design.cuts.bottom.heights.mean())
    most = max(SHIFT, 5.0 * float(np.ceil(SHIFT_SHARE * height / 5.0)))
    return 5.0 * float(np.ceil(most / 10.0)), most


def grown(
    moves: Sequence[Move],
    *,
    drop: Callable[[tuple[Move, ...]], float | None],
    enough: Callable[[tuple[Move, ...]], bool],
) -> tuple[tuple[Move, ...], ...]:
    """Sets of moves, each the one before and the move that then brings most; the last is `enough`, or no more helps.

    What the last one can do without, now that others are there, is left out of it. `drop` is the log-ratio by which a
    set lowers the excess, None where it cannot be cut. What asks for stretch is held by several places at once, so that
    two moves often bring much more than the sum of both; but a move that brings nothing by itself was never found to
    bring much with others, and is left out after the first round.
    """
    sets: list[tuple[Move, ...]] = []
    pool, reached = list(moves), 0.0
    taken: tuple[Move, ...] = ()
    while pool:
        tried = [(gain, move) for move in pool if (gain := drop((*taken, move))) is not None]
        useful = [(gain, move) for gain, move in tried if gain >= reached + LEAST_STEP]
        if not useful:
            break
        reached, best = max(useful, key=lambda one: one[0])
        taken = (*taken, best)
        sets.append(taken)
        if enough(taken):
            break
        helpful = [move for _, move in useful] if len(taken) == 1 else pool
        pool = [move for move in helpful if move != best]
    return (*sets[:-1], *(_needed(moves, drop=drop, enough=enough) for moves in sets[-1:]))


def _needed(
    moves: tuple[Move, ...],
    *,
    drop: Callable[[tuple[Move, ...]], float | None],
    enough: Callable[[tuple[Move, ...]], bool],
) -> tuple[Move, ...]:
    """A set without the moves that together bring less than LEAST_STEP to it, and still `enough` where it was.

    The last one was taken for what it brings to all others, so it stays.
    """
    reached, satisfied, kept = drop(moves), enough(moves), moves
    for move in moves[:-1]:
        rest = tuple(other for other in kept if other != move)
        gain = drop(rest)
        bears = reached is not None and gain is not None and gain > reached - LEAST_STEP
        if bears and (enough(rest) or not satisfied):
            kept = rest
    return kept


def edge_change(design: Design, moves: Sequence[Move], by: float) -> Change:
    """Edges moved by `by` mm at the quarters of all moves, as one change.

    It raises CutError where it is applied to a job whose edges cannot be.
    """
    names = design.limb.kind.sides
    messages, amounts = [], {}
    for edge, sign in (("top", -1.0), ("bottom", 1.0)):
        quarters = sorted({quarter for move in moves if move.edge == edge for quarter in move.quarters})
        if quarters:
            amounts[edge] = tuple(sign * by if quarter in quarters else 0.0 for quarter in range(4))
            sides = tuple(names[quarter] for quarter in quarters)
            whole = len(sides) == len(names)
            messages.append(
                _moved_edge(edge, by, message("advice.all round") if whole else message("advice.at sides", sides=sides))
            )
    return _moved(design, amounts, tuple(messages), "edge")


def _moved_edge(edge: str, by: float, where: Message) -> Message:
    """What is told of an edge that is moved: the bottom one is raised, the top one lowered."""
    if edge == "bottom":
        return message("advice.raise", edge=edge, by=by, where=where)
    return message("advice.lower", edge=edge, by=by, where=where)


def _moved(design: Design, amounts: dict[str, tuple[float, ...]], messages: tuple[Message, ...], family: str) -> Change:
    """Edges moved by amounts at their quarters, mm, and smoothly between them."""

    def apply(job: Job) -> Job:
        edges = edges_of(job, design.limb, trusted=design.skin.trusted)
        changed = {
            which: _heights(getattr(job.edges, which), edges[which == "top"], by) for which, by in amounts.items()
        }
        return job.model_copy(update={"edges": job.edges.model_copy(update=changed)})

    return Change(family, messages, apply, EDGE_WORK * len(amounts))


def _heights(given: EdgeHeights, edge: Edge, by: tuple[float, ...]) -> EdgeHeights:
    more = Edge("the change", QUARTER_BEARINGS, np.array(by)).height(edge.bearings)
    heights = [float(round(height)) for height in edge.heights + more]
    if given.points:
        # In the job's own degrees: sorted by bearing, as the edge's points are.
        return EdgeHeights(points=tuple((at, height) for (at, _), height in zip(given.points, heights, strict=True)))
    return EdgeHeights(**dict(zip(QUARTERS, heights, strict=True)))
