"""True when worn: what is drawn on the paper is so large on the grain side, by formula and on a second mesh."""

from dataclasses import replace

import numpy as np
import pytest
import shapely

from flatten.mesh.surface import Mesh
from flatten.ornament.field import field_of
from flatten.ornament.grain_face import grain_face
from flatten.ornament.model import Field, OrnamentError, Region
from flatten.ornament.paper import paper_of
from flatten.pattern.piece import TitleBlock, pattern_from
from flatten.unwrap.mates import mated_boundaries
from flatten.unwrap.model import Limits
from flatten.unwrap.panel import flatten_panel
from flatten.unwrap.symmetric import flatten_symmetric
from flatten.worn.cut import cut_panels
from flatten.worn.cuts import Cuts
from flatten.worn.darts import Dart
from flatten.worn.rise import raised_points
from tests.limbs import calf, limb_of
from tests.ornament.grain_sides import RADIUS, SURFACES, THICK, diameters, disc, face_on, ring
from tests.pattern.test_seam_holes import LEVEL, seam

CROSS = np.array([[-1.0, 0.0], [1.0, 0.0], [0.0, -1.0], [0.0, 1.0]])


@pytest.mark.parametrize("mirrored", [False, True])
def test_on_a_cylinder_what_is_40_wide_is_drawn_narrower_by_the_bend(mirrored):
    paper = paper_of(face_on("cylinder", 4.0, mirrored=mirrored), disc(70.0, 120.0, 30.0))
    middle = paper.to_paper(np.array([[70.0, 120.0]]))
    left, right, low, high = paper.to_piece(middle + 20.0 * CROSS)
    # Round the limb 40·R/(R + t/2); up the limb nothing bends.
    assert right[0] - left[0] == pytest.approx(40.0 * RADIUS / (RADIUS + THICK / 2), abs=2e-3)
    assert high[1] - low[1] == pytest.approx(40.0, abs=2e-3)
    assert np.abs([right[1] - left[1], high[0] - low[0]]).max() < 0.01
    assert (paper.least, paper.greatest) == pytest.approx((1.0, 1.0), abs=1e-4)


@pytest.mark.parametrize("neutral", [0.3, 0.5])
def test_a_part_that_lies_on_the_base_has_its_own_grain_side(neutral):
    beyond, surface = 5.0, SURFACES["cylinder"]
    (below,) = cut_panels(surface, Cuts(seams=[seam(gap=25.0)], darts=(), **LEVEL), edge_length=6.0, thickness=THICK)
    points = raised_points(surface, below.heights, below.bearings, rises=(), beyond=beyond)
    panel = replace(below, mesh=Mesh(points, below.mesh.faces), beyond=beyond)
    face = grain_face(flatten_panel(panel), surface=surface, thickness=THICK, neutral=neutral)
    paper = paper_of(face, disc(0.0, 120.0, 30.0))
    left, right, _, _ = paper.to_piece(paper.to_paper(np.array([[0.0, 120.0]])) + 20.0 * CROSS)
    radius = RADIUS + beyond
    assert right[0] - left[0] == pytest.approx(40.0 * radius / (radius + (1.0 - neutral) * THICK), abs=2e-3)


def test_the_piece_that_is_cut_larger_is_drawn_larger():
    place = disc(0.0, 120.0, 30.0)
    lost = (0.06, 0.03)
    plain, grown = (paper_of(face_on("cylinder", 6.0, lost=each), place) for each in ((0.0, 0.0), lost))
    spans = []
    for paper in (plain, grown):
        middle = paper.to_paper(np.array([[0.0, 120.0]]))
        left, right, low, high = paper.to_piece(middle + 10.0 * CROSS)
        spans.append((right[0] - left[0], high[1] - low[1]))
    # The grain runs up the limb: along it 1/(1 − 0.06), across it 1/(1 − 0.03).
    assert np.divide(spans[1], spans[0]) == pytest.approx([1 / 0.97, 1 / 0.94], abs=1e-4)


@pytest.mark.parametrize("name", ["calf", "waist"])
@pytest.mark.parametrize("at", [(0.0, 110.0), (75.0, 150.0), (-70.0, 75.0)])
def test_a_circle_of_40_is_one_on_the_grain_side_of_another_mesh(name, at):
    first, second = face_on(name, 3.0), face_on(name, 4.6)
    paper = paper_of(first, disc(*at))
    drawn = paper.to_piece(ring(*paper.to_paper(np.array([at]))[0], 20.0, 16))
    assert np.abs(diameters(second, drawn) - 40.0).max() < 0.2
    # A circle drawn straight on the piece misses by far more.
    assert np.abs(diameters(second, ring(*at, 20.0, 16)) - 40.0).max() > 0.5


@pytest.mark.parametrize("name", ["calf", "waist"])
def test_lines_come_back_and_bend_without_kinks(name):
    face = face_on(name, 3.0)
    paper = paper_of(face, shapely.box(-90.0, 20.0, 90.0, 230.0))
    x, y = np.meshgrid(np.linspace(-80.0, 80.0, 40), np.linspace(30.0, 220.0, 30))
    points = np.column_stack([x.ravel(), y.ravel()])
    np.testing.assert_allclose(paper.to_paper(paper.to_piece(points)), points, atol=1e-8)
    slopes = paper.map.slopes(points)
    assert np.linalg.det(slopes).min() > 0.5
    step = 1e-4
    for k in range(2):
        ahead = paper.map.at(points + step * np.eye(2)[k]) - paper.map.at(points - step * np.eye(2)[k])
        np.testing.assert_allclose(slopes[:, :, k], ahead / (2 * step), atol=1e-7)
        # Slopes are continuous across the knots, and change by no more than the bend of 1 in 80 mm.
        turned = paper.map.slopes(points + step * np.eye(2)[k]) - slopes
        assert np.abs(turned).max() < step / 80.0
    assert paper.missed < 0.12


def test_lengths_on_the_worn_side_lie_between_the_least_and_the_greatest():
    face = face_on("waist", 4.6)
    paper = paper_of(face, shapely.box(-90.0, 20.0, 90.0, 230.0))
    rng = np.random.default_rng(5)
    points = rng.uniform([-80.0, 30.0], [80.0, 220.0], (4000, 2))
    turn = rng.uniform(0.0, 2 * np.pi, 4000)
    ends = points + 1.5 * np.stack([np.cos(turn), np.sin(turn)], axis=1)
    worn, further = (face.carried(paper.to_piece(each)) for each in (points, ends))
    share = np.linalg.norm(further - worn, axis=1) / 1.5
    # Within the ripples that the smooth map leaves out.
    assert paper.least - 0.02 < share.min() < 1.0 - 0.3 * (1.0 - paper.least)
    assert 1.0 + 0.3 * (paper.greatest - 1.0) < share.max() < paper.greatest + 0.02


@pytest.mark.parametrize("name", ["calf", "waist"])
def test_a_straight_border_is_straight_on_the_worn_side(name):
    face = face_on(name, 3.0)
    paper = paper_of(face, shapely.box(-95.0, 55.0, 95.0, 75.0))
    line = np.stack([np.linspace(-90.0, 90.0, 181), np.full(181, 65.0)], axis=1)
    worn = face.carried(paper.to_piece(line))
    run = float(np.linalg.norm(np.diff(worn, axis=0), axis=1).sum())
    shortest = float(diameters(face, paper.to_piece(line[[0, -1]]))[0])
    # A line that leaves the shortest one by d in its middle is longer by 2·d²/180: here by less than 1 mm. The chords
    # of 1 mm along it cut the mesh's edges, and are shorter by a little.
    assert -0.03 < run - shortest < 2.0 / 180.0


def test_the_paper_of_a_symmetrical_piece_is_symmetrical():
    surface = limb_of(lambda h, b: calf(h, b) + 2.0 * np.exp(-(((h - 150.0) / 50.0) ** 2)) * np.sin(b))
    cuts = Cuts(seams=[seam(gap=25.0)], darts=(), **LEVEL)
    (panel,) = cut_panels(surface, cuts, edge_length=6.0, thickness=THICK)
    (flat,) = flatten_symmetric(
        [panel], mated_boundaries(panel, panel), limits=Limits(0.08, 0.08, 0.08, 0.08, "given"), room=0.2
    )
    face = grain_face(flat, surface=surface, thickness=THICK, neutral=0.5)
    low = flat.uv[:, 1].min()
    paper = paper_of(face, shapely.box(-90.0, low + 60.0, 70.0, low + 180.0), even=True)
    rng = np.random.default_rng(1)
    points = rng.uniform([-80.0, low + 70.0], [80.0, low + 170.0], (200, 2))
    hand = np.array([-1.0, 1.0])
    np.testing.assert_allclose(paper.to_piece(points * hand), paper.to_piece(points) * hand, atol=1e-9)
    np.testing.assert_allclose(paper.to_paper(points * hand), paper.to_paper(points) * hand, atol=1e-7)
    assert 0.0 < paper.uneven < 3.0
    alone = paper_of(face, shapely.box(-90.0, low + 60.0, 90.0, low + 180.0))
    inner = alone.to_piece(points)
    assert np.abs(inner * hand - alone.to_piece(points * hand)).max() > 0.05


def test_a_field_is_taken_to_the_paper_with_its_holes_and_centre_line():
    face = face_on("calf", 6.0)
    shape = shapely.box(-60.0, 50.0, 60.0, 150.0).difference(disc(20.0, 100.0, 10.0))
    field = Field("p", Region.of(shape), np.array([[0.0, 50.0], [0.0, 150.0]]))
    paper = paper_of(face, shape)
    taken = paper.field(field)
    assert len(taken.region.rims) == 2
    back = [paper.to_piece(rim) for rim in taken.region.rims]
    again = Region(tuple(back))
    assert shapely.area(shapely.symmetric_difference(again.shape, shape)) < 0.01
    np.testing.assert_allclose(paper.to_piece(taken.centre), field.centre, atol=1e-8)


def test_places_beside_the_leather_or_parted_by_a_slash_are_errors():
    face = face_on("cylinder", 6.0)
    with pytest.raises(OrnamentError, match="does not lie on the piece 'whole'"):
        paper_of(face, disc(500.0, 0.0))
    paper = paper_of(face, disc(0.0, 120.0))
    with pytest.raises(OrnamentError, match=r"reaches \d+ mm beyond the leather"):
        paper.to_piece(np.array([[0.0, 200.0]]))
    with pytest.raises(OrnamentError, match="the first 7 mm left of the middle, 400 mm up, lie beside the piece"):
        face.carried(np.array([[-7.0, 400.0]]))


def slit_at(surface):
    """The grain side of a sheet with a slash up its front, and the piece's points where that begins."""
    cuts = Cuts(seams=[seam(gap=25.0)], darts=(Dart("front", "slash", "bottom", 0.0, 90.0, 0.0),), **LEVEL)
    (panel,) = cut_panels(surface, cuts, edge_length=6.0, thickness=THICK)
    face = grain_face(flatten_panel(panel), surface=surface, thickness=THICK, neutral=0.5)
    low, high = (side for side in panel.boundaries if side.kind == "slash")
    return face, face.uv[low.vertices[0]], face.uv[high.vertices[-1]]


def test_a_paper_reaches_round_a_slash_and_is_refused_where_one_parts_it():
    barrel = limb_of(lambda h, b: 44.0 + 18.0 * np.exp(-(((h - 130.0) / 100.0) ** 2)) + 0.0 * b)
    face, left, right = slit_at(barrel)
    assert right[0] - left[0] > 10.0
    beside = [disc(left[0] - 24.0, left[1] + 40.0, 14.0), disc(right[0] + 24.0, right[1] + 40.0, 14.0)]
    paper = paper_of(face, shapely.union_all([*beside, disc(0.5 * (left[0] + right[0]), 160.0)]))
    for each in beside:
        points = shapely.get_coordinates(each)
        worn = face.carried(paper.to_piece(paper.to_paper(points)))
        np.testing.assert_allclose(worn, face.carried(points), atol=1e-8)
    # A barrel opened by a slash unrolls to within 3 %.
    assert (paper.least, paper.greatest) == pytest.approx((1.0, 1.0), abs=0.03)
    with pytest.raises(OrnamentError, match="lies in 2 parts"):
        paper_of(face, shapely.box(left[0] - 20.0, left[1] + 5.0, right[0] + 20.0, left[1] + 30.0))


def test_a_paper_over_a_piece_that_lies_over_itself_is_refused():
    face, left, right = slit_at(SURFACES["calf"])
    assert right[0] < left[0]
    with pytest.raises(OrnamentError, match="would fold on the flat piece"):
        paper_of(face, shapely.union_all([disc(-55.0, 25.0), disc(55.0, 25.0), disc(0.0, 150.0)]))


def test_a_hollow_sharper_than_the_leather_has_no_grain_side():
    furrow = limb_of(lambda h, b: 50.0 - 8.0 * np.exp(-((b / 0.06) ** 2)) + 0.0 * h, around=240)
    cuts = Cuts(seams=[seam(gap=25.0)], darts=(), **LEVEL)
    (panel,) = cut_panels(furrow, cuts, edge_length=3.0, thickness=THICK)
    flat = flatten_panel(panel)
    with pytest.raises(OrnamentError, match="folds in a hollow"):
        grain_face(flat, surface=furrow, thickness=40.0, neutral=0.5)
    with pytest.raises(OrnamentError, match="must be above 0"):
        grain_face(flat, surface=furrow, thickness=0.0, neutral=0.5)


def test_the_field_of_a_formed_piece_has_its_paper():
    """From the piece's own field to its paper and back, as the makers of lines take it."""
    face = face_on("calf", 6.0, edges="arched")
    piece = pattern_from((face.flat,), TitleBlock("watch", "left", THICK)).pieces[0]
    field = field_of(piece)
    paper = paper_of(face, field.region.shape)
    taken = paper.field(field)
    assert taken.region.area == pytest.approx(field.region.area, rel=0.06)
