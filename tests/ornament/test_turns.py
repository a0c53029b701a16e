"""Turns are exact, and agree with one drawing in general position."""

import itertools
from fractions import Fraction

import numpy as np
import pytest

from flatten.ornament.orientation import turns


def triples(points):
    return np.array(list(itertools.permutations(range(len(points)), 3))).T


def test_a_turn_is_right_where_rounding_would_hide_it():
    """Points within some last digits of a line: their determinant in fractions tells the side."""
    chance = np.random.default_rng(4)
    base = np.outer(np.linspace(0.5, 24.0, 7), [1.0, 1.0 / 3.0]) + 0.1
    points = np.nextafter(base, chance.choice([-np.inf, np.inf], base.shape))
    i, j, k = triples(points)
    found = turns(points, i, j, k)
    for a, b, c, sign in zip(points[i], points[j], points[k], found, strict=True):
        (ax, ay), (bx, by), (cx, cy) = (map(Fraction, each.tolist()) for each in (a, b, c))
        exact = (ax - cx) * (by - cy) - (ay - cy) * (bx - cx)
        assert exact == 0 or (exact > 0) == (sign > 0)


@pytest.mark.parametrize(
    "points",
    [
        [[0, 0], [1, 0], [2, 0], [3, 0], [1, 0]],
        [[0, 0], [0, 1], [0, 2], [0, 1], [0, 0]],
        [[1, 1], [1, 1], [1, 1], [1, 1], [1, 1]],
        [[0, 0], [1, 1], [2, 2], [1, 1], [1, 0]],
    ],
)
def test_points_on_a_line_turn_as_if_they_were_moved(points):
    """No triple is on a line; a swap of two turns the other way; and of any five points the turns are those of five
    points that really lie in general position (the three-term relation of chirotopes, Bjoerner et al., Oriented
    Matroids, section 3.5, from memory)."""
    points = np.array(points, dtype=float)
    sign = {}
    for one, found in zip(triples(points).T.tolist(), turns(points, *triples(points)).tolist(), strict=True):
        sign[tuple(one)] = found
    assert set(sign.values()) == {-1, 1}
    for (a, b, c), found in sign.items():
        assert sign[(b, a, c)] == -found
        assert sign[(b, c, a)] == found
    for a, b, c, d, e in itertools.permutations(range(5)):
        terms = {
            sign[(a, b, c)] * sign[(a, d, e)],
            -sign[(a, b, d)] * sign[(a, c, e)],
            sign[(a, b, e)] * sign[(a, c, d)],
        }
        assert terms == {-1, 1}
