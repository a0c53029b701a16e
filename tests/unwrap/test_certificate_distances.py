"""Distances inside a panel, to its boundary's edges, and traced paths."""

import numpy as np
import pytest
from certificate_shapes import fields
from unwrap_shapes import calf, cylinder, square

from flatten.mesh.disk import DiskError
from flatten.mesh.edges import edge_lengths, mesh_edges
from flatten.mesh.surface import Mesh
from flatten.unwrap.certificate.distances import (
    ROUNDING,
    boundary_distances,
    edge_distances,
    edge_graph,
    halved,
    nearby_distances,
)
from flatten.unwrap.certificate.paths import trace_paths


def true_to_boundary(points, width=120.0, height=90.0):
    x, y = points[:, 0], points[:, 1]
    return np.minimum.reduce([x, width - x, y, height - y])


def test_the_boundary_is_as_far_as_its_edges_and_never_told_farther():
    mesh = square(24, 18)
    found, true = boundary_distances(mesh), true_to_boundary(mesh.vertices)
    longest = edge_lengths(mesh, mesh_edges(mesh)).max()
    # The far sources stand for an edge up to l²/8H = l/1000, and rounding is taken off on top.
    assert (found <= true + 1e-9).all()
    assert (found >= true - longest * (1 / 1000 + 2 * ROUNDING) - 1e-9).all()


def test_distance_to_boundary_vertices_would_be_too_large():
    mesh = square(6, 5, seed=3)
    boundary = true_to_boundary(mesh.vertices) == 0.0
    apart = np.linalg.norm(mesh.vertices[:, None] - mesh.vertices[boundary], axis=2).min(axis=1)
    assert (apart - true_to_boundary(mesh.vertices)).max() > 0.5
    assert (boundary_distances(mesh) < apart + 1e-9).all()


def test_a_single_face_has_its_corners_on_the_boundary():
    mesh = Mesh([[0, 0, 0], [4, 0, 0], [0, 3, 0]], [[0, 1, 2]])
    assert boundary_distances(mesh).tolist() == [0, 0, 0]
    # The middle of the long side; the others' middles lie on the boundary, too.
    assert np.allclose(boundary_distances(halved(mesh, mesh_edges(mesh))), 0.0)


def test_a_closed_surface_has_no_boundary_to_be_far_from():
    closed = Mesh(np.eye(4)[:, :3], [[0, 2, 1], [0, 1, 3], [1, 2, 3], [2, 0, 3]])
    with pytest.raises(DiskError):
        boundary_distances(closed)


def test_geodesics_of_a_cylinder_are_those_of_its_development():
    panel = cylinder(30, 12, seed=None)
    side = 2 * 60.0 * np.sin((2 * np.pi - 0.3) / 60)
    turns = (panel.bearings + np.pi - 0.15) / (2 * np.pi - 0.3) * 30
    flat = np.stack([turns * side, panel.heights], axis=1)
    field = fields(panel.mesh, np.array([0, 200]))
    for source, found in zip(field.sources, field.distances, strict=True):
        np.testing.assert_allclose(found, np.linalg.norm(flat - flat[source], axis=1), rtol=ROUNDING, atol=1e-9)


@pytest.mark.parametrize("reach", [40.0, 90.0])
def test_a_part_of_the_panel_gives_the_distances_of_the_whole_or_none(reach):
    mesh = calf(14).mesh
    edges = mesh_edges(mesh)
    source = np.array([len(mesh.vertices) // 2])
    along = edge_distances(edge_graph(mesh, edges), source)[0]
    longest = float(edge_lengths(mesh, edges).max())
    whole = nearby_distances(mesh, int(source[0]), along, reach=1e4, longest=longest)
    part = nearby_distances(mesh, int(source[0]), along, reach=reach, longest=longest)
    known = np.isfinite(part)
    assert np.isfinite(whole).all()
    assert not known.all()
    assert known[whole < reach - longest].all()
    np.testing.assert_allclose(part[known], whole[known], rtol=ROUNDING)


def test_a_face_that_hangs_on_by_a_corner_hides_no_distance():
    mesh = square(24, 18)
    edges = mesh_edges(mesh)
    source, reach = len(mesh.vertices) // 2, 30.0
    along = edge_distances(edge_graph(mesh, edges), np.array([source]))[0]
    longest = float(edge_lengths(mesh, edges).max())
    kept = along <= 1.2 * reach + longest
    joined = kept[mesh.faces]

    def hangs(face):
        """Whether of all faces this one alone is taken too where its corners are."""
        more = kept | np.isin(np.arange(len(kept)), mesh.faces[face])
        return more[mesh.faces].all(axis=1).sum() == joined.all(axis=1).sum() + 1

    face = next(face for face in np.flatnonzero(joined.sum(axis=1) == 1) if hangs(face))
    nearer = along.copy()
    nearer[mesh.faces[face]] = np.minimum(along[mesh.faces[face]], reach)
    found = nearby_distances(mesh, source, nearer, reach=reach, longest=longest)
    apart = np.linalg.norm(mesh.vertices - mesh.vertices[source], axis=1)
    assert np.isfinite(found[apart < reach - longest]).all()
    known = np.isfinite(found)
    np.testing.assert_allclose(found[known], apart[known], rtol=ROUNDING)


def test_traced_paths_are_paths_and_hardly_longer_than_the_distance():
    mesh = calf(14).mesh
    start = np.arange(0, len(mesh.vertices), 7)
    field = fields(mesh, np.array([5, len(mesh.vertices) // 2]))
    for source in (0, 1):
        paths = trace_paths(field, np.full(len(start), source), start)
        apart = field.distances[source, start]
        assert paths.arrived.all()
        assert (paths.lengths[-1] >= apart * (1 - ROUNDING) - 1e-9).all()
        assert np.median(paths.lengths[-1] - apart) < 1e-2


def test_the_distance_to_the_boundary_along_a_path_is_never_more_than_the_true_one():
    mesh = square(24, 18)
    start = np.arange(len(mesh.vertices))
    middle = int(np.argmax(true_to_boundary(mesh.vertices)))
    field = fields(mesh, np.array([middle]))
    paths = trace_paths(field, np.zeros(len(start), np.int64), start)
    total = np.where(paths.lengths[-1] > 0, paths.lengths[-1], 1.0)
    share = (paths.lengths / total)[..., None]
    place = mesh.vertices[start] * (1 - share) + mesh.vertices[middle] * share
    true = true_to_boundary(place.reshape(-1, 3)).reshape(paths.to_boundary.shape)
    assert (paths.to_boundary <= true + 1e-6).all()
    assert np.median(true - paths.to_boundary) < 0.25 * edge_lengths(mesh, mesh_edges(mesh)).max()
