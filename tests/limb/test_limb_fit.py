"""The fitted surface against limbs with a formula: exact where it must be, the right rate, robust, honest."""

import numpy as np
import pytest
from limb_shapes import arc, calf, cone, cylinder, placed, points_of

from flatten.limb.girths.girth import section_girth
from flatten.limb.model import LimbError
from flatten.limb.surface.fit import fit_surface

RANGE = (0.0, 300.0)
HEIGHTS = np.linspace(5.0, 295.0, 59)


def probe(heights=HEIGHTS, count=24):
    h, b = np.meshgrid(heights, np.arange(count) * 2 * np.pi / count, indexing="ij")
    return h.ravel(), b.ravel()


def off_shape(surface, radius):
    """Distance of surface points from the shape along its radius; the shape's own centre is the axis."""
    points = surface.points(*probe())
    return np.hypot(points[:, 0], points[:, 1]) - radius(points[:, 2], np.arctan2(points[:, 1], points[:, 0]))


@pytest.mark.parametrize("shape", [cylinder, cone])
def test_a_straight_limb_costs_the_penalty_nothing_and_is_met_exactly(shape):
    surface = fit_surface(points_of(shape), heights=RANGE)
    # Only the centre, told from medians, is not exact; the surface about it is.
    assert np.abs(off_shape(surface, shape)).max() < 1e-3
    girths = np.array([section_girth(surface, h) for h in HEIGHTS])
    np.testing.assert_allclose(girths, 2 * np.pi * shape(HEIGHTS, HEIGHTS), rtol=1e-5)


def test_a_bent_tube_keeps_its_girth():
    surface = fit_surface(points_of(cylinder, centre=arc), heights=RANGE)
    girths = np.array([section_girth(surface, h) for h in HEIGHTS])
    np.testing.assert_allclose(girths, 2 * np.pi * 50.0, atol=0.01)


def test_error_falls_with_the_fourth_power_of_the_spacing():
    # Cubic splines: O(spacing⁴), so a factor of 16 for each halving; 10 leaves room for the coarse mesh's start.
    points = points_of(calf, count=60_000)
    errors = [
        np.abs(off_shape(fit_surface(points, heights=RANGE, smoothing=0.2, spacing=s, bearings=n), calf)).max()
        for s, n in ((40.0, 10), (20.0, 20), (10.0, 40))
    ]
    assert errors[0] / errors[1] > 10
    assert errors[1] / errors[2] > 10
    assert errors[2] < 0.01


def test_smoothing_halves_the_ripple_that_it_says_and_takes_twice():
    # One pass keeps 1/(1 + (2πL/Λ)⁴) of a ripple; the second gives back that share of what was lost.
    wave = 60.0
    smoothing = wave / (2 * np.pi)

    def rippled(h, b):
        return 50 + 0.1 * np.sin(2 * np.pi * h / wave)

    surface = fit_surface(points_of(rippled), heights=RANGE, smoothing=smoothing)
    middle = np.linspace(120, 180, 61)
    kept = 2 * np.mean(surface.radius(middle[:-1], 0.3) * np.sin(2 * np.pi * middle[:-1] / wave)) / 0.1
    assert kept == pytest.approx(0.75, abs=0.02)


def test_noise_is_told_as_rms_and_mostly_taken_off_the_surface():
    sigma = 0.4
    points = points_of(calf)
    points[:, :2] *= 1 + (np.random.default_rng(1).normal(0, sigma, len(points)) / np.hypot(*points[:, :2].T))[:, None]
    surface = fit_surface(points, heights=RANGE)
    # The fit takes up at most twice its 41 × 36 coefficients of the noise in 20 thousand points (it smooths twice);
    # |dr/dh| is up to 0.2 and the section is not round, so that distances are up to 3 % below radial errors.
    least = 0.97 * sigma * np.sqrt(1 - 2 * 41 * 36 / len(points))
    assert least < surface.rms < sigma
    assert 2.576 * least * 0.98 < surface.p99 < 2.576 * sigma * 1.02
    # The fit's filter is (1 + 2u²)/(1 + u²)² with u = (kL)²; white noise then averages over 128/13 L² [derived].
    area = 300 * 2 * np.pi * 52 / len(points)
    assert np.sqrt(np.mean(off_shape(surface, calf) ** 2)) < sigma * np.sqrt(area / (128 / 13 * surface.smoothing**2))


def test_cloth_and_loose_parts_do_not_move_the_surface():
    clean = points_of(calf)
    rng = np.random.default_rng(2)
    loose = clean[rng.choice(len(clean), len(clean) // 12, replace=False)].copy()
    loose[:, :2] *= 1 + rng.uniform(8, 25, (len(loose), 1)) / np.hypot(*loose[:, :2].T)[:, None]
    alone = fit_surface(clean, heights=RANGE)
    surface = fit_surface(np.concatenate([clean, loose]), heights=RANGE)
    # A least-squares fit would go out by the loose points' share of their distance, 16.5/13 mm.
    girths = np.array([[section_girth(s, h) for h in HEIGHTS] for s in (alone, surface)])
    assert np.abs(girths[0] - girths[1]).max() < 0.1
    assert surface.rejected_share == pytest.approx(1 / 13, abs=0.005)


@pytest.mark.parametrize("bearing", [0.0, 2.0, np.pi])
def test_a_hole_of_45_mm_is_bridged_within_2_mm_and_told(bearing):
    points = points_of(calf)
    turn = np.arctan2(points[:, 1], points[:, 0])
    aside = np.abs(np.mod(turn - bearing + np.pi, 2 * np.pi) - np.pi) * np.hypot(points[:, 0], points[:, 1])
    seen = points[np.hypot(aside, points[:, 2] - 150) > 22.5]
    surface = fit_surface(seen, heights=RANGE)
    middle = surface.points(np.array([150.0]), np.array([bearing]))[0]
    here = np.arctan2(middle[1], middle[0])
    error = np.hypot(middle[0], middle[1]) - calf(np.array([150.0]), np.array([here]))[0]
    assert abs(error) < 2.0
    (bridge,) = surface.bridges
    assert bridge.height == pytest.approx(150, abs=5)
    assert np.cos(bridge.bearing - bearing) > np.cos(0.1)
    assert bridge.width == pytest.approx(45, abs=4)
    assert bridge.uncertainty > abs(error)
    # A cell of 4 mm counts as seen up to two cells, 10 mm, from a point.
    whole = 300 * 2 * np.pi * 52
    assert np.pi * (22.5 - 10) ** 2 / whole < surface.bridged_share < np.pi * 22.5**2 / whole


def test_a_shelf_is_told_with_its_height():
    def shelf(h, b):
        return 40 + 12 * np.tanh((h - 200) / 8)

    with pytest.raises(LimbError, match=r"at height (19\d|20\d) mm: the surface there leans more than 45°"):
        fit_surface(points_of(shelf), heights=RANGE)


def test_a_second_wall_is_told_with_its_height():
    points = points_of(cylinder)
    inner = points[(points[:, 2] > 120) & (points[:, 2] < 180)] * [0.6, 0.6, 1.0]
    with pytest.raises(LimbError, match=r"at height 1[12]\d mm: \d\d % of the points there lie off one outline"):
        fit_surface(np.concatenate([points, inner]), heights=RANGE)


def test_a_half_scanned_limb_is_told_and_what_is_not_needed_is_only_left_out():
    points = points_of(cylinder)
    seen = points[(points[:, 0] < -20) | (points[:, 2] < 200)]
    with pytest.raises(LimbError, match=r"at height 20\d mm: the scan shows only \d\d % of the limb there"):
        fit_surface(seen, heights=RANGE)
    surface = fit_surface(seen, heights=RANGE, needed=(20.0, 150.0))
    assert surface.trusted == pytest.approx((0.0, 200.0), abs=8.0)


def test_a_refit_about_the_same_centre_keeps_the_chart():
    first = fit_surface(points_of(calf, centre=arc), heights=RANGE)
    # The knots that were chosen for exact points.
    knots = {"spacing": 300 / (len(first.radii) - 3), "bearings": first.radii.shape[1]}
    again = fit_surface(first.points(*dense()), heights=RANGE, centre=first.centre_line, smoothing=0.3, **knots)
    np.testing.assert_allclose(again.centre, first.centre, atol=1e-9)
    assert again.rms < 1e-3
    np.testing.assert_allclose(again.radius(*probe()), first.radius(*probe()), atol=1e-2)


def test_knots_that_refine_the_old_ones_keep_the_centre_exactly():
    first = fit_surface(points_of(calf, centre=arc), heights=RANGE, spacing=10.0)
    finer = fit_surface(first.points(*dense()), heights=RANGE, centre=first.centre_line, spacing=5.0, bearings=60)
    np.testing.assert_allclose(finer.centre_line(HEIGHTS), first.centre_line(HEIGHTS), atol=1e-9)


def dense():
    h, b = np.meshgrid(np.linspace(0, 300, 151), np.arange(180) * np.pi / 90, indexing="ij")
    return h.ravel(), b.ravel()


def test_many_points_are_averaged_and_not_thrown_away():
    rng = np.random.default_rng(3)
    points = points_of(calf, count=300_000)
    points[:, :2] += rng.normal(0, 0.5, (len(points), 2))
    surface = fit_surface(points, heights=RANGE)
    # The bound of test_noise with 300 thousand points: 0.036 mm, where 20 thousand would leave 0.14.
    area = 300 * 2 * np.pi * 52 / len(points)
    assert np.sqrt(np.mean(off_shape(surface, calf) ** 2)) < 0.5 * np.sqrt(area / (128 / 13 * surface.smoothing**2))


def test_normals_are_outward_and_square_to_a_cone():
    surface = fit_surface(points_of(cone), heights=RANGE)
    h, b = probe()
    expected = np.column_stack([np.cos(b), np.sin(b), np.full_like(b, -0.1)]) / np.sqrt(1.01)
    np.testing.assert_allclose(surface.normals(h, b), expected, atol=1e-4)


@pytest.mark.parametrize(
    ("change", "text"),
    [
        ({"heights": (0.0, 10.0)}, "two knot spacings"),
        ({"smoothing": 0.0}, "smoothing above 0"),
        ({"bearings": 31}, "even number of bearings"),
        ({"heights": (1000.0, 1300.0)}, "only 0 scan points"),
    ],
)
def test_arguments_without_sense_are_told(change, text):
    with pytest.raises(LimbError, match=text):
        fit_surface(points_of(cylinder), **{"heights": RANGE, **change})


@pytest.mark.parametrize("points", [np.empty((0, 3)), np.zeros((5, 3)), np.full((500, 3), np.nan), np.zeros((9, 2))])
def test_no_points_or_bad_points_are_told(points):
    with pytest.raises(LimbError):
        fit_surface(points, heights=RANGE)


def test_points_in_one_place_are_told():
    with pytest.raises(LimbError):
        fit_surface(np.tile([0.0, 0.0, 150.0], (5000, 1)), heights=RANGE)


def test_turning_the_limb_about_its_axis_turns_the_surface():
    angle = 2 * np.pi / 36 * 5.4
    cos, sin = np.cos(angle), np.sin(angle)
    points = points_of(calf)
    turned = points @ np.array([[cos, sin, 0], [-sin, cos, 0], [0, 0, 1]])
    h, b = probe()
    a, c = fit_surface(points, heights=RANGE), fit_surface(turned, heights=RANGE)
    # Knots lie elsewhere on it: the difference is the spline's own error, below a hundredth of a millimetre.
    np.testing.assert_allclose(off_shape(a, calf), 0, atol=0.02)
    back = c.points(h, b) @ np.array([[cos, sin, 0], [-sin, cos, 0], [0, 0, 1]]).T
    error = np.hypot(back[:, 0], back[:, 1]) - calf(back[:, 2], np.arctan2(back[:, 1], back[:, 0]))
    np.testing.assert_allclose(error, 0, atol=0.02)


def test_a_point_set_of_one_section_is_placed_where_it_lies():
    assert placed(cylinder, np.array([7.0]), np.array([0.0])).tolist() == [[50.0, 0.0, 7.0]]
