"""Zones that are not to be tooled: closed smooth outlines where a value is more than 0, and what is told of them."""

import dataclasses

import numpy as np
import pytest
import shapely

from flatten.leather.limits import PRESETS
from flatten.leather.tooling import SHARPEST, TOOLING_SHARE, beyond_tooling, tooled_limits
from flatten.mesh.surface import Mesh
from flatten.pattern.outline import shape_of
from flatten.pattern.path import area, circle_of, length, spans
from flatten.pattern.zones import ROUNDED, rim_paths, zones_above
from flatten.unwrap.panel import flatten_panel
from flatten.worn.cut import cut_panels
from flatten.worn.cuts import Cuts
from tests.flat_panels import grid_faces, opened_frustum
from tests.limbs import cylinder
from tests.pattern.test_seam_holes import LEVEL, seam

WIDE, TALL = 200.0, 160.0
LIMITS = PRESETS["cased"].in_force if hasattr(PRESETS["cased"], "in_force") else PRESETS["cased"]


def grid(columns=80, rows=64):
    _, faces = grid_faces(columns, rows)
    x, y = np.meshgrid(np.linspace(0.0, WIDE, columns + 1), np.linspace(0.0, TALL, rows + 1))
    return np.stack([x.ravel(), y.ravel()], axis=1), faces


def test_a_disc_is_a_zone_with_a_smooth_rim():
    uv, faces = grid()
    values = 40.0 - np.hypot(*(uv - [90.0, 80.0]).T)
    (zone,) = zones_above(uv, faces, values, shape=shapely.box(0, 0, WIDE, TALL))
    # Linear on faces of 2.5 mm in a circle of 40 mm: 2.5²/8R = 0.02 mm short, and the discs' own polygons.
    assert zone.area == pytest.approx(np.pi * 1600.0, rel=0.01)
    assert shapely.hausdorff_distance(zone.exterior, shapely.Point(90, 80).buffer(40.0, 64).exterior) < 0.3
    (path,) = rim_paths(zone)
    assert path.closed
    assert area(path) == pytest.approx(np.pi * 1600.0, rel=0.01)
    start, end, bulge = spans(path)
    chord = end - start
    heading = np.arctan2(chord[:, 1], chord[:, 0])
    kink = (heading - 2 * np.arctan(bulge)) - np.roll(heading + 2 * np.arctan(bulge), 1)
    np.testing.assert_allclose(np.sin(kink), 0.0, atol=1e-6)
    radii = [circle_of(a, b, t)[1] for a, b, t in zip(start, end, bulge, strict=True) if t]
    assert min(radii) > 20.0
    assert np.abs(np.hypot(*(path.points - [90.0, 80.0]).T) - 40.0).max() < 0.3


def test_small_spots_slivers_and_small_holes_are_left_out():
    uv, faces = grid()
    far = np.hypot(*(uv - [90.0, 80.0]).T)
    shape = shapely.box(0, 0, WIDE, TALL)
    assert zones_above(uv, faces, 8.0 - far, shape=shape) == ()
    assert zones_above(uv, faces, 4.0 - np.abs(uv[:, 0] - 100.0), shape=shape) == ()
    assert zones_above(uv, faces, np.full(len(uv), -1.0), shape=shape) == ()
    ring = np.minimum(50.0 - far, far - 25.0)
    (zone,) = zones_above(uv, faces, ring, shape=shape)
    assert len(zone.interiors) == 1
    assert len(rim_paths(zone)) == 2
    assert zone.area == pytest.approx(np.pi * (2500.0 - 625.0), rel=0.01)
    (whole,) = zones_above(uv, faces, np.minimum(50.0 - far, far - 5.0), shape=shape)
    assert not whole.interiors


def test_zones_stay_inside_the_piece_with_rounded_corners_and_come_largest_first():
    uv, faces = grid()
    shape = shapely.box(0, 0, WIDE, TALL)
    values = np.maximum(uv[:, 0] - 140.0, 30.0 - np.hypot(*(uv - [50.0, 80.0]).T))
    first, second = zones_above(uv, faces, values, shape=shape)
    assert first.area > second.area
    assert shape.buffer(-1.4).contains(first)
    # Its own corners, by the rim's inset of 1.5 mm and discs of ROUNDED: r²(4 − π) are off.
    expected = (WIDE - 140.0 - 1.5) * (TALL - 3.0) - ROUNDED**2 * (4 - np.pi)
    assert first.area == pytest.approx(expected, rel=0.005)


def test_a_cylinder_may_be_tooled_everywhere_and_a_stretched_one_nowhere():
    (panel,) = cut_panels(cylinder(), Cuts(seams=[seam(gap=25.0)], **LEVEL), edge_length=8.0, thickness=3.2)
    flat = flatten_panel(panel)
    skin = cylinder()
    assert (beyond_tooling(flat, limits=LIMITS, surface=skin, thickness=3.2, neutral=0.5) < 0.0).all()
    tooled = tooled_limits(LIMITS)
    assert tooled.stretch_along == TOOLING_SHARE * LIMITS.stretch_along
    for share, sign in ((0.999, -1.0), (1.001, 1.0)):
        # Stretch is worn / flat: flat leather that is so much smaller grows by what tooling just takes.
        small = dataclasses.replace(flat, uv=flat.uv / (1.0 + share * tooled.stretch_along))
        found = beyond_tooling(small, limits=LIMITS, surface=skin, thickness=3.2, neutral=0.5)
        assert (np.sign(np.median(found)) == sign).all()
        large = dataclasses.replace(flat, uv=flat.uv / (1.0 - share * tooled.squeeze_along))
        found = beyond_tooling(large, limits=LIMITS, surface=skin, thickness=3.2, neutral=0.5)
        assert (np.sign(np.median(found)) == sign).all()


@pytest.mark.parametrize("neutral", [0.3, 0.5])
def test_a_bend_counts_by_its_inside_radius_in_thicknesses(neutral):
    radius = 18.0
    skin = cylinder(radius)
    (panel,) = cut_panels(skin, Cuts(seams=[seam(gap=5.0)], **LEVEL), edge_length=8.0, thickness=3.2)
    flat = flatten_panel(panel)
    # Inside radius R − n·t = SHARPEST·t at t = R / (SHARPEST + n).
    limit = radius / (SHARPEST + neutral)
    for thickness, sign in ((0.98 * limit, -1.0), (1.02 * limit, 1.0)):
        found = beyond_tooling(flat, limits=LIMITS, surface=skin, thickness=thickness, neutral=neutral)
        assert (np.sign(found) == sign).all()


def test_a_cones_zone_lies_on_its_piece():
    flat = opened_frustum()
    values = flat.panel.heights - 250.0
    outline = shapely.Polygon(flat.uv[np.concatenate([b.vertices[:-1] for b in flat.panel.boundaries])])
    (zone,) = zones_above(flat.uv, flat.panel.mesh.faces, values, shape=outline)
    heights = flat.panel.heights[shapely.contains_xy(zone, *flat.uv.T)]
    assert heights.min() >= 250.0 - 1e-9
    assert isinstance(flat.panel.mesh, Mesh)
    assert sum(length(path) for path in rim_paths(zone)) == pytest.approx(zone.length, rel=0.01)
    assert shape_of(rim_paths(zone)[0]).symmetric_difference(zone).area < 0.01 * zone.area
