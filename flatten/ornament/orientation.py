"""On which side of a line a point lies, exactly, and never on neither: points on it are moved by next to nothing."""

from __future__ import annotations

from fractions import Fraction

import numpy as np

from flatten.mesh.surface import Floats, Ints

ROUNDING = 3.3306690738754716e-16
"""Relative. The determinant of three points is right in its sign where it exceeds this share of its two products'
sizes: (3 + 16 u) u of a rounding u = 2**-53 (Shewchuk, Discrete Comput. Geom. 18, 1997, "A" bound of orient2d)."""


def turns(points: Floats, i: Ints, j: Ints, k: Ints) -> Ints:
    """1 where the points (N,2) numbered i, j, k (m,) turn left, -1 where they turn right; no two of a triple are equal.

    Three points on a line are told apart as if each had been moved by its own infinitely small amount, so the answers
    of all triples agree with one drawing in general position (Edelsbrunner and Mücke, Simulation of simplicity, ACM
    Trans. Graph. 9, 1990): a crossing at a corner counts once, a touch as none or two.
    """
    a, b, c = points[i], points[j], points[k]
    left = (a[:, 0] - c[:, 0]) * (b[:, 1] - c[:, 1])
    right = (a[:, 1] - c[:, 1]) * (b[:, 0] - c[:, 0])
    signs = np.sign(left - right).astype(np.int64)
    for m in np.flatnonzero(np.abs(left - right) <= ROUNDING * (np.abs(left) + np.abs(right))).tolist():
        signs[m] = _turn(points, (int(i[m]), int(j[m]), int(k[m])))
    return signs


def _turn(points: Floats, numbers: tuple[int, int, int]) -> int:
    """The same of one triple, in fractions."""
    i, j, k = sorted(numbers)
    even = numbers in ((i, j, k), (j, k, i), (k, i, j))
    (xi, yi), (xj, yj), (xk, yk) = (tuple(map(Fraction, points[n].tolist())) for n in (i, j, k))
    # The determinant, then its derivatives by y and x of the first point and y of the second: the point with the
    # least number moves most, in y before x. The mixed derivative by x of the first and y of the second is 1.
    for term in ((xi - xk) * (yj - yk) - (yi - yk) * (xj - xk), xk - xj, yj - yk, xi - xk, Fraction(1)):
        if term:
            return (1 if term > 0 else -1) * (1 if even else -1)
    raise AssertionError
