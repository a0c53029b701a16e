"""Angles of triangles."""

import numpy as np

from flatten.mesh.angles import angle_sums, corner_angles
from flatten.mesh.disk import check_disk, euler_characteristic
from flatten.mesh.edges import mesh_edges
from flatten.mesh.surface import Mesh

FACE = np.array([[0, 1, 2]])


def test_corner_angles_of_a_right_triangle():
    corners = np.array([[0, 0, 0], [1, 0, 0], [0, np.sqrt(3), 0]])
    np.testing.assert_allclose(corner_angles(corners, FACE), [[np.pi / 2, np.pi / 3, np.pi / 6]], rtol=1e-15)


def test_angles_in_the_plane_are_those_in_space_either_way_round():
    flat = np.array([[0.0, 0.0], [1.0, 0.0], [0.0, np.sqrt(3)]])
    for faces in (FACE, FACE[:, ::-1]):
        space = corner_angles(np.pad(flat, ((0, 0), (0, 1))), faces)
        np.testing.assert_allclose(corner_angles(flat, faces), space, rtol=1e-15)


def test_a_face_without_area_has_one_straight_angle():
    line = np.array([[0.0, 0, 0], [1, 1, 1], [3, 3, 3]])
    np.testing.assert_allclose(corner_angles(line, FACE), [[0.0, np.pi, 0.0]], atol=1e-15)


def test_the_angles_of_an_octahedron_leave_four_pi_in_all():
    """Gauss and Bonnet: 2π times the Euler characteristic, which is 2 for an octahedron; each corner then has 2π/3."""
    corners = np.array([[1.0, 0, 0], [-1, 0, 0], [0, 1, 0], [0, -1, 0], [0, 0, 1], [0, 0, -1]])
    faces = np.array([[0, 2, 4], [2, 1, 4], [1, 3, 4], [3, 0, 4], [2, 0, 5], [1, 2, 5], [3, 1, 5], [0, 3, 5]])
    np.testing.assert_allclose(2 * np.pi - angle_sums(corners, faces), 2 * np.pi / 3, rtol=1e-12)


def test_gauss_bonnet_holds_on_any_disk():
    """Interior defects and boundary turning sum to 2π times the Euler characteristic (Gauss–Bonnet)."""
    rng = np.random.default_rng(4)
    x, y = np.meshgrid(np.arange(6.0), np.arange(5.0))
    index = np.arange(30).reshape(5, 6)
    a, b, c, d = (q.ravel() for q in (index[:-1, :-1], index[:-1, 1:], index[1:, 1:], index[1:, :-1]))
    faces = np.concatenate([np.stack([a, b, c], 1), np.stack([a, c, d], 1)])
    mesh = Mesh(np.stack([x.ravel(), y.ravel(), rng.normal(size=30)], 1), faces)
    full = np.full(30, 2 * np.pi)
    full[check_disk(mesh)] = np.pi
    turning = np.sum(full - angle_sums(mesh.vertices, mesh.faces))
    np.testing.assert_allclose(turning, 2 * np.pi * euler_characteristic(mesh, mesh_edges(mesh)), rtol=1e-12)


def test_a_vertex_in_no_face_has_no_angle():
    np.testing.assert_array_equal(angle_sums(np.eye(3), np.empty((0, 3), np.int64)), [0.0, 0.0, 0.0])
