"""The displaced polyline of least total variation of curvature: a linear program within the tolerance."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.interpolate import CubicSpline
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import block_array, coo_array, diags_array, eye_array

from flatten.mesh.surface import Floats, frozen
from flatten.pattern.model import PatternError

_LEVEL = 1e-6
"""Curvature, in units of budget / edge², below which the smoothed line counts as straight: solver rounding."""

_SHORT = 0.3
"""Share of the tolerance by which a polyline may cut its curve's bends short before it is refined."""


@dataclass(frozen=True, eq=False)
class Smoothed:
    """Points (n,2) mm, and the sign (n-2,) of the curvature at each inner one: -1, 0 or 1."""

    points: Floats
    signs: Floats

    def __post_init__(self) -> None:
        """Freeze the arrays."""
        object.__setattr__(self, "points", frozen(self.points))
        object.__setattr__(self, "signs", frozen(self.signs))


def smoothed(points: Floats, budget: float) -> Smoothed:
    """The polyline (n,2), n >= 4, with its inner vertices moved along their normals.

    A curve that touches the moved edges at their middles lies within `budget` mm of the polyline, and has the
    least total variation of curvature. With k = k0 + d'' for displacements d, that is a linear program: at an
    edge's middle the curve is off by the mean of d, at a vertex by d and the corner's cut k·l²/8. A variation that
    the budget does not force would cost, so there is no needless inflection and curvature comes in constant runs
    (trend filtering: Kim, Koh, Boyd and Gorinevsky, "l1 trend filtering", SIAM Review 51(2), 2009; from memory).

    Raises PatternError where no displacement within the budget exists.
    """
    count = len(points) - 2
    edge = np.diff(points, axis=0)
    lengths = np.hypot(*edge.T)
    heading = np.unwrap(np.arctan2(edge[:, 1], edge[:, 0]))
    turns = np.diff(heading)
    found = milp(
        np.concatenate([np.zeros(2 * count), np.ones(count - 1)]),
        constraints=_constraints(lengths, turns, budget),
        bounds=Bounds(-np.inf, np.inf),
    )
    if not found.success:
        x, y = points[1 + int(np.argmax(np.abs(turns)))]
        raise PatternError(
            f"the border turns too sharply near ({x:.0f}, {y:.0f}) mm for a smooth line within {budget:.2f} mm; "
            "round the edge there or use a finer mesh"
        )
    between = heading[:-1] + 0.5 * turns
    moved = points.copy()
    moved[1:-1] += budget * found.x[:count, None] * np.stack([-np.sin(between), np.cos(between)], axis=1)
    curvature = found.x[count : 2 * count]
    return Smoothed(moved, np.sign(curvature) * (np.abs(curvature) > _LEVEL))


def refined(points: Floats, tolerance: float) -> tuple[Floats, Floats]:
    """A polyline fine enough to smooth within `tolerance` mm, and how far (k,) its new points lie off the old.

    The vertices lie on the curve that is meant; the edges between cut its bends short by l²/8R. Where that is
    more than a share of the tolerance, points of the cubic spline through the vertices are put in between.
    Unchanged, with no offsets, where it is less.
    """
    edge = np.diff(points, axis=0)
    lengths = np.hypot(*edge.T)
    turns = np.abs(np.diff(np.unwrap(np.arctan2(edge[:, 1], edge[:, 0]))))
    short = float((turns * np.maximum(lengths[:-1], lengths[1:])).max(initial=0.0)) / 8.0
    parts = int(np.ceil(np.sqrt(short / (_SHORT * tolerance))))
    if parts <= 1:
        return points, np.zeros(0)
    place = np.concatenate([[0.0], np.cumsum(lengths)])
    shares = np.arange(1, parts) / parts
    added = CubicSpline(place, points)(place[:-1, None] + lengths[:, None] * shares)
    across = added - points[:-1, None]
    off = (across[..., 1] * edge[:, None, 0] - across[..., 0] * edge[:, None, 1]) / lengths[:, None]
    fine = np.concatenate([points[:-1, None], added], axis=1).reshape(-1, 2)
    return np.concatenate([fine, points[-1:]]), np.abs(off).ravel()


def _constraints(lengths: Floats, turns: Floats, budget: float) -> LinearConstraint:
    """The rows on [d, k, variation], d in units of the budget and k of budget / edge², so that all are near 1.

    From the top: k = k0 + d''; the jumps of k within the variation, from below and above; the mean of d at each
    edge's middle, and d with the corner's cut at each vertex, within the budget.
    """
    count = len(turns)
    unit = budget / float(lengths.mean()) ** 2
    span = 0.5 * (lengths[:-1] + lengths[1:])
    here, before = eye_array(count + 1, count), eye_array(count + 1, count, k=-1)
    rise = diags_array(1.0 / lengths) @ (here - before)
    bend = diags_array(-budget / unit / span) @ (here - before).T @ rise
    jump = eye_array(count - 1, count, k=1) - eye_array(count - 1, count)
    slack = eye_array(count - 1)
    cut = diags_array(lengths[:-1] * lengths[1:] / 8.0 * unit / budget)
    rows = block_array(
        [
            [bend, -eye_array(count), coo_array((count, count - 1))],
            [None, jump, -slack],
            [None, -jump, -slack],
            [0.5 * (here + before), None, None],
            [eye_array(count), cut, None],
        ],
        format="csc",
    )
    equal, jumps, bound = -turns / span / unit, np.full(2 * (count - 1), 0.0), np.ones(2 * count + 1)
    low = np.concatenate([equal, np.full(len(jumps), -np.inf), -bound])
    return LinearConstraint(rows, low, np.concatenate([equal, jumps, bound]))
