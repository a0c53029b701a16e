"""Holes of every kind of seam and dart on panels cut from analytic limbs."""

import io
import itertools

import ezdxf
import numpy as np
import pytest
import shapely

from flatten.drawing.compose import drawing_of
from flatten.drawing.dxf import dxf_bytes
from flatten.pattern.distances import check_holes
from flatten.pattern.fastening import DartClosing, Lacing, Riveting, Stitching, Strapping
from flatten.pattern.model import Hole, PatternError
from flatten.pattern.outline import shape_of, wearers_uv
from flatten.pattern.path import polyline
from flatten.pattern.piece import TitleBlock, pattern_from
from flatten.unwrap.panel import flatten_panel
from flatten.worn.curves import Dart, Seam
from flatten.worn.cut import cut_panels
from flatten.worn.cuts import Cuts
from flatten.worn.defaults import edge
from tests.limbs import calf, cone, cylinder, limb_of

THICK = 3.2
EDGES = {"bottom": edge("bottom edge", (20.0, 0.0, 20.0, 0.0)), "top": edge("top edge", (300.0, 280.0, 250.0, 280.0))}
LEVEL = {"bottom": edge("bottom edge", (0.0,) * 4), "top": edge("top edge", (250.0,) * 4)}

KINDS = {
    "laced": {"kind": "laced", "gap": 25.0},
    "strapped": {"kind": "strapped", "gap": 20.0},
    "open": {"kind": "open", "gap": 6.0},
    "stitched edge to edge": {"kind": "stitched"},
    "stitched overlap": {"kind": "stitched", "overlap": 14.0, "upper": "before"},
    "riveted": {"kind": "riveted", "overlap": 22.0, "upper": "after"},
}
HOLES = {"laced": "eyelet", "strapped": "strap rivet", "stitched": "stitch", "riveted": "rivet"}


def seam(bearing=np.pi, name="back", *, kind="laced", gap=0.0, overlap=0.0, upper=""):
    return Seam(name, kind, gap, [0.0], [bearing], overlap, upper)


def laid(surface, seams, *, edges=EDGES, darts=(), edge_length=8.0):
    panels = cut_panels(surface, Cuts(seams=seams, darts=darts, **edges), edge_length=edge_length, thickness=THICK)
    return [flatten_panel(panel) for panel in panels]


def made(flats, *, mirrored=False, **fastenings):
    side = "right" if mirrored else "left"
    return pattern_from(flats, TitleBlock("watch", side, THICK), mirrored=mirrored, fastenings=fastenings)


def mates(pattern, name, kind):
    """Holes of a kind along a seam, (k,2) by side."""
    found = [hole for piece in pattern.pieces for hole in piece.holes if (hole.seam, hole.kind) == (name, kind)]
    return {side: np.array([(h.x, h.y) for h in found if h.side == side]) for side in ("low", "high")}


def height_at(flat, points, *, mirrored=False):
    """Chart heights (k,) of places (k,2) on a flat piece: by the triangle that each lies in."""
    uv, faces = wearers_uv(flat, mirrored=mirrored), flat.panel.mesh.faces
    triangles = shapely.polygons(uv[faces])
    tree = shapely.STRtree(triangles)
    found = []
    for point in points:
        face = faces[tree.nearest(shapely.Point(point))]
        weights = np.linalg.solve(np.vstack([uv[face].T, np.ones(3)]), [*point, 1.0])
        found.append(weights @ flat.panel.heights[face])
    return np.array(found)


@pytest.mark.parametrize("kind", KINDS.values(), ids=KINDS.keys())
@pytest.mark.parametrize("count", [1, 2])
def test_every_kind_of_seam_has_equally_many_holes_inside_and_clear(kind, count):
    flats = laid(limb_of(calf), [seam(np.pi * (0.5 + k), f"seam {k}", **kind) for k in range(count)])
    pattern = made(flats)
    for k in range(count):
        low, high = mates(pattern, f"seam {k}", HOLES.get(kind["kind"], "")).values()
        assert len(low) == len(high)
        assert (len(low) > 3) == (kind["kind"] != "open")
    # From memory: edge to hole centre, the larger of 2 hole diameters and 2 thicknesses, at least 10 mm for lacing;
    # stitches 3 to 4 mm from the edge: common practice.
    away = {"eyelet": 10.0, "rivet": 6.4, "strap rivet": 6.4, "stitch": 3.0}
    for piece in pattern.pieces:
        shape = shape_of(piece.outline)
        for hole in piece.holes:
            assert shape.contains(shapely.Point(hole.x, hole.y))
            assert shape.exterior.distance(shapely.Point(hole.x, hole.y)) >= away[hole.kind] - 0.05
        for one, other in itertools.combinations(piece.holes, 2):
            assert np.hypot(one.x - other.x, one.y - other.y) >= (2.6 if one.kind == "stitch" else away[one.kind])


@pytest.mark.parametrize("mirrored", [False, True])
@pytest.mark.parametrize("name", ["stitched overlap", "riveted"])
def test_holes_through_two_layers_stand_at_equal_heights_on_the_limb(name, mirrored):
    kind = KINDS[name]
    flats = laid(limb_of(calf), [seam(1.3, "one", **kind), seam(4.4, "two", **kind)])
    pattern = made(flats, mirrored=mirrored)
    for seam_name in ("one", "two"):
        found = {}
        for flat, piece in zip(flats, pattern.pieces, strict=True):
            holes = [h for h in piece.holes if h.seam == seam_name]
            found[holes[0].side] = height_at(flat, [(h.x, h.y) for h in holes], mirrored=mirrored)
        # The line is drawn within 0.1 mm of the seam's own, and so are its places along it.
        np.testing.assert_allclose(found["low"], found["high"], atol=0.1)
        assert (np.diff(found["low"]) > 0).all()


def test_rivets_stand_in_the_middle_of_the_overlap_on_a_cylinder():
    """Both sides run half of 22 mm past the seam, so a rivet is 11 mm from each leather's edge."""
    flats = laid(cylinder(60.0), [seam(**KINDS["riveted"])], edges=LEVEL, edge_length=3.0)
    (piece,) = made(flats).pieces
    x0, y0, x1, y1 = shape_of(piece.outline).bounds
    low, high = mates(made(flats), "back", "rivet").values()
    np.testing.assert_allclose(low[:, 0] - x0, 11.0 * (1 + THICK / 60.0), atol=0.05)
    np.testing.assert_allclose(x1 - high[:, 0], 11.0, atol=0.02)
    np.testing.assert_allclose([low[0, 1] - y0, y1 - low[-1, 1]], 6.4, atol=0.05)
    steps = np.diff(low[:, 1])
    # Rivet pitch 25–40 mm: from memory. 250 mm less two ends of 6.4 mm in 8 steps.
    np.testing.assert_allclose(steps, 237.2 / 8, atol=0.02)


@pytest.mark.parametrize("mirrored", [False, True])
@pytest.mark.parametrize("upper", ["before", "after"])
@pytest.mark.parametrize("count", [1, 2])
def test_the_lower_layer_shows_where_the_upper_layers_edge_lies(upper, mirrored, count):
    """On a cylinder it runs straight up, half of 22 mm inside the rivets; an upper layer bears no such line."""
    kinds = [seam(np.pi * (1 + k), f"seam {k}", kind="riveted", overlap=22.0, upper=upper) for k in range(count)]
    pattern = made(laid(cylinder(60.0), kinds, edges=LEVEL, edge_length=4.0), mirrored=mirrored)
    lower = "low" if upper == "before" else "high"
    for piece in pattern.pieces:
        drawing = ezdxf.read(io.StringIO(dxf_bytes(drawing_of((piece,), "overlap")).decode())).modelspace()
        marks = [np.array(line.get_points("xy")) for line in drawing.query('LWPOLYLINE[layer=="MARK"]')]
        rivets = np.array([circle.dxf.center.x for circle in drawing.query('CIRCLE[layer=="HOLES"]')])
        row = np.mean([hole.x for hole in piece.holes if hole.side == lower])
        assert np.abs(rivets - row).min() < 1e-3
        across = np.sign(rivets.mean() - row)
        (line,) = [m for m in marks if np.abs(m[:, 0] - row).max() < 20.0 and np.ptp(m[:, 1]) > 200.0]
        # Every section is a circle, and a seam that runs straight up stays straight.
        np.testing.assert_allclose(line[:, 0], row + across * 11.0, atol=0.05)
        assert len([mark for mark in piece.marks if mark.kind == "overlap"]) == 1


@pytest.mark.parametrize("name", ["stitched overlap", "riveted"])
def test_on_a_leg_the_upper_edge_lies_as_far_from_the_holes_as_on_the_upper_leather(name):
    """Both layers' flat leather differs there by its stretch and by the upper one's greater radius: 2 mm/m and 5 %."""
    flats = laid(limb_of(calf), [seam(1.3, "one", **KINDS[name]), seam(4.4, "two", **KINDS[name])], edge_length=6.0)
    for piece in made(flats).pieces:
        (line,) = [mark for mark in piece.marks if mark.kind == "overlap"]
        drawn = shapely.LineString(polyline(line.path, 0.01))
        rows = {side: [shapely.Point(h.x, h.y) for h in piece.holes if h.side == side] for side in ("low", "high")}
        half = 0.5 * KINDS[name]["overlap"]
        near = min(rows.values(), key=lambda row: drawn.distance(row[0]))
        inner = [drawn.distance(point) for point in near[1:-1]]
        np.testing.assert_allclose(inner, half, atol=0.3 + 0.05 * half)


@pytest.mark.parametrize(("per_inch", "pitch"), [(4, 6.35), (5, 5.08), (6, 4.23), (7, 3.63)])
def test_stitches_stand_at_the_tables_pitch(per_inch, pitch):
    """Stitch pitch 25.4/SPI: 4 → 6.35, 5 → 5.08, 6 → 4.23, 7 → 3.63 mm [derived]; 3–4 mm from the edge [practice]."""
    flats = laid(cylinder(60.0), [seam(kind="stitched")], edges=LEVEL)
    pattern = made(flats, back=Stitching(per_inch=per_inch))
    low, high = mates(pattern, "back", "stitch").values()
    steps = np.diff(low[:, 1])
    # The run is divided evenly, so that the pitch gives by half of itself over all its steps.
    np.testing.assert_allclose(steps, pitch, atol=0.51 * pitch / len(steps) + 0.005)
    x0, _, x1, _ = shape_of(pattern.pieces[0].outline).bounds
    assert (low[:, 0] - x0 >= 3.0).all()
    assert (low[:, 0] - x0 <= 4.0).all()
    np.testing.assert_allclose(low[:, 0] - x0, x1 - high[:, 0], atol=0.01)
    assert pattern.joins[0].ease == 0.0


def test_a_strap_is_held_by_two_rivets_on_each_side_facing_each_other():
    flats = laid(cylinder(60.0), [seam(**KINDS["strapped"])], edges=LEVEL)
    pattern = made(flats, back=Strapping(pitch=80.0, width=25.0, gap=20.0))
    (join,) = pattern.joins
    low, high = mates(pattern, "back", "strap rivet").values()
    # 250 mm less half a strap and 5 mm at each end, in steps near 80 mm: 3 steps of 71.7 mm, 4 straps.
    assert (join.count, len(low), len(high)) == (4, 8, 8)
    assert join.pitch == pytest.approx(215.0 / 3, abs=0.02)
    np.testing.assert_allclose(low[:, 1], high[:, 1], atol=0.02)
    np.testing.assert_allclose(np.diff(low[:2, 0]), 15.0, atol=0.01)
    np.testing.assert_allclose(low[::2, 1], low[1::2, 1], atol=0.01)
    # 10 mm from the edge, so that a hole of the tongue over the edge is clear of the rivet's cap: from memory.
    assert join.apart == pytest.approx(20.0 + 2 * 10.0)


def test_a_seam_of_equal_sides_has_no_ease_and_one_of_unequal_sides_tells_it():
    flats = laid(limb_of(calf), [seam(**KINDS["stitched edge to edge"])])
    (join,) = made(flats).joins
    before, after = join.lengths
    low, high = mates(made(flats), "back", "stitch").values()
    runs = [np.hypot(*np.diff(side, axis=0).T).sum() for side in (high, low)]
    # The holes' chords, 5 mm apart, fall short of a row of 400 mm radius by 5²/24·400² of it.
    assert runs == pytest.approx([before, after], abs=0.02)
    assert join.ease == (abs(before - after) if abs(before - after) > 0.2 else 0.0)


@pytest.mark.parametrize("mirrored", [False, True])
@pytest.mark.parametrize("closed", ["stitch", "rivet", None])
def test_a_dart_has_a_stop_hole_at_its_tip_and_matching_sides(closed, mirrored):
    bulge = limb_of(lambda h, b: 80.0 * np.sqrt(1.0 - ((h - 100.0) / 380.0) ** 2) + 0.0 * b)
    dart = Dart("pleat", "dart", "top", 0.0, 95.0)
    flats = laid(bulge, [seam(**KINDS["laced"])], edges=LEVEL, darts=[dart], edge_length=6.0)
    fastening = {"stitch": Stitching(), "rivet": Riveting(), None: None}[closed]
    pattern = made(flats, mirrored=mirrored, pleat=DartClosing(4.0, fastening))
    (piece,) = pattern.pieces
    (stop,) = [hole for hole in piece.holes if hole.kind == "stop"]
    assert stop.diameter == 4.0
    tip = flats[0].panel.boundaries[[b.name for b in flats[0].panel.boundaries].index("pleat")].vertices[-1]
    np.testing.assert_allclose([stop.x, stop.y], wearers_uv(flats[0], mirrored=mirrored)[tip], atol=1e-9)
    if closed is None:
        assert {hole.kind for hole in piece.holes} == {"stop", "eyelet"}
        return
    low, high = mates(pattern, "pleat", closed).values()
    assert len(low) == len(high) >= 2
    heights = [height_at(flats[0], side, mirrored=mirrored) for side in (low, high)]
    # Rows lie inside the sides, square to them; the sides lean by at most 0.1 rad, over 6.4 mm.
    np.testing.assert_allclose(*heights, atol=1.3)
    join = next(join for join in pattern.joins if join.name == "pleat")
    assert join.count == len(low)


def test_a_slash_stays_open_and_has_only_its_stop_hole():
    dart = Dart("vent", "slash", "bottom", 0.0, 60.0, 8.0)
    flats = laid(cone(), [seam(**KINDS["laced"])], edges=LEVEL, darts=[dart])
    (piece,) = made(flats).pieces
    assert [hole.diameter for hole in piece.holes if hole.seam == "vent"] == [4.0]


def test_a_left_and_a_right_piece_are_exact_mirror_images():
    flats = laid(limb_of(calf), [seam(1.3, "one", **KINDS["riveted"]), seam(4.4, "two", **KINDS["laced"])])
    for left, right in zip(made(flats).pieces, made(flats, mirrored=True).pieces, strict=True):
        turned = np.array([(-h.x, h.y, h.diameter) for h in right.holes])
        own = np.array([(h.x, h.y, h.diameter) for h in left.holes])
        order = np.lexsort(np.round(turned, 6).T), np.lexsort(np.round(own, 6).T)
        np.testing.assert_allclose(turned[order[0]], own[order[1]], atol=1e-6)
        other = shapely.transform(shape_of(right.outline), lambda p: p * [-1, 1])
        assert shapely.hausdorff_distance(other.exterior, shape_of(left.outline).exterior) < 0.01


def test_a_seam_cannot_be_closed_in_another_kinds_way():
    flats = laid(cylinder(60.0), [seam(**KINDS["riveted"])], edges=LEVEL)
    with pytest.raises(PatternError, match="'back' is riveted and cannot be closed by lacing"):
        made(flats, back=Lacing())


def test_a_short_dart_cannot_be_riveted_and_says_so():
    dart = Dart("pleat", "dart", "bottom", 0.0, 25.0)
    swell = limb_of(lambda h, b: 70.0 - 10.0 * np.exp(-h / 40.0) + 0.0 * b)
    flats = laid(swell, [seam(**KINDS["laced"])], edges=LEVEL, darts=[dart])
    with pytest.raises(PatternError, match=r"'pleat' has \d+ mm for holes"):
        made(flats, pleat=DartClosing(4.0, Riveting()))


@pytest.mark.parametrize("size", [0.0, -1.0, float("nan")])
@pytest.mark.parametrize("closing", [Lacing, Riveting, Stitching, Strapping, DartClosing])
def test_holes_without_size_are_refused(closing, size):
    with pytest.raises(PatternError, match="cannot be punched"):
        closing(size)


@pytest.mark.parametrize("given", [{"per_inch": 0.0}, {"per_inch": 12.0}, {"per_inch": 0.5}, {"diameter": 3.0}])
def test_stitches_that_run_into_one_another_are_refused(given):
    with pytest.raises(PatternError, match="stitches to the inch"):
        Stitching(**given)


def test_straps_that_touch_are_refused():
    with pytest.raises(PatternError, match="cannot stand 25 mm apart"):
        Strapping(pitch=25.0, width=20.0)


def test_an_eyelet_keeps_clear_of_a_stop_holes_rim():
    """10 mm from an edge, which the rim of the stop hole is: from memory."""
    stop = Hole(50.0, 100.0, 4.0, "stop", "pleat", "")
    shape = shapely.box(0, 0, 100, 100)
    near, far = (Hole(50.0, y, 5.0, "eyelet", "back", "low") for y in (88.2, 87.9))
    check_holes(shape, (stop, far), thickness=3.2, name="guard")
    with pytest.raises(PatternError, match=r"11\.8 mm apart, wanted 12\.0 mm"):
        check_holes(shape, (stop, near), thickness=3.2, name="guard")
