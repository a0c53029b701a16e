"""A floor that lies apart from the limb is no part to choose, whatever unit the scan is in."""

import numpy as np
import pytest

from flatten.scan.parts import keep_largest


def tube(turns=40, rings=30, radius=55.0, length=380.0):
    angle, height = np.meshgrid(2 * np.pi * np.arange(turns) / turns, np.linspace(0.0, length, rings))
    points = np.stack([radius * np.cos(angle), radius * np.sin(angle), height], axis=-1).reshape(-1, 3)
    i = np.arange(turns * (rings - 1))
    beside, above = i - i % turns + (i + 1) % turns, i + turns
    over = beside + turns
    return points, np.concatenate([np.stack([i, beside, over], 1), np.stack([i, over, above], 1)])


def floor(size=700.0, count=25, noise=1.5, down=-30.0):
    x, y = np.meshgrid(np.linspace(-size / 2, size / 2, count), np.linspace(-size / 2, size / 2, count))
    z = down + np.random.default_rng(3).normal(0.0, noise, x.shape)
    i = np.arange(count * (count - 1)).reshape(-1, count)[:, :-1].ravel()
    return np.stack([x, y, z], axis=-1).reshape(-1, 3), np.concatenate(
        [np.stack([i, i + 1, i + count + 1], 1), np.stack([i, i + count + 1, i + count], 1)]
    )


def together(*meshes):
    points, faces, count = [], [], 0
    for own, corners in meshes:
        points.append(own)
        faces.append(corners + count)
        count += len(own)
    return np.concatenate(points), np.concatenate(faces)


@pytest.mark.parametrize("scale", [1.0, 0.01])
def test_a_floor_larger_than_the_limb_is_left_out_and_told(scale):
    limb, ground = tube(), floor()
    points, faces = together(limb, ground)
    kept, told = keep_largest(scale * points, faces)
    assert len(kept) == len(limb[1])
    assert kept.max() < len(limb[0])
    assert [(each.code, each.figures["count"]) for each in told] == [("scan.floor", len(ground[1]))]


def test_a_limb_in_two_halves_or_a_flat_piece_alone_is_no_floor():
    points, faces = tube()
    half = points[faces].mean(axis=1)[:, 0] > 0.0
    apart = points[faces[half]].reshape(-1, 3)
    kept, told = keep_largest(*_welded(apart))
    assert (len(kept), told) == (int(half.sum()), [])
    ground = floor()
    assert keep_largest(*ground)[1] == []


def _welded(corners):
    points, number = np.unique(np.round(corners, 6), axis=0, return_inverse=True)
    return points, number.reshape(-1, 3)
