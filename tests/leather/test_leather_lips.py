"""Flared lips against a surface of revolution, and waves of an edge against a wave with a formula."""

import numpy as np
import pytest

from flatten.job.text import job_of
from flatten.leather.limits import PRESETS
from flatten.leather.messages import lip_message
from flatten.leather.waves import WINDOW, waves_of
from flatten.making import finish, lay
from flatten.report.limbs import job_findings
from flatten.words.say import text
from flatten.worn.defaults import edge
from flatten.worn.panel import CutError
from flatten.worn.rise import Lip
from tests.analytic_jobs import design_of, found_on
from tests.flat_panels import grid_faces, grid_panel, opened_frustum
from tests.limbs import cylinder

WIDE, TALL, COLUMNS, ROWS = 300.0, 120.0, 150, 40


def waved(size, long, *, own=0.0):
    """A flat rectangle on a cylinder, x moved by waves `size` mm high that die out upwards, `long` mm from one to the
    next; the `own` waves are the worn edge's too."""
    index, faces = grid_faces(COLUMNS, ROWS)
    x, y = np.meshgrid(np.linspace(-WIDE / 2, WIDE / 2, COLUMNS + 1), np.linspace(0.0, TALL, ROWS + 1))
    wave = np.cos(2 * np.pi * x / long) * np.clip(1.0 - y / 60.0, 0.0, None)
    radius = WIDE / np.pi
    bearing, x, y, wave = x.ravel() / radius, x.ravel(), y.ravel(), wave.ravel()
    height = y + own * wave
    points = np.stack([radius * np.cos(bearing), radius * np.sin(bearing), height], axis=1)
    return grid_panel(points, np.stack([x, height + size * wave], axis=1), height, bearing, index, faces)


def seen(long):
    """Share of a wave's height that is left over the parabola fitted to places 2 mm apart within half a window.

    The fit's value in the middle weighs place j of -m to m by 3 (3m² + 3m - 1 - 5j²)/((2m - 1)(2m + 1)(2m + 3)): least
    squares by the sums of j² and j⁴.
    """
    m = round(WINDOW / 4)
    j = np.arange(-m, m + 1)
    weights = 3 * (3 * m**2 + 3 * m - 1 - 5 * j**2) / ((2 * m - 1) * (2 * m + 1) * (2 * m + 3))
    return 1.0 - weights @ np.cos(2 * np.pi * 2 * j / long)


@pytest.mark.parametrize("long", [40.0, 60.0])
def test_a_wave_is_as_high_as_a_fair_curve_leaves_it(long):
    (wave,) = waves_of(waved(1.0, long))
    assert wave.edge == "bottom edge"
    # Vertices 2 mm apart cut a wave's bends short by up to (2π/40)²·2²/8 of it, 1.2 %; slopes of 1·2π/40 make the edge
    # longer by 0.6 %.
    assert wave.size == pytest.approx(seen(long), rel=0.02)
    crest = np.mod(wave.bearing * WIDE / np.pi / (long / 2) + 0.25, 1.0)
    assert crest < 0.5


def test_an_edges_own_shape_is_no_wave_nor_is_a_sector():
    assert waves_of(waved(0.0, 40.0, own=1.0)) == ()
    assert waves_of(opened_frustum(gap=25.0, arch=20.0)) == ()


def test_a_wave_too_low_to_be_seen_is_not_told_and_an_edge_shorter_than_a_window_has_none():
    assert waves_of(waved(0.1, 40.0)) == ()
    assert waves_of(opened_frustum(bottom=8.0, top=9.0, height=40.0)) == ()


def made(flare):
    table = {
        "scan": {"file": "made-up.ply"},
        "edges": {"bottom": "10 mm", "top": "160 mm", "flare": {"bottom": f"{flare} mm", "depth": "25 mm"}},
    }
    job, found = job_of(table, name="the test"), found_on(cylinder(45.0))
    laid = lay(design_of(job, found), limits=PRESETS["cased"], announce=lambda step: None, edge_length=6.0)
    return laid, finish(job, [(found, laid)], text="", announce=lambda step: None)


def test_a_lips_rim_is_told_as_long_as_its_circle_and_as_the_flat_edge():
    laid, result = made(4.0)
    (rim,) = result.report.limbs[0].rims
    neutral = float(laid.neutral.surface.radius(10.0, 0.0))
    # Chords of 6 mm on a circle of 54 mm fall short by (6/54)²/24; the lacing gap is 25 mm of the limb, a little more
    # of the lip, which stands 4 mm further out.
    assert rim.worn == pytest.approx((2 * np.pi - 25.0 / neutral) * (neutral + 4.0), rel=1e-3)
    uv = laid.panels[0].flat.uv
    (along,) = [uv[b.vertices] for b in laid.panels[0].flat.panel.boundaries if b.name == "bottom edge"]
    assert rim.flat == pytest.approx(np.hypot(*np.diff(along, axis=0).T).sum())
    assert rim.radius == pytest.approx(25.0**2 / 8.0 - 1.6)
    told = text(lip_message(rim, thickness=laid.design.wear.thickness))
    assert f"stretches by {100 * (rim.worn / rim.flat - 1):.1f} %" in told
    assert "inside radius of 77 mm, 23.9 times the thickness: that is bent dry without trouble" in told


def test_a_lip_that_the_leather_follows_has_no_waves_and_one_beyond_it_is_named():
    _, fine = made(4.0)
    assert "leather.waves" not in [found.code for found in job_findings(fine.report)]
    laid, result = made(8.0)
    assert laid.panels[0].flat.excess > 0.0
    (found,) = [found for found in job_findings(result.report) if found.code == "leather.waves"]
    told = text(found)
    assert found.place.part == "bottom edge"
    assert told.startswith("The bottom edge of “shin guard” comes out in waves ")
    assert "Flare it by less or over more of its height" in told


def test_a_lip_sharper_than_its_leather_can_lie_is_refused_with_the_flare_that_it_can():
    flare = {"bottom": "60 mm", "depth": "10 mm"}
    table = {"scan": {"file": "made-up.ply"}, "edges": {"bottom": "10 mm", "top": "160 mm", "flare": flare}}
    design = design_of(job_of(table, name="the test"), found_on(cylinder(45.0)))
    # 10²/2·60 = 0.8 mm of radius; half of 3.2 mm lies inside the bend, which 10²/2·1.6 = 31 mm just leave.
    with pytest.raises(CutError, match=r"bottom edge flares by 60 mm over 10 mm.* 0.8 mm.* less than 31 mm"):
        lay(design, limits=PRESETS["cased"], announce=lambda step: None, edge_length=8.0)


def test_a_lip_leaves_the_limb_on_the_radius_of_its_parabola():
    lip = Lip(edge("bottom edge", (0.0,) * 4), 8.0, 25.0, 1.0)
    step = 0.01
    high = lip.height(np.array([25.0 - 2 * step, 25.0 - step, 25.0]), np.zeros(3))
    assert lip.radius == pytest.approx(step**2 / (high[0] - 2 * high[1] + high[2]), rel=1e-6)
