"""Cleaning, one fault at a time, each put in on purpose and counted."""

import numpy as np
import pytest
import scan_files as files

from flatten.scan import clean
from flatten.scan.areas import doubled_areas
from flatten.scan.clean import WELD
from flatten.scan.model import ScanError
from flatten.scan.orient import turn_outward, vertex_normals
from flatten.scan.parts import drop_fragments, keep_largest, part_of_faces
from flatten.words.say import text
from tests.repairs import codes

VERTICES, FACES = files.tube(columns=24, rows=30)
NONE = np.empty((0, 3), np.int64)


def soup():
    return VERTICES[FACES].reshape(-1, 3), np.arange(3 * len(FACES)).reshape(-1, 3)


def test_a_soup_is_welded_to_the_mesh_it_came_from():
    vertices, faces, repairs = clean.weld(*soup())
    assert codes(repairs) == [("welded", 3 * len(FACES) - len(VERTICES))]
    np.testing.assert_array_equal(vertices[faces], VERTICES[FACES])
    assert len(vertices) == len(VERTICES)


def test_a_soup_that_trembles_below_the_tolerance_is_welded_too():
    corners, faces = soup()
    # Any two of the trembling corners stay nearer than 2·√3·0.25 of the tolerance.
    tremble = np.random.default_rng(3).uniform(-0.25, 0.25, corners.shape) * WELD
    vertices, _, _ = clean.weld(corners + tremble, faces)
    assert len(vertices) == len(VERTICES)


@pytest.mark.parametrize(("gap", "left"), [(0.99 * WELD, 1), (1.01 * WELD, 2)])
@pytest.mark.parametrize("start", np.linspace(0, WELD, 7))
def test_two_points_are_one_below_the_tolerance_wherever_they_lie(gap, left, start):
    pair = np.array([[start, 0.3, 0.7], [start + gap, 0.3, 0.7], [90.0, 90.0, 90.0]])
    assert len(clean.weld(pair, NONE)[0]) == left + 1


def test_welding_keeps_the_first_of_each_and_the_order():
    points = np.array([[5.0, 0, 0], [1, 0, 0], [5, 0, 0.001], [0, 0, 0], [1, 0.002, 0]])
    vertices, faces, repairs = clean.weld(points, np.array([[0, 1, 3], [2, 4, 3]]))
    np.testing.assert_array_equal(vertices, points[[0, 1, 3]])
    np.testing.assert_array_equal(faces, [[0, 1, 2], [0, 1, 2]])
    assert codes(repairs) == [("welded", 2)]


def test_a_clean_mesh_is_not_welded():
    vertices, faces, repairs = clean.weld(VERTICES, FACES)
    assert repairs == []
    np.testing.assert_array_equal(vertices, VERTICES)
    np.testing.assert_array_equal(faces, FACES)


def test_a_scan_as_wide_as_a_street_is_refused():
    with pytest.raises(ScanError, match="the scan is 20 m wide; cut the room away"):
        clean.weld(np.array([[0.0, 0, 0], [20_000.0, 0, 0]]), NONE)


def test_faces_without_an_area_go():
    vertices = np.array([[0.0, 0, 0], [10, 0, 0], [20, 0, 0], [0, 10, 0]])
    faces = np.array([[0, 1, 3], [0, 1, 2], [0, 0, 3], [3, 1, 3]])
    kept, repairs = clean.drop_degenerate(vertices, faces)
    np.testing.assert_array_equal(kept, [[0, 1, 3]])
    assert codes(repairs) == [("degenerate", 3)]


def test_faces_that_lie_twice_go_in_whatever_order_their_corners_are():
    faces = np.array([[0, 1, 2], [2, 3, 0], [1, 2, 0], [2, 1, 0], [0, 3, 1], [0, 3, 2]])
    kept, repairs = clean.drop_duplicate(faces)
    np.testing.assert_array_equal(kept, [[0, 1, 2], [2, 3, 0], [0, 3, 1]])
    assert codes(repairs) == [("duplicate", 3)]


def test_a_spike_goes_and_a_coarse_mesh_stays():
    vertices = VERTICES.copy()
    vertices[400] += [0, 300.0, 0]
    kept, repairs = clean.drop_spikes(vertices, FACES)
    assert codes(repairs) == [("spike", 1)]
    assert not (kept == 400).any()
    assert len(kept) == len(FACES) - 6
    coarse = files.tube(columns=5, rows=4)
    assert clean.drop_spikes(*coarse)[1] == []


def test_strays_of_a_cloud_go():
    points = np.concatenate([VERTICES, [[300.0, 0, 0], [0, -250.0, 40]]])
    kept, repairs = clean.drop_strays(points)
    assert codes(repairs) == [("stray", 2)]
    np.testing.assert_array_equal(kept, VERTICES)


def test_small_parts_that_float_beside_a_cloud_go():
    floating = files.tube(radius=8, length=20, columns=30, rows=20)[0]
    points = np.concatenate([floating + np.array([140, 0, 0]), VERTICES, floating - np.array([0, 140, 40])])
    kept, repairs = drop_fragments(points)
    assert codes(repairs) == [("fragments", 2)]
    np.testing.assert_array_equal(kept, VERTICES)


def test_a_second_limb_of_a_cloud_stays_however_thinly_it_was_scanned():
    pair = np.concatenate([VERTICES, files.tube(columns=12, rows=15)[0] + np.array([200, 0, 0])])
    np.testing.assert_array_equal(drop_fragments(pair)[0], pair)


def test_vertices_a_kilometre_off_go_with_their_faces():
    vertices = VERTICES.copy()
    vertices[[7, 90]] = [[1e6, 0, 0], [0, 1e29, 0]]
    kept, faces, repairs = clean.drop_misplaced(vertices, FACES)
    assert codes(repairs) == [("stray", 2)]
    assert np.abs(kept).max() <= np.abs(VERTICES).max()
    assert len(faces) == np.count_nonzero(~np.isin(FACES, [7, 90]).any(axis=1))


def test_a_limb_whose_toes_hold_most_of_its_vertices_is_kept_whole():
    # Three of four vertices lie within some mm at one end, so that the limb reaches out to 60 median distances.
    rng = np.random.default_rng(4)
    toes = rng.normal(0, 3.0, (3 * len(VERTICES), 3)) + VERTICES[0]
    crowded = np.concatenate([VERTICES, toes])
    away = np.abs(crowded - np.median(crowded, axis=0)).max(axis=1)
    assert away.max() > clean.FAR * np.median(away)
    kept, _, repairs = clean.drop_misplaced(crowded, FACES)
    assert repairs == []
    np.testing.assert_array_equal(kept, crowded)
    kept, _, repairs = clean.drop_misplaced(np.concatenate([crowded, [[1e5, 0, 0]]]), FACES)
    assert codes(repairs) == [("stray", 1)]
    np.testing.assert_array_equal(kept, crowded)


def test_vertices_without_a_position_go_with_their_faces():
    vertices = VERTICES.copy()
    vertices[7, 0], vertices[90, 1], vertices[200, 2] = np.nan, -np.inf, 1e300
    kept, faces, repairs = clean.drop_misplaced(vertices, FACES)
    assert codes(repairs) == [("non-finite", 3)]
    assert np.isfinite(kept).all()
    np.testing.assert_array_equal(kept[faces], VERTICES[FACES[~np.isin(FACES, [7, 90, 200]).any(axis=1)]])


def test_the_empty_mesh_passes_every_step():
    empty = np.empty((0, 3))
    assert clean.drop_misplaced(empty, NONE)[2] == []
    assert clean.drop_degenerate(empty, NONE)[1] == []
    assert clean.drop_duplicate(NONE)[1] == []
    assert clean.drop_spikes(empty, NONE)[1] == []
    assert clean.drop_strays(empty)[1] == []
    assert drop_fragments(empty)[1] == []
    assert clean.drop_unused(empty, NONE)[2] == 0
    assert turn_outward(empty, NONE)[1] == []
    assert vertex_normals(empty, NONE).shape == (0, 3)


def test_the_largest_part_by_area_stays_even_with_fewer_faces():
    # A large coarse tube and a small fine one far away.
    large, few = files.tube(columns=12, rows=10)
    small, many = files.tube(radius=8, length=20, columns=30, rows=20)
    vertices = np.concatenate([small + np.array([300, 0, 0]), large])
    kept, repairs = keep_largest(vertices, np.concatenate([many, few + len(small)]))
    np.testing.assert_array_equal(kept, few + len(small))
    assert codes(repairs) == [("fragments", 1)]
    # Areas go with radius times length: 8·20 beside 50·400.
    assert "0.8 % of the surface" in text(repairs[0])


def test_a_doubled_surface_is_no_second_limb():
    inner = VERTICES * [0.98, 0.98, 1.0]
    kept, repairs = keep_largest(np.concatenate([inner, VERTICES]), np.concatenate([FACES, FACES + len(inner)]))
    np.testing.assert_array_equal(kept, FACES + len(inner))
    assert codes(repairs) == [("fragments", 1)]


@pytest.mark.parametrize("apart", [104.0, 130.0, 180.0])
def test_two_limbs_beside_each_other_are_asked_for_however_near_they_stand(apart):
    # The tube is 100 mm wide and 400 tall. Along the axes of the first the other is all beside it.
    other = VERTICES * [0.98, 0.98, 1.0] + [apart, 3.0, 5.0]
    with pytest.raises(ScanError, match="two limbs, or one in two halves"):
        keep_largest(np.concatenate([VERTICES, other]), np.concatenate([FACES, FACES + len(VERTICES)]))


def test_a_limb_in_two_halves_is_refused():
    cut = FACES[~(FACES // 24 == 15).any(axis=1)]
    with pytest.raises(ScanError, match="two limbs, or one in two halves"):
        keep_largest(VERTICES, cut)


def test_parts_are_joined_by_a_single_vertex():
    np.testing.assert_array_equal(part_of_faces(np.array([[0, 1, 2], [2, 3, 4], [5, 6, 7]]), vertices=8), [0, 0, 1])


@pytest.mark.parametrize("share", [0.0, 0.2, 0.5, 1.0])
def test_turned_faces_are_turned_back(share):
    turned = np.random.default_rng(2).random(len(FACES)) < share
    mixed = np.where(turned[:, None], FACES[:, ::-1], FACES)
    faces, repairs = turn_outward(VERTICES, mixed)
    assert codes(repairs) == ([("turned", int(turned.sum()))] if turned.any() else [])
    a, b, c = (VERTICES[faces[:, k]] for k in range(3))
    d, e, f = (VERTICES[FACES[:, k]] for k in range(3))
    assert (np.einsum("ij,ij->i", np.cross(b - a, c - a), np.cross(e - d, f - d)) > 0).all()


def test_patches_that_meet_at_a_crowded_edge_are_turned_apart():
    # A fin on the tube: three faces at one edge, which no neighbour rule can settle.
    fin = len(VERTICES)
    vertices = np.concatenate([VERTICES, [VERTICES[400] * [1.3, 1.3, 1.0]]])
    faces = np.concatenate([FACES[:, ::-1], [[400, 401, fin]]])
    fixed, repairs = turn_outward(vertices, faces)
    assert repairs[0].figures["count"] in (len(FACES), len(FACES) + 1)
    a, b, c = (vertices[fixed[:-1, k]] for k in range(3))
    d, e, f = (VERTICES[FACES[:, k]] for k in range(3))
    assert (np.einsum("ij,ij->i", np.cross(b - a, c - a), np.cross(e - d, f - d)) > 0).all()


def test_a_bent_limb_looks_outward_all_along():
    # Bent to a half circle, so that its middle lies outside of it.
    turn = VERTICES[:, 2] / 400 * np.pi
    reach = 150 + VERTICES[:, 0]
    bent = np.stack([reach * np.cos(turn), VERTICES[:, 1], reach * np.sin(turn)], axis=1)
    faces, _ = turn_outward(bent, FACES[:, ::-1])
    a, b, c = (bent[faces[:, k]] for k in range(3))
    middle = (a + b + c) / 3
    core = np.stack([150 * np.cos(t := np.arctan2(middle[:, 2], middle[:, 0])), 0 * t, 150 * np.sin(t)], axis=1)
    assert (np.einsum("ij,ij->i", np.cross(b - a, c - a), middle - core) > 0).all()


def test_normals_of_a_tube_stand_on_it():
    vertices, faces = files.tube(taper=0.0, columns=90)
    straight = vertices.copy()
    bearings = np.arange(90) * 2 * np.pi / 90
    straight[:, :2] = np.tile(50 * np.stack([np.cos(bearings), np.sin(bearings)], axis=1), (61, 1))
    normals = vertex_normals(straight, faces)
    # A vertex of a regular prism: the mean of its faces' normals leans at most half a facet, 2°, to one side.
    wanted = straight * [1, 1, 0] / 50
    assert np.degrees(np.arccos(np.einsum("ij,ij->i", normals, wanted).min())) <= 2.0


def test_areas_of_faces_are_those_of_the_triangles():
    # A right angle of 3 and 4, an equilateral triangle of side 2, and a face without an area.
    vertices = np.array([[0.0, 0, 0], [3, 0, 0], [0, 4, 0], [1, 0, np.sqrt(3)], [2, 0, 0]])
    np.testing.assert_allclose(doubled_areas(vertices, np.array([[0, 1, 2], [0, 4, 3], [0, 4, 1]])), [12, 12**0.5, 0])
