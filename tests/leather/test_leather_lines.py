"""Worst lines against closed forms, and against random lines measured by other means."""

import numpy as np
import pytest
from analytic_panels import disk_cap, grid, opened_calf, sheet
from matplotlib.tri import LinearTriInterpolator, Triangulation
from scipy.integrate import quad

from flatten.leather.aims import LEAST, MOST, Aim, limit_aims
from flatten.leather.lines import LINE, worst_lines
from flatten.leather.rims import worst_rims
from flatten.leather.tensors import grain_tensors
from flatten.unwrap.model import Limits

LIMITS = Limits(0.03, 0.07, 0.01, 0.04, "given")
TOLD = 5e-4
"""What random lines may beat the told figure by: 0.05 % of a length."""


def lines_of(flat, aims=(MOST, LEAST)):
    return worst_lines(flat, grain_tensors(flat), aims)


@pytest.mark.parametrize("grain", [0.0, 0.6, np.pi / 2])
def test_lines_of_an_even_stretch_grow_by_its_principal_stretches(grain):
    uv, faces = grid(12, 10, edge=4.0)
    linear = np.array([[1.04, 0.05], [0.01, 0.97]])
    flat = sheet(uv, np.c_[uv @ linear.T, 0 * uv[:, 0]], faces, grain=grain)
    least, most = np.sort(np.linalg.svd(linear, compute_uv=False))
    for found in (lines_of(flat), worst_rims(flat, (MOST, LEAST))):
        assert found[MOST].beyond == pytest.approx(np.log(found[MOST].growth), abs=1e-12)
    found = lines_of(flat)
    # The last step of a line's turn is 0.003 radians: growth is level there, so its square counts.
    assert found[MOST].growth == pytest.approx(most, abs=1e-5)
    assert found[LEAST].growth == pytest.approx(least, abs=1e-5)


@pytest.mark.parametrize("grain", [0.3, np.pi / 2])
def test_lines_are_held_against_the_limit_of_their_own_direction(grain):
    # |F d| / |D d| is largest for the greatest singular value of F·D⁻¹, |K d| / |F d| for the least of F·K⁻¹.
    uv, faces = grid(12, 10, edge=4.0)
    linear = np.array([[1.05, 0.03], [0.00, 0.98]])
    turn = np.array([[np.cos(grain), -np.sin(grain)], [np.sin(grain), np.cos(grain)]])
    flat = sheet(uv, np.c_[uv @ (turn @ linear @ turn.T).T, 0 * uv[:, 0]], faces, grain=grain)
    stretched, squeezed = limit_aims(LIMITS)
    found = lines_of(flat, (stretched, squeezed))
    most = np.linalg.svd(linear @ np.diag([1 / 1.03, 1 / 1.07]), compute_uv=False).max()
    least = np.linalg.svd(linear @ np.diag([1 / 0.99, 1 / 0.96]), compute_uv=False).min()
    assert found[stretched].beyond == pytest.approx(np.log(most), abs=1e-5)
    assert found[squeezed].beyond == pytest.approx(-np.log(least), abs=1e-5)


def test_the_worst_line_of_a_growing_stretch_ends_at_the_border():
    # x' = x + x²/800: a line from x to x + 20 grows by 1 + (x + 10)/400, up to 1 + 40/400 at the border x = 50.
    uv, faces = grid(25, 15, edge=4.0)
    flat = sheet(uv, np.c_[uv[:, 0] + uv[:, 0] ** 2 / 800.0, uv[:, 1], 0 * uv[:, 0]], faces)
    found = lines_of(flat)
    # The last step is 0.03 mm, so what is left to gain is 0.03/400.
    assert found[MOST].growth == pytest.approx(1.1, abs=8e-5)
    assert found[MOST].growth <= 1.1 + 1e-12
    assert found[LEAST].growth == pytest.approx(1.0 - 40.0 / 400.0, abs=8e-5)
    assert uv[faces[found[MOST].face], 0].mean() == pytest.approx(40.0, abs=4.0)
    # Along the rim the same: its upper and lower sides grow as lines beside them.
    assert worst_rims(flat, [MOST])[MOST].growth == pytest.approx(1.1, abs=1e-12)


def test_a_rim_counts_the_pieces_round_its_corners():
    # Stretched by 10 % in x: only the sides along x grow, and a piece round a corner in part.
    uv, faces = grid(5, 3, edge=4.0)
    flat = sheet(uv, np.c_[1.1 * uv[:, 0], uv[:, 1], 0 * uv[:, 0]], faces)
    found = worst_rims(flat, (MOST, LEAST))
    assert found[MOST].growth == pytest.approx(1.1, rel=1e-12)
    # The sides along y are 12 mm long: 20 mm of rim hold 8 mm of the next sides at the least.
    assert found[LEAST].growth == pytest.approx((12.0 + 8.0 * 1.1) / 20.0, rel=1e-12)
    short, faces = grid(1, 1, edge=4.0)
    whole = worst_rims(sheet(short, np.c_[1.1 * short[:, 0], short[:, 1], 0 * short[:, 0]], faces), [MOST])
    assert whole[MOST].growth == pytest.approx(1.05, rel=1e-12)


def test_a_piece_of_rim_may_end_at_a_vertex_and_begin_between_two():
    # Only the lower side grows, and most at its far end, x = 37.5, from which 20 mm reach back between two vertices.
    uv, faces = grid(25, 8, edge=3.0)
    grown = uv[:, 0] + (0.5 - uv[:, 1] / 24.0) * uv[:, 0] ** 2 / 800.0
    flat = sheet(uv, np.c_[grown, uv[:, 1], 0 * grown], faces)
    side = uv[:, 1] == -12.0
    wanted = (grown[side][-1] - np.interp(17.5, uv[side, 0], grown[side])) / 20.0
    assert worst_rims(flat, [MOST])[MOST].growth == pytest.approx(wanted, rel=1e-12)


def test_a_rolled_sheet_has_no_line_that_grows():
    uv, faces = grid(64, 12, edge=4.0)
    angle, chord = uv[:, 0] / 60.0, 2 * 60.0 * np.sin(4.0 / 120.0) / 4.0
    flat = sheet(uv, np.c_[60.0 * np.cos(angle) / chord, 60.0 * np.sin(angle) / chord, uv[:, 1]], faces)
    for found in (lines_of(flat), worst_rims(flat, (MOST, LEAST))):
        assert found[MOST].growth == pytest.approx(1.0, abs=1e-12)
        assert found[LEAST].growth == pytest.approx(1.0, abs=1e-12)


def test_a_cap_is_squeezed_most_along_the_chords_of_its_border():
    # Laid out by its true distances from the middle, a sphere of radius R keeps lengths along the radius, and those
    # about it come out ρ / sin ρ too long (ρ the distance over R): the worst line is a chord of the border.
    sphere, border = 150.0, 75.0
    flat = disk_cap(sphere=sphere, border=border, rings=25)
    height = np.hypot(border, 0.0)
    aside = np.sqrt(height**2 - (0.5 * LINE) ** 2)

    def rate(along):
        rho = np.hypot(aside, along)
        around = np.sin(rho / sphere) / (rho / sphere)
        return np.hypot(along / rho, around * aside / rho)

    wanted = quad(rate, -0.5 * LINE, 0.5 * LINE)[0] / LINE
    found = lines_of(flat)
    # Faces of 3 mm: chords of the sphere shorten by (3/150)²/24, and the border is a polygon.
    assert found[LEAST].growth == pytest.approx(wanted, abs=2e-4)
    assert found[MOST].growth == pytest.approx(1.0, abs=1e-3)
    rim = worst_rims(flat, [LEAST])[LEAST].growth
    assert rim == pytest.approx(np.sin(border / sphere) / (border / sphere), abs=1e-4)


def test_a_panel_too_small_for_a_line_has_none():
    uv, faces = grid(2, 2, edge=4.0)
    assert lines_of(sheet(uv, np.c_[uv, 0 * uv[:, 0]], faces)) == {}


def test_aims_that_differ_by_a_factor_are_one_line():
    uv, faces = grid(12, 10, edge=4.0)
    flat = sheet(uv, np.c_[1.04 * uv[:, 0], uv[:, 1], 0 * uv[:, 0]], faces, grain=0.0)
    tight, loose = Aim(1, 1.02, 1.02), Aim(1, 1.05, 1.05)
    found = lines_of(flat, (MOST, tight, loose))
    assert found[tight].growth == found[loose].growth == found[MOST].growth
    assert found[tight].beyond == pytest.approx(np.log(1.04 / 1.02), abs=1e-5)
    assert found[loose].beyond == pytest.approx(np.log(1.04 / 1.05), abs=1e-5)


def growth_of_random(flat, count, seed, *, about=None):
    """Growth of random straight lines on the leather, or within 6 mm of a place `about`, and their directions.

    Measured by where the worn surface has each of 101 points of a line.
    """
    rng = np.random.default_rng(seed)
    mesh = flat.panel.mesh
    plane = Triangulation(flat.uv[:, 0], flat.uv[:, 1], triangles=mesh.faces)
    finder = plane.get_trifinder()
    low, high = (flat.uv.min(axis=0), flat.uv.max(axis=0)) if about is None else (about - 6.0, about + 6.0)
    middles = rng.uniform(low, high, (count, 2))
    angles = rng.uniform(0.0, np.pi, count)
    ways = np.stack([np.cos(angles), np.sin(angles)], axis=1)
    places = middles[:, None] + np.linspace(-0.5, 0.5, 101)[:, None] * LINE * ways[:, None]
    on = (finder(places[..., 0], places[..., 1]) >= 0).all(axis=1)
    places, ways = places[on], ways[on]
    worn = np.stack(
        [LinearTriInterpolator(plane, axis, finder)(places[..., 0], places[..., 1]) for axis in mesh.vertices.T],
        axis=-1,
    )
    return np.linalg.norm(np.diff(worn, axis=1), axis=2).sum(axis=1) / LINE, ways


def check_none_beats(flat, count, seed):
    stretched, squeezed = limit_aims(LIMITS)
    found = lines_of(flat, (MOST, LEAST, stretched, squeezed))
    growth, ways = growth_of_random(flat, count, seed)
    assert len(growth) > count / 4
    assert growth.max() <= found[MOST].growth + TOLD
    assert growth.min() >= found[LEAST].growth - TOLD
    angle = np.arctan2(ways[:, 1], ways[:, 0]) - flat.grain_angle
    along, across = np.cos(angle), np.sin(angle)
    assert np.log(growth / np.hypot(1.03 * along, 1.07 * across)).max() <= found[stretched].beyond + TOLD
    assert np.log(np.hypot(0.99 * along, 0.96 * across) / growth).max() <= found[squeezed].beyond + TOLD
    # And what is told is told of lines that are there.
    for aim, worst in ((MOST, np.max), (LEAST, np.min)):
        about = flat.uv[flat.panel.mesh.faces[found[aim].face]].mean(axis=0)
        beside, _ = growth_of_random(flat, 5000, seed, about=about)
        assert worst(beside) == pytest.approx(found[aim].growth, abs=0.004)


PANELS = {
    "calf": lambda: opened_calf(edge_length=6.0),
    "cap": lambda: disk_cap(sphere=150.0, border=75.0, rings=12),
    "waves": lambda: waves(3),
}


def waves(seed):
    """A sheet whose stretch changes from place to place and way to way within 15 mm."""
    rng = np.random.default_rng(seed)
    uv, faces = grid(40, 30, edge=4.0)
    uv = uv + 0.8 * rng.uniform(-1.0, 1.0, uv.shape)
    size = rng.uniform(0.2, 0.6, 3)
    x, y = uv.T
    worn = np.c_[
        x + size[0] * np.sin(x / 13 + y / 29), y + size[1] * np.sin(y / 17 - x / 23), 2 * size[2] * np.cos(x / 15)
    ]
    return sheet(uv, worn, faces, grain=0.4)


@pytest.mark.parametrize("name", PANELS)
def test_no_random_line_beats_what_is_told(name):
    check_none_beats(PANELS[name](), 3000, seed=1)


@pytest.mark.full
@pytest.mark.parametrize("name", PANELS)
def test_no_line_of_a_hundred_thousand_beats_what_is_told(name):
    flat = PANELS[name]()
    for seed in range(10):
        check_none_beats(flat, 10_000, seed)
