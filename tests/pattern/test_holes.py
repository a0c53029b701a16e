import numpy as np
import pytest
import shapely

from flatten.pattern.distances import check_holes
from flatten.pattern.fastening import Lacing, edge_distance
from flatten.pattern.holes import punched
from flatten.pattern.model import Hole, PatternError
from flatten.pattern.outline import outline_of, shape_of, sides_of
from flatten.pattern.path import length, polyline
from tests.flat_panels import opened_frustum

LACING = Lacing()


def eyelets(pieces, *, lacing, thickness):
    return punched(pieces, fastenings=lacing, thickness=thickness, by_share=False)[0]


def laced(flat, *, thickness=3.2, lacing=None, mirrored=False):
    sides = sides_of(flat, mirrored=mirrored)
    (holes,) = eyelets([sides], lacing={"back": LACING} if lacing is None else lacing, thickness=thickness)
    return sides, shape_of(outline_of(tuple(side.path for side in sides), "guard")), holes


def at(holes, side):
    return np.array([(hole.x, hole.y) for hole in holes if hole.side == side])


@pytest.mark.parametrize(
    ("diameter", "thickness", "distance"), [(5.0, 3.2, 10.0), (6.5, 3.2, 13.0), (5.0, 6.0, 12.0), (3.0, 2.0, 10.0)]
)
def test_edge_distance_is_the_larger_of_two_diameters_two_thicknesses_and_10_mm(diameter, thickness, distance):
    # From memory: edge to hole centre, the larger of 2 hole diameters and 2 thicknesses, at least 10 mm for lacing.
    assert edge_distance("eyelet", diameter, thickness) == distance


@pytest.mark.parametrize("mirrored", [False, True])
def test_mates_are_equally_many_and_stand_at_equal_fractions(mirrored):
    _, _, holes = laced(opened_frustum(gap=25.0, arch=12.0), mirrored=mirrored)
    low, high = at(holes, "low"), at(holes, "high")
    assert len(low) == len(high) > 5
    # The panel is its own mirror image, so mates are each other's.
    np.testing.assert_allclose(low * [-1, 1], high, atol=0.05)
    assert (np.diff(low[:, 1]) > 0).all()


def test_mates_face_each_other_where_one_side_is_longer():
    flat = opened_frustum(gap=25.0)
    skewed = flat.uv.copy()
    skewed[:, 1] *= 1.0 + 0.0002 * skewed[:, 0]
    sides = sides_of(type(flat)(**{**vars(flat), "uv": skewed}), mirrored=False)
    (holes,) = eyelets([sides], lacing={}, thickness=3.2)
    fractions = []
    for side in (side for side in sides if side.kind == "laced"):
        line = shapely.LineString(np.concatenate([side.path.points]))
        share = [line.project(shapely.Point(p), normalized=True) for p in at(holes, side.side)]
        fractions.append(np.array(share) if side.upward else 1 - np.array(share))
    lengths = [length(side.path) for side in sides if side.kind == "laced"]
    assert abs(lengths[0] - lengths[1]) > 5
    np.testing.assert_allclose(fractions[0], fractions[1], atol=1e-3)


@pytest.mark.parametrize("arch", [0.0, 15.0])
def test_every_hole_is_its_distance_from_every_edge_and_end_holes_just_that(arch):
    sides, shape, holes = laced(opened_frustum(gap=25.0, arch=arch))
    away = edge_distance("eyelet", 5.0, 3.2)
    distance = shapely.distance(shape.exterior, shapely.points(at(holes, "high")))
    assert distance.min() >= away - 0.01
    np.testing.assert_allclose(distance, away, atol=0.01)
    lines = [polyline(side.path, 0.005) for side in sides if side.kind == "edge"]
    ends = shapely.distance(shapely.MultiLineString(lines), shapely.points(at(holes, "high")[[0, -1]]))
    np.testing.assert_allclose(ends, away, atol=0.02)


@pytest.mark.parametrize("pitch", [25.0, 30.0, 40.0])
@pytest.mark.parametrize("height", [95.0, 140.0, 395.0])
def test_pitch_stays_between_25_and_40(pitch, height):
    # Lacing pitch 25–40 mm (30): from memory.
    _, _, holes = laced(opened_frustum(gap=25.0, height=height, top=45.0), lacing={"back": Lacing(pitch=pitch)})
    steps = np.hypot(*np.diff(at(holes, "low"), axis=0).T)
    assert steps.min() >= 24.99
    assert steps.max() <= 40.01
    np.testing.assert_allclose(steps, steps[0], rtol=1e-3)


def test_a_seam_across_two_pieces_gets_equal_counts():
    short, tall = opened_frustum(gap=25.0, height=300.0), opened_frustum(gap=25.0, height=330.0)
    sides = [sides_of(flat, mirrored=False) for flat in (short, tall)]
    holes = eyelets(sides, lacing={}, thickness=3.2)
    assert len({len(at(found, side)) for found in holes for side in ("low", "high")}) == 1


def test_unlaced_sides_get_no_holes():
    _, _, holes = laced(opened_frustum(gap=25.0, kind="open"), lacing={})
    assert holes == ()


def test_a_side_too_short_for_two_holes_is_refused():
    with pytest.raises(PatternError, match=r"'back' has \d+ mm for holes"):
        laced(opened_frustum(gap=25.0, height=35.0, top=40.0))


@pytest.mark.parametrize("lacing", [{"diameter": 0.0}, {"diameter": -1.0}, {"pitch": 60.0}, {"pitch": float("nan")}])
def test_lacing_that_cannot_be_punched_is_refused(lacing):
    with pytest.raises(PatternError):
        Lacing(**lacing)


def hole(x, y):
    return Hole(x, y, 5.0, "eyelet", "back", "low")


@pytest.mark.parametrize(
    ("holes", "message"),
    [
        ((hole(9.8, 50), hole(50, 50)), r"\(10, 50\) mm, is 9.8 mm from an edge"),
        ((hole(-9.8, 50), hole(50, 50)), r"\(-10, 50\) mm, is outside"),
        ((hole(40, 50), hole(49.8, 50)), "9.8 mm apart"),
    ],
)
def test_a_hole_too_near_is_refused_with_its_place(holes, message):
    with pytest.raises(PatternError, match=message):
        check_holes(shapely.box(0, 0, 100, 100), holes, thickness=3.2, name="guard")


def test_holes_with_room_pass():
    check_holes(shapely.box(0, 0, 100, 100), (hole(10, 50), hole(20, 50)), thickness=3.2, name="guard")
    check_holes(shapely.box(0, 0, 100, 100), (), thickness=3.2, name="guard")


def test_each_seam_has_its_own_eyelets():
    flat = opened_frustum(gap=25.0)
    sides = [sides_of(opened_frustum(gap=25.0, seam=seam), mirrored=False) for seam in ("outside", "inside")]
    lacing = {"inside": Lacing(6.5, 40.0)}
    outside, inside = eyelets(sides, lacing=lacing, thickness=3.2)
    assert {(hole.seam, hole.diameter) for hole in (*outside, *inside)} == {("outside", 5.0), ("inside", 6.5)}
    assert len(outside) > len(inside)
    shape = shape_of(outline_of(tuple(side.path for side in sides_of(flat, mirrored=False)), "guard"))
    # From memory: edge to hole centre, the larger of 2 hole diameters and 2 thicknesses, at least 10 mm for lacing.
    for holes, away in ((outside, 10.0), (inside, 13.0)):
        far = shapely.distance(shape.exterior, shapely.points([(hole.x, hole.y) for hole in holes]))
        np.testing.assert_allclose(far, away, atol=0.01)
