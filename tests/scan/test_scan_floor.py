"""The floor: found where there is one, in any pose and share, and nowhere else."""

import numpy as np
import pytest
import scan_files as files
from scipy.spatial.transform import Rotation

from flatten.scan.floor import FLOOR_NOISE, drop_floor, drop_floor_points, even_samples, find_floor
from tests.repairs import codes

VERTICES, FACES = files.tube(columns=48, rows=60)
NONE = np.empty((0, 3), np.int64)


def slab(half, *, edge=10.0, depth=0.4):
    steps = np.arange(-half, half + edge / 2, edge)
    x, y = (axis.ravel() for axis in np.meshgrid(steps, steps, indexing="ij"))
    n = len(steps)
    number = np.arange(n * n).reshape(n, n)
    a, b, c, d = (part.ravel() for part in (number[:-1, :-1], number[1:, :-1], number[1:, 1:], number[:-1, 1:]))
    return np.stack([x, y, 0 * x - depth], axis=1), np.concatenate([np.stack([a, b, c], 1), np.stack([a, c, d], 1)])


def standing(half, *, edge=10.0, noise=0.0, seed=0):
    ground, tiles = slab(half, edge=edge)
    vertices = np.concatenate([VERTICES, ground])
    vertices += np.random.default_rng(seed).normal(0, noise, vertices.shape)
    return vertices, np.concatenate([FACES, tiles + len(VERTICES)])


@pytest.mark.parametrize("half", [120.0, 200.0, 400.0])
@pytest.mark.parametrize("turn", [(0, 0, 0), (1.0, 0.4, -2.0)])
def test_a_floor_is_found_and_only_the_floor_goes(half, turn):
    vertices, faces = standing(half, noise=0.5)
    vertices = vertices @ Rotation.from_rotvec(turn).as_matrix().T + [500, 0, -90]
    kept, repairs = drop_floor(vertices, faces)
    (repair,) = repairs
    assert repair.code == "scan.floor"
    assert repair.figures["count"] == len(faces) - len(kept)
    limb = kept.max(axis=1) < len(VERTICES)
    # All of the floor but for crumbs that the noise lifts, and of the limb what stands within the noise of it.
    assert np.count_nonzero(~limb) < 0.01 * len(faces)
    lowest = VERTICES[FACES].min(axis=1)[:, 2]
    assert np.count_nonzero(limb) >= np.count_nonzero(lowest > 2 * FLOOR_NOISE)


def test_a_floor_of_two_great_triangles_is_found():
    vertices, faces = standing(200.0, edge=400.0)
    kept, repairs = drop_floor(vertices, faces)
    assert [code for code, _ in codes(repairs)] == ["floor"]
    assert kept.max() < len(VERTICES)


def test_both_faces_of_a_slab_go():
    top, tiles = slab(200.0)
    vertices = np.concatenate([VERTICES, top, top - [0, 0, 25.0]])
    faces = np.concatenate([FACES, tiles + len(VERTICES), tiles[:, ::-1] + len(VERTICES) + len(top)])
    kept, _ = drop_floor(vertices, faces)
    assert kept.max() < len(VERTICES)


def test_the_plane_is_the_floors_plane_with_the_limb_above():
    vertices, faces = standing(200.0)
    plane = find_floor(even_samples(vertices, faces))
    np.testing.assert_allclose(plane.normal, [0, 0, 1], atol=0.01)
    assert plane.height == pytest.approx(-0.4, abs=FLOOR_NOISE / 2)


def test_a_limb_alone_has_no_floor():
    assert drop_floor(VERTICES, FACES)[1] == []


def test_a_small_tile_is_no_floor():
    assert drop_floor(*standing(40.0))[1] == []


# The second is wider than the least floor, and too long for its width.
@pytest.mark.parametrize(("half", "length"), [(50, 400), (100, 700)])
def test_a_board_along_the_shin_is_no_floor(half, length):
    # As flat and as large as a floor, and too narrow for one.
    across, along = np.linspace(-half, half, half // 5 + 1), np.linspace(0, length, length // 10 + 1)
    x, z = (axis.ravel() for axis in np.meshgrid(across, along, indexing="ij"))
    board = np.stack([x, 0 * x - 52, z], axis=1)
    points = np.concatenate([even_samples(VERTICES, FACES), np.tile(board, (2, 1))])
    assert find_floor(points) is None


def test_two_limbs_side_by_side_have_no_floor_between():
    vertices = np.concatenate([VERTICES, VERTICES + np.array([160.0, 0, 0])])
    assert drop_floor(vertices, np.concatenate([FACES, FACES + len(VERTICES)]))[1] == []


def test_a_wall_through_the_limb_is_no_floor():
    wall, tiles = slab(200.0)
    vertices = np.concatenate([VERTICES, wall + np.array([0, 0, 200.0])])
    assert drop_floor(vertices, np.concatenate([FACES, tiles + len(VERTICES)]))[1] == []


def test_a_cloud_loses_its_floor_too():
    vertices, _ = standing(200.0, edge=6.0, noise=0.3)
    kept, repairs = drop_floor_points(vertices)
    assert [code for code, _ in codes(repairs)] == ["floor"]
    assert len(kept) == np.count_nonzero(vertices[:, 2] > -0.4 + FLOOR_NOISE) or kept[:, 2].min() > 2.0


def test_samples_are_even_and_pose_free():
    points = even_samples(VERTICES, FACES)
    turn = Rotation.from_rotvec([0.3, 2.0, -1.0]).as_matrix()
    np.testing.assert_allclose(even_samples(VERTICES @ turn.T, FACES), points @ turn.T, atol=1e-9)
    # The tube widens from 0.7 to 1.0 of its radius, so its lower half has (0.7 + 0.85) / 2 / 0.85 of half the area.
    share = np.count_nonzero(points[:, 2] < 200) / len(points)
    assert share == pytest.approx(0.775 / 0.85 / 2, abs=2 / len(points) ** 0.5)


def test_nothing_has_no_floor():
    assert find_floor(np.empty((0, 3))) is None
    assert find_floor(np.zeros((50, 3))) is None
    assert drop_floor(np.empty((0, 3)), NONE)[1] == []
    assert len(drop_floor(*slab(200.0))[0]) == 0
    assert drop_floor_points(np.empty((0, 3)))[1] == []
