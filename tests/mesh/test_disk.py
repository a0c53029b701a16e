"""Boundaries and the disk check."""

import numpy as np
import pytest

from flatten.mesh.disk import DiskError, boundary_loops, check_disk, euler_characteristic, twins_of
from flatten.mesh.edges import mesh_edges
from flatten.mesh.surface import Mesh

SQUARE = np.array([[0, 0, 0], [1, 0, 0], [1, 1, 0], [0, 1, 0]], dtype=float)
PAIR = np.array([[0, 1, 2], [0, 2, 3]])


def ring() -> Mesh:
    """A square with a square hole: eight vertices, eight faces."""
    outer, inner = 3 * (SQUARE - [0.5, 0.5, 0]), SQUARE - [0.5, 0.5, 0]
    faces = []
    for i in range(4):
        j = (i + 1) % 4
        faces += [[i, j, 4 + j], [i, 4 + j, 4 + i]]
    return Mesh(np.concatenate([outer, inner]), np.array(faces))


def sphere_faces() -> np.ndarray:
    return np.array([[0, 2, 1], [0, 1, 3], [1, 2, 3], [2, 0, 3]])


def test_a_square_has_one_boundary_counter_clockwise():
    np.testing.assert_array_equal(check_disk(Mesh(SQUARE, PAIR)), [0, 1, 2, 3])


def test_one_face_is_a_disk():
    np.testing.assert_array_equal(check_disk(Mesh(SQUARE[:3], np.array([[0, 1, 2]]))), [0, 1, 2])


def test_a_ring_has_two_boundaries_and_euler_characteristic_0():
    edges = mesh_edges(ring())
    loops = boundary_loops(ring(), twins_of(ring(), edges))
    np.testing.assert_array_equal(loops[0], [0, 1, 2, 3])
    np.testing.assert_array_equal(loops[1], [4, 7, 6, 5])
    assert euler_characteristic(ring(), edges) == 0


def test_a_closed_tetrahedron_has_euler_characteristic_2_and_no_boundary():
    mesh = Mesh(np.array([[0, 0, 0], [1, 0, 0], [0, 1, 0], [0, 0, 1]], float), sphere_faces())
    edges = mesh_edges(mesh)
    assert euler_characteristic(mesh, edges) == 2
    assert boundary_loops(mesh, twins_of(mesh, edges)) == ()


def torus_with_a_hole(columns: int = 5, rows: int = 4) -> Mesh:
    i, j = np.meshgrid(np.arange(columns), np.arange(rows))
    i, j = i.ravel(), j.ravel()

    def at(a, b):
        return a % columns + columns * (b % rows)

    faces = np.concatenate(
        [
            np.stack([at(i, j), at(i + 1, j), at(i + 1, j + 1)], 1),
            np.stack([at(i, j), at(i + 1, j + 1), at(i, j + 1)], 1),
        ]
    )
    turn, roll = 2 * np.pi * i / columns, 2 * np.pi * j / rows
    around = 3 + np.cos(roll)
    return Mesh(np.stack([around * np.cos(turn), around * np.sin(turn), np.sin(roll)], 1), faces[1:])


def two_spheres_on_a_disk() -> Mesh:
    """A sphere that touches a disk in two vertices: its counts are a disk's, its stars are not."""
    x, y = np.meshgrid(np.arange(4.0), np.arange(4.0))
    plane = np.stack([x.ravel(), y.ravel(), 0 * x.ravel()], 1)
    faces = [[a, a + 1, a + 5] for a in (0, 1, 2, 4, 5, 6, 8, 9, 10)]
    faces += [[a, a + 5, a + 4] for a in (0, 1, 2, 4, 5, 6, 8, 9, 10)]
    ball = np.array([6, 9, 16, 17])
    vertices = np.concatenate([plane, [[3, 0, 3.0], [0, 3, 4.0]]])
    return Mesh(vertices, np.concatenate([faces, ball[sphere_faces()]]))


@pytest.mark.parametrize(
    ("mesh", "words"),
    [
        (Mesh(np.zeros((0, 3)), np.zeros((0, 3), int)), "no face"),
        (Mesh(np.concatenate([SQUARE, SQUARE[:1]]), PAIR), "belong to no face, the first is vertex 4"),
        (Mesh(np.array([[0, 0, 0], [1, 0, 0], [np.nan, 1, 0]]), np.array([[0, 1, 2]])), "vertex 2"),
        (Mesh(np.array([[0, 0, 0], [1, 0, 0], [2, 0, 0.0]]), np.array([[0, 1, 2]])), "face 0"),
        (Mesh(SQUARE, np.array([[0, 1, 2], [0, 3, 2]])), "wound alike"),
        (Mesh(np.concatenate([SQUARE, SQUARE + np.array([0, 0, 5])]), np.concatenate([PAIR, PAIR + 4])), "2 pieces"),
        (Mesh(np.array([[0, 0, 0], [1, 0, 0], [0, 1, 0], [0, 0, 1.0]]), sphere_faces()), "closed"),
        (ring(), "2 boundaries"),
        (
            Mesh(np.concatenate([SQUARE[:3], -SQUARE[1:3]]), np.array([[0, 1, 2], [0, 3, 4]])),
            "two boundaries touch in vertex 0",
        ),
        (two_spheres_on_a_disk(), "single vertex"),
        (torus_with_a_hole(), "Euler characteristic -1"),
    ],
)
def test_what_is_no_disk_is_named(mesh, words):
    with pytest.raises(DiskError, match=words):
        check_disk(mesh)
