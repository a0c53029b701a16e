"""The parts under the fit: bases, bending energy, even points, medians, section centres."""

import numpy as np
import pytest
from limb_shapes import points_of

from flatten.limb.model import Frame, LimbError
from flatten.limb.surface.centre import cell_medians, section_centroids
from flatten.limb.surface.model import LimbSurface
from flatten.limb.surface.sample import even_points
from flatten.limb.surface.spline import (
    bending_energy,
    clamped_knots,
    factorised,
    normal_matrix,
    normal_right,
    solve,
    tensor_basis,
)
from flatten.scan.model import Scan


def full(band):
    """The dense symmetric matrix of its lower band."""
    n = band.shape[1]
    dense = np.zeros((n, n))
    for offset in range(min(len(band), n)):
        dense[np.arange(offset, n), np.arange(n - offset)] = band[offset, : n - offset]
    return dense + np.tril(dense, -1).T


KNOTS = clamped_knots(0.0, 60.0, 15.0)
SHAPE = (len(KNOTS) - 4, 8)


def some_basis(count=500):
    rng = np.random.default_rng(4)
    heights, bearings = rng.uniform(0, 60, count), rng.uniform(-4, 8, count)
    return heights, bearings, tensor_basis(heights, bearings, knots=KNOTS, count=8)


def test_the_fit_and_the_surface_evaluate_the_same_spline():
    heights, bearings, basis = some_basis()
    radii = np.random.default_rng(5).uniform(30, 60, SHAPE)
    surface = LimbSurface(KNOTS, radii, np.zeros((SHAPE[0], 2)), (0, 60), 0, 0, 0, ())
    np.testing.assert_allclose(basis.at_points(radii), surface.radius(heights, bearings), rtol=1e-12)


def test_banded_normal_equations_are_the_dense_ones():
    heights, _, basis = some_basis()
    rng = np.random.default_rng(6)
    weights, values = rng.uniform(0, 2, len(heights)), rng.normal(size=len(heights))
    dense = np.stack([basis.at_points(unit) for unit in np.eye(SHAPE[0] * SHAPE[1])], axis=1)
    band, right = normal_matrix(basis, weights), normal_right(basis, weights * values)
    np.testing.assert_allclose(full(band), dense.T @ (weights[:, None] * dense), atol=1e-10)
    np.testing.assert_allclose(right, dense.T @ (weights * values), atol=1e-10)
    np.testing.assert_allclose(full(band) @ solve(factorised(band), right), right, atol=1e-9)


def test_bending_energy_is_that_of_a_plate_round_the_limb():
    # Fine midpoint rule on the surface's own derivatives, R rising along the limb.
    radii = np.random.default_rng(7).uniform(-1, 1, SHAPE)
    ring = np.array([30.0, 50.0])
    surface = LimbSurface(KNOTS, radii, np.zeros((SHAPE[0], 2)), (0, 60), 0, 0, 0, ())
    h, b = np.meshgrid((np.arange(2400) + 0.5) / 40, (np.arange(400) + 0.5) * np.pi / 200, indexing="ij")
    wide = 30 + h / 3
    terms = (surface.radius(h, b, nu=order) for order in ((2, 0), (1, 1), (0, 2)))
    along, twist, around = terms
    energy = (along**2 + 2 * (twist / wide) ** 2 + (around / wide**2) ** 2) * wide / 40 * np.pi / 200
    matrix = full(bending_energy(KNOTS, 8, ring))
    assert radii.ravel() @ matrix @ radii.ravel() == pytest.approx(energy.sum(), rel=1e-4)


def test_bending_energy_of_constant_and_linear_radii_is_nothing():
    matrix = full(bending_energy(KNOTS, 8, np.array([40.0])))
    greville = np.array([KNOTS[i + 1 : i + 4].mean() for i in range(SHAPE[0])])
    for column in (np.ones(SHAPE[0]), greville):
        np.testing.assert_allclose(matrix @ np.repeat(column, 8), 0, atol=1e-10)


def test_medians_of_cells_are_numpys():
    rng = np.random.default_rng(8)
    cells, values = rng.integers(0, 7, 200), rng.normal(size=200)
    cells[cells == 3] = 4
    medians = cell_medians(cells, values, 8)
    assert np.isnan(medians[[3, 7]]).all()
    for cell in (0, 1, 2, 4, 5, 6):
        assert medians[cell] == np.median(values[cells == cell])


def test_no_values_have_no_medians():
    assert np.isnan(cell_medians(np.empty(0, int), np.empty(0), 3)).all()


def test_the_centroid_of_a_shifted_circle_is_its_centre():
    # r(b) of a circle of radius 40 about (6, -3), seen from the origin; the midpoint rule is spectrally exact.
    turn = (np.arange(36) + 0.5) * (2 * np.pi / 36) - np.pi
    along = 6 * np.cos(turn) - 3 * np.sin(turn)
    radii = along + np.sqrt(40**2 - (6 * np.sin(turn) + 3 * np.cos(turn)) ** 2)
    shift, _, seen = section_centroids(radii[None])
    np.testing.assert_allclose(shift[0], [6, -3], atol=1e-9)
    assert seen.tolist() == [1.0]


def test_a_section_without_points_has_no_centroid():
    shift, mean, seen = section_centroids(np.full((1, 12), np.nan))
    assert np.isnan(shift).all()
    assert np.isnan(mean).all()
    assert seen.tolist() == [0.0]


def scan_of(points, faces=()):
    return Scan("t", np.array(points, float), np.zeros((len(points), 3)), np.array(faces, np.int64).reshape(-1, 3),
                "mm", "given", 1.0, len(faces), ())  # fmt: skip


def test_thin_triangles_get_points_by_their_area():
    # One square of 100 mm as two triangles beside one as 200 slivers: the same density on both.
    x = np.linspace(100, 200, 101)
    points = [(0, 0, 0), (100, 0, 0), (100, 100, 0), (0, 100, 0)] + [(v, y, 0) for v in x for y in (0, 100)]
    faces = [(0, 1, 2), (0, 2, 3)]
    for k in range(100):
        a = 4 + 2 * k
        faces += [(a, a + 2, a + 3), (a, a + 3, a + 1)]
    found = even_points(scan_of(points, faces), count=8000)
    counts, _, _ = np.histogram2d(found[:, 0], found[:, 1], bins=(20, 10), range=((0, 200), (0, 100)))
    # 40 points a cell; a random choice would scatter by √40 ≈ 6.3, the sequence by less.
    assert counts.sum() == 8000
    assert counts[:10].std() < 4
    assert counts[10:].mean() == pytest.approx(40, abs=0.1)


def test_the_same_scan_gives_the_same_points():
    scan = scan_of([(0, 0, 0), (9, 0, 0), (0, 9, 3)], [(0, 1, 2)])
    np.testing.assert_array_equal(even_points(scan, count=50), even_points(scan, count=50))


def test_a_cloud_is_thinned_evenly_however_dense_a_part_of_it_is():
    rng = np.random.default_rng(9)
    plane = np.column_stack([rng.uniform(0, 100, (40_000, 2)), np.zeros(40_000)])
    crowd = plane[:, :] * [0.2, 0.2, 1]
    found = even_points(scan_of(np.concatenate([plane, crowd])), count=2000)
    assert 1000 < len(found) < 4000
    corner = (found[:, :2] < 20).all(axis=1).mean()
    assert corner == pytest.approx(0.04, abs=0.015)


def test_a_small_cloud_is_taken_as_it_is():
    cloud = scan_of([(0, 0, 0), (1, 2, 3)])
    np.testing.assert_array_equal(even_points(cloud, count=10), cloud.points)


@pytest.mark.parametrize("scan", [scan_of([]), scan_of([(0, 0, 0), (1, 1, 1), (2, 2, 2)], [(0, 1, 2)])])
def test_a_scan_without_any_surface_is_told(scan):
    with pytest.raises(LimbError):
        even_points(scan, count=10)


def test_frames_turn_there_and_back():
    rows = np.linalg.qr(np.random.default_rng(10).normal(size=(3, 3)))[0]
    frame = Frame(np.array([1.0, 2.0, 3.0]), rows)
    points = points_of(lambda h, b: 40 + 0 * h, count=50)
    np.testing.assert_allclose(frame.to_scan(frame.to_limb(points)), points, atol=1e-12)
    assert frame.mirrored == (np.linalg.det(rows) < 0)
