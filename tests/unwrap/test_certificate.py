"""The least spread of a panel: zero where it is developable, never above what a map reaches, and near it."""

import numpy as np
import pytest
from certificate_shapes import waved
from test_certificate_arguments import centred_cap
from unwrap_shapes import calf, cylinder, frustum, hyperbolic_like, square

from flatten.mesh.disk import DiskError, check_disk
from flatten.mesh.surface import Mesh
from flatten.unwrap.certificate.least import least_spread
from flatten.unwrap.certificate.model import CertificateError
from flatten.unwrap.certificate.pairs import best_pairs
from flatten.unwrap.certificate.survey import survey
from flatten.unwrap.disk import flatten_disk
from flatten.unwrap.model import Limits

TIGHT = Limits(0.01, 0.01, 0.01, 0.01, "given")
"""Limits that no panel here meets, so that the solver looks for the least spread."""

DEVELOPABLE = {
    "plate": square(),
    "cylinder": cylinder(24, 12, seed=None).mesh,
    "frustum": frustum(24, 12, low=40.0, high=60.0, length=200.0, seed=None).mesh,
}
CURVED = {"calf": calf(20).mesh, "saddle": hyperbolic_like(250, bend=0.3)}


@pytest.fixture(scope="module", params=CURVED)
def curved(request):
    mesh = CURVED[request.param]
    flat = flatten_disk(mesh, limits=TIGHT)
    return mesh, flat, least_spread(mesh, guide=flat.uv)


@pytest.mark.parametrize("shape", DEVELOPABLE)
@pytest.mark.parametrize("stretch", [1.0, 1.03])
def test_what_can_be_laid_flat_needs_no_spread(shape, stretch):
    mesh = DEVELOPABLE[shape]
    found = least_spread(mesh, guide=flatten_disk(mesh).uv * [stretch, 1.0])
    # Regular faces about a tube are planar strips: the meshes themselves are developable, up to rounding.
    assert found.least_spread < 1e-9
    assert found.argument == "none"
    assert len(found.vertices) == len(found.pairs) == 0


def test_a_shuffled_guide_proves_nothing_about_a_flat_plate():
    mesh = square()
    panel = survey(mesh)
    guide = mesh.vertices[panel.points, :2]
    shuffled = guide + np.random.default_rng(3).normal(scale=15.0, size=guide.shape)
    assert best_pairs(panel.pairs, guide=shuffled, floor=0.0, ceiling=0.1).bound < 1e-9


def test_a_guide_that_flips_faces_is_refused():
    mesh = square()
    with pytest.raises(CertificateError, match="216 of 216 faces are flipped"):
        least_spread(mesh, guide=mesh.vertices[:, :2] * [-1, 1])


def test_the_certificate_is_between_the_disc_and_what_is_reached(curved):
    _, flat, found = curved
    assert found.disc <= found.least_spread <= flat.spread_reachable


def test_the_certificate_is_most_of_what_is_reached(curved):
    _, flat, found = curved
    assert found.least_spread >= 0.58 * flat.spread_reachable


@pytest.mark.parametrize("seed", range(3))
def test_no_map_that_exists_has_less_spread(curved, seed):
    mesh, flat, found = curved
    _, spread = waved(mesh, check_disk(mesh), flat.uv, amount=0.0004, seed=seed)
    assert found.least_spread <= spread


def test_the_place_is_told_by_vertices_of_the_panel(curved):
    mesh, _, found = curved
    assert found.argument == "pairs"
    assert 0 <= found.centre < len(mesh.vertices)
    assert np.array_equal(np.unique(found.pairs), found.vertices)
    # A stress that nothing outside holds pulls somewhere and pushes elsewhere.
    assert found.load.min() < 0.0 < found.load.max()


def test_a_cap_is_bound_by_its_disc_within_2_percent_of_milnor_s_value():
    mesh = centred_cap(8, 0.5)
    found = least_spread(mesh, guide=flatten_disk(mesh).uv)
    milnor = np.log(0.5 / np.sin(0.5))
    assert 0.98 * milnor < found.least_spread < milnor
    assert np.linalg.norm(mesh.vertices[found.centre] - [0, 0, 100.0]) < 1e-9


def test_twice_the_size_changes_nothing():
    mesh = CURVED["saddle"]
    guide = flatten_disk(mesh).uv
    found, twice = (least_spread(Mesh(mesh.vertices * k, mesh.faces), guide=guide * k) for k in (1.0, 2.0))
    # A power of two rounds nothing.
    assert found.least_spread == pytest.approx(twice.least_spread, rel=1e-9)


def test_a_mirrored_panel_has_the_same_certificate():
    mesh = CURVED["saddle"]
    guide = flatten_disk(mesh).uv
    found = least_spread(mesh, guide=guide)
    mirrored = Mesh(mesh.vertices * [-1, 1, 1], mesh.faces[:, [0, 2, 1]])
    other = least_spread(mirrored, guide=guide * [-1, 1])
    assert other.disc == pytest.approx(found.disc, rel=1e-9)
    # Each is a bound by itself; which of several nearly equal gauges is taken hangs on rounding.
    assert other.least_spread == pytest.approx(found.least_spread, rel=0.05)


def test_the_same_panel_gives_the_same_bits(curved):
    mesh, flat, found = curved
    again = least_spread(mesh, guide=flat.uv)
    assert again.least_spread == found.least_spread
    assert again.load.tobytes() == found.load.tobytes()


def test_a_single_face_needs_no_spread():
    mesh = Mesh([[0, 0, 0], [4, 0, 0], [0, 3, 0]], [[0, 1, 2]])
    assert least_spread(mesh, guide=mesh.vertices[:, :2]).least_spread == 0.0


def test_what_is_no_disk_is_refused():
    with pytest.raises(DiskError):
        least_spread(Mesh(np.empty((0, 3)), np.empty((0, 3), np.int64)), guide=np.empty((0, 2)))
