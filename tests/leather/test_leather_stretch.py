from dataclasses import replace

import numpy as np
import pytest

from flatten.leather.limits import CASED, DRY, PRESETS, given_limits
from flatten.leather.messages import stretch_message
from flatten.leather.model import StretchError
from flatten.leather.stretch import stretch_report
from flatten.leather.tensors import flat_areas, grain_tensors, log_excess, patch_tensors, stretches
from flatten.limb.kind import FOREARM, LOWER_LEG
from flatten.mesh.surface import Mesh
from flatten.unwrap.model import FlatPanel
from flatten.words.say import text
from flatten.worn.panel import Panel

CASED_JOB = PRESETS["cased"]


def grid(columns, rows, edge=4.0):
    """A sheet of right triangles: points (V,2) about the origin and faces."""
    x, y = np.meshgrid((np.arange(columns + 1) - columns / 2) * edge, (np.arange(rows + 1) - rows / 2) * edge)
    first = (np.arange(columns)[None] + (columns + 1) * np.arange(rows)[:, None]).ravel()
    up = first + columns + 1
    faces = np.concatenate([np.stack([first, first + 1, up + 1], 1), np.stack([first, up + 1, up], 1)])
    return np.stack([x.ravel(), y.ravel()], 1), faces


def flat_panel(uv, worn, faces, *, grain=np.pi / 2, heights=None, bearings=None):
    heights = uv[:, 1] if heights is None else heights
    bearings = uv[:, 0] / 60.0 if bearings is None else bearings
    panel = Panel("leg", Mesh(worn, faces), heights, bearings, ())
    return FlatPanel(panel, uv, grain, 4.0, 1, True, 0.0, 0.0, 0.0, 0)


def plate(along, across, *, grain=np.pi / 2, columns=12, rows=12):
    """A flat sheet whose worn form is stretched by `along` the grain and `across` it, then stood on edge."""
    uv, faces = grid(columns, rows)
    turn = np.array([[np.cos(grain), -np.sin(grain)], [np.sin(grain), np.cos(grain)]])
    worn = uv @ (turn @ np.diag([along, across]) @ turn.T).T
    return flat_panel(uv, np.c_[worn[:, 0], np.zeros(len(uv)), worn[:, 1]], faces, grain=grain)


@pytest.mark.parametrize("grain", [0.0, 0.4, np.pi / 2, 2.6])
def test_a_stretched_plate_shows_its_stretch_along_and_across_the_grain(grain):
    report = stretch_report(plate(1.04, 0.985, grain=grain), kind=LOWER_LEG, limits=CASED_JOB)
    for found in (report.raw, report.patch):
        np.testing.assert_allclose(found.along, 1.04, rtol=1e-12)
        np.testing.assert_allclose(found.across, 0.985, rtol=1e-12)
        np.testing.assert_allclose(found.greatest, 1.04, rtol=1e-12)
        np.testing.assert_allclose(found.least, 0.985, rtol=1e-12)


def test_simple_shear_shows_its_golden_stretch():
    # x' = x + γy has stretches √(1 + γ²/4) ± γ/2.
    uv, faces = grid(2, 2)
    worn = np.c_[uv[:, 0] + 0.1 * uv[:, 1], uv[:, 1], 0 * uv[:, 0]]
    found = stretches(grain_tensors(flat_panel(uv, worn, faces, grain=0.0)))
    np.testing.assert_allclose(found.greatest, np.sqrt(1.0025) + 0.05, rtol=1e-12)
    np.testing.assert_allclose(found.least, np.sqrt(1.0025) - 0.05, rtol=1e-12)
    np.testing.assert_allclose(found.across, np.sqrt(1.01), rtol=1e-12)


def test_a_rolled_sheet_is_not_stretched():
    uv, faces = grid(64, 8)
    angle = uv[:, 0] / 60.0
    chord = 2 * 60.0 * np.sin(4.0 / 60.0 / 2) / 4.0
    worn = np.c_[60.0 * np.cos(angle) / chord, 60.0 * np.sin(angle) / chord, uv[:, 1]]
    report = stretch_report(flat_panel(uv, worn, faces), kind=LOWER_LEG, limits=CASED_JOB)
    assert report.raw_max == pytest.approx(1.0, abs=1e-12)
    assert report.raw_min == pytest.approx(1.0, abs=1e-12)
    assert report.verdict == "dry"


# Scale of the projection in its own plane, along and across the radius [published: Snyder, Map Projections –
# A Working Manual, USGS PP 1395, 1987, eqs 21-4, 25-2, 24-2]; the stretch worn / flat is its inverse.
SNYDER = [
    ("stereographic", 30.0, 1.07180, 1.07180),
    ("stereographic", 60.0, 1.33333, 1.33333),
    ("equidistant", 30.0, 1.0, 1.04720),
    ("equidistant", 60.0, 1.0, 1.20920),
    ("equal-area", 30.0, 1 / 1.03528, 1.03528),
    ("equal-area", 60.0, 1 / 1.15470, 1.15470),
]
RADII = {
    "stereographic": lambda c: 2 * np.tan(c / 2),
    "equidistant": lambda c: c,
    "equal-area": lambda c: 2 * np.sin(c / 2),
}


@pytest.mark.parametrize(("projection", "colatitude", "radial", "around"), SNYDER)
def test_a_patch_of_a_flattened_sphere_has_the_tabled_stretch(projection, colatitude, radial, around):
    sphere = 2000.0
    sheet, faces = grid(16, 16, edge=2.0)
    c = np.radians(colatitude) + sheet[:, 1] / sphere
    turn = sheet[:, 0] / sphere / np.sin(c)
    worn = sphere * np.c_[np.sin(c) * np.sin(turn), -np.sin(c) * np.cos(turn), np.cos(c)]
    # Radius grows downwards (-y), so that the faces stay counter-clockwise seen from outside.
    flat_radius = sphere * RADII[projection](c)
    uv = np.c_[flat_radius * np.sin(turn), -flat_radius * np.cos(turn)]
    flat = flat_panel(uv, worn, faces[:, ::-1], grain=np.pi / 2)
    report = stretch_report(flat, kind=LOWER_LEG, limits=CASED_JOB)
    middle = int(
        np.argmin(np.linalg.norm(uv[faces].mean(1) - [0, -sphere * RADII[projection](np.radians(colatitude))], axis=1))
    )
    # A patch mean differs from its middle by ρ²/8 · second derivatives, those are below 3/R² here: 1e-5;
    # faces differ from the smooth map by (edge / R)², below that; the centre lies up to one edge off: edge / R.
    tolerance = 1e-5 + 2.0 / sphere
    assert report.patch.along[middle] == pytest.approx(1 / radial, abs=tolerance)
    assert report.patch.across[middle] == pytest.approx(1 / around, abs=tolerance)


def test_a_patch_on_a_step_takes_the_mean_square_of_both_sides():
    # Left of x = 0 nothing, right of it 10 % across: a line through the middle of the patch has mean square growth
    # (1 + 1.21) / 2. Two faces share an edge on the step; the grid is symmetrical about it but for one diagonal.
    uv, faces = grid(40, 40, edge=1.0)
    worn = np.c_[np.where(uv[:, 0] > 0, 1.1, 1.0) * uv[:, 0], 0 * uv[:, 0], uv[:, 1]]
    tensors = patch_tensors(flat_panel(uv, worn, faces))
    centres = uv[faces].mean(1)
    near = np.linalg.norm(centres, axis=1) < 0.5
    # The centre lies 1/3 mm off the step: a strip of 20 × 1/3 mm of the disc of 314 mm² changes sides.
    assert np.sqrt(tensors[near, 1]) == pytest.approx(np.sqrt(1.105), abs=0.05 * 7 / 314 + 0.002)


def test_a_patch_bridges_what_shears_to_and_fro():
    # Each row of faces shears against the next by ±20 %: a face shows √1.01 + 0.1. In a patch rows cancel but for
    # one of the ten or more that it crosses, so the mean tensor is diag(1, 1.04) with a shear of at most 0.2 / 10.
    uv, faces = grid(20, 20, edge=1.0)
    zigzag = 0.2 * np.abs((uv[:, 1] % 2) - 1)
    report = stretch_report(
        flat_panel(uv, np.c_[uv[:, 0] + zigzag, 0 * zigzag, uv[:, 1]], faces), kind=LOWER_LEG, limits=CASED_JOB
    )
    assert report.raw_max == pytest.approx(np.sqrt(1.01) + 0.1)
    assert report.largest.stretch < np.sqrt(1.04) + 0.5 * 0.2 / 10


def test_no_patch_is_beyond_limits_that_every_face_keeps():
    rng = np.random.default_rng(7)
    uv, faces = grid(14, 14, edge=3.0)
    worn = np.c_[uv[:, 0], uv[:, 1], 0 * uv[:, 0]] + rng.normal(0, 0.06, (len(uv), 3))
    flat = flat_panel(uv, worn, faces, grain=0.7)
    raw = log_excess(grain_tensors(flat), limits=CASED).max()
    assert raw > 0.0
    assert log_excess(patch_tensors(flat), limits=CASED).max() < raw


def test_limits_are_told_in_their_own_direction():
    limits = given_limits(
        {"stretch_along": 0.02, "stretch_across": 0.08, "squeeze_along": 0.01, "squeeze_across": 0.01}
    )
    across = stretch_report(plate(1.0, 1.07), kind=LOWER_LEG, limits=limits)
    along = stretch_report(plate(1.07, 1.0), kind=LOWER_LEG, limits=limits)
    assert across.fits
    assert across.excess_patch == pytest.approx(np.log(1.07 / 1.08), rel=1e-9)
    assert not along.fits
    assert along.excess_patch == pytest.approx(np.log(1.07 / 1.02), rel=1e-9)


def test_squeeze_beyond_the_limit_counts_as_beyond():
    report = stretch_report(plate(0.95, 1.0), kind=LOWER_LEG, limits=CASED_JOB)
    assert report.excess_patch == pytest.approx(np.log(0.97 / 0.95), rel=1e-9)
    assert report.over_share == 1.0


@pytest.mark.parametrize(
    ("along", "across", "verdict", "fits"),
    [
        (1.02, 0.99, "dry", True),
        (1.021, 1.0, "cased", True),
        (1.0, 0.989, "cased", True),
        (1.05, 0.97, "cased", True),
        (1.051, 1.0, "hard", False),
        (1.0, 0.951, "hard", False),
        (1.10, 1.0, "hard", False),
        (1.101, 1.0, "not", False),
        (1.0, 0.949, "not", False),
    ],
)
def test_the_verdict_goes_up_by_the_limits(along, across, verdict, fits):
    report = stretch_report(plate(along, across), kind=LOWER_LEG, limits=CASED_JOB)
    assert (report.verdict, report.fits) == (verdict, fits)
    assert {region.verdict for region in report.regions} == {verdict}


def test_a_line_beyond_the_limits_counts_where_no_patch_is():
    # Ripples of 8 mm along a ridge 6 mm wide: along it leather grows by the mean of √(1 + (0.62·k·cos kx)²), k = 2π/8,
    # 5.7 % (of chords of 1 mm 5.4 %); a patch lies half beside it.
    uv, faces = grid(40, 40, edge=1.0)
    height = 0.62 * np.clip((7.0 - np.abs(uv[:, 1])) / 4.0, 0.0, 1.0)
    worn = np.c_[uv, height * np.sin(2.0 * np.pi * uv[:, 0] / 8.0)]
    report = stretch_report(flat_panel(uv, worn, faces), kind=LOWER_LEG, limits=CASED_JOB)
    assert report.lines.most.stretch == pytest.approx(1.054, abs=2e-3)
    assert report.largest.stretch < 1.05
    assert report.rims.most.stretch < 1.05
    assert report.over_share == 0.0
    assert (report.fits, report.verdict) == (False, "hard")
    assert report.most == report.lines.most
    assert report.excess == pytest.approx(np.log(report.most.stretch / 1.05), rel=1e-9)
    assert "hard" in {region.verdict for region in report.regions}


def test_what_keeps_the_limits_in_every_face_keeps_them_in_every_line():
    rng = np.random.default_rng(11)
    uv, faces = grid(14, 14, edge=3.0)
    worn = np.c_[uv[:, 0], uv[:, 1], 0 * uv[:, 0]] + rng.normal(0, 0.05, (len(uv), 3))
    flat = flat_panel(uv, worn, faces, grain=0.7)
    limits = given_limits(
        {"stretch_along": 0.02, "stretch_across": 0.04, "squeeze_along": 0.01, "squeeze_across": 0.03}
    )
    report = stretch_report(flat, kind=LOWER_LEG, limits=limits)
    raw = log_excess(grain_tensors(flat), limits=limits.in_force).max()
    assert max(report.lines.excess, report.rims.excess, report.excess_patch) < raw
    assert report.raw_min < report.lines.least.stretch < report.lines.most.stretch < report.raw_max


def test_a_dry_job_says_that_casing_would_do():
    report = stretch_report(plate(1.03, 1.0), kind=LOWER_LEG, limits=PRESETS["dry"])
    assert (report.verdict, report.fits) == ("cased", False)
    assert report.excess_patch == pytest.approx(np.log(1.03 / 1.02), rel=1e-9)


def test_regions_share_out_the_whole_flat_area():
    uv, faces = grid(94, 30)
    flat = flat_panel(uv, np.c_[uv[:, 0], 0 * uv[:, 0], uv[:, 1]], faces)
    report = stretch_report(flat, kind=FOREARM, limits=CASED_JOB)
    assert sum(region.area for region in report.regions) == pytest.approx(94 * 30 * 16.0)
    assert sum(region.area_share for region in report.regions) == pytest.approx(1.0)
    assert len(report.regions) == 12
    assert report.regions[0].name == "back of the hand side, lower"


def test_only_the_stretched_region_is_beyond():
    uv, faces = grid(94, 30)
    height = uv[:, 1]
    grown = np.where(height > 30.0, height + 0.08 * (height - 30.0), height)
    flat = flat_panel(uv, np.c_[uv[:, 0], 0 * height, grown], faces)
    report = stretch_report(flat, kind=LOWER_LEG, limits=CASED_JOB)
    assert {r.name.split(", ")[1] for r in report.regions if r.over_share > 0} == {"upper"}
    # The top 30 of 120 mm are stretched; patches on the step are beyond where more than about half of them is.
    assert report.over_share == pytest.approx(0.25, abs=10.0 / 120.0)
    assert report.largest.level == "upper"
    assert report.largest.height > 30.0
    assert report.smallest.stretch == pytest.approx(1.0)


def test_rigid_motion_and_face_order_change_nothing():
    rng = np.random.default_rng(3)
    uv, faces = grid(20, 20)
    worn = np.c_[uv[:, 0], 0.002 * uv[:, 0] ** 2, 1.01 * uv[:, 1]]
    turn, _ = np.linalg.qr(rng.normal(size=(3, 3)))
    moved = worn @ (turn * np.sign(np.linalg.det(turn))).T + [5.0, -3.0, 8.0]
    order = rng.permutation(len(faces))
    first = stretch_report(flat_panel(uv, worn, faces), kind=LOWER_LEG, limits=CASED_JOB)
    second = stretch_report(flat_panel(uv, moved, faces[order]), kind=LOWER_LEG, limits=CASED_JOB)
    np.testing.assert_allclose(second.patch.greatest, first.patch.greatest[order], rtol=1e-10)
    np.testing.assert_allclose(second.over, first.over[order], atol=1e-10)


def test_turning_the_flat_piece_with_its_grain_changes_nothing():
    uv, faces = grid(16, 16)
    worn = np.c_[1.02 * uv[:, 0] + 0.03 * uv[:, 1], 0 * uv[:, 0], uv[:, 1]]
    turn = np.array([[np.cos(0.8), -np.sin(0.8)], [np.sin(0.8), np.cos(0.8)]])
    heights, bearings = uv[:, 1], uv[:, 0] / 60.0
    one = flat_panel(uv, worn, faces, grain=1.1)
    other = flat_panel(uv @ turn.T, worn, faces, grain=1.9, heights=heights, bearings=bearings)
    np.testing.assert_allclose(grain_tensors(other), grain_tensors(one), rtol=1e-10, atol=1e-12)


def test_a_single_face_is_its_own_patch():
    flat = flat_panel(
        np.array([[0.0, 0], [9, 0], [0, 9]]), np.array([[0.0, 0, 0], [9.27, 0, 0], [0, 0, 9]]), [[0, 1, 2]]
    )
    report = stretch_report(flat, kind=LOWER_LEG, limits=CASED_JOB)
    assert report.largest.stretch == pytest.approx(1.03)
    assert report.over_share == 0.0


def test_an_empty_panel_is_refused():
    flat = flat_panel(np.zeros((0, 2)), np.zeros((0, 3)), np.zeros((0, 3), int))
    with pytest.raises(StretchError, match="panel 'leg' has no faces"):
        stretch_report(flat, kind=LOWER_LEG, limits=CASED_JOB)


def test_a_turned_face_is_named():
    uv, faces = grid(2, 1)
    flat = flat_panel(uv, np.c_[uv[:, 0], 0 * uv[:, 0], uv[:, 1]], np.vstack([faces[:3], faces[3:, ::-1]]))
    with pytest.raises(StretchError, match=r"1 of 4 flat faces of panel 'leg' .* the first is face 3"):
        flat_areas(flat)


def said(report):
    return text(stretch_message(report))


def test_sentences_say_how_much_and_where():
    report = stretch_report(plate(1.041, 0.98), kind=LOWER_LEG, limits=CASED_JOB)
    place = replace(report.largest, height=31.2, bearing=0.3, side="front", level="lower")
    report = replace(report, largest=place, smallest=replace(place, stretch=0.98, height=-4.0), lines=None, rims=None)
    assert said(report) == (
        "The leather stretches up to 4.1 % at the front, 31 mm above the ankle, and is squeezed up to 2.0 % at the "
        "front, 4 mm below the ankle. That is within the limits."
    )


def test_a_sheet_that_is_only_squeezed_says_so():
    report = stretch_report(plate(0.98, 0.99), kind=LOWER_LEG, limits=CASED_JOB)
    assert said(report).startswith("The leather is squeezed up to 2.0 %")
    assert said(report).count("squeezed") == 1


def test_a_sheet_that_fits_says_so():
    report = stretch_report(plate(1.0, 1.0), kind=LOWER_LEG, limits=CASED_JOB)
    assert said(report) == "The leather need not stretch at all. That is within the limits."


def test_dry_limits_lie_within_cased_ones():
    tensors = np.array([[1.03**2, 1.0, 0.0]])
    assert log_excess(tensors, limits=DRY)[0] == pytest.approx(np.log(1.03 / 1.02), rel=1e-9)
    assert log_excess(tensors, limits=CASED)[0] < 0
