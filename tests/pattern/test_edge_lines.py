"""Lines along edges lie at their distance, stitches stand evenly, and what is too near is named."""

import numpy as np
import pytest
import shapely

from flatten.drawing.compose import layers_of
from flatten.pattern.corners import corners_of, rounded
from flatten.pattern.distances import check_holes, rims_of
from flatten.pattern.edging import Edging, parted_lines
from flatten.pattern.fastening import Stitching
from flatten.pattern.model import Hole, Mark, Path, PatternError
from flatten.pattern.naming import EDGE_STITCH
from flatten.pattern.offsets import distances_from, inside_lines
from flatten.pattern.outline import shape_of
from flatten.pattern.path import along, length, polyline
from flatten.pattern.piece import TitleBlock, pattern_from
from flatten.pattern.stitches import stitch_places
from tests.flat_panels import opened_frustum, piece_from
from tests.limbs import cylinder
from tests.pattern.test_corners import cut, polygon
from tests.pattern.test_seam_holes import KINDS, LEVEL, laid, seam

CIRCLE = Path(np.array([[40.0, 0.0], [-40.0, 0.0]]), np.array([1.0, 1.0]), closed=True)
PLATE = [(0, 0), (100, 0), (100, 60), (0, 60)]


def inside(outline, distance):
    return inside_lines([(outline, True)], distance, shape=shape_of(outline))


@pytest.mark.parametrize("distance", [1.0, 3.5, 12.0])
def test_a_line_inside_a_circle_is_a_circle(distance):
    (line,) = inside(CIRCLE, distance)
    assert line.closed
    assert length(line) == pytest.approx(2 * np.pi * (40.0 - distance), abs=1e-9)


@pytest.mark.parametrize("distance", [1.0, 3.5, 6.0, 10.0])
def test_a_line_inside_a_rounded_plate_is_shorter_by_its_corners(distance):
    """Straight 88 and 48 mm twice, and arcs of 6 − d; where the radius is used up, four corners."""
    outline, _ = cut(polygon(PLATE), 6.0)
    (line,) = inside(outline, distance)
    expected = 2 * (88 + 48) + 2 * np.pi * (6 - distance) if distance < 6 else 2 * (160 - 4 * distance)
    assert line.closed
    assert length(line) == pytest.approx(expected, abs=1e-3)
    points = along(line, np.linspace(0.0, length(line), 500))[0]
    # The cut line's own distance, by shapely from a polygon within 0.005 mm of it.
    assert shapely.distance(shape_of(outline).exterior, shapely.points(points)) == pytest.approx(distance, abs=0.006)


def test_a_line_in_a_waist_is_parted():
    """Two squares of 40 mm joined by a neck of 10 mm: 6 mm inside there is no way through."""
    points = [(0, 0), (40, 0), (40, 15), (60, 15), (60, 0), (100, 0), (100, 40), (60, 40), (60, 25), (40, 25), (40, 40)]
    outline, _ = cut(polygon([*points, (0, 40)]), 2.0)
    lines = inside(outline, 6.0)
    assert len(lines) == 2
    assert all(line.closed for line in lines)
    near, far = sorted((line.points[:, 0].min(), line.points[:, 0].max()) for line in lines)
    assert near[0] == pytest.approx(6.0, abs=1e-6)
    assert near[1] < 40.0 < 60.0 < far[0]


def test_distances_are_those_of_a_fine_polygon():
    rng = np.random.default_rng(5)
    outline, _ = cut(polygon([(-70, -20), (40, -35), (90, 30), (-30, 55)]), 9.0)
    points = rng.uniform(-80, 90, (300, 2))
    exact = shapely.distance(shapely.LineString(polyline(outline, 1e-6)), shapely.points(points))
    np.testing.assert_allclose(distances_from([outline], points), exact, atol=2e-6)


@pytest.mark.parametrize("pitch", [3.63, 5.08, 6.35])
def test_stitches_close_evenly_round_a_circle(pitch):
    """Stitch pitch 25.4/SPI: 4 → 6.35, 5 → 5.08, 7 → 3.63 mm [derived]."""
    (line,) = inside(CIRCLE, 3.5)
    places = stitch_places(line, pitch, (), ())
    steps = np.diff(places, append=places[:1] + length(line))
    np.testing.assert_allclose(steps, length(line) / round(length(line) / pitch), rtol=1e-9)
    assert abs(steps[0] / pitch - 1.0) < 0.5 / len(places) + 1e-9


@pytest.mark.parametrize("distance", [3.5, 8.0])
def test_a_corner_has_its_stitch_and_the_next_a_full_pitch_on(distance):
    outline, _ = cut(polygon(PLATE), 6.0)
    (line,) = inside(outline, distance)
    places = stitch_places(line, 5.08, (), ())
    points = along(line, places)[0]
    # The middle of a corner's arc of radius 6 − d about (6, 6), or the corner itself.
    rest = max(6.0 - distance, 0.0)
    corner = np.array([6.0, 6.0]) - rest / np.sqrt(2) if rest else np.array([distance, distance])
    assert np.hypot(*(points - corner).T).min() < 1e-3
    steps = np.diff(places, append=places[:1] + length(line))
    sides = [(100 - 12 if rest else 100 - 2 * distance) + rest * np.pi / 2]
    sides.append(sides[0] - 40)
    expected = sorted({side / round(side / 5.08) for side in sides})
    np.testing.assert_allclose(sorted(set(np.round(steps, 3))), expected, atol=2e-3)


def test_stitches_stay_a_full_pitch_from_the_ends_of_an_open_line_and_from_holes():
    line = Path(np.array([[0.0, 0.0], [200.0, 0.0]]), np.zeros(2), closed=False)
    rivet = Hole(100.0, 2.0, 3.0, "rivet", "wave", "")
    places = stitch_places(line, 5.08, (rivet,), (6.4,))
    assert places[0] == pytest.approx(5.08)
    assert places[-1] == pytest.approx(200.0 - 5.08)
    apart = np.hypot(places - 100.0, 2.0)
    # 6.4 mm, and up to the step of the search.
    assert 6.4 <= apart.min() < 6.7
    wide = np.sort(np.diff(places))[-1]
    assert wide == pytest.approx(2 * np.sqrt(6.4**2 - 4.0), abs=0.5)
    near = stitch_places(line, 5.08, (Hole(100.0, 4.0, 1.0, "rivet", "wave", ""),), (2.0,))
    assert 5.08 <= np.hypot(near - 100.0, 4.0).min() < 5.4


@pytest.mark.parametrize("kind", KINDS)
def test_lines_run_along_open_edges_only(kind):
    # A rivet's cap reaches to 1.9 mm from the edge, and no border beside it is both wide and clear of it.
    border = 0.0 if kind in ("strapped", "riveted") else 2.3
    edging = Edging(None, 0.8, border, 3.8, Stitching(1.3, 7.0))
    flats = laid(cylinder(), [seam(1.3, "outer", **KINDS[kind]), seam(4.4, "inner", gap=20.0)], edges=LEVEL)
    pieces = pattern_from(flats, TitleBlock("watch", "left", 3.2), edging=edging).pieces
    for piece, flat in zip(pieces, flats, strict=True):
        rim = next(b for b in flat.panel.boundaries if b.name == "outer")
        side, edge = shapely.LineString(flat.uv[rim.vertices]), shape_of(piece.outline).exterior
        if kind == "stitched edge to edge":
            edge = shapely.difference(edge, side.buffer(0.1))
        drawn = [("bevel line", 0.8), *([("border line", border)] if border else []), ("stitch line", 3.8)]
        for name, away in drawn:
            lines = [mark.path for mark in piece.marks if mark.kind == name]
            points = shapely.points(np.concatenate([along(p, np.linspace(0.0, length(p), 999))[0] for p in lines]))
            assert np.abs(shapely.distance(edge, points) - away).max() < 0.15
            # 250 mm of the outer side of a cylinder: along it, or nowhere but where the lines of the edges end.
            beside = shapely.distance(side, points) < away + 0.2
            hidden = rim.layer == "lower" or kind == "stitched edge to edge"
            hidden = hidden or (name == "stitch line" and rim.kind == "stitched")
            assert bool(beside.mean() > 0.2) is (not hidden), (piece.name, name)


def test_a_stitch_line_is_on_the_stitch_layer_and_its_holes_with_the_others():
    flat = opened_frustum(gap=25.0, arch=15.0)
    piece = piece_from(flat, side="left", job="w", thickness=3.2, edging=Edging(stitch=3.5, border=5.0))
    layers = {layer.name: layer for layer in layers_of(piece)}
    stitches = [hole for hole in piece.holes if hole.side == EDGE_STITCH]
    assert len(layers["HOLES"].circles) == len(piece.holes) > len(stitches) > 200
    (line,) = layers["STITCH"].paths
    drawn = shapely.LineString(polyline(line, 0.001))
    assert max(drawn.distance(shapely.Point(hole.x, hole.y)) for hole in stitches) < 0.002
    # Both halves of the piece are mirror images, and so are its stitches: cut lines may be 0.1 mm off.
    places = np.array([(hole.x, hole.y) for hole in stitches])
    apart = np.hypot(*np.moveaxis(places[:, None] * [-1, 1] - places[None], -1, 0)).min(axis=1)
    assert apart.max() < 0.1


def test_what_is_too_near_is_named_with_found_and_wanted():
    outline, _ = cut(polygon(PLATE), 6.0)
    sides = polygon(PLATE)
    paths = rounded(sides, corners_of(sides, name="p", radius=6.0, near=(), closed=frozenset()))
    shape, rims = shape_of(outline), rims_of(sides, paths)
    eyelets = [Hole(x, 30.0, 5.0, "eyelet", "back", "low") for x in (12.0, 35.0, 60.0)]
    rivets = [Hole(60.0, 45.0, 3.0, "rivet", "wave", ""), Hole(66.0, 31.0, 3.0, "rivet", "wave", "")]
    with pytest.raises(PatternError, match=r"eyelet 3 of seam 'back' and rivet 2 of part 'wave' .* 6\.1 mm .* 10\.0"):
        check_holes(shape, [*eyelets, *rivets], thickness=3.2, name="guard", rims=rims)
    check_holes(shape, [*eyelets, rivets[0]], thickness=3.2, name="guard", rims=rims)
    with pytest.raises(PatternError, match=r"rivet 1 of part 'wave' .* mm from the corner of the edge and the edge"):
        check_holes(shape, [Hole(5.5, 5.5, 3.0, "rivet", "wave", "")], thickness=3.2, name="guard", rims=rims)
    with pytest.raises(PatternError, match=r"outside the piece, past the edge, wanted 10\.0 mm"):
        check_holes(shape, [Hole(-3.0, 30.0, 5.0, "eyelet", "back", "low")], thickness=3.2, name="guard", rims=rims)


def test_a_border_parts_at_eyelets_and_a_bevel_does_not():
    flat = opened_frustum(gap=25.0)
    # Eyelets of 5 mm stand 10 mm from the edge, with flanges of 8 mm: 6 mm of edge are free, 5 mm with 1 mm between.
    piece = piece_from(flat, side="left", job="w", thickness=3.2, edging=Edging(border=7.0, bevel=1.5))
    (bevel,) = [mark.path for mark in piece.marks if mark.kind == "bevel line"]
    assert bevel.closed
    borders = [mark.path for mark in piece.marks if mark.kind == "border line"]
    eyelets = [hole for hole in piece.holes if hole.kind == "eyelet"]
    assert len(borders) == len(eyelets)
    drawn = shapely.MultiLineString([polyline(path, 0.001) for path in borders])
    away = np.array([drawn.distance(shapely.Point(hole.x, hole.y)) for hole in eyelets])
    np.testing.assert_allclose(away, 5.0, atol=2e-3)
    # A straight line 3 mm from an eyelet's centre loses a chord of a circle of 5 mm, 8 mm; in a corner of 90° that lies
    # in the circle about an end eyelet, 3 + 4 mm both ways.
    whole = length(inside(piece.outline, 7.0)[0])
    assert drawn.length == pytest.approx(whole - (len(eyelets) - 4) * 8.0 - 4 * 14.0, abs=0.5)
    clear = piece_from(flat, side="left", job="w", thickness=3.2, edging=Edging(border=4.9))
    assert [mark.path.closed for mark in clear.marks if mark.kind == "border line"] == [True]


def test_a_line_of_which_holes_leave_hardly_anything_is_refused_with_both_names():
    line = Path(np.array([[0.0, 0.0], [100.0, 0.0]]), np.zeros(2), closed=False)
    rivets = [Hole(x, 3.0, 3.0, "rivet", "wave", "") for x in np.arange(5.0, 100.0, 10.0)]
    (kept,) = parted_lines([Mark("bevel line", line)], rivets, name="guard")
    assert length(kept.path) == 100.0
    # Caps of 9 mm and 1 mm: chords of 2·√(5.5² − 3²) = 9.2 in each 10 mm.
    with pytest.raises(PatternError, match=r"the border line and rivet \d+ of part 'wave' .* 0\.0 mm .* less than 50%"):
        parted_lines([Mark("border line", line)], rivets, name="guard")
