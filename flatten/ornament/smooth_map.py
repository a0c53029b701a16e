"""A smooth map of the plane through scattered pairs of places: lines carried by it have no kinks."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from scipy.interpolate import BSpline
from scipy.sparse import csc_array, csr_array, kron
from scipy.sparse.linalg import splu
from scipy.spatial import cKDTree

from flatten.mesh.surface import Floats, frozen
from flatten.ornament.model import OrnamentError
from flatten.ornament.trouble import told_place

DEGREE = 3
"""Cubic: second derivatives are continuous, so that a line that bends smoothly still does when it is carried."""

KNOT_SPACING = 6.0
"""mm. Twice the edge length of the finest meshes: what is finer is the mesh's and not the leather's."""

STIFFNESS = 2.5
"""mm. Ripples shorter than 2π of this, which a mesh has and leather has not, are evened out: by half at that length and
the less the longer they are, with the fourth power; by 0.5 % at 60 mm, the length of a motif."""

ARRIVED = 1e-9
"""mm. A place whose image is met this closely is found: a rounding matter."""

MOST_STEPS = 30
"""Newton steps in which a place has to be found; from the nearest known one it takes 3 to 6."""


@dataclass(frozen=True, eq=False)
class SmoothMap:
    """p ↦ p + s(p) with a twice continuously differentiable s: bicubic, `coefficients` (nx,ny,2) mm over the uniform
    knots `x` (nx+4,) and `y` (ny+4,).

    `known` are places (n,2) among those that it was made from, and `images` (n,2) where it takes them.
    """

    x: Floats
    y: Floats
    coefficients: Floats
    known: Floats
    images: Floats

    def __post_init__(self) -> None:
        """Freeze the arrays."""
        for name in ("x", "y", "coefficients", "known", "images"):
            object.__setattr__(self, name, frozen(getattr(self, name)))

    def at(self, points: Floats) -> Floats:
        """The images (n,2) of places (n,2)."""
        return points + self._sums(points, (0, 0))

    def slopes(self, points: Floats) -> Floats:
        """The derivatives (n,2,2) there: [n, i, k] is that of coordinate i by coordinate k."""
        by_x, by_y = (self._sums(points, nu) for nu in ((1, 0), (0, 1)))
        return np.eye(2) + np.stack([by_x, by_y], axis=-1)

    def bends(self, points: Floats) -> Floats:
        """The greatest second derivative (n,) there in any of the four directions of both axes, 1/mm."""
        every = [self._sums(points, nu) for nu in ((2, 0), (1, 1), (0, 2))]
        twice_x, mixed, twice_y = ((each**2).sum(axis=1) for each in every)
        return np.asarray(np.sqrt(twice_x + 2.0 * mixed + twice_y))

    def back(self, images: Floats) -> Floats:
        """The places (n,2) whose images these are, by Newton's method from the nearest known ones.

        Raises OrnamentError where one is not found.
        """
        near = self._nearest.query(images)[1]
        points = self.known[near] + (images - self.images[near])
        live = np.arange(len(images))
        for _ in range(MOST_STEPS):
            miss = images[live] - self.at(points[live])
            away = np.hypot(*miss.T) > ARRIVED
            live, miss = live[away], miss[away]
            if not live.size:
                return np.asarray(points, dtype=np.float64)
            points[live] += np.linalg.solve(self.slopes(points[live]), miss[..., None])[..., 0]
        x, y = images[live[0]]
        raise OrnamentError(
            f"the place {told_place(x, y)} cannot be found on the drawing plane: it lies too far outside of what that "
            "covers; keep the ornament inside its field"
        )

    def mirrored_mean(self) -> SmoothMap:
        """The mean of the map and its own mirror image about x = 0: it takes mirror images to mirror images.

        Precondition: the knots lie symmetrically about x = 0.
        """
        image = self.coefficients[::-1] * np.array([-1.0, 1.0])
        mean = replace(self, coefficients=0.5 * (self.coefficients + image))
        return replace(mean, images=mean.at(self.known))

    @cached_property
    def _nearest(self) -> cKDTree:
        return cKDTree(self.images)

    def _sums(self, points: Floats, nu: tuple[int, int]) -> Floats:
        """The spline's derivatives (n,2) of orders `nu` at places (n,2)."""
        (at_x, by_x), (at_y, by_y) = (_weights(knots, points[:, k], nu[k]) for k, knots in enumerate((self.x, self.y)))
        near = self.coefficients[at_x[:, :, None], at_y[:, None, :]]
        return np.einsum("na,nb,nabk->nk", by_x, by_y, near)


def smooth_map(places: Floats, images: Floats, *, symmetrical: bool = False) -> SmoothMap:
    """The smooth map that takes `places` (n,2) mm nearly to `images` (n,2) mm.

    Of all bicubic maps over knots KNOT_SPACING apart that of least ∫|f − image|² + STIFFNESS⁴ · ∫|∇∇f|², a thin plate's
    energy, each place standing for its share of the area. Knots lie symmetrically about x = 0 where `symmetrical`.
    """
    low, high = places.min(axis=0) - KNOT_SPACING, places.max(axis=0) + KNOT_SPACING
    if symmetrical:
        high[0] = max(-low[0], high[0])
        low[0] = -high[0]
    x, y = (_knots(a, b) for a, b in zip(low, high, strict=True))
    rows = csr_array(_design(x, y, places))
    # n places cover about their hexagonal share of the plane each; only the ratio of both energies hangs on it.
    share = _area_each(places)
    gram = [[_gram(knots, order) for order in range(3)] for knots in (x, y)]
    plate = kron(gram[0][2], gram[1][0]) + 2.0 * kron(gram[0][1], gram[1][1]) + kron(gram[0][0], gram[1][2])
    normal = csc_array(share * (rows.T @ rows) + STIFFNESS**4 * plate)
    found = splu(normal, permc_spec="MMD_AT_PLUS_A", options={"SymmetricMode": True}).solve(
        share * (rows.T @ (images - places))
    )
    coefficients = found.reshape(len(x) - DEGREE - 1, len(y) - DEGREE - 1, 2)
    mapped = SmoothMap(x, y, coefficients, places, images)
    return replace(mapped, images=mapped.at(places))


def _knots(low: float, high: float) -> Floats:
    """Uniform knots whose basis is whole between `low` and `high`."""
    count = max(int(np.ceil((high - low) / KNOT_SPACING)), 1)
    middle = 0.5 * (low + high)
    return np.asarray(middle + KNOT_SPACING * (np.arange(-DEGREE, count + DEGREE + 1) - 0.5 * count), dtype=np.float64)


def _weights(knots: Floats, at: Floats, order: int) -> tuple[Floats, Floats]:
    """Numbers (n,4) and values (n,4) of the four basis functions that are not 0 at places (n,), or of their derivatives
    of that order; beyond the knots the last polynomial goes on."""
    step = knots[1] - knots[0]
    share = (at - knots[DEGREE]) / step
    first = np.clip(np.floor(share).astype(np.int64), 0, len(knots) - 2 * DEGREE - 2)
    t = share - first
    one = 1.0 - t
    if order == 0:
        values = [one**3, 3 * t**3 - 6 * t**2 + 4, 3 * one**3 - 6 * one**2 + 4, t**3]
    elif order == 1:
        values = [-3 * one**2, 9 * t**2 - 12 * t, -9 * one**2 + 12 * one, 3 * t**2]
    else:
        values = [6 * one, 18 * t - 12, 18 * one - 12, 6 * t]
    return first[:, None] + np.arange(DEGREE + 1), np.stack(values, axis=1) / (6.0 * step**order)


def _design(x: Floats, y: Floats, places: Floats) -> csr_array:
    """The basis functions' values (n,nx·ny) at places (n,2)."""
    (at_x, by_x), (at_y, by_y) = (_weights(knots, places[:, k], 0) for k, knots in enumerate((x, y)))
    columns = at_x[:, :, None] * (len(y) - DEGREE - 1) + at_y[:, None, :]
    values = by_x[:, :, None] * by_y[:, None, :]
    starts = np.arange(len(places) + 1) * (DEGREE + 1) ** 2
    shape = (len(places), (len(x) - DEGREE - 1) * (len(y) - DEGREE - 1))
    return csr_array((values.ravel(), columns.ravel(), starts), shape=shape)


def _gram(knots: Floats, order: int) -> csr_array:
    """Integrals (n,n) of products of the basis functions' derivatives of that order over where the basis is whole."""
    count = len(knots) - DEGREE - 1
    inner = knots[DEGREE : count + 1]
    # Four Gauss points integrate the product of two cubics exactly.
    nodes, weights = np.polynomial.legendre.leggauss(DEGREE + 1)
    half = 0.5 * np.diff(inner)
    at = (0.5 * (inner[:-1] + inner[1:]))[:, None] + half[:, None] * nodes
    values = BSpline(knots, np.eye(count), DEGREE)(at.ravel(), nu=order)
    return csr_array((values * (half[:, None] * weights).ravel()[:, None]).T @ values)


def _area_each(places: Floats) -> float:
    """mm² that each of evenly scattered places (n,2) stands for: √3/2 of the squared distance to the nearest."""
    apart = np.asarray(cKDTree(places).query(places, k=2)[0])[:, 1]
    return float(0.5 * np.sqrt(3.0) * np.median(apart) ** 2)
