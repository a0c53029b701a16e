import numpy as np
import pytest
from scipy.spatial import cKDTree

from flatten.worn.neutral import Wear, neutral_surface
from flatten.worn.panel import CutError, LayersError
from tests.limbs import calf, cone, cylinder, limb_of

WEAR = Wear(under=(3.0,) * 4, ease=8.0, thickness=3.2, neutral=0.5)


def test_a_cylinder_grows_by_under_ease_and_half_the_leather():
    neutral = neutral_surface(cylinder(60.0), WEAR)
    grown = neutral.surface.radius(np.linspace(0, 380, 40), np.linspace(0, 6, 40))
    np.testing.assert_allclose(grown, 60.0 + 3.0 + 8.0 / (2 * np.pi) + 1.6, atol=1e-9)
    assert neutral.deviation < 1e-9


def test_thickness_adds_pi_t_to_the_girth():
    """The mid-line of leather t thick is longer by π·t over a full turn [derived]: 12.57 mm for 4.0 mm."""
    thin, thick = (
        neutral_surface(cylinder(), Wear((0.0,) * 4, 0.0, t, 0.5)).surface.radius(100.0, 0.0) for t in (1e-9, 4.0)
    )
    assert 2 * np.pi * (thick - thin) == pytest.approx(12.57, abs=0.005)


@pytest.mark.parametrize("heights", [(178.0, 72.0), (100.0, 149.0)])
def test_edges_that_leave_nothing_between_them_are_told_as_that(heights):
    with pytest.raises(CutError, match="top edge lies below the bottom edge, or hardly above it"):
        neutral_surface(cylinder(), WEAR, heights=heights)


def test_a_cone_is_offset_along_its_normals_not_along_its_radii():
    neutral = neutral_surface(cone(40.0, 0.3), WEAR).surface
    expected = 40.0 + 0.3 * 200.0 + WEAR.offset(0.0) * np.hypot(1.0, 0.3)
    assert neutral.radius(200.0, 1.0) == pytest.approx(expected, abs=1e-6)


def test_points_of_an_offset_leg_lie_at_the_offset_from_the_skin():
    skin = limb_of(calf)
    neutral = neutral_surface(skin, WEAR)
    h, b = np.meshgrid(np.linspace(20, 360, 15), np.linspace(-3, 3, 12))
    outer = neutral.surface.points(h.ravel(), b.ravel())
    dense_h, dense_b = np.meshgrid(np.linspace(-15, 395, 830), np.linspace(-np.pi, np.pi, 720))
    inner = skin.points(dense_h.ravel(), dense_b.ravel())
    distance = cKDTree(inner).query(outer)[0]
    # The nearest of dense points is too far by at most (spacing²/2)/(2·distance) = 0.03 mm, never too near.
    assert (distance > WEAR.offset(0.0) - 1e-3).all()
    assert (distance < WEAR.offset(0.0) + 0.03).all()
    assert neutral.deviation < 1e-3


def test_padding_that_differs_round_the_limb_is_laid_where_it_was_asked():
    wear = Wear((8.0, 4.0, 2.0, 4.0), 0.0, 2.0, 0.5)
    np.testing.assert_allclose(wear.offset(np.arange(4) * np.pi / 2), [9.0, 5.0, 3.0, 5.0])


def test_a_groove_sharper_than_the_offset_is_refused_with_its_height():
    grooved = limb_of(lambda h, b: 50.0 - 8.0 * np.exp(-(((h - 200) / 6.0) ** 2)) * np.exp(-((b - np.pi) ** 2) / 0.02))
    with pytest.raises(CutError, match=r"height (19|20)\d mm"):
        neutral_surface(grooved, Wear((30.0,) * 4, 8.0, 3.2, 0.5))


def ringed(h, b):
    """A shaft with a ring-shaped hollow 1.8 mm deep, whose ground bends to a radius of 4.4 mm."""
    return 50.0 - 1.8 * np.exp(-(((h - 201.0) / 4.0) ** 2)) + 0.0 * b


def test_layers_fill_a_hollow_that_is_sharper_than_they_are_thick():
    # All is round: their outside is the largest r(s) + √(d² − (h − s)²) over the heights s.
    skin = limb_of(ringed, nodes=421)
    nodes = 5.0 * np.arange(35, 46)
    thick = WEAR.offset(0.0)
    s = nodes[:, None] + np.linspace(-0.9999, 0.9999, 4001) * thick
    wanted = (skin.radius(s, 0.0 * s) + np.sqrt(thick**2 - (nodes[:, None] - s) ** 2)).max(axis=1)
    found = neutral_surface(skin, WEAR, heights=(100.0, 300.0)).surface.radius(nodes, 0.0 * nodes)
    np.testing.assert_allclose(found, wanted, atol=0.01)
    # Over the middle of the hollow they are thicker than along a normal.
    assert found[5] > float(skin.radius(200.0, 0.0)) + thick + 0.2


def pitted(seed):
    """A shaft with the pits that a scan's noise leaves: ripples some 13 mm long every way, 0.35 mm rms."""
    rng = np.random.default_rng(seed)
    waves = rng.normal(size=(60, 2))
    waves *= (2.0 * np.pi / 13.0) / np.linalg.norm(waves, axis=1)[:, None]
    waves[:, 1] = np.round(45.0 * waves[:, 1])
    phases = rng.uniform(0.0, 2.0 * np.pi, 60)

    def radius(h, b):
        turns = waves[:, 0] * h[..., None] + waves[:, 1] * b[..., None] + phases
        return 45.0 + 0.35 * np.sqrt(2.0 / 60.0) * np.cos(turns).sum(axis=-1)

    return limb_of(radius, low=-20.0, high=200.0, nodes=111, around=140)


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_an_edge_moved_does_not_move_the_surface_between_the_edges(seed):
    skin = pitted(seed)
    heights, bearings = np.meshgrid(np.arange(20.0, 110.0, 2.3), np.linspace(0.0, 6.28, 90), indexing="ij")
    found = [neutral_surface(skin, WEAR, heights=(0.0, float(top))).surface for top in np.arange(140.0, 150.0)]
    radii = np.array([surface.radius(heights, bearings) for surface in found])
    # What a spline's end does to it falls to a quarter from node to node: over 30 mm to a few thousandths.
    assert np.abs(radii - radii[0]).max() < 2e-3
    dense_h, dense_b = np.meshgrid(np.arange(0.0, 130.0, 0.7), np.linspace(0.0, 2 * np.pi, 450), indexing="ij")
    away = cKDTree(skin.points(dense_h.ravel(), dense_b.ravel())).query(
        found[0].points(heights.ravel(), bearings.ravel())
    )
    # Nowhere much nearer to the skin than the layers are thick, and where they fill a pit not much farther.
    assert (away[0] > WEAR.offset(0.0) - 0.3).all()
    assert (away[0] < WEAR.offset(0.0) + 1.0).all()


def test_a_limb_too_short_for_its_layers_is_refused():
    with pytest.raises(CutError, match="scan more of the limb"):
        neutral_surface(cylinder(low=0.0, high=45.0, nodes=10), WEAR)


def test_only_the_heights_that_are_asked_for_are_made():
    neutral = neutral_surface(cylinder(), WEAR, heights=(50.0, 9999.0)).surface
    assert neutral.trusted[0] == 50.0
    assert neutral.trusted[1] == pytest.approx(400.0 - 1.0)


def test_a_ridge_sharper_than_the_offset_is_deep_is_no_fold():
    """A cylinder of radius 4 grows to one of 4 + offset: convex places never fold, however sharp they are."""
    wear = Wear((5.0,) * 4, 0.0, 2.0, 0.5)
    grown = neutral_surface(cylinder(4.0), wear).surface.radius(np.linspace(10, 380, 40), np.linspace(0, 6, 40))
    np.testing.assert_allclose(grown, 10.0, atol=1e-6)
    ridged = limb_of(lambda h, b: 50.0 + 4.0 * np.exp(-(((h - 200) / 6.0) ** 2)) + 0.0 * b)
    ridge = neutral_surface(ridged, wear).surface
    # On top of a ring-shaped ridge the normal is the radius.
    assert float(ridge.radius(200.0, 1.0)) == pytest.approx(54.0 + 6.0, abs=0.05)


def test_what_was_worn_for_the_scan_is_taken_off_it():
    worn = Wear((3.0,) * 4, 8.0, 3.2, 0.5, over=2.0)
    np.testing.assert_allclose(worn.offset(np.linspace(0, 6, 9)), WEAR.offset(np.linspace(0, 6, 9)) - 2.0)
    # Off a cylinder and, along its normals, off a cone: the skin comes back inside what was scanned.
    bare = Wear((0.0,) * 4, 0.0, 2.0, 0.0, over=3.0)
    np.testing.assert_allclose(neutral_surface(cylinder(60.0), bare).surface.radius(200.0, 1.0), 57.0, atol=1e-9)
    skin = neutral_surface(cone(40.0, 0.3), bare).surface
    assert skin.radius(200.0, 1.0) == pytest.approx(100.0 - 3.0 * np.hypot(1.0, 0.3), abs=1e-6)


def test_a_scan_over_cloth_gives_back_the_skin():
    skin = limb_of(calf)
    clothed = neutral_surface(skin, Wear((3.0,) * 4, 0.0, 2.0, 0.0)).surface
    back = neutral_surface(clothed, Wear((0.0,) * 4, 0.0, 2.0, 0.0, over=3.0)).surface
    h, b = np.meshgrid(np.linspace(20, 360, 40), np.linspace(0, 6, 30))
    # Both offsets are met within their deviations, 0.001 mm each, where the section is nowhere sharper than 3 mm.
    np.testing.assert_allclose(back.radius(h, b), skin.radius(h, b), atol=2e-3)


def test_more_worn_for_the_scan_than_the_limb_is_thick_is_told():
    with pytest.raises(LayersError, match=r"25 mm worn for the scan leave no limb: .* only 25 mm thick.*“over”"):
        neutral_surface(cylinder(25.0), Wear((30.0,) * 4, 8.0, 3.2, 0.5, over=25.0))
    neutral_surface(cylinder(25.0), Wear((30.0,) * 4, 8.0, 3.2, 0.5, over=24.0))


def test_a_ridge_sharper_than_the_cloth_that_is_taken_off_is_told_with_its_height():
    ridged = limb_of(lambda h, b: 50.0 + 6.0 * np.exp(-(((h - 200) / 8.0) ** 2)) + 0.0 * b)
    with pytest.raises(LayersError, match=r"cannot be told from the scan at height (19|20)\d mm: the limb has a ridge"):
        neutral_surface(ridged, Wear((0.0,) * 4, 0.0, 2.0, 0.0, over=12.0))
