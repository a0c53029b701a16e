"""The most isometric map: surfaces whose flat shape is known, and the laws that any flattening keeps."""

import numpy as np
import pytest
from scipy.sparse import coo_array, csr_array
from scipy.sparse.linalg import spsolve
from unwrap_shapes import calf, cap, cylinder, face_stretches, flat_signs, frustum, polar_disc, square

from flatten.mesh.angles import angle_sums
from flatten.mesh.disk import DiskError, check_disk
from flatten.mesh.gradient import face_gradients, jacobian_determinants, singular_values
from flatten.mesh.parametrize import conformal_map, tutte_embedding
from flatten.mesh.surface import Mesh, MeshError
from flatten.unwrap.dirichlet import distortion, flip_free_step, most_isometric, newton_factor, slope_of
from flatten.unwrap.disk import flatten_disk
from flatten.unwrap.initial import initial_parametrization
from flatten.unwrap.panel import flatten_panel
from flatten.unwrap.place import BoundaryPoint, FrontLine, farthest_pair
from flatten.unwrap.system import MeshSystem
from flatten.worn.panel import Panel


def test_a_flat_plate_keeps_its_shape():
    mesh = square()
    flat = flatten_disk(mesh)
    np.testing.assert_allclose(face_stretches(mesh, flat.uv), 1.0, atol=1e-9)


@pytest.mark.parametrize("seed", [None, 3])
def test_a_cylinder_flattens_to_a_rectangle(seed):
    panel = cylinder(40, 20, radius=60.0, length=200.0, seed=seed)
    flat = flatten_panel(panel)
    if seed is None:
        # With rulings along the cylinder's own the polyhedron is developable, and each width is its chord.
        assert np.abs(face_stretches(panel.mesh, flat.uv) - 1).max() < 1e-8
        chord = 2 * 60.0 * np.sin((2 * np.pi - 0.3) / 40 / 2)
        assert np.ptp(flat.uv[:, 0]) == pytest.approx(40 * chord, rel=1e-8)
        assert np.ptp(flat.uv[:, 1]) == pytest.approx(200.0, rel=1e-8)
    assert flat.converged
    assert flat.overlaps == 0


def rim_angle(flat, low: int, high: int, apex: complex) -> float:
    z = flat.uv[:, 0] + 1j * flat.uv[:, 1]
    return float(np.angle((z[high] - apex) / (z[low] - apex)))


def apex_of(flat, a: np.ndarray, b: np.ndarray) -> complex:
    """Where the flat lines through the ends of two slant lines meet."""
    p, q = flat.uv[a]
    r, s = flat.uv[b]
    t = np.linalg.solve(np.stack([q - p, r - s], 1), r - p)[0]
    return complex(*(p + t * (q - p)))


def fan_angle(columns: int, rows: int) -> float:
    """The flat angle of an opened frustum of the trade's worked example, all the way round."""
    opening = 2 * np.pi * 1e-9
    panel = frustum(columns, rows, low=2.5, high=4.0, length=4.0, opening=opening, seed=None)
    flat = flatten_panel(panel)
    low_side, high_side = panel.boundaries[3].vertices, panel.boundaries[1].vertices
    apex = apex_of(flat, low_side[[0, -1]], high_side[[0, -1]])
    return abs(rim_angle(flat, high_side[0], low_side[0], apex))


def test_a_frustum_opens_by_the_handbooks_angle():
    """Frustum Ø 8 and Ø 5, height 4 (in): inner radius 7.12, outer 11.39, angle 126.4°.

    Published: ceemrr Geometry 2, "NeighbourGraph of a frustum". Recomputed 126.404°.
    """
    smooth = 2 * np.pi * 1.5 / np.hypot(1.5, 4.0)
    assert np.degrees(smooth) == pytest.approx(126.404, abs=5e-4)
    angle = fan_angle(160, 12)
    # An inscribed cone of n columns opens by n·2·asin(sin(π/n)·sin(half apex angle)).
    half = np.arctan2(1.5, 4.0)
    polyhedral = 160 * 2 * np.arcsin(np.sin(np.pi / 160) * np.sin(half))
    assert np.degrees(abs(angle - polyhedral)) < 1e-6
    assert np.degrees(abs(angle - smooth)) < 0.005 * (275 / 160) ** 2 * 3


@pytest.mark.full
def test_a_frustums_angle_is_within_a_two_hundredth_degree_at_15_thousand_faces():
    smooth = 2 * np.pi * 1.5 / np.hypot(1.5, 4.0)
    assert np.degrees(abs(fan_angle(275, 28) - smooth)) < 0.005


def test_the_frustums_angle_closes_in_with_the_square_of_the_edge():
    smooth = 2 * np.pi * 1.5 / np.hypot(1.5, 4.0)
    errors = [abs(fan_angle(n, 4) - smooth) for n in (20, 40, 80)]
    rates = np.log2(np.array(errors[:-1]) / errors[1:])
    np.testing.assert_allclose(rates, 2.0, atol=0.02)


def test_a_right_angled_cone_opens_to_254_6_degrees():
    """Cone of 90° at the apex develops to 254.6° (0.7071 × 360). Published: a smithing handbook page, anvilfire."""
    panel = frustum(120, 4, low=1.0, high=3.0, length=2.0, opening=2 * np.pi * 1e-9, seed=None)
    flat = flatten_panel(panel)
    low_side, high_side = panel.boundaries[3].vertices, panel.boundaries[1].vertices
    apex = apex_of(flat, low_side[[0, -1]], high_side[[0, -1]])
    angle = np.degrees(rim_angle(flat, low_side[0], high_side[0], apex)) % 360
    assert min(angle, 360 - angle) == pytest.approx(360 - 254.558, abs=0.03) or angle == pytest.approx(
        254.558, abs=0.03
    )


def stiffness(gradients) -> csr_array:
    """The Laplacian that the hat gradients give: their scalar products, summed over faces."""
    pairs = [(a, b) for a in range(3) for b in range(3)]
    rows = np.concatenate([gradients.faces[:, a] for a, _ in pairs])
    columns = np.concatenate([gradients.faces[:, b] for _, b in pairs])
    values = [gradients.share * (gradients.hats[a].conj() * gradients.hats[b]).real for a, b in pairs]
    return coo_array((np.concatenate(values), (rows, columns))).tocsr()


def stereographic_error(mesh: Mesh) -> float:
    """Greatest vertex error, as a share of the rim's radius, of the harmonic map with the rim on its true circle."""
    gradients = face_gradients(mesh)
    colatitude = np.arctan2(np.hypot(*mesh.vertices[:, :2].T), mesh.vertices[:, 2])
    exact = 2 * np.tan(colatitude / 2) * np.exp(1j * np.arctan2(mesh.vertices[:, 1], mesh.vertices[:, 0]))
    inner = np.ones(gradients.count, bool)
    inner[check_disk(mesh)] = False
    laplacian = stiffness(gradients)
    flat = exact.copy()
    flat[inner] = spsolve(laplacian[inner][:, inner].tocsc(), -(laplacian[inner][:, ~inner] @ exact[~inner]))
    return float(np.abs(flat - exact).max() / np.abs(exact).max())


def test_the_harmonic_cap_tends_to_the_stereographic_map():
    """The conformal map of a cap onto a disc is the stereographic one, radius 2 tan(c/2).

    Published: Snyder, Map Projections – A Working Manual, USGS PP 1395, 1987, eq. 21-4. With its true circular
    boundary the harmonic map is that map; a conformal map with two pins is another one.
    """
    errors = [stereographic_error(cap(count, np.pi / 3)) for count in (400, 1600, 6400)]
    assert errors[-1] < 5e-4
    assert np.log2(errors[0] / errors[-1]) / 2 > 1.5


def test_the_scale_of_the_stereographic_map_on_faces():
    """k = 2 / (1 + cos c). Published: Snyder, USGS PP 1395, 1987, eq. 21-4 and his table: 1.33333 at 60°."""
    mesh = cap(6400, np.pi / 3, radius=1.0)
    colatitude = np.arctan2(np.hypot(*mesh.vertices[:, :2].T), mesh.vertices[:, 2])
    exact = 2 * np.tan(colatitude / 2) * np.exp(1j * np.arctan2(mesh.vertices[:, 1], mesh.vertices[:, 0]))
    large, small = singular_values(face_gradients(mesh), exact)
    centre = np.arccos(np.clip(mesh.vertices[mesh.faces, 2].mean(axis=1), -1, 1))
    scale = 2 / (1 + np.cos(centre))
    # Edge of the mesh, in radians; the map's curvature makes a linear face differ by that much.
    edge = np.pi / 3 * np.sqrt(2 * np.pi / len(mesh.faces))
    assert np.abs(np.sqrt(large * small) / scale - 1).max() < edge
    assert scale.max() == pytest.approx(1.33333, abs=0.02)


def finite_difference(function, flat: np.ndarray, step: float) -> np.ndarray:
    """Gradient of a function of complex vertices by central differences."""
    out = np.zeros(len(flat), complex)
    for i in range(len(flat)):
        for unit in (1, 1j):
            moved = np.zeros(len(flat), complex)
            moved[i] = unit * step
            out[i] += unit * (function(flat + moved) - function(flat - moved)) / (2 * step)
    return out


def bent_plate(seed: int = 2) -> tuple:
    mesh = square(4, 3, seed=seed)
    rng = np.random.default_rng(seed)
    flat = (mesh.vertices[:, 0] * 1.1 + 1j * mesh.vertices[:, 1] * 0.95) * np.exp(0.4j)
    return mesh, face_gradients(mesh), flat + 2 * (rng.normal(size=len(flat)) + 1j * rng.normal(size=len(flat)))


def test_the_energys_gradient_is_its_derivative():
    _, gradients, flat = bent_plate()
    found = slope_of(gradients, flat)
    wanted = finite_difference(lambda z: distortion(gradients, z), flat, 1e-4)
    np.testing.assert_allclose(found, wanted, atol=1e-8 * np.abs(wanted).max() * 10)


def test_the_hessian_is_the_derivative_of_the_gradient_where_nothing_is_clamped():
    """A dilated map has positive twist everywhere, so its projected Hessian is the true one."""
    mesh, gradients, flat = bent_plate()
    flat = 1.3 * flat
    system = MeshSystem(mesh, gradients, mesh.vertices)
    factor = newton_factor(gradients, system, flat)
    rng = np.random.default_rng(0)
    step = rng.normal(size=len(flat)) + 1j * rng.normal(size=len(flat))
    ahead, behind = (slope_of(gradients, flat + sign * 1e-5 * step) for sign in (1, -1))
    along = (ahead - behind) / 2e-5
    solved = factor.solve(along)
    # The gauge lets the answer differ by a shift; a turn is held by the twist itself.
    shift = np.mean(solved - step)
    np.testing.assert_allclose(solved - shift, step, atol=1e-4)


def test_the_first_flip_is_where_a_face_has_no_area():
    mesh = Mesh(np.array([[0, 0, 0], [1, 0, 0], [0, 1, 0]]), np.array([[0, 1, 2]]))
    gradients = face_gradients(mesh)
    flat = np.array([0, 1, 1j])
    assert flip_free_step(gradients, flat, np.array([0, 0, -2j])) == pytest.approx(0.5, rel=1e-15)
    assert flip_free_step(gradients, flat, np.array([0, 1, 1j])) == np.inf


def test_no_face_is_flipped_and_the_energy_is_the_published_one():
    panel = calf(12.0)
    flat = flatten_panel(panel)
    assert flat_signs(panel.mesh, flat.uv).min() > 0
    stretch = face_stretches(panel.mesh, flat.uv)
    share = face_gradients(panel.mesh).share
    assert flat.energy == pytest.approx(np.sum(share[:, None] * (stretch**2 + stretch**-2)), rel=1e-12)
    assert flat.spread == pytest.approx(np.log(stretch.max() / stretch.min()), rel=1e-9)


def test_no_small_move_lowers_the_energy():
    mesh = cap(150, np.pi / 4)
    flat = flatten_disk(mesh)
    z = flat.uv[:, 0] + 1j * flat.uv[:, 1]
    gradients = face_gradients(mesh)
    least = distortion(gradients, z)
    rng = np.random.default_rng(5)
    for _ in range(50):
        assert distortion(gradients, z + 0.3 * (rng.normal(size=len(z)) + 1j * rng.normal(size=len(z)))) > least


def test_the_front_line_stands_upright_with_bearing_to_the_right():
    panel = calf(12.0)
    flat = flatten_panel(panel)
    columns = round(320 / 12)
    middle = panel.bearings[: columns + 1]
    x_bottom = np.interp(0.0, middle, flat.uv[: columns + 1, 0])
    top = slice(len(flat.uv) - columns - 1, None)
    assert x_bottom == pytest.approx(0.0, abs=1e-9)
    assert np.interp(0.0, panel.bearings[top], flat.uv[top, 0]) == pytest.approx(0.0, abs=1e-9)
    assert np.interp(0.0, panel.bearings[top], flat.uv[top, 1]) > 250
    assert (np.diff(flat.uv[: columns + 1, 0]) > 0).all()


def test_a_panel_without_the_front_stands_on_its_middle_bearing():
    base = cylinder(20, 10, seed=None)
    panel = Panel("back", base.mesh, base.heights, base.bearings + np.pi, base.boundaries)
    flat = flatten_panel(panel)
    np.testing.assert_allclose(flat.uv[10], [0, 0], atol=1e-9)
    np.testing.assert_allclose(flat.uv[-11], [0, 200], atol=1e-6)


def test_a_panel_a_whole_turn_further_round_still_finds_its_front():
    base = cylinder(20, 10, seed=None, opening=3.0)
    turned = Panel("front", base.mesh, base.heights, base.bearings + 2 * np.pi + 0.3, base.boundaries)
    flat = flatten_panel(turned)
    # Bearing 0 lies 0.3 rad of the chord's 60 mm to the left of the panel's middle.
    assert flat.uv[10, 0] == pytest.approx(0.3 * 60, rel=2e-3)


def test_a_flat_map_moves_with_the_panel_only_in_size():
    mesh = cap(200, 0.8)
    flat = flatten_disk(mesh).uv
    turn, _ = np.linalg.qr(np.random.default_rng(3).normal(size=(3, 3)))
    turn *= np.sign(np.linalg.det(turn))
    moved = flatten_disk(Mesh(7.5 * (mesh.vertices @ turn.T) + [30, -20, 10], mesh.faces)).uv
    np.testing.assert_allclose(moved, 7.5 * flat, atol=1e-6 * np.abs(moved).max())


def test_the_order_of_faces_and_vertices_does_not_matter():
    mesh = calf(16.0).mesh
    rng = np.random.default_rng(8)
    shuffle = rng.permutation(len(mesh.vertices))
    place = np.argsort(shuffle)
    faces = np.roll(place[mesh.faces][rng.permutation(len(mesh.faces))], 1, axis=1)
    first, second = flatten_disk(mesh), flatten_disk(Mesh(mesh.vertices[shuffle], faces))
    assert second.energy == pytest.approx(first.energy, rel=1e-10)
    stretch = np.sort(face_stretches(mesh, first.uv)[:, 0])
    np.testing.assert_allclose(
        np.sort(face_stretches(Mesh(mesh.vertices[shuffle], faces), second.uv)[:, 0]), stretch, rtol=1e-4
    )


def test_a_mirrored_mesh_gives_a_mirrored_flat_map():
    mesh = cap(200, 0.8)
    mirrored = Mesh(mesh.vertices * [1, -1, 1], mesh.faces[:, ::-1])
    line = FrontLine(BoundaryPoint(0, 0, 0.0), BoundaryPoint(len(mesh.vertices) - 1, len(mesh.vertices) - 1, 0.0))
    first, second = flatten_disk(mesh, line=line), flatten_disk(mirrored, line=line)
    np.testing.assert_allclose(second.uv, first.uv * [-1, 1], atol=1e-6 * np.abs(first.uv).max())


def test_the_same_mesh_gives_the_same_bytes():
    mesh = calf(16.0).mesh
    assert flatten_disk(mesh).uv.tobytes() == flatten_disk(mesh).uv.tobytes()


def test_the_map_on_a_disc_has_no_fold_where_the_conformal_map_has():
    mesh = hilly()
    gradients = face_gradients(mesh)
    boundary = check_disk(mesh)
    pins = tuple(int(boundary[i]) for i in farthest_pair(mesh.vertices[boundary]))
    assert jacobian_determinants(gradients, conformal_map(mesh, pins, 100.0) @ [1, 1j]).min() < 0
    assert jacobian_determinants(gradients, tutte_embedding(mesh, boundary)).min() > 0


def test_faces_too_thin_for_a_conformal_map_start_from_tuttes_embedding():
    x = np.linspace(0.0, 100.0, 40)
    sides = [np.stack([x, np.full(40, y), 0 * x], 1) for y in (0.0, 1e-7)]
    i = np.arange(39)
    mesh = Mesh(
        np.concatenate(sides), np.concatenate([np.stack(c, 1) for c in ((i, i + 1, i + 41), (i, i + 41, i + 40))])
    )
    boundary = check_disk(mesh)
    with pytest.raises(MeshError, match="too thin"):
        conformal_map(mesh, (0, 79), 100.0)
    gradients = face_gradients(mesh)
    system = MeshSystem(mesh, gradients, mesh.vertices)
    found = initial_parametrization(mesh, boundary, gradients, system, None)
    assert jacobian_determinants(gradients, found).min() > 0


def hilly() -> Mesh:
    """A disc with one steep finger: its least-squares conformal map folds."""
    r, turn, faces = polar_disc(900, seed=7)
    x, y = 100 * r * np.cos(turn), 100 * r * np.sin(turn)
    return Mesh(np.stack([x, y, 400 * np.exp(-((r / 0.25) ** 2)) + 40 * np.cos(x / 9) * np.cos(y / 8)], 1), faces)


def test_a_steep_finger_still_flattens_without_a_flip():
    mesh = hilly()
    flat = flatten_disk(mesh)
    assert flat.converged
    assert flat_signs(mesh, flat.uv).min() > 0


def test_one_face_lies_flat_as_it_is():
    mesh = Mesh(np.array([[0, 0, 0], [3, 0, 0], [0, 4, 0.0]]), np.array([[0, 1, 2]]))
    flat = flatten_disk(mesh)
    np.testing.assert_allclose(face_stretches(mesh, flat.uv), 1.0, atol=1e-12)


@pytest.mark.parametrize("faces", [np.zeros((0, 3), int), np.array([[0, 1, 1]])])
def test_what_is_no_disk_is_refused(faces):
    with pytest.raises(MeshError):
        flatten_disk(Mesh(np.eye(3), faces))


def test_a_tube_that_is_not_cut_open_is_refused():
    base = cylinder(20, 6, seed=None)
    faces = base.mesh.faces.copy()
    right = faces % 21 == 20
    faces[right] -= 20
    keep = np.arange(len(base.mesh.vertices)) % 21 != 20
    closed = Mesh(base.mesh.vertices[keep], (np.cumsum(keep) - 1)[faces])
    with pytest.raises(DiskError, match="2 boundaries"):
        flatten_disk(closed)


def test_a_spike_keeps_the_gauss_bonnet_sum_in_the_flat():
    """The flat boundary turns by 2π once round (Gauss–Bonnet with no curvature inside)."""
    mesh = cap(200, 0.8)
    flat = flatten_disk(mesh)
    laid = Mesh(np.concatenate([flat.uv, np.zeros((len(flat.uv), 1))], 1), mesh.faces)
    boundary = check_disk(laid)
    assert np.sum(np.pi - angle_sums(laid.vertices, laid.faces)[boundary]) == pytest.approx(2 * np.pi, rel=1e-12)


def test_a_map_that_is_not_given_time_is_not_called_converged(monkeypatch):
    monkeypatch.setattr("flatten.unwrap.dirichlet.MOST_STEPS", 1)
    mesh = cap(200, 0.8)
    gradients = face_gradients(mesh)
    system = MeshSystem(mesh, gradients, mesh.vertices)
    found = most_isometric(gradients, system, initial_parametrization(mesh, check_disk(mesh), gradients, system, None))
    assert not found.converged
    assert found.steps == 1
