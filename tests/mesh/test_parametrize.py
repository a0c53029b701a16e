"""Parametrizations: what is flat stays itself, and what cannot be mapped is named."""

import numpy as np
import pytest

from flatten.mesh.disk import check_disk
from flatten.mesh.gradient import face_gradients, jacobian_determinants, singular_values
from flatten.mesh.parametrize import conformal_map, rigid_map, tutte_embedding
from flatten.mesh.surface import Mesh, MeshError


def rolled(columns: int = 9, rows: int = 7, radius: float = 40.0) -> tuple[Mesh, np.ndarray]:
    """A plate rolled round a cylinder along its generators, and its plane coordinates once unrolled: x, y."""
    turn, height = np.meshgrid(np.linspace(0.0, 1.5, columns), np.linspace(0.0, 90.0, rows))
    turn, height = turn.ravel(), height.ravel()
    index = np.arange(rows * columns).reshape(rows, columns)
    a, b, c, d = (q.ravel() for q in (index[:-1, :-1], index[:-1, 1:], index[1:, 1:], index[1:, :-1]))
    faces = np.concatenate([np.stack([a, b, c], 1), np.stack([a, c, d], 1)])
    mesh = Mesh(np.stack([radius * np.cos(turn), radius * np.sin(turn), height], 1), faces)
    # The mesh is a prism: its sides are chords of the arcs.
    chord = 2 * radius * np.sin(0.5 * 1.5 / (columns - 1))
    return mesh, np.stack([turn / 1.5 * chord * (columns - 1), height], 1)


def test_a_rolled_plate_is_unrolled_by_the_conformal_map():
    mesh, flat = rolled()
    last = len(flat) - 1
    found = conformal_map(mesh, (0, last), float(np.linalg.norm(flat[last] - flat[0])))
    along = (flat[last] - flat[0]) / np.linalg.norm(flat[last] - flat[0])
    turned = np.stack([flat @ along, flat @ [-along[1], along[0]]], 1)
    np.testing.assert_allclose(found, turned, atol=1e-9)


def test_rigid_passes_take_an_affine_map_of_a_rolled_plate_to_an_isometry():
    mesh, flat = rolled()
    shear = np.array([[1.05, 0.04], [0.0, 0.98]])
    found = rigid_map(mesh, flat @ shear, passes=100)
    np.testing.assert_allclose(singular_values(face_gradients(mesh), found @ [1, 1j]), 1.0, atol=1e-9)
    np.testing.assert_array_equal(found[0], (flat @ shear)[0])


def test_tuttes_embedding_keeps_the_boundarys_length_ratios_and_flips_no_face():
    mesh, _ = rolled()
    boundary = check_disk(mesh)
    flat = tutte_embedding(mesh, boundary)
    np.testing.assert_allclose(np.abs(flat[boundary]), 1.0, rtol=1e-15)
    lengths = np.linalg.norm(np.diff(mesh.vertices[boundary], axis=0, append=mesh.vertices[boundary[:1]]), axis=1)
    turns = np.angle(np.roll(flat[boundary], -1) / flat[boundary])
    np.testing.assert_allclose(turns, 2 * np.pi * lengths / lengths.sum(), rtol=1e-9)
    assert jacobian_determinants(face_gradients(mesh), flat).min() > 0


def test_tuttes_embedding_of_one_face_is_its_boundary_on_the_circle():
    mesh = Mesh(np.array([[0, 0, 0], [1, 0, 0], [0.5, np.sqrt(0.75), 0]]), np.array([[0, 1, 2]]))
    np.testing.assert_allclose(tutte_embedding(mesh, check_disk(mesh)) ** 3, 1.0, atol=1e-12)


FACE = np.array([[0, 0, 0], [1, 0, 0], [0, 1, 0.0]])


@pytest.mark.parametrize(
    "mesh",
    [
        Mesh(np.concatenate([FACE, FACE + 5]), np.array([[0, 1, 2], [3, 4, 5]])),
        Mesh(np.array([[0, 0, 0], [1, 0, 0], [2, 0, 0.0]]), np.array([[0, 1, 2]])),
    ],
    ids=["a part without a pin", "a face without area"],
)
def test_a_conformal_map_that_is_not_determined_is_refused(mesh):
    with pytest.raises(MeshError, match="too thin for a conformal map"):
        conformal_map(mesh, (0, 1), 1.0)
