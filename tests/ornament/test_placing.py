"""A drawing on a field: as drawn, centred, as large as fits, or fitted to the outline without a fold."""

import numpy as np
import pytest
import shapely
from hypothesis import example, given, settings
from hypothesis import strategies as st

from flatten.findings import message
from flatten.ornament.bring import Brought
from flatten.ornament.fitting import FACES, OutlineMap, fitted
from flatten.ornament.mirror import symmetry
from flatten.ornament.model import Field, OrnamentError, Region, Strand
from flatten.ornament.placing import placed
from flatten.threads import one_thread
from flatten.words.say import text

BOX = np.array([[0.0, 0.0], [40.0, 0.0], [40.0, 60.0], [0.0, 60.0]])


def drawing(*lines, frame=None, centre=None, closed=True):
    return Brought(tuple(Strand(np.array(line, float), closed) for line in lines), frame, centre, ())


def field(outline, *, centre=None, even=False):
    return Field("front", Region.of(shapely.Polygon(outline)), centre, even)


MOVED = BOX + np.array([110.0, 50.0])

WIDE = field([(100, 100), (180, 100), (180, 190), (100, 190)])


def test_as_drawn_keeps_numbers_and_tells_what_sticks_out():
    found = placed(drawing(MOVED), WIDE, place="as drawn")
    assert found.strands[0].points.tolist() == (MOVED).tolist()
    (told,) = [one for one in found.told if one.code == "placing.out"]
    assert told.figures["off"] == pytest.approx(50)
    assert told.figures["length"] == pytest.approx(140, abs=0.2)
    assert told.figures["y"] == pytest.approx(50)


def test_centred_lies_in_the_middle_moved_and_turned():
    found = placed(drawing(BOX), WIDE, by=(5.0, -3.0), turn=90.0)
    # The lower left corner, (−20, −30) from the middle, goes to the left turned to (30, −20).
    assert found.strands[0].points[0] == pytest.approx((140 + 5 + 30, 145 - 3 - 20))
    assert found.strands[0].points[1] == pytest.approx((140 + 5 + 30, 145 - 3 + 20))
    assert found.told == ()


def test_scaled_is_the_largest_that_fits():
    found = placed(drawing(BOX), WIDE, place="scaled")
    assert found.scale == pytest.approx(1.5, rel=2e-3)
    assert found.least == found.greatest == found.scale
    assert [one.code for one in found.told] == ["placing.scaled"]


def test_a_half_stands_on_the_slanting_centre_line_of_an_even_field():
    turn = np.radians(25.0)
    matrix = np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]])
    outline = np.array([(-50, 0), (50, 0), (40, 90), (-40, 90)]) @ matrix.T + (7, 9)
    centre = np.array([(0.0, 0.0), (0.0, 90.0)]) @ matrix.T + (7, 9)
    half = drawing([(0, 0), (-20, 5), (-25, 40), (0, 60)], closed=False)
    for place in ("centred", "scaled", "fitted"):
        found = placed(half, field(outline, centre=centre, even=True), half="left", place=place)
        assert symmetry(found.strands, centre=centre).off < 1e-9
        assert found.strands[0].closed
        assert "placing.out" not in [one.code for one in found.told]


@pytest.mark.parametrize("place", ["scaled", "fitted"])
def test_lines_keep_room_for_half_their_bands(place):
    found = placed(drawing(BOX), WIDE, place=place, room=3.0)
    lines = shapely.LinearRing(found.strands[0].points)
    assert shapely.distance(lines, WIDE.region.shape.exterior) == pytest.approx(3.0, abs=0.05)
    with pytest.raises(OrnamentError, match="no room for lines 45 mm from its edge"):
        placed(drawing(BOX), WIDE, place=place, room=45.0)


def test_a_rectangle_is_fitted_to_a_rectangle_by_scaling_its_sides():
    found = placed(drawing(BOX), WIDE, place="fitted")
    points = found.strands[0].points
    assert shapely.hausdorff_distance(shapely.LinearRing(points), WIDE.region.shape.exterior) < 1e-6
    assert (found.least, found.greatest) == pytest.approx((1.5, 2.0), abs=1e-3)
    assert found.scale == pytest.approx(np.sqrt(3.0), abs=1e-3)


shapes = st.tuples(st.lists(st.floats(0.75, 1.25), min_size=8, max_size=8), st.floats(0.5, 2.0))


@settings(max_examples=6)
@given(shapes)
@example(([1.0, 1.0, 1.0, 1.25, 1.25, 0.75, 1.25, 1.0], 2.0))
@one_thread
def test_no_field_folds_the_drawing(shape):
    """Every face of the mesh keeps its side, and the rim goes to the rim."""
    radii, high = shape
    turns = np.linspace(0, 2 * np.pi, 81)[:-1]
    radius = 40 * np.interp(turns, np.linspace(0, 2 * np.pi, 9), [*radii, radii[0]])
    outline = np.column_stack([radius * np.cos(turns), high * radius * np.sin(turns)])
    mapping = OutlineMap((0, 0, 40, 60), shapely.Polygon(outline))
    for points in (mapping.flat, mapping.points):
        a, b, c = (points[mapping.faces[:, k]] for k in range(3))
        assert ((b - a)[:, 0] * (c - a)[:, 1] - (b - a)[:, 1] * (c - a)[:, 0]).min() > 0
    x, y = np.meshgrid(np.linspace(4, 36, 25), np.linspace(6, 54, 25))
    assert np.linalg.det(mapping.stretches(np.column_stack([x.ravel(), y.ravel()]))).min() > 0
    rim = shapely.get_coordinates(
        shapely.segmentize(shapely.LinearRing(np.array([(0, 0), (40, 0), (40, 60), (0, 60)])), 1)
    )
    size = np.sqrt(shapely.Polygon(outline).area / FACES / 0.433)
    assert shapely.distance(shapely.points(mapping(rim)), shapely.Polygon(outline).exterior).max() < size / 3


def test_a_point_of_the_outline_that_no_corner_of_the_drawing_goes_to_folds_nothing():
    """In the tip of the point a face has all three corners on one side of the drawing's rectangle."""
    outline = shapely.Polygon(
        [(0, 0), (80, 0), (80, 40), (86, 45), (80, 50), (80, 90), (0, 90), (0, 50), (-9, 45), (0, 40)]
    )
    mapping = OutlineMap((0, 0, 40, 60), outline)
    a, b, c = (mapping.flat[mapping.faces[:, k]] for k in range(3))
    double = (b - a)[:, 0] * (c - a)[:, 1] - (b - a)[:, 1] * (c - a)[:, 0]
    assert double.min() > 0
    assert double.sum() / 2 == pytest.approx(40 * 60)
    assert mapping.points[:, 0].min() == pytest.approx(-9, abs=1)


def test_a_frame_is_what_is_laid_on_the_field():
    """The strands lie in the frame as drawn, whatever room they leave in it."""
    frame = np.array([[-10.0, 0.0], [70.0, 0.0], [70.0, 90.0], [-10.0, 90.0]])
    for place in ("centred", "fitted"):
        found = placed(drawing(BOX, frame=frame), WIDE, place=place)
        assert shapely.hausdorff_distance(
            shapely.LinearRing(found.strands[0].points), shapely.LinearRing(BOX + np.array([110.0, 100.0]))
        ) == pytest.approx(0.0, abs=1e-6)


def test_a_strand_outside_its_frame_is_not_fitted():
    with pytest.raises(OrnamentError, match=r"10 mm outside the drawing's frame at \(40, "):
        placed(drawing(BOX, frame=BOX - np.array([10.0, 0.0])), WIDE, place="fitted")


def test_a_frame_of_a_half_is_mirrored_with_it():
    frame = np.array([[-40.0, 0.0], [0.0, 0.0], [0.0, 90.0], [-40.0, 90.0]])
    half = Brought((Strand(np.array([(0.0, 5.0), (-20.0, 45.0), (0.0, 80.0)])),), frame, None, ())
    even = field(WIDE.region.rims[0], centre=np.array([(140.0, 100.0), (140.0, 190.0)]), even=True)
    found = placed(half, even, half="left", place="fitted")
    assert found.strands[0].points[:, 1].min() == pytest.approx(105)
    assert np.ptp(found.strands[0].points[:, 0]) == pytest.approx(40)


@pytest.mark.parametrize("place", ["centred", "scaled", "fitted"])
@pytest.mark.parametrize("half", ["left", "right"])
def test_a_half_lies_the_same_wherever_its_centre_line_is_drawn(place, half):
    side = -1.0 if half == "left" else 1.0
    line = np.array([(0.0, 5.0), (side * 20.0, 45.0), (side * 12.0, 60.0), (0.0, 80.0)])
    even = field(WIDE.region.rims[0], centre=np.array([(140.0, 100.0), (140.0, 190.0)]), even=True)
    plain = placed(Brought((Strand(line),), None, None, ()), even, half=half, place=place)
    turn = np.radians(-70.0)
    matrix = np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]])
    centre = np.array([(0.0, 0.0), (0.0, 90.0)]) @ matrix.T + np.array([300.0, -40.0])
    slanting = Brought((Strand(line @ matrix.T + np.array([300.0, -40.0])),), None, centre, ())
    found = placed(slanting, even, half=half, place=place)
    np.testing.assert_allclose(found.strands[0].points, plain.strands[0].points, atol=1e-6)


def test_an_uneven_drawing_on_an_even_piece_is_told():
    even = field(WIDE.region.rims[0], centre=np.array([(140.0, 100.0), (140.0, 190.0)]), even=True)
    told = placed(drawing([(0, 0), (40, 0), (42, 60), (0, 60)]), even).told
    assert [one.code for one in told] == ["placing.uneven"]
    assert placed(drawing(BOX), even).told == ()


@pytest.mark.parametrize("place", ["as drawn", "fitted"])
def test_what_is_not_moved_by_hand_is_told(place):
    with pytest.raises(OrnamentError, match=f"'{place}' takes no 'by'"):
        placed(drawing(BOX), WIDE, place=place, by=(1.0, 0.0))


@pytest.mark.parametrize("size", [1.0, 0.5])
def test_beside_a_round_rim_straight_lines_bend_as_it_does_however_small_they_are_drawn(size):
    """A ring's part, of 50 and 90 mm radius: within a tenth, as the map in between is not the ring's own."""
    turns = np.pi / 2 + np.linspace(0.5, -0.5, 181)
    round_ = np.column_stack([np.cos(turns), np.sin(turns)])
    outline = shapely.Polygon(np.concatenate([50.0 * round_, 90.0 * round_[::-1]]))
    for height, radius in ((2.0, 52.0), (38.0, 88.0)):
        line = Strand(size * np.array([(6.0, height), (54.0, height)]), closed=False)
        assert 1.0 / fitted([line], (0, 0, size * 60, size * 40), outline).bend == pytest.approx(radius, rel=0.1)


@pytest.mark.parametrize(
    ("bend", "words"),
    [
        (0.05, "straight lines bend like the edge of a circle 40 mm across where they bend most."),
        (2.0 / 1234.0, "like the edge of a circle 1200 mm across"),
        (2.0 / 99.7, "a circle 100 mm across"),
        (2.0 / 4.44, "a circle 4.4 mm across"),
        (1e-5, "straight lines stay straight."),
        (0.0, "straight lines stay straight."),
    ],
)
def test_a_bend_is_told_by_the_circle_that_it_follows(bend, words):
    told = text(message("placing.fitted", least=0.9, greatest=1.1, skew=0.1, bend=bend))
    assert words in told


def test_fields_that_nothing_can_be_fitted_to_are_told():
    two = Field("front", Region.of(shapely.union(shapely.box(0, 0, 9, 9), shapely.box(20, 0, 30, 9))))
    with pytest.raises(OrnamentError, match="in 2 parts"):
        placed(drawing(BOX), two, place="fitted")
    with pytest.raises(OrnamentError, match="is empty"):
        placed(drawing(BOX), Field("front", Region(())))


def test_where_the_smooth_map_would_fold_a_fitted_drawing_is_refused():
    """A flat, jagged outline: no face of its mesh is folded, but the smooth map between vertices is at some places."""
    radii = np.array([1.0, 1.0, 1.25, 0.75, 1.25, 0.75, 1.0, 1.0])
    turns = np.linspace(0, 2 * np.pi, 81)[:-1]
    radius = 40 * np.interp(turns, np.linspace(0, 2 * np.pi, 9), [*radii, radii[0]])
    outline = shapely.Polygon(np.column_stack([radius * np.cos(turns), 0.5 * radius * np.sin(turns)]))
    x, y = np.meshgrid(np.linspace(0.5, 39.5, 60), np.linspace(0.5, 59.5, 90))
    every = np.column_stack([x.ravel(), y.ravel()])
    turned = np.linalg.det(OutlineMap((0, 0, 40, 60), outline).stretches(every))
    assert turned.min() < 0.0
    rows = tuple(Strand(np.array([[0.5, height], [39.5, height]])) for height in np.linspace(0.5, 59.5, 90))
    with pytest.raises(OrnamentError, match="fold"):
        fitted(rows, (0, 0, 40, 60), outline)
