import numpy as np
import pytest

from flatten.leather.bending import BEND_SPAN, bend_around, bending_strain, curvature_around, tightest_bend
from flatten.leather.model import LeatherError
from flatten.limb.surface.model import LimbSurface
from flatten.mesh.surface import Mesh
from flatten.worn.panel import Panel

COLUMNS = 48
KNOTS = np.r_[[0.0] * 4, 100.0, [200.0] * 4]


def limb(radius_at, *, centre=(0.0, 0.0)):
    """A limb whose spline interpolates radius_at(height, bearing) at its columns, linear in height."""
    count = len(KNOTS) - 4
    greville = np.array([KNOTS[i + 1 : i + 4].mean() for i in range(count)])
    bearings = np.arange(COLUMNS) * 2 * np.pi / COLUMNS
    wanted = radius_at(greville[:, None], bearings[None])
    # A uniform cubic B-spline is (c[k-1] + 4 c[k] + c[k+1]) / 6 at its columns: inverted in Fourier space.
    symbol = (2.0 + np.cos(bearings)) / 3.0
    radii = np.fft.ifft(np.fft.fft(wanted, axis=1) / symbol, axis=1).real
    return LimbSurface(KNOTS, radii, np.tile(centre, (count, 1)), (0.0, 200.0), 0.0, 0.0, 0.0, ())


def panel(heights, bearings):
    heights, bearings = np.asarray(heights, float), np.asarray(bearings, float)
    return Panel("leg", Mesh(np.zeros((len(heights), 3)), np.zeros((0, 3), int)), heights, bearings, ())


# Surface strain t / (2R + t) of leather 4 mm thick [derived]
@pytest.mark.parametrize(("radius", "strain"), [(10, 0.1667), (20, 0.0909), (40, 0.0476), (60, 0.0323)])
def test_bending_strain_is_the_tabled_one(radius, strain):
    assert bending_strain(radius, thickness=4.0) == pytest.approx(strain, abs=5e-5)


@pytest.mark.parametrize(("radius", "thickness"), [(-1.0, 4.0), (10.0, 0.0), (10.0, -2.0), (np.nan, 4.0)])
def test_a_bend_that_cannot_be_is_refused(radius, thickness):
    with pytest.raises(LeatherError, match="cannot bend"):
        bending_strain(radius, thickness=thickness)


def test_a_flat_place_has_no_bending_strain():
    assert bending_strain(np.inf, thickness=4.0) == 0.0


def test_a_cylinder_curves_by_its_radius_wherever_its_axis_lies():
    round_limb = limb(lambda h, b: 50.0 + 0 * h * b, centre=(7.0, -3.0))
    found = curvature_around(round_limb, np.array([0.0, 60.0, 200.0]), np.array([0.0, 2.0, -9.0]))
    np.testing.assert_allclose(found, 1 / 50.0, rtol=1e-9)


def test_a_cone_curves_by_its_slant():
    # Normal curvature of a cone round its axis: cos(half-angle) / r.
    cone = limb(lambda h, b: 40.0 + 0.2 * h + 0 * b)
    found = curvature_around(cone, np.array([50.0, 150.0]), np.array([0.3, 4.0]))
    np.testing.assert_allclose(found, np.cos(np.arctan(0.2)) / np.array([50.0, 70.0]), rtol=1e-9)


def test_an_ellipse_curves_most_at_its_ends():
    long, short = 60.0, 45.0
    ellipse = limb(lambda h, b: 0 * h + long * short / np.hypot(short * np.cos(b), long * np.sin(b)))
    bearings = np.array([0.0, np.pi / 2, np.pi])
    exact = np.array([long / short**2, short / long**2, long / short**2])
    # A cubic spline's second derivative errs by O(step²) of the fourth: step 0.13 rad, measured against a² / b.
    np.testing.assert_allclose(curvature_around(ellipse, np.full(3, 80.0), bearings), exact, rtol=0.13**2)


def test_the_tightest_bend_is_found_and_with_paths_from_the_inside():
    long, short = 60.0, 45.0
    ellipse = limb(lambda h, b: 0 * h + long * short / np.hypot(short * np.cos(b), long * np.sin(b)))
    bearings = np.linspace(-np.pi / 2, np.pi / 2, 65)
    found = tightest_bend(panel(np.linspace(10.0, 190.0, 65), bearings), surface=ellipse, thickness=4.0, neutral=0.5)
    assert found.radius == pytest.approx(short**2 / long - 2.0, rel=0.13**2)
    assert found.strain == pytest.approx(4.0 / (2 * found.radius + 4.0), rel=1e-12)
    assert abs(found.bearing) < 0.06
    assert found.height == pytest.approx(100.0, abs=180.0 * 0.06 / np.pi)


def test_a_bend_is_the_turn_of_its_span_over_the_spans_length():
    long, short = 60.0, 30.0
    ellipse = limb(lambda h, b: 0 * h + long * short / np.hypot(short * np.cos(b), long * np.sin(b)))
    at = 0.3
    found = bend_around(ellipse, np.array([80.0]), np.array([at]), thickness=8.0)[0]
    # The same by a fine polygon of the surface's own section, its sides turned one against the next.
    bearings = np.linspace(at - 0.4, at + 0.4, 40_001)
    radii = ellipse.radius(np.full(len(bearings), 80.0), bearings)
    sides = np.diff(radii * np.exp(1j * bearings))
    length = np.concatenate([[0.0], np.cumsum(np.abs(sides))])
    # The span is laid off by the pace at its middle, to either side by the same angle.
    pace = abs(sides[20_000]) / (bearings[1] - bearings[0])
    low, high = np.searchsorted(bearings, at + np.array([-0.5, 0.5]) * BEND_SPAN * 8.0 / pace)
    exact = np.angle(sides[high] / sides[low]) / (length[high] - length[low])
    assert found == pytest.approx(exact, rel=1e-3)
    assert found != pytest.approx(curvature_around(ellipse, np.array([80.0]), np.array([at]))[0], rel=1e-3)


def test_leather_bridges_a_kink_that_is_narrower_than_it_bends_in():
    # A ripple of 6.5 mm and a tenth of a millimetre, as noise leaves it: its own curvature is 0.1 (2 pi / 6.5)².
    waves = COLUMNS
    count = 4 * waves

    def rippled(h, b):
        return 50.0 + 0 * h + 0.1 * np.cos(waves * b)

    bearings = np.arange(count) * 2 * np.pi / count
    symbol = (2.0 + np.cos(bearings)) / 3.0
    radii = np.fft.ifft(np.fft.fft(rippled(0.0, bearings)) / symbol).real
    rough = LimbSurface(KNOTS, np.tile(radii, (5, 1)), np.zeros((5, 2)), (0.0, 200.0), 0.0, 0.0, 0.0, ())
    sharp = 1.0 / curvature_around(rough, np.array([100.0]), np.array([0.0]))[0]
    assert sharp < 10.0
    found = tightest_bend(panel([100.0], [0.0]), surface=rough, thickness=3.2, neutral=0.5)
    assert found.radius > 40.0


def test_leather_without_thickness_has_no_bend():
    with pytest.raises(LeatherError, match="cannot be bent"):
        tightest_bend(panel([9.0], [0.0]), surface=limb(lambda h, b: 50.0 + 0 * h * b), thickness=0.0, neutral=0.5)


def test_the_neutral_line_lies_at_the_middle_by_the_formula():
    # With the neutral line at half the thickness, t / (2R + t) is half the thickness times the neutral curvature.
    round_limb = limb(lambda h, b: 52.0 + 0 * h * b)
    found = tightest_bend(panel([0, 90.0], [0, 1.0]), surface=round_limb, thickness=4.0, neutral=0.5)
    assert found.strain == pytest.approx(2.0 / 52.0, rel=1e-9)


def test_a_hollow_bends_on_its_outer_face():
    hollow = limb(lambda h, b: 50.0 - 8.0 * np.cos(b) ** 8 + 0 * h)
    assert curvature_around(hollow, np.array([100.0]), np.array([0.0]))[0] < 0
    (around,) = bend_around(hollow, np.array([100.0]), np.array([0.0]), thickness=3.0)
    assert around < 0
    sharp = 1 / abs(around)
    found = tightest_bend(panel([100.0], [0.0]), surface=hollow, thickness=3.0, neutral=0.4)
    assert found.radius == pytest.approx(sharp - 0.6 * 3.0)


def test_leather_thicker_than_the_bend_is_refused():
    thin = limb(lambda h, b: 5.0 + 0 * h * b)
    with pytest.raises(LeatherError, match="cannot bend"):
        tightest_bend(panel([9.0], [0.0]), surface=thin, thickness=12.0, neutral=0.5)


def test_an_empty_panel_has_no_bend():
    with pytest.raises(LeatherError, match="panel 'leg' is empty"):
        tightest_bend(panel([], []), surface=limb(lambda h, b: 50.0 + 0 * h * b), thickness=3.0, neutral=0.5)
