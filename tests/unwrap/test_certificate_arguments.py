"""The disc, the wheel and the pairs against closed forms.

Milnor 1969, "A problem in cartography", Amer. Math. Monthly 76(10): the least spread of a flat map of a spherical cap
of angular radius a is log(a / sin a) (the statement recalled). On a disc of radius R of the hyperbolic plane the
equidistant map has spread log(sinh R / R), so that no bound may be above it.
"""

from fractions import Fraction

import numpy as np
import pytest
from certificate_shapes import (
    flat_spread,
    hub_and_rim,
    hyperbolic_chord,
    known_pairs,
    sphere_chord,
    waved,
)
from unwrap_shapes import cap, ccw, hyperbolic_like, square

from flatten.mesh.angles import angle_sums
from flatten.mesh.disk import check_disk
from flatten.mesh.surface import Mesh
from flatten.unwrap.certificate.angles import ANGLE_ROUNDING, angle, greatest_angle, least_angle
from flatten.unwrap.certificate.disc import best_disc
from flatten.unwrap.certificate.pairs import _Rows, best_pairs, figure_of, weighed_ratio
from flatten.unwrap.certificate.survey import survey
from flatten.unwrap.certificate.wheel import best_wheel
from flatten.unwrap.disk import flatten_disk


def centred_cap(rings: int, a: float) -> Mesh:
    """A spherical cap of radius 100 mm with a vertex at its pole, on even rings."""
    radii = [np.zeros(1)] + [np.full(6 * k, k / rings) for k in range(1, rings + 1)]
    turns = [np.zeros(1)] + [2 * np.pi * np.arange(6 * k) / (6 * k) for k in range(1, rings + 1)]
    r, t = np.concatenate(radii), np.concatenate(turns)
    faces = ccw(np.stack([r * np.cos(t), r * np.sin(t)], axis=1))
    c = r * a
    return Mesh(100 * np.stack([np.sin(c) * np.cos(t), np.sin(c) * np.sin(t), np.cos(c)], axis=1), faces)


def disc_bound(mesh: Mesh) -> float:
    boundary = check_disk(mesh)
    panel = survey(mesh)
    defects = 2 * np.pi - angle_sums(mesh.vertices, mesh.faces)
    defects[boundary] = 0.0
    return best_disc(
        panel.distances,
        centres=panel.points.tolist(),
        to_boundary=panel.to_boundary,
        defects=defects,
        least_radius=3 * panel.longest,
    ).bound


def wheel_bound(distance, clear, guide, *, floor=0.0, ceiling=0.5):
    pairs = known_pairs(distance, clear)
    return best_wheel(pairs, guide=guide, least_radius=0.0, spacing=1e-9, floor=floor, ceiling=ceiling)


@pytest.mark.parametrize("a", [np.radians(30), np.radians(45), np.radians(60)])
def test_the_disc_nearly_meets_milnor_s_bound_on_a_cap(a):
    milnor = np.log(a / np.sin(a))
    assert 0.98 * milnor < disc_bound(centred_cap(12, a)) < milnor


@pytest.mark.parametrize("mesh", [square(), hyperbolic_like(400, bend=0.3)], ids=["flat", "saddle"])
def test_the_disc_says_nothing_about_what_is_no_dome(mesh):
    assert disc_bound(mesh) < 1e-9


def test_the_wheel_tends_to_milnor_s_bound_from_below():
    a = 0.5
    bounds = []
    for count in (8, 12, 18, 40):
        distance, guide = hub_and_rim(count, a, sphere_chord(a))
        bounds.append(wheel_bound(distance, np.full(count + 1, 9.0), guide, ceiling=0.06).bound)
    assert bounds == sorted(bounds)
    # A rim of n points falls short by the share sin²(π/n), to the first order in a²; the search leaves 1e-4.
    milnor = np.log(a / np.sin(a))
    assert milnor * (1 - 1.3 * np.sin(np.pi / 40) ** 2) - 2e-4 < bounds[-1] < milnor


@pytest.mark.parametrize(("radius", "count", "least"), [(0.5, 32, 0.0379), (0.75, 23, 0.0772)])
def test_the_wheel_on_a_hyperbolic_disc(radius, count, least):
    # At this radius the chords just have room in the disc about the hub (`struts`, Room) at the spread that is proved.
    rim = radius * np.exp(-least) * 0.99998
    distance, guide = hub_and_rim(count, rim, hyperbolic_chord(rim))
    clear = np.append(radius, np.full(count, radius - rim))
    bound = wheel_bound(distance, clear, guide, floor=0.95 * least, ceiling=1.02 * least).bound
    assert least <= bound < np.log(np.sinh(radius) / radius)


def test_a_rim_in_a_wrong_order_proves_nothing():
    distance, guide = hub_and_rim(6, 1.0, lambda angle: 2 * np.abs(np.sin(angle / 2)))
    assert wheel_bound(distance, np.full(7, 9.0), guide).bound == 0
    # Two neighbours exchanged: the turns add up to 480°, which only the order test finds fault with.
    assert wheel_bound(distance, np.full(7, 9.0), guide[[0, 1, 3, 2, 4, 5, 6]]).bound == 0


def test_angles_near_0_and_pi_keep_all_their_digits():
    """Against the half-angle formula in rational arithmetic, on triangles that hardly close or hardly do not."""
    rng = np.random.default_rng(0)
    for _ in range(400):
        a, b = rng.uniform(0.01, 1.0, 2)
        c = rng.choice([a + b, abs(a - b)]) * (1 + rng.integers(-60, 60) * 1e-16)
        x, y, z = (Fraction(float(side)) for side in (a, b, c))
        sine, cosine = (z - x + y) * (z + x - y), (x + y + z) * (x + y - z)
        exact = 2 * np.arctan2(max(float(sine), 0.0) ** 0.5, max(float(cosine), 0.0) ** 0.5)
        assert angle(a, b, c) == pytest.approx(exact, abs=1e-3 * ANGLE_ROUNDING)


def test_angles_lie_between_their_bounds():
    rng = np.random.default_rng(2)
    low = rng.uniform(0.5, 2.0, (3, 400))
    high = low * rng.uniform(1.0, 1.4, (3, 400))
    least = least_angle((low[0], high[0]), (low[1], high[1]), low[2])
    greatest = greatest_angle((low[0], high[0]), (low[1], high[1]), high[2])
    for _ in range(40):
        a, b, c = low + (high - low) * rng.uniform(0, 1, (3, 400))
        found = angle(a, b, c)
        assert (found >= least - 1e-12).all()
        assert (found <= greatest + 1e-12).all()


def test_the_greatest_angle_need_not_be_at_a_corner():
    # A right angle at the end of the free side: sin = 1 / 2.
    free, fixed = (np.array([1.0]), np.array([2.5])), (np.array([2.0]), np.array([2.0]))
    assert greatest_angle(free, fixed, np.array([1.0])) == pytest.approx(np.pi / 6)


@pytest.mark.parametrize("seed", range(4))
def test_no_multipliers_prove_more_than_a_map_that_exists(seed):
    rng = np.random.default_rng(seed)
    place = rng.uniform(0, 1, (12, 2))
    first, second = np.triu_indices(12, 1)
    figure = figure_of(place, first, second)
    v = place[second] - place[first]
    apart = np.hypot(*v.T) / np.exp(rng.uniform(0, 0.1, len(first)))
    ratio = (np.hypot(*v.T) / apart).max()
    n = v / np.hypot(*v.T)[:, None]
    every, zero = np.arange(len(first)), np.zeros(len(first))
    rows = _Rows(every, n[:, 0], n[:, 1], apart, zero).join(_Rows(every, -n[:, 0], -n[:, 1], zero, -apart))
    for _ in range(50):
        weight = rng.exponential(size=len(rows.pair)) * (rng.random(len(rows.pair)) < 0.3)
        assert weighed_ratio(rows, weight, figure=figure, far=apart.max() * np.full(12, 2.0)) <= ratio


def test_no_multipliers_at_all_prove_nothing():
    figure = figure_of(np.eye(2), np.array([0]), np.array([1]))
    row = _Rows(np.array([0]), np.ones(1), np.zeros(1), np.ones(1), np.zeros(1))
    assert weighed_ratio(row, np.zeros(1), figure=figure, far=np.ones(2)) == 0


def test_the_pairs_of_a_flat_plate_prove_nothing_from_a_stretched_map():
    mesh = square()
    panel = survey(mesh)
    guide = mesh.vertices[panel.points, :2] * [1.03, 1.0]
    assert best_pairs(panel.pairs, guide=guide, floor=0.0, ceiling=0.03).bound < 1e-9


@pytest.mark.parametrize("shape", [cap(250, 0.5), hyperbolic_like(250, bend=0.3)], ids=["dome", "saddle"])
@pytest.mark.parametrize("seed", range(1))
def test_the_pairs_never_prove_more_than_a_map_that_exists(shape, seed):
    uv = flatten_disk(shape).uv
    flat, spread = waved(shape, check_disk(shape), uv, amount=0.001, seed=seed)
    panel = survey(shape)
    # The map itself is the guide here, and spreads about its own are assumed.
    bound = best_pairs(panel.pairs, guide=flat[panel.points], floor=0.0, ceiling=1.5 * spread).bound
    assert 0.0 < bound <= min(spread, flat_spread(shape, uv)[1])
