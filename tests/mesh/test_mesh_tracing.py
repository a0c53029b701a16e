import numpy as np
import pytest
import shapely
from scipy.spatial import Delaunay

from flatten.mesh.raster import rastered
from flatten.mesh.surface import Mesh
from flatten.mesh.tracing import plane_faces, traced

PLAIN = np.array([[1.0, 1.0, 0.0]])


def patch(seed, count=120):
    """A random triangulation of the unit square, counter-clockwise: points (V,2) and faces."""
    rng = np.random.default_rng(seed)
    edge = np.linspace(0.0, 1.0, 9)
    border = np.concatenate(
        [np.c_[edge, 0 * edge], np.c_[edge, 0 * edge + 1], np.c_[0 * edge, edge], np.c_[0 * edge + 1, edge]]
    )
    points = np.unique(np.concatenate([border, rng.uniform(0.05, 0.95, (count, 2))]), axis=0)
    faces = Delaunay(points).simplices
    a, b, c = (points[faces[:, k]] for k in range(3))
    areas = (b - a)[:, 0] * (c - a)[:, 1] - (b - a)[:, 1] * (c - a)[:, 0]
    faces[areas < 0] = faces[areas < 0][:, ::-1]
    return points, faces[np.abs(areas) > 1e-9]


def plane_of(points, faces):
    return plane_faces(Mesh(np.c_[points, 0 * points[:, 0]], faces), points)


def test_lines_are_as_long_as_the_pieces_that_faces_cut_off_them():
    points, faces = patch(1)
    rng = np.random.default_rng(2)
    metrics = rng.uniform(0.5, 2.0, (len(faces), 3)) * [1.0, 1.0, 0.3]
    near = rng.integers(len(faces), size=60)
    starts = points[faces[near]].mean(axis=1)
    steps = rng.uniform(0.05, 0.95, (60, 2)) - starts
    lengths, ends = traced(plane_of(points, faces), near, starts, steps, growth=metrics)
    triangles = shapely.polygons(points[faces])
    for start, step, length, end in zip(starts, steps, lengths, ends, strict=True):
        pieces = shapely.length(shapely.intersection(triangles, shapely.linestrings([start, start + step])))
        dx, dy = step / np.hypot(*step)
        rate = np.sqrt(metrics @ [dx * dx, dy * dy, 2 * dx * dy])
        assert length == pytest.approx(float(pieces @ rate), rel=1e-9)
        assert shapely.distance(triangles[end], shapely.points(start + step)) < 1e-12


def test_a_line_that_leaves_the_mesh_has_no_end_and_counts_until_there():
    points, faces = patch(3)
    near = np.array([int(np.argmin(np.linalg.norm(points[faces].mean(axis=1) - 0.5, axis=1)))])
    start = points[faces[near]].mean(axis=1)
    lengths, ends = traced(
        plane_of(points, faces), near, start, np.array([[2.0, 0.0]]), growth=PLAIN.repeat(len(faces), 0)
    )
    assert ends.tolist() == [-1]
    assert lengths[0] == pytest.approx(1.0 - start[0, 0], rel=1e-12)
    _, none = traced(
        plane_of(points, faces), np.array([-1]), start, np.array([[0.1, 0.0]]), growth=PLAIN.repeat(len(faces), 0)
    )
    assert none.tolist() == [-1]


def test_a_line_does_not_jump_a_cut_that_lies_closed():
    # Two squares side by side in the plane, with no vertex in common.
    points = np.array([[0, 0], [1, 0], [1, 1], [0, 1], [1, 0], [2, 0], [2, 1], [1, 1]], float)
    faces = np.array([[0, 1, 2], [0, 2, 3], [4, 5, 6], [4, 6, 7]])
    plane = plane_of(points, faces)
    growth = PLAIN.repeat(4, 0)
    lengths, ends = traced(
        plane, np.array([0, 0]), np.array([[0.8, 0.3]] * 2), np.array([[0.4, 0.1], [-0.6, 0.3]]), growth=growth
    )
    assert ends.tolist() == [-1, 1]
    assert lengths == pytest.approx([0.2 * np.hypot(1, 0.25), np.hypot(0.6, 0.3)], rel=1e-12)


@pytest.mark.parametrize("margin", [0, 3])
def test_each_pixel_shows_the_face_that_its_middle_lies_on(margin):
    points, faces = patch(5)
    raster = rastered(points, faces, pixel=0.031, margin=margin)
    rows, columns = np.indices(raster.faces.shape)
    middles = raster.middles(rows, columns)
    triangles = shapely.polygons(points[faces])
    seen = raster.faces >= 0
    assert np.array_equal(seen, (middles > -1e-9).all(axis=-1) & (middles < 1 + 1e-9).all(axis=-1))
    assert shapely.distance(triangles[raster.faces[seen]], shapely.points(middles[seen])).max() < 1e-9
    assert not seen[: raster.margin].any()
    assert seen[margin:, margin:].any()
