"""Pieces made symmetrical: by how much, and how exactly."""

import io
from pathlib import Path

import ezdxf
import ezdxf.path
import numpy as np
import pytest
import shapely
import shapely.affinity

from flatten.job.text import job_of
from flatten.leather.limits import PRESETS, leather_limits
from flatten.leather.tensors import flat_areas
from flatten.making import finish, lay
from flatten.pattern.holes import rows_inside
from flatten.pattern.mirrored import crossing_path
from flatten.pattern.path import along, length, span_lengths
from flatten.pattern.symmetry import evened
from flatten.tolerances import SEAM_MATCH
from flatten.unwrap.model import UnwrapError
from flatten.unwrap.rows import mated_seams
from tests.analytic_jobs import design_of, found_on
from tests.flat_panels import grid_faces, grid_panel, opened_frustum
from tests.limbs import calf, limb_of

WIDE, TALL = 300.0, 200.0


def lopsided(h, b):
    """The invented leg, its calf's belly to the inside and its shin to the outside."""
    return calf(h, b) + 3.0 * np.sin(b) + 2.0 * np.sin(2 * b) * np.exp(-(((h - 200) / 80) ** 2))


def laid_on(skin, *, side="left", limits=PRESETS["cased"], edge_length=8.0, **tables):
    table = {"scan": {"file": "made-up.ply", "side": side}, "edges": {"bottom": "20 mm", "top": "300 mm"}, **tables}
    job = job_of(table | {"piece": {"symmetry": "centre line"} | table.get("piece", {})}, name="the test")
    found = found_on(skin, side=side)
    laid = lay(design_of(job, found), limits=limits, announce=lambda step: None, edge_length=edge_length)
    return laid, finish(job, [(found, laid)], text="", announce=lambda step: None)


def drawn(result):
    """Outlines and hole centres of the DXF file: polygons within 0.001 mm, and (n,2)."""
    space = ezdxf.read(io.StringIO(dict(result.files)["pattern.dxf"].decode())).modelspace()
    paths = [ezdxf.path.make_path(e) for e in space.query('LWPOLYLINE[layer=="CUT"]')]
    shapes = [shapely.Polygon([(p.x, p.y) for p in path.flattening(0.001)]) for path in paths]
    holes = np.array([(c.dxf.center.x, c.dxf.center.y) for c in space.query("CIRCLE")]).reshape(-1, 2)
    return shapes, holes


def mirror_error(one, other, middle):
    """Greatest distance (mm) between an outline and the other's mirror image about x = middle."""
    turned = shapely.affinity.scale(other, -1.0, 1.0, origin=(middle, 0.0))
    return shapely.hausdorff_distance(one.exterior, turned.exterior)


def sheared(shear, *, columns=60, rows=40):
    """A flat rectangle on a cylinder, x moved by `shear` times y."""
    index, faces = grid_faces(columns, rows)
    x, y = np.meshgrid(np.linspace(-WIDE / 2, WIDE / 2, columns + 1), np.linspace(-TALL / 2, TALL / 2, rows + 1))
    radius = WIDE / np.pi
    x, y = x.ravel(), y.ravel()
    points = np.stack([radius * np.cos(x / radius), radius * np.sin(x / radius), y], axis=1)
    return grid_panel(points, np.stack([x + shear * y, y], axis=1), y, x / radius, index, faces)


@pytest.mark.parametrize("arch", [0.0, 15.0])
def test_a_symmetrical_piece_does_not_move(arch):
    flat = opened_frustum(gap=25.0, arch=arch)
    (found,), (told,) = evened([flat])
    assert told.moved < 1e-9
    assert told.off < 1e-9
    np.testing.assert_allclose(found.uv, flat.uv, atol=1e-9)


def test_a_piece_that_lies_anyhow_is_laid_on_its_centre_line():
    flat = opened_frustum(gap=25.0)
    turn, aside = np.radians(7.0), np.array([12.0, -5.0])
    cos, sin = np.cos(turn), np.sin(turn)
    moved = type(flat)(**{**vars(flat), "uv": flat.uv @ np.array([[cos, sin], [-sin, cos]]) + aside})
    (found,), (told,) = evened([moved])
    assert told.moved < 1e-9
    np.testing.assert_allclose(found.uv[:, 0], flat.uv[:, 0], atol=1e-9)


@pytest.mark.parametrize("shear", [0.004, -0.01])
def test_a_sheared_rectangle_becomes_the_rectangle_and_tells_how_far_its_corners_moved(shear):
    """To first order the best mirror leaves x moved by a·y and y by b·x, a and b as the boundary's second moments.

    Rotating by t leaves ((shear + t)·y, -t·x); the mismatch with the mirror image is least for
    t = -shear·cy/(cx + cy), where cx, cy are the sums of x² and y² over the boundary.
    """
    cx = 2 * TALL * (WIDE / 2) ** 2 + 2 * WIDE**3 / 12
    cy = 2 * WIDE * (TALL / 2) ** 2 + 2 * TALL**3 / 12
    a, b = shear * cx / (cx + cy), shear * cy / (cx + cy)
    (found,), (told,) = evened([sheared(shear)])
    second = shear**2 * WIDE
    assert told.moved == pytest.approx(np.hypot(a * TALL / 2, b * WIDE / 2), abs=second)
    left = found.uv[np.abs(found.panel.bearings - found.panel.bearings.min()) < 1e-9]
    assert np.ptp(left[:, 0]) < second
    # A move that is linear along the boundary is so inside, and takes the front line along.
    assert told.off < second


@pytest.mark.parametrize("side", ["left", "right"])
def test_the_drawing_of_a_symmetrised_piece_is_its_own_mirror_image(side):
    laid, result = laid_on(limb_of(lopsided), side=side)
    ((shape,), holes), (told,) = drawn(result), laid.even
    middle = 0.5 * (shape.bounds[0] + shape.bounds[2])
    assert mirror_error(shape, shape, middle) < 0.01
    images = holes * [-1, 1] + [2 * middle, 0]
    assert np.hypot(*(images[:, None] - holes[None]).transpose(2, 0, 1)).min(axis=1).max() < 0.01
    assert 0.3 < told.mean < told.moved < 6.0
    assert told.off > 1.0


def test_the_stretch_is_told_of_the_leather_that_is_cut():
    laid, result = laid_on(limb_of(lopsided))
    (shape,), _ = drawn(result)
    # Two outlines within 0.1 mm of one another.
    assert flat_areas(laid.panels[0].flat).sum() == pytest.approx(shape.area, abs=0.1 * shape.length)
    assert laid.panels[0].stretch.spread == pytest.approx(laid.panels[0].flat.spread, rel=1e-9)


def test_front_and_back_halves_are_each_symmetrical():
    seams = [{"name": "outer", "along": "outside", "kind": "riveted"}, {"name": "inner", "along": 272.0}]
    with pytest.raises(UnwrapError, match=r"'inner' \(laced\) and 'outer' \(riveted, overlapping\)"):
        laid_on(limb_of(lopsided), seam=seams)
    seams[1]["kind"] = "riveted"
    laid, result = laid_on(limb_of(lopsided), seam=seams)
    shapes, _ = drawn(result)
    assert [(entry.panel, entry.mate) for entry in laid.even] == [(0, 0), (1, 1)]
    for shape in shapes:
        assert mirror_error(shape, shape, 0.5 * (shape.bounds[0] + shape.bounds[2])) < 0.01


@pytest.mark.parametrize("roomy", [True, False])
def test_mates_of_symmetrical_front_and_back_are_equally_long_or_their_ease_is_told(roomy):
    """Rows of rivets from the drawing alone: within 0.2 mm, or as much apart as the report says."""
    figures = {"stretch_along": 0.1, "stretch_across": 0.1, "squeeze_along": 0.06, "squeeze_across": 0.06}
    limits = leather_limits(figures, folder=Path()) if roomy else PRESETS["cased"]
    seams = [{"name": name, "along": name, "kind": "riveted"} for name in ("outside", "inside")]
    # On a coarser mesh these limits leave the seams the room to be equal.
    _, result = laid_on(limb_of(lopsided), limits=limits, edge_length=6.0, seam=seams)
    shapes, holes = drawn(result)
    rows = []
    for shape in shapes:
        own = holes[[shape.contains(shapely.Point(hole)) for hole in holes]]
        middle = 0.5 * (shape.bounds[0] + shape.bounds[2])
        rows += [own[own[:, 0] < middle], own[own[:, 0] > middle]]
    lengths = [np.hypot(*np.diff(row[np.argsort(row[:, 1])], axis=0).T).sum() for row in rows]
    assert len({len(row) for row in rows}) == 1
    # Chords from rivet to rivet fall short of both arcs alike, but for 0.05 mm.
    eases = [join.ease for join in result.report.limbs[0].joins]
    for one, other in zip(lengths[1::2], [*lengths[2::2], lengths[0]], strict=True):
        assert abs(one - other) < 0.2 or abs(one - other) == pytest.approx(max(eases), abs=0.05)
    if roomy:
        assert eases == [0.0, 0.0]


@pytest.mark.parametrize("kind", ["riveted", "stitched"])
def test_making_pieces_symmetrical_leaves_mates_as_nearly_equal_as_they_were(kind):
    """Two lines that meet half-way have their mean length, less a share Δ²/8 for directions that are Δ apart: four
    lines in two mated pairs stay mated. In leather beyond its limits, whose seams could not be made equal, too."""
    seams = [{"name": name, "along": name, "kind": kind} for name in ("outside", "inside")]
    edges = {"bottom": "20 mm", "top": "300 mm"}
    job = job_of({"scan": {"file": "made-up.ply"}, "edges": edges, "seam": seams}, name="the test")
    design = design_of(job, found_on(limb_of(lopsided)))
    laid = lay(design, limits=PRESETS["cased"], announce=lambda step: None, edge_length=6.0)
    flats = tuple(panel.flat for panel in laid.panels)
    assert max(flat.excess for flat in flats) > 0.0
    insets = rows_inside(laid.design.fastenings, job.leather.thickness)
    after, _ = evened(flats)
    before, now = (
        mated_seams(found, insets).residuals([flat.uv @ [1.0, 1.0j] for flat in found]) for found in (flats, after)
    )
    # Directions 0.06 apart, and stretches cut at equal heights that are no mirror images by 1 mm on a line 5 % longer.
    assert np.abs(now).max() < np.abs(before).max() + 0.5 * SEAM_MATCH


def test_outer_and_inner_halves_are_each_others_mirror_image():
    seams = [
        {"name": "behind", "along": "back", "gap": "20 mm"},
        {"name": "before", "along": "front", "kind": "riveted"},
    ]
    laid, result = laid_on(limb_of(lopsided), seam=seams)
    (one, other), holes = drawn(result)
    (told,) = laid.even
    assert told.panel != told.mate
    middle = 0.25 * (one.bounds[0] + one.bounds[2] + other.bounds[0] + other.bounds[2])
    placed = shapely.affinity.translate(other, 0.0, one.bounds[1] - other.bounds[1])
    assert mirror_error(one, placed, middle) < 0.01
    assert len(holes) % 2 == 0


def test_a_dart_on_the_centre_line_stays_and_one_beside_it_is_refused():
    dart = {"edge": "top", "depth": "50 mm", "kind": "slash", "opening": "30 mm"}
    _, result = laid_on(limb_of(lopsided), dart=[dart])
    (shape,), _ = drawn(result)
    assert mirror_error(shape, shape, 0.5 * (shape.bounds[0] + shape.bounds[2])) < 0.01
    with pytest.raises(UnwrapError, match=r"slash 'dart' would have to move by \d+ mm"):
        laid_on(limb_of(lopsided), dart=[dart | {"along": 40.0}])
    halves = [{"name": "behind", "along": "back"}, {"name": "before", "along": "front"}]
    with pytest.raises(UnwrapError, match="'dart' or another has no mirror image"):
        laid_on(limb_of(lopsided), seam=halves, dart=[dart | {"along": "outside"}])


def test_seams_that_are_no_mirror_images_are_refused_by_name():
    seams = [{"name": "one", "along": 90.0}, {"name": "other", "along": 235.0}]
    with pytest.raises(UnwrapError, match="the seams 'other' and 'one' are 35° off"):
        laid_on(limb_of(lopsided), seam=seams)


def test_a_seam_that_must_be_its_own_mirror_image_is_told_how_far_it_is_off():
    seams = [{"name": "shin", "along": 25.0}, {"name": "calf", "along": 205.0}]
    with pytest.raises(UnwrapError, match=r"the seam '(shin|calf)' would have to lie on the middle .* is 25° off it"):
        laid_on(limb_of(lopsided), seam=seams)


def test_an_edge_crosses_the_centre_line_without_a_kink():
    x = np.linspace(-120.0, 120.0, 81)
    path = crossing_path(np.stack([x, 12.0 * np.cos(x / 30.0)], axis=1))
    joints = np.cumsum(span_lengths(path))[:-1]
    before, after = (along(path, joints + step)[1] for step in (-1e-6, 1e-6))
    # Curvature of at most 12/900 per mm over 2e-6 mm, and rounding.
    assert np.abs(before - after).max() < 1e-6
    np.testing.assert_array_equal(path.points[::-1] * [-1, 1], path.points)
    at = along(path, np.linspace(0.0, length(path), 500))[0]
    # A cut line's tolerance, across a curve that is at most 0.4 steep.
    assert np.abs(at[:, 1] - 12.0 * np.cos(at[:, 0] / 30.0)).max() < 0.1 * np.hypot(1.0, 0.4)
