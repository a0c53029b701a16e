"""Smooth changes of girth and edges through what was read at single places."""

import itertools

import numpy as np
import pytest
from scipy.integrate import quad

from flatten.limb.girths.girth import section_girth
from flatten.worn.corrections import (
    NEAREST,
    NOTHING,
    REACH,
    Correction,
    EdgeChange,
    GirthChange,
    moved_edge,
    share_at,
)
from flatten.worn.curves import Edge
from flatten.worn.neutral import Wear, neutral_surface
from flatten.worn.panel import CutError
from tests.limbs import calf, cone, cylinder, limb_of

TURN = np.linspace(0.0, 2 * np.pi, 720, endpoint=False)


def read(*changes):
    return Correction(tuple(GirthChange(*change) for change in changes))


def girth_by_offset(correction, height):
    """∫ offset over the turn, by the trapezoidal rule, exact for these trigonometric polynomials."""
    return float(correction.offset(height, TURN).mean() * 2 * np.pi)


def test_every_reading_is_met_exactly_and_silence_is_left_alone():
    found = read((6.0, 100.0), (-10.0, 300.0), (0.0, 180.0), (4.0, 240.0))
    for girth, height in ((6.0, 100.0), (-10.0, 300.0), (0.0, 180.0), (4.0, 240.0)):
        assert girth_by_offset(found, height) == pytest.approx(girth, abs=1e-9)
    np.testing.assert_allclose(found.girth([-900.0, 100.0 - REACH, 300.0 + REACH, 900.0]), 0.0, atol=1e-12)


def test_one_reading_fades_as_the_smoothest_step_does():
    found = read((6.0, 200.0))
    share = np.linspace(0.0, 1.0, 11)
    step = 1.0 - share**3 * (10.0 - 15.0 * share + 6.0 * share**2)
    for way in (-1.0, 1.0):
        np.testing.assert_allclose(found.girth(200.0 + way * REACH * share), 6.0 * step, atol=1e-9)


def test_readings_far_apart_are_fades_of_their_own():
    one, other = (6.0, 100.0), (5.0, 100.0 + 2.5 * REACH)
    heights = np.linspace(-100.0, 600.0, 71)
    both = read(one).girth(heights) + read(other).girth(heights)
    np.testing.assert_allclose(read(one, other).girth(heights), both, atol=1e-9)


@pytest.mark.parametrize("seed", range(20))
def test_between_two_readings_nothing_goes_beyond_both(seed):
    chance = np.random.default_rng(seed)
    heights = np.cumsum(chance.uniform(NEAREST, 1.9 * REACH, 6))
    girths = chance.uniform(-10.0, 10.0, 6)
    found = read(*zip(girths, heights, strict=True))
    for (low, one), (high, other) in itertools.pairwise(zip(heights, girths, strict=True)):
        between = found.girth(np.linspace(low, high, 101))
        assert between.min() >= min(one, other) - 1e-9
        assert between.max() <= max(one, other) + 1e-9
        assert (np.diff(between) * np.sign(other - one) >= -1e-9).all()


def test_all_heights_move_alike_where_no_place_is_named():
    found = read((6.0, None))
    np.testing.assert_allclose(found.girth(np.linspace(-50, 900, 7)), 6.0)
    with_top = read((6.0, None), (0.0, 300.0))
    assert with_top.girth(300.0) == pytest.approx(0.0, abs=1e-12)
    assert with_top.girth(900.0) == pytest.approx(6.0, abs=1e-3)


def test_a_change_at_a_side_lies_about_that_side_and_its_girth_is_the_reading():
    found = read((5.0, 200.0, np.pi / 2))
    assert girth_by_offset(found, 200.0) == pytest.approx(5.0, abs=1e-9)
    here = found.offset(200.0, TURN)
    assert TURN[int(here.argmax())] == pytest.approx(np.pi / 2)
    assert found.offset(200.0, 3 * np.pi / 2) == pytest.approx(0.0, abs=1e-12)
    # A millimetre at the middle of the side is share_at millimetres of girth.
    assert 5.0 / here.max() == pytest.approx(share_at(np.pi / 2))
    whole, _ = quad(lambda b: (0.5 + 0.5 * np.cos(b)) ** 4, 0.0, 2 * np.pi)
    assert share_at(np.pi / 2) == pytest.approx(whole, abs=1e-9)


def test_sides_and_all_round_add_up():
    found = read((6.0, 200.0), (5.0, 200.0, 0.0), (-2.0, 200.0, np.pi))
    assert girth_by_offset(found, 200.0) == pytest.approx(9.0, abs=1e-9)
    assert found.girth(200.0) == pytest.approx(9.0)


def test_second_derivatives_are_continuous_in_height_and_bearing():
    found = read((6.0, 100.0), (-4.0, 150.0), (5.0, 120.0, 1.0))
    step = 0.01
    for line in (
        lambda x: found.offset(100.0 + x, 1.0),
        lambda x: found.offset(150.0 + x, 1.0),
        lambda x: found.offset(120.0, 1.0 + np.pi + x / 60.0),
        lambda x: found.offset(120.0, x / 60.0),
    ):
        x = np.arange(-4, 5) * step
        bend = np.diff(line(x), 2) / step**2
        # A kink of the second derivative would stand out; the third is below 0.01 mm/mm³ here.
        assert np.ptp(bend) < 0.01 * 8 * step + 1e-6


def test_equal_readings_at_one_place_count_once_and_others_are_refused():
    assert read((6.0, 200.0), (6.0, 205.0)).girth(200.0) == pytest.approx(6.0)
    with pytest.raises(CutError, match=f"6 mm at height 200 mm and by -2 mm only 5 mm .* keep {NEAREST:.0f} mm"):
        read((6.0, 200.0), (-2.0, 205.0)).girth(0.0)
    with pytest.raises(CutError, match="6 mm and by -2 mm at all heights"):
        read((6.0, None), (-2.0, None)).girth(0.0)


def test_nothing_read_is_nothing():
    for found in (NOTHING, read((0.0, 200.0), (0.0, None), (0.0, 100.0, 1.0))):
        assert found.is_nothing
        assert (found.offset(200.0, TURN) == 0.0).all()
        assert float(found.girth(200.0)) == 0.0
    assert not read((1.0, 200.0)).is_nothing


def test_an_edge_moves_all_round_or_most_at_a_side():
    edge = Edge("top edge", np.arange(4) * np.pi / 2, np.array([325.0, 295.0, 265.0, 295.0]))
    np.testing.assert_allclose(
        moved_edge(edge, [EdgeChange("top", -10.0)]).height(TURN), edge.height(TURN) - 10.0, atol=1e-9
    )
    moved = moved_edge(edge, [EdgeChange("top", -10.0, np.pi)])
    away = moved.height(TURN) - edge.height(TURN)
    np.testing.assert_allclose(away, -10.0 * (0.5 - 0.5 * np.cos(TURN)) ** 4, atol=0.002)
    assert moved_edge(edge, [EdgeChange("top", 0.0), EdgeChange("top", 0.0, 1.0)]) is edge
    assert moved_edge(edge, []) is edge


WEAR = Wear((3.0,) * 4, 8.0, 3.2, 0.5)


def worn(skin, *corrections):
    return neutral_surface(skin, Wear((3.0,) * 4, 8.0, 3.2, 0.5, fitted=tuple(corrections))).surface


def test_a_cylinders_girth_grows_by_what_was_read():
    before = 2 * np.pi * (60.0 + WEAR.offset(0.0))
    after = worn(cylinder(60.0), read((6.0, 200.0)))
    assert section_girth(after, 200.0) == pytest.approx(before + 6.0, abs=0.01)
    assert section_girth(after, 200.0 + REACH / 2) == pytest.approx(before + 3.0, abs=0.01)
    # A side's change is its girth but for what the bump's own slope adds, ∫ offset'² / 2r.
    aside = worn(cylinder(60.0), read((6.0, 200.0, 1.0)))
    assert section_girth(aside, 200.0) == pytest.approx(before + 6.0, abs=0.25)
    assert aside.radius(200.0, 1.0) - before / (2 * np.pi) == pytest.approx(6.0 / share_at(1.0), abs=0.01)


def test_a_cone_stays_a_cone_where_all_heights_move_alike():
    slope = 0.1
    after = worn(cone(40.0, slope), read((6.0, None)))
    slant = np.hypot(1.0, slope)
    for height in (20.0, 150.0, 300.0):
        expected = 40.0 + slope * height + (WEAR.offset(0.0) + 6.0 / (2 * np.pi)) * slant
        assert after.radius(height, 0.7) == pytest.approx(expected, abs=1e-3)


def test_corrections_of_fittings_add_up_on_a_leg():
    skin = limb_of(calf)
    one, two = read((6.0, 240.0)), read((-2.0, 240.0), (3.0, 100.0))
    plain, both = worn(skin), worn(skin, one, two)
    for height in (100.0, 240.0):
        wanted = float(one.girth(height) + two.girth(height))
        # Along the normal of a leg, whose skin leans by up to 8°: a girth grows by 1/cos of that, and less in hollows.
        assert section_girth(both, height) - section_girth(plain, height) == pytest.approx(wanted, abs=0.06)
