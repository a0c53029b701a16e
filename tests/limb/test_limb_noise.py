"""Noise found, smoothing chosen by it, and the fit's error falling as theory says, on limbs with a formula."""

import numpy as np
import pytest
from limb_shapes import arc, calf, cylinder, points_of

from flatten.limb.surface.fit import fit_surface
from flatten.limb.surface.noise import Modes
from flatten.limb.surface.penalty import SMOOTHINGS
from flatten.limb.surface.sample import even_points
from flatten.scan.model import Scan
from tests.scan import scan_files as files

RANGE = (0.0, 300.0)


def noisy(shape, sigma, *, seed=0, count=20_000, centre=None):
    points = points_of(shape, count=count, centre=centre)
    middle = np.zeros((count, 2)) if centre is None else centre(points[:, 2])
    away = points[:, :2] - middle
    points[:, :2] += (
        away * (np.random.default_rng(seed).normal(0, sigma, count) / np.linalg.norm(away, axis=1))[:, None]
    )
    return points


def error_of(surface, shape, *, centre=None):
    """Radial distances from the shape at places well inside the range."""
    h, b = np.meshgrid(np.linspace(20.0, 280.0, 131), np.arange(160) * (np.pi / 80), indexing="ij")
    points = surface.points(h.ravel(), b.ravel())
    away = points[:, :2] - (0.0 if centre is None else centre(points[:, 2]))
    return np.hypot(*away.T) - shape(points[:, 2], np.arctan2(away[:, 1], away[:, 0]))


def rms(values):
    return float(np.sqrt(np.mean(values**2)))


def twisted(h, b):
    """An oval that turns by 300 mm / 90 mm, half a turn."""
    return 45 + 5 * np.cos(2 * (b - h / 90)) + np.cos(3 * b)


def sinewy(h, b):
    """A calf with an edge like a shin's: 1 mm high, 7 mm wide."""
    return calf(h, b) + np.exp(-(((np.mod(b, 2 * np.pi) - 1.0) / 0.1) ** 2))


def test_the_modes_of_a_fine_spline_have_the_integrals_of_the_plane():
    # With k = 1/(1 + u⁴) and 2k − k² kept: ∫ (2k − k²) d²q/4π² = 3/(16 L²), ∫ (2k − k²)² d²q/4π² = 13/(128 L²).
    modes = Modes(400.0, 60.0, (1600, 1500))
    area = 400 * 2 * np.pi * 60
    for smoothing in (1.5, 2.5):
        # A sum over half-waves along counts the constant whole, not half: one in 400/(8·L) rows.
        assert modes.freedom(smoothing) == pytest.approx(3 * area / (16 * smoothing**2), rel=0.02)
        assert modes.power(smoothing) == pytest.approx(13 / (128 * smoothing**2), rel=0.02)


@pytest.mark.parametrize("sigma", [0.1, 0.5])
def test_what_noise_leaves_is_told_as_it_is(sigma):
    surface = fit_surface(noisy(cylinder, sigma), heights=RANGE)
    # About 1500 patches of 3 × smoothing are independent: a rms is told to 2 %; the median's noise density to 10 %.
    assert surface.noise_left == pytest.approx(rms(error_of(surface, cylinder)), rel=0.15)


def test_noise_of_triangle_corners_is_told_as_it_is():
    vertices, faces = files.tube(columns=120, rows=140)
    rng = np.random.default_rng(4)
    middle = vertices[:, :2].mean(axis=0)
    away = vertices[:, :2] - middle
    shaken = vertices.copy()
    shaken[:, :2] += away * (rng.normal(0, 0.4, len(vertices)) / np.linalg.norm(away, axis=1))[:, None]
    low, high = vertices[:, 2].min() + 1.0, vertices[:, 2].max() - 1.0
    found = []
    for corners in (vertices, shaken):
        flat = np.zeros_like(corners)
        points = even_points(Scan("t", corners, flat, faces, "mm", "given", 1.0, len(faces), ()), count=60_000)
        found.append(fit_surface(points - [*middle, 0.0], heights=(low, high), smoothing=2.5))
    h, b = np.meshgrid(np.linspace(low + 20, high - 20, 99), np.arange(90) * (np.pi / 45), indexing="ij")
    radii = [np.hypot(*each.points(h, b)[..., :2].transpose(2, 0, 1)) for each in found]
    # Corners share their noise with six triangles each: what is compared 10 mm apart tells 0.7 to 1 of its density.
    assert found[1].noise_left == pytest.approx(rms(radii[1] - radii[0]), rel=0.3)
    assert found[0].noise_left < 0.1 * found[1].noise_left


def test_smoothing_follows_the_noise():
    chosen = [fit_surface(noisy(sinewy, sigma), heights=RANGE).smoothing for sigma in (0.0, 0.1, 1.0)]
    assert chosen[0] == SMOOTHINGS[0]
    assert chosen[-1] == SMOOTHINGS[-1]
    assert chosen == sorted(chosen)


def test_knots_are_finer_where_points_are_exact():
    exact, loose = (fit_surface(noisy(sinewy, sigma), heights=RANGE).radii.shape for sigma in (0.0, 1.0))
    assert exact == (53, 48)
    assert loose == (41, 36)


@pytest.mark.parametrize("shape", [calf, twisted])
def test_a_chosen_smoothing_is_no_worse_than_the_others(shape):
    points = noisy(shape, 0.3, seed=7)
    others = [rms(error_of(fit_surface(points, heights=RANGE, smoothing=each), shape)) for each in SMOOTHINGS]
    # The estimate's own scatter is a few percent of an error.
    assert rms(error_of(fit_surface(points, heights=RANGE), shape)) < 1.1 * min(others)


@pytest.mark.parametrize(
    ("shape", "radius", "centre"), [(cylinder, 50.0, None), (twisted, 45.0, None), (cylinder, 50.0, arc)]
)
def test_error_falls_with_the_noise_and_with_the_root_of_the_number_of_points(shape, radius, centre):
    def error(sigma, count):
        points = noisy(shape, sigma, count=count, centre=centre)
        exact = points_of(shape, count=count, centre=centre)
        # The same centre line for both, so that nothing but the noise is in their difference.
        line = fit_surface(exact, heights=RANGE).centre_line
        pair = [fit_surface(each, heights=RANGE, centre=line, smoothing=2.5) for each in (exact, points)]
        h, b = np.meshgrid(np.linspace(20.0, 280.0, 131), np.arange(160) * (np.pi / 80), indexing="ij")
        return rms(pair[1].radius(h, b) - pair[0].radius(h, b))

    plain = error(0.2, 20_000)
    # White noise of density σ² times the area that each point has, through what the spline's waves keep; those near
    # its Nyquist wave are told to a tenth.
    modes = Modes(300.0, radius, (41, 36))
    density = 0.2**2 * 300 * 2 * np.pi * radius / 20_000
    assert plain == pytest.approx(np.sqrt(density * modes.power(2.5)), rel=0.1)
    # Each is told to 2 %.
    assert error(0.1, 20_000) == pytest.approx(plain / 2, rel=0.06)
    assert error(0.2, 80_000) == pytest.approx(plain / 2, rel=0.1)


@pytest.mark.parametrize(("shape", "centre"), [(twisted, None), (cylinder, arc), (calf, arc)])
def test_error_falls_with_the_fourth_power_of_the_knots_on_bent_and_twisted_tubes(shape, centre):
    points = points_of(shape, count=60_000, centre=centre)
    line = fit_surface(points, heights=RANGE).centre_line
    errors = [
        np.abs(
            error_of(
                fit_surface(points, heights=RANGE, centre=line, smoothing=0.2, spacing=s, bearings=n),
                shape,
                centre=centre,
            )
        ).max()
        for s, n in ((24.0, 12), (12.0, 24))
    ]
    # O(spacing⁴): 16 for a halving; 10 leaves room for what the coarser knots do not yet follow.
    assert errors[0] / errors[1] > 10 or errors[0] < 1e-3
