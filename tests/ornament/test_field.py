"""The field of a piece, against areas by hand, and on pieces with turned, bound and overlapping edges."""

import numpy as np
import pytest
import shapely

from flatten.ornament.covered import beneath_layers, beneath_parts
from flatten.ornament.field import LEAST_AREA, ROUNDED, Margins, field_of, free_of, halving_line, size_of
from flatten.ornament.model import OrnamentError
from flatten.pattern.edging import Edging
from flatten.pattern.finish import Finish
from flatten.pattern.model import Hole, Mark, Path, Piece, Zone
from flatten.pattern.outline import wearers_uv
from flatten.pattern.path import segment
from tests.flat_panels import opened_frustum, piece_from
from tests.limbs import cylinder
from tests.pattern.test_seam_holes import KINDS, LEVEL, laid, seam
from tests.plated import laid_on

MARGINS = Margins(edge=6.0, hole=4.0, stitch=3.0, bend=5.0)
CORNERS = (4.0 - np.pi) * ROUNDED**2
"""mm² that four corners of a field lose to their rounding."""


def closed(*points):
    return Path(np.array(points, float), np.zeros(len(points)), closed=True)


def box(x0, y0, x1, y1):
    return closed((x0, y0), (x1, y0), (x1, y1), (x0, y1))


SHEET = box(-60.0, 0.0, 60.0, 100.0)
CENTRE = Mark("centre line", segment((0.0, 0.5), (0.0, 99.5)))


def piece(*marks, outline=SHEET, holes=(), **more):
    return Piece("sheet", "left", outline, tuple(holes), marks, (), 3.0, **more)


def hole(x, y, *, size=6.0, kind="stop", seam="s", **more):
    return Hole(x, y, size, kind, seam, "", **more)


def test_a_field_lies_inside_the_edges_by_the_margin():
    field = field_of(piece(CENTRE), margins=MARGINS)
    size = size_of(field)
    assert (size.width, size.height) == pytest.approx((108.0, 88.0))
    # The rounds are polygons of 16 segments a quarter, a thousandth smaller than circles.
    assert size.area == pytest.approx(108.0 * 88.0 - CORNERS, abs=0.1)
    assert (size.islands, field.even) == (1, True)
    np.testing.assert_allclose(field.centre, [[0.0, 6.0], [0.0, 94.0]])


@pytest.mark.parametrize(
    ("more", "gone"),
    [
        ({"holes": [hole(10.0, 50.0)]}, np.pi * 7.0**2),
        ({"holes": [hole(10.0, 50.0, size=8.0, run=20.0, angle=0.3)]}, np.pi * 8.0**2 + 20.0 * 16.0),
        # An eyelet of 5 mm has a flange beyond its hole, so the margin is counted from that.
        ({"untooled": (Zone((box(-10.0, 40.0, 10.0, 60.0),), 400.0),)}, 400.0 + 80.0 * 5.0 + np.pi * 25.0),
    ],
)
def test_holes_slots_and_zones_take_their_size_and_the_margin(more, gone):
    field = field_of(piece(**more), margins=MARGINS)
    assert field.region.area == pytest.approx(108.0 * 88.0 - CORNERS - gone, rel=5e-4)
    assert field.centre is None


def test_what_is_set_into_a_hole_counts_with_its_flange():
    plain, set_in = (
        free_of(piece(holes=[hole(0.0, 50.0, size=5.0, kind=kind)]), margins=MARGINS).kept.area
        for kind in ("stop", "eyelet")
    )
    assert set_in < plain - 50.0


def test_a_stitch_row_takes_its_thread_and_no_further_hole():
    row = [hole(x, 50.0, size=1.0, kind="stitch") for x in (-8.0, 0.0, 8.0)]
    apart = hole(40.0, 50.0, size=1.0, kind="stitch")
    free = free_of(piece(holes=[*row, apart]), margins=MARGINS).kept
    gone = 16.0 * 7.0 + 2 * np.pi * 3.5**2
    assert free.area == pytest.approx(108.0 * 88.0 - CORNERS - gone, rel=5e-4)


@pytest.mark.parametrize("kind", ["fold", "skive", "overlap"])
def test_a_line_parts_a_field_by_twice_the_margin(kind):
    size = size_of(field_of(piece(Mark(kind, segment((-60.0, 50.0), (60.0, 50.0)))), margins=MARGINS))
    assert size.islands == 2
    assert size.area == pytest.approx(108.0 * 78.0 - 2 * CORNERS, abs=0.2)


def test_islands_too_small_for_two_strands_are_told_and_not_kept():
    strip = Mark("skive", segment((-60.0, 22.0), (60.0, 22.0)))
    free = free_of(piece(strip), margins=MARGINS)
    # Beneath the line 6 to 17 mm are left: narrower than LEAST_WIDTH.
    assert free.left.area == pytest.approx(108.0 * 11.0 - CORNERS, abs=0.1)
    assert free.kept.area == pytest.approx(108.0 * 67.0 - CORNERS, abs=0.1)
    assert free.left.area > LEAST_AREA


def test_a_dart_is_kept_clear_of_on_both_sides():
    notched = closed((-60.0, 0.0), (-2.0, 0.0), (0.0, 50.0), (2.0, 0.0), (60.0, 0.0), (60.0, 100.0), (-60.0, 100.0))
    shape = field_of(piece(CENTRE, outline=notched), margins=MARGINS).region.shape
    # Beside the tip 6 mm, and below it 6 mm off either side.
    assert shapely.distance(shape, shapely.Point(0.0, 50.0)) == pytest.approx(6.0, abs=0.02)
    assert not shapely.intersects(shape, shapely.LineString([(-7.9, 0.0), (-2.0, 0.0), (0.0, 50.0)]))
    assert shapely.contains(shape, shapely.Point(-10.0, 20.0))


def test_what_lies_beneath_other_leather_counts_as_an_edge():
    field = field_of(piece(CENTRE), margins=MARGINS, covered=shapely.box(20.0, -5.0, 80.0, 105.0))
    # Its mirror image is barred, too, as the piece is symmetrical.
    assert shapely.bounds(field.region.shape) == pytest.approx((-14.0, 6.0, 14.0, 94.0))


def test_the_field_of_a_symmetrical_piece_is_its_own_mirror_image():
    bored = piece(CENTRE, holes=[hole(25.0, 30.0), hole(-31.0, 71.0)])
    field = field_of(bored, margins=MARGINS)
    image = shapely.transform(field.region.shape, lambda points: points * np.array([-1.0, 1.0]))
    assert field.even
    assert shapely.hausdorff_distance(field.region.shape.boundary, image.boundary) < 1e-9
    askew = closed((-60.0, 0.0), (60.0, 0.0), (60.0, 100.0), (-58.0, 100.0))
    assert not field_of(piece(CENTRE, outline=askew), margins=MARGINS).even


def test_an_axis_may_lie_anywhere_and_a_bent_centre_line_is_straightened():
    turn = np.array([[np.cos(0.4), np.sin(0.4)], [-np.sin(0.4), np.cos(0.4)]])
    moved = Path(SHEET.points @ turn + [7.0, -3.0], SHEET.bulges, closed=True)
    line = Mark("centre line", segment(*(tuple(p) for p in CENTRE.path.points @ turn + [7.0, -3.0])))
    field = field_of(piece(line, outline=moved), margins=MARGINS)
    assert field.even
    assert (size_of(field).width, size_of(field).height) == pytest.approx((108.0, 88.0))
    bent = Mark("centre line", segment((0.0, 0.5), (3.0, 50.0), (0.0, 99.5)))
    leaning = field_of(piece(bent), margins=MARGINS)
    assert not leaning.even
    assert leaning.centre[:, 0] == pytest.approx([1.0, 1.0], abs=0.01)
    assert leaning.centre[:, 1] == pytest.approx([6.0, 94.0])


def test_an_allowance_is_no_field():
    outer = box(-70.0, -10.0, 70.0, 110.0)
    field = field_of(piece(Mark("trim", SHEET), outline=outer), margins=MARGINS)
    assert size_of(field).width == pytest.approx(108.0)


def test_nothing_free_is_an_error_that_names_the_margins():
    with pytest.raises(OrnamentError, match=r"'sheet' has no place for ornament.*30 mm from edges"):
        field_of(piece(outline=box(0.0, 0.0, 65.0, 65.0)), margins=Margins(edge=30.0))
    with pytest.raises(OrnamentError, match="margin 'hole' of a field is -1 mm"):
        Margins(hole=-1.0)


def sheet_of(**finish):
    """A sheet 280 mm tall that was slit open at the back of a cylinder of 60 mm."""
    flat = opened_frustum(bottom=60.0, top=60.001, height=280.0, gap=25.0)
    return flat, piece_from(flat, side="left", job="j", thickness=3.0, edging=Edging(finish=Finish(**finish)))


def test_a_field_ends_inside_turned_and_bound_edges():
    finishes = {}, {"top": "turned", "turn": 10.0, "skived": 1.0}, {"bottom": "bound", "cover": 8.0, "binding": 1.0}
    raw, turned, bound = (sheet_of(**finish)[1] for finish in finishes)
    fields = (field_of(each, margins=MARGINS) for each in (raw, turned, bound))
    flat, rolled, hemmed = (shapely.bounds(field.region.shape) for field in fields)
    # A turned edge stays where the raw one is, though its strip goes on; its fold is drawn a hair inside.
    fold = 1.0 * (1.0 - 0.25 * np.pi)
    assert turned.outline.points[:, 1].max() > raw.outline.points[:, 1].max() + 5.0
    assert rolled[3] == pytest.approx(flat[3] - fold, abs=0.05)
    assert hemmed[1] == pytest.approx(flat[1] + 8.0, abs=0.05)


def test_an_overlap_is_covered_as_wide_as_it_is():
    (flat,) = laid(cylinder(60.0), [seam(**KINDS["riveted"])], edges=LEVEL, edge_length=8.0)
    panel = flat.panel
    uv = wearers_uv(flat, mirrored=False)
    covered = beneath_layers((flat,), 0, uv)
    # On a cylinder the flat lower layer is covered over its overlap, all along.
    tall = np.ptp(panel.heights)
    assert shapely.area(covered) == pytest.approx(22.0 * tall, rel=0.02)
    x0, _, x1, _ = shapely.bounds(covered)
    assert x1 - x0 == pytest.approx(22.0, abs=0.5)
    lower = next(side for side in panel.boundaries if side.layer == "lower")
    assert min(abs(uv[lower.vertices, 0].mean() - x) for x in (x0, x1)) < 0.3


def test_a_plate_covers_what_lies_beneath_it():
    plate = {"name": "patch", "around": [-30, 30], "heights": [100, 200], "thickness": 3.2}
    _, _, plated = laid_on(cylinder(), plate, mesh=8.0)
    flat = plated.panels[0].flat
    covered = beneath_parts(flat, wearers_uv(flat, mirrored=False), [part.flat.panel for part in plated.parts])
    around = np.radians(60.0) * (60.0 + 0.5 * 3.2)
    assert shapely.area(covered) == pytest.approx(around * 100.0, rel=0.005)


def test_the_line_that_halves_a_panel_is_its_middle_bearing():
    flat, _ = sheet_of()
    line = halving_line(flat, wearers_uv(flat, mirrored=True))
    np.testing.assert_allclose(line[:, 0], 0.0, atol=0.1)
    assert line[1, 1] - line[0, 1] == pytest.approx(280.0, abs=0.5)


def test_the_ground_between_the_holes_of_a_row_is_none():
    row = [hole(40.0, y, size=5.0, kind="rivet") for y in (15.0, 45.0, 75.0)]
    apart = [hole(-40.0, y, size=5.0, kind="rivet", seam="t") for y in (10.0, 90.0)]
    free = field_of(piece(holes=[*row, *apart]), margins=MARGINS).region.shape
    line = shapely.LineString([(each.x, each.y) for each in row])
    # A rivet's head covers more than its hole.
    assert shapely.distance(line, free) >= 4.0 + 2.5 - 0.01
    # Two holes of another row that are far apart leave the ground between them free.
    assert shapely.covers(free, shapely.Point(-40.0, 50.0))
