"""Corners are rounded by arcs tangent to both sides, as large as there is room, and alike on mirror images."""

import numpy as np
import pytest
import shapely

from flatten.pattern.corners import Near, corners_of, even_corners, near_holes, rounded
from flatten.pattern.edging import POINTED, Edging
from flatten.pattern.fastening import DartClosing, Stitching
from flatten.pattern.model import Hole, Path, PatternError
from flatten.pattern.outline import Side, outline_of, shape_of
from flatten.pattern.path import area, circle_of, joined, length, mirrored_path, reversed_path, span_lengths, spans
from flatten.pattern.piece import TitleBlock, pattern_from
from flatten.worn.curves import Dart
from tests.flat_panels import opened_frustum, piece_from
from tests.limbs import cylinder, limb_of
from tests.pattern.test_seam_holes import KINDS, LEVEL, laid, seam


def side(start, end, *, bulge=0.0, name="edge", kind="edge"):
    path = Path(np.array([start, end], float), np.array([bulge, 0.0]), closed=False)
    return Side(name, kind, "", True, path, path, np.array([0.0, 1.0]), np.array([0.0, 1.0]))


def polygon(points, **more):
    return tuple(side(a, b, **more) for a, b in zip(points, [*points[1:], points[0]], strict=True))


def cut(sides, radius, near=()):
    corners = corners_of(sides, name="plate", radius=radius, near=near, closed=frozenset())
    return joined(rounded(sides, corners).paths), corners


SHAPES = {
    "rectangle": [(0, 0), (100, 0), (100, 60), (0, 60)],
    "wedge": [(0, 0), (100, 0), (50, 50 * np.sqrt(3))],
    "slanting": [(-70, -20), (40, -35), (90, 30), (-30, 55)],
    "hollow": [(0, 0), (100, 0), (60, 40), (100, 90), (0, 90)],
}


@pytest.mark.parametrize("points", SHAPES.values(), ids=SHAPES.keys())
@pytest.mark.parametrize("radius", [2.0, 6.0, 9.7])
def test_arcs_have_their_radius_and_touch_both_sides(points, radius):
    outline, corners = cut(polygon(points), radius)
    start, end, bulge = spans(outline)
    for a, b, t in zip(start[bulge != 0.0], end[bulge != 0.0], bulge[bulge != 0.0], strict=True):
        assert circle_of(a, b, t)[1] == pytest.approx(radius, abs=1e-9)
    chord = end - start
    heading = np.arctan2(chord[:, 1], chord[:, 0])
    arriving, leaving = heading + 2 * np.arctan(bulge), np.roll(heading - 2 * np.arctan(bulge), -1)
    np.testing.assert_allclose(np.sin(arriving - leaving), 0.0, atol=1e-10)
    np.testing.assert_allclose(np.cos(arriving - leaving), 1.0, atol=1e-10)
    # Between the tangents r·tan(a/2) and the arc lies r²(tan(a/2) − a/2), a the turn; in a hollow it is filled.
    turns = np.array([corner.turn for corner in corners])
    assert turns.sum() == pytest.approx(2 * np.pi)
    taken = radius**2 * (np.sign(turns) * np.tan(np.abs(turns) / 2) - turns / 2)
    assert area(joined(tuple(s.path for s in polygon(points)))) - area(outline) == pytest.approx(taken.sum(), abs=1e-8)


@pytest.mark.parametrize("bulge", [-0.3, -0.1, 0.2])
def test_an_arc_between_bent_sides_has_its_centre_at_its_radius_from_both(bulge):
    sides = (side((0, 0), (80, -10), bulge=bulge), side((80, -10), (90, 70), bulge=0.1), side((90, 70), (0, 0)))
    outline, corners = cut(sides, 6.0)
    paths = rounded(sides, corners)
    for k, arc in enumerate(paths.arcs):
        centre, radius = circle_of(arc.points[0], arc.points[1], arc.bulges[0])
        assert radius == pytest.approx(6.0, abs=1e-9)
        for own in (sides[k].path, sides[(k + 1) % 3].path):
            (a, b), t = own.points, own.bulges[0]
            if t:
                middle, around = circle_of(a, b, t)
                away = abs(np.hypot(*(centre - middle)) - around)
            else:
                away = abs(np.cross([*(b - a), 0], [*(centre - a), 0])[2]) / np.hypot(*(b - a))
            assert away == pytest.approx(6.0, abs=1e-9)
    assert shape_of(outline).is_valid


def test_a_cone_loses_what_its_four_arcs_cut_off():
    """Its sides meet its edges at right angles: each arc takes r²(1 − π/4), and for the edges' bend a little more or
    less: 1 % of it at 6 mm in radii of 557 mm."""
    flat = opened_frustum(gap=0.0)
    made = {r: piece_from(flat, side="left", job="w", thickness=3.2, edging=Edging(r)) for r in (0.0, 6.0)}
    off = area(made[0.0].outline) - area(made[6.0].outline)
    assert off == pytest.approx(4 * 36.0 * (1 - np.pi / 4), rel=0.01)
    assert [corner.radius for corner in made[6.0].corners] == [6.0] * 4
    assert len(made[6.0].outline.points) == len(made[0.0].outline.points) + 4


def test_without_a_wish_corners_get_6_mm():
    """Default 6 mm: common practice."""
    piece = piece_from(opened_frustum(gap=25.0, arch=15.0), side="left", job="w", thickness=3.2)
    assert [(corner.radius, corner.kept_by) for corner in piece.corners] == [(6.0, "")] * 4
    _, bulges, lengths = *spans(piece.outline)[1:], span_lengths(piece.outline)
    # An arc of radius r and turn a is r·a long.
    arcs = [(abs(4 * np.arctan(b)), size) for b, size in zip(bulges, lengths, strict=True) if b and size < 20.0]
    assert sum(abs(size / turn - 6.0) < 1e-6 for turn, size in arcs) == 4


def test_an_arc_takes_less_than_half_of_a_short_side_at_most():
    outline, corners = cut(polygon([(0, 0), (100, 0), (100, 7), (0, 7)]), None)
    # 90°: the tangents are as long as the radius; 0.45 · 7 mm is 3.15.
    assert [(corner.radius, corner.wanted, corner.kept_by) for corner in corners] == [(3.0, 6.0, "side")] * 4
    assert shape_of(outline).is_valid
    with pytest.raises(PatternError, match=r"corner of piece 'plate' between the edge and the edge .* 4 mm: its sides"):
        cut(polygon([(0, 0), (100, 0), (100, 7), (0, 7)]), 4.0)


@pytest.mark.parametrize(("inset", "fits"), [(3.5, 4.5), (4.0, 6.0), (3.0, 3.0), (2.0, 0.0)])
def test_an_arc_keeps_its_distance_from_a_hole(inset, fits):
    """A hole at (i, i) from a corner of 90° that wants 2.95 mm: from an arc of radius r > i it is r − √2·(r − i) away,
    so that r is (√2·i − 2.95)/(√2 − 1) at most: 4.83 for i = 3.5, 6.53 for 4, 3.12 for 3."""
    (near,) = near_holes([Hole(inset, inset, 1.3, "stitch", "back", "low")], [2.95])
    sides = polygon([(0, 0), (100, 0), (100, 60), (0, 60)])
    _, corners = cut(sides, None, (near,))
    assert corners[-1].radius == fits
    assert corners[-1].kept_by == ("" if fits == 6.0 else "stitch")
    assert [corner.radius for corner in corners[:-1]] == [6.0] * 3
    if fits < 6.0:
        most = f"{fits:g} mm has room there" if fits else "none has room there"
        with pytest.raises(PatternError, match=rf"stitch 1 of seam 'back' would be nearer to it than 3\.0 mm; {most}"):
            cut(sides, 6.0, (near,))


def test_overlaps_are_rounded_and_edges_that_touch_are_not():
    radii = {}
    for kind, settings in KINDS.items():
        flats = laid(cylinder(), [seam(1.3, "outer", **settings), seam(4.4, "inner", gap=20.0)], edges=LEVEL)
        pieces = pattern_from(flats, TitleBlock("watch", "left", 3.2)).pieces
        radii[kind] = {
            corner.radius
            for piece in pieces
            for corner in piece.corners
            if "outer" in (corner.before[1], corner.after[1])
        }
    assert radii.pop("stitched edge to edge") == {0.0}
    # Its stitches run on the seam itself, in the middle of the overlap.
    assert radii.pop("stitched overlap") == {6.0}
    assert set(map(frozenset, radii.values())) == {frozenset({6.0})}


@pytest.mark.parametrize(("closing", "wanted"), [(0.0, 0.0), (12.0, 6.0)])
def test_a_darts_mouth_stays_pointed_and_an_open_slashs_does_not(closing, wanted):
    kind = "slash" if closing else "dart"
    dart = Dart("heel", kind, "top", 0.0, 60.0, closing)
    # On a cone that widens upwards less and less, leather is left over at the top edge: a dart opens there.
    bulb = limb_of(lambda h, b: 50.0 + 0.3 * h - 0.0008 * h**2 + 0.0 * b)
    flats = laid(bulb, [seam(gap=25.0)], edges=LEVEL, darts=(dart,))
    fastening = DartClosing(opening=closing) if closing else DartClosing(fastening=Stitching())
    (piece,) = pattern_from(flats, TitleBlock("watch", "left", 3.2), fastenings={"heel": fastening}).pieces
    names = [{corner.before[1], corner.after[1]} for corner in piece.corners]
    mouths = [corner.radius for corner, name in zip(piece.corners, names, strict=True) if name == {"heel", "top edge"}]
    tips = [corner.radius for corner, name in zip(piece.corners, names, strict=True) if name == {"heel"}]
    assert mouths == [wanted] * 2
    assert tips == [0.0]


def test_mirror_images_are_rounded_alike_to_the_last_bit():
    sides = (side((8, 0), (80, -10), bulge=0.3), side((80, -10), (75, 70), bulge=0.1), side((75, 70), (8, 0)))
    image = tuple(
        side(path.points[0], path.points[1], bulge=path.bulges[0])
        for path in (reversed_path(mirrored_path(own.path)) for own in sides[::-1])
    )
    near = Near(shapely.Point(77.0, -7.0), 4.0, "rivet", "rivet 1")
    one = corners_of(sides, name="one", radius=None, near=(near,), closed=frozenset())
    other = corners_of(image, name="other", radius=None, near=(), closed=frozenset())
    assert {corner.radius for corner in other} == {6.0}
    assert min(corner.radius for corner in one) < 6.0
    one, other = even_corners([one, other])
    assert sorted(c.radius for c in one) == sorted(c.radius for c in other)
    first, second = (outline_of(rounded(s, c).paths, "it") for s, c in ((sides, one), (image, other)))
    places = sorted(map(tuple, first.points))
    assert places == sorted((-x, y) for x, y in second.points)


def test_points_where_points_are_asked_for():
    flat = opened_frustum()
    piece = piece_from(flat, side="left", job="w", thickness=3.2, edging=POINTED)
    assert len(piece.outline.points) == 4
    assert length(piece.outline) == pytest.approx(392.26 + 229.34 + 2 * 396.150, abs=0.001)
    assert {corner.wanted for corner in piece.corners} == {0.0}
