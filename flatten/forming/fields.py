"""Smooth changes of a flat shape, few enough to choose among: polynomials over the flat piece."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.polynomial import legendre

from flatten.mesh.surface import Floats

DEGREE = 4
"""Of the polynomials, in both directions together: 27 changes without translations and a turn."""


@dataclass(frozen=True)
class Ground:
    """Where polynomials are taken over: `middle` (2,) and `half` (2,) widths of flat places, mm."""

    middle: Floats
    half: Floats


def ground_of(uv: Floats, *, even: bool) -> Ground:
    """The ground of flat places (V,2); about x = 0 where the piece is to stay `even`."""
    low, high = uv.min(axis=0), uv.max(axis=0)
    middle = 0.5 * (low + high)
    if even:
        middle[0] = 0.0
    return Ground(middle, np.abs(uv - middle).max(axis=0))


def fields_over(uv: Floats, ground: Ground, *, even: bool) -> Floats:
    """Changes (K,V,2) of flat places (V,2): Legendre polynomials, each at most 1 mm on the ground, along x and along y.

    `even` keeps to those that leave halves mirrored about x = 0: what is moved along x is odd in x, along y even.
    The same changes of another piece on the same ground are those of the same numbers.
    """
    x, y = ((uv - ground.middle) / ground.half).T
    across, along = legendre.legvander(x, DEGREE), legendre.legvander(y, DEGREE)
    found = np.zeros((len(terms := _terms(even=even)), *uv.shape))
    for field, (i, j, axis) in zip(found, terms, strict=True):
        field[:, axis] = across[:, i] * along[:, j]
    return found


def narrower(ground: Ground, share: float, *, even: bool) -> Floats:
    """The amounts (K,), mm, of the changes that make a piece narrower by a share of its width, and change nothing
    else."""
    return np.array([-share * ground.half[0] if term == (1, 0, 0) else 0.0 for term in _terms(even=even)])


def _terms(*, even: bool) -> list[tuple[int, int, int]]:
    """Degrees in x and in y, and what is moved (0: x), of each change."""
    found = []
    for i in range(DEGREE + 1):
        for j in range(DEGREE + 1 - i):
            for axis in (0, 1):
                # With the second one's like along y, a turn of the whole would be among the changes.
                moves_or_turns = i + j == 0 or (i, j, axis) == (0, 1, 0)
                uneven = even and (i % 2 == 1) != (axis == 0)
                if not moves_or_turns and not uneven:
                    found.append((i, j, axis))
    return found


def mirrored(fields: Floats) -> Floats:
    """The same changes (K,V,2), taken at mirrored places, of the piece's mirror image about x = 0."""
    return fields * np.array([-1.0, 1.0])
