import igl
import numpy as np
import pytest

from flatten.worn.curves import Edge, Seam
from flatten.worn.cut import _where, cut_panels
from flatten.worn.cuts import Cuts
from flatten.worn.defaults import QUARTER_BEARINGS, edge
from flatten.worn.gap import cut_lines
from flatten.worn.panel import CutError
from tests.limbs import calf, cone, cylinder, limb_of

BOTTOM = edge("bottom edge", (20.0, 0.0, 20.0, 0.0))
TOP = edge("top edge", (330.0, 300.0, 270.0, 300.0))


def back(gap=25.0, bearing=np.pi):
    return Seam("back", "laced", gap, [0.0], [bearing])


def panel_of(surface, *seams, size=6.0, bottom=BOTTOM, top=TOP):
    return cut_panels(surface, Cuts(bottom, top, seams or (back(),)), edge_length=size)


def defects_and_turning(mesh):
    angles = igl.internal_angles(mesh.vertices, mesh.faces)
    total = np.bincount(mesh.faces.ravel(), angles.ravel(), len(mesh.vertices))
    boundary = np.zeros(len(mesh.vertices), bool)
    boundary[igl.boundary_loop(mesh.faces)] = True
    return (2 * np.pi - total[~boundary]).sum() + (np.pi - total[boundary]).sum()


SEAMS = {
    "straight back": [back()],
    "straight inside": [back(bearing=-np.pi / 2)],
    "through points": [Seam("back", "laced", 25.0, [-30.0, 150.0, 370.0], [2.6, 3.2, 3.0])],
    "two seams": [back(bearing=np.pi / 2), back(bearing=-np.pi / 2)],
    "three seams": [back(bearing=0.3), back(bearing=2.4), back(bearing=4.5)],
}


@pytest.mark.parametrize("seams", SEAMS.values(), ids=SEAMS.keys())
def test_every_panel_is_a_disk_with_four_boundaries_and_sound_triangles(seams):
    panels = panel_of(limb_of(calf), *seams)
    assert len(panels) == len(seams)
    for panel in panels:
        mesh = panel.mesh
        assert len(mesh.vertices) - len(igl.edges(mesh.faces)) + len(mesh.faces) == 1
        # Gauss-Bonnet on a disk: interior defects and boundary turning make one full turn, exactly.
        assert defects_and_turning(mesh) == pytest.approx(2 * np.pi, abs=1e-9)
        assert np.degrees(igl.internal_angles(mesh.vertices, mesh.faces).min()) > 20.0
        around = np.concatenate([boundary.vertices[:-1] for boundary in panel.boundaries])
        loop = igl.boundary_loop(mesh.faces)
        np.testing.assert_array_equal(np.roll(loop, -np.flatnonzero(loop == around[0])[0]), around)
        assert [boundary.name for boundary in panel.boundaries[::2]] == ["bottom edge", "top edge"]


@pytest.mark.parametrize("size", [4.0, 8.0, 16.0])
def test_triangles_are_sound_and_as_large_as_asked_whatever_the_size(size):
    """The plan of a coarse mesh is coarser too; its scale still varies by no more than a fine one's, a fifth."""
    (panel,) = panel_of(limb_of(calf), size=size)
    mesh = panel.mesh
    assert np.degrees(igl.internal_angles(mesh.vertices, mesh.faces).min()) > 20.0
    lengths = igl.edge_lengths(mesh.vertices, mesh.faces)
    assert np.median(lengths) == pytest.approx(size, rel=0.2)


def test_faces_look_outwards_and_cover_the_limb_less_the_gap():
    surface = cylinder(60.0)
    flat_ends = {"bottom": edge("bottom edge", (0.0,) * 4), "top": edge("top edge", (300.0,) * 4)}
    (panel,) = panel_of(surface, size=3.0, **flat_ends)
    mesh = panel.mesh
    normal = np.cross(*(mesh.vertices[mesh.faces[:, k]] - mesh.vertices[mesh.faces[:, 0]] for k in (1, 2)))
    outward = mesh.vertices[mesh.faces].mean(axis=1) * [1.0, 1.0, 0.0]
    assert (np.einsum("ij,ij->i", normal, outward) > 0).all()
    # Chords of 3 mm fall short of a 60 mm circle by (3/60)²/24 of their length.
    expected = (2 * np.pi * 60.0 - 25.0) * 300.0
    assert 0.5 * igl.doublearea(mesh.vertices, mesh.faces).sum() == pytest.approx(expected, rel=2e-4)


def test_boundary_vertices_lie_on_their_own_curves():
    (panel,) = panel_of(limb_of(calf))
    bottom, high, top, low = panel.boundaries
    h, b = panel.heights, panel.bearings
    np.testing.assert_allclose(h[bottom.vertices], BOTTOM.height(b[bottom.vertices]), atol=1e-6)
    np.testing.assert_allclose(h[top.vertices], TOP.height(b[top.vertices]), atol=1e-6)
    assert (b[high.vertices] < np.pi).all()
    assert (b[low.vertices] > -np.pi).all()
    assert (high.side, low.side) == ("high", "low")


def test_the_gap_is_as_wide_as_asked_on_an_unrolled_cylinder():
    seam = Seam("slanting", "laced", 20.0, [0.0, 300.0], [0.0, 1.0])
    low, high = cut_lines(cylinder(50.0), seam, heights=(0.0, 300.0))
    normal = np.array([-50.0, 300.0]) / np.hypot(50.0, 300.0)
    for line, side in ((low, -10.0), (high, 10.0)):
        np.testing.assert_allclose(np.column_stack([line[:, 0], 50.0 * line[:, 1]]) @ normal, side, atol=1e-9)


def test_the_gap_is_as_wide_as_asked_on_an_unrolled_cone():
    """On the developed sector, the cut line is the straight line at gap/2 from the seam's ray."""
    slope = 0.2
    slant = np.hypot(1.0, slope)
    low, high = cut_lines(cone(40.0, slope), Seam("s", "laced", 30.0, [0.0], [1.0]), heights=(0.0, 350.0))
    for line, side in ((low, -15.0), (high, 15.0)):
        along = (40.0 / slope + line[:, 0]) * slant
        turned = (line[:, 1] - 1.0) * slope / slant
        # The 5 mm node spline and Runge-Kutta steps of 2 mm leave less than a micrometre.
        np.testing.assert_allclose(along * np.sin(turned), side, atol=1e-3)


def test_lines_beside_a_seam_are_remembered_for_the_same_seam_on_the_same_surface_alone():
    surface = cylinder(50.0)
    asked = [(surface, back()), (surface, back()), (surface, back(gap=26.0)), (surface, back(bearing=3.0))]
    asked.append((cylinder(50.0), back()))
    first, same, wider, moved, elsewhere = (cut_lines(*pair, heights=(0.0, 300.0))[0] for pair in asked)
    assert first is same
    assert not first.flags.writeable
    # Half a millimetre on a cylinder of 50 mm radius is 0.01 rad; both lines run straight up.
    np.testing.assert_allclose(wider[:, 1], first[:, 1] - 0.01, atol=1e-9)
    np.testing.assert_allclose(moved[:, 1], first[:, 1] + 3.0 - np.pi, atol=1e-9)
    assert elsewhere is not first
    assert len({back(), back(), back(gap=26.0)}) == 2
    assert back() != "back"


def test_the_gap_on_a_leg_is_measured_along_the_surface():
    surface = limb_of(calf)
    low, high = cut_lines(surface, back(), heights=(0.0, 350.0))
    h, b = (
        x.ravel() for x in np.meshgrid(np.arange(60.0, 341.0, 1.0), np.pi + np.linspace(-0.5, 0.5, 121), indexing="ij")
    )
    grid = surface.points(h, b)
    n, m = 281, 121
    i, j = (x.ravel() for x in np.meshgrid(np.arange(n - 1), np.arange(m - 1), indexing="ij"))
    corner = i * m + j
    faces = np.vstack([np.c_[corner, corner + m, corner + 1], np.c_[corner + 1, corner + m, corner + m + 1]])
    seam_side = np.flatnonzero(np.abs(b - np.pi) < 1e-9)
    distance = igl.exact_geodesic(grid, faces, seam_side, np.empty(0, int), np.arange(len(h)), np.empty(0, int))
    distance = np.asarray(distance).reshape(n, m)
    heights, bearings = h.reshape(n, m)[:, 0], b.reshape(n, m)[0]
    for line in (low, high):
        near = [np.interp(x, bearings, distance[k]) for k, x in enumerate(np.interp(heights, line[:, 0], line[:, 1]))]
        # Chords of 1 mm on a curvature radius of 40 mm shorten 12.5 mm by (1/40)²/24 of it; interpolation adds h²/8R.
        np.testing.assert_allclose(near[20:-20], 12.5, atol=0.01)


@pytest.mark.parametrize(
    ("cut", "words"),
    [
        ({"top": edge("top edge", (500.0, 300.0, 300.0, 300.0))}, "lower it by 100 mm at the front, or"),
        ({"top": edge("top edge", (300.0, 300.0, 500.0, 300.0))}, "lower it by 100 mm at the back, or"),
        ({"bottom": edge("bottom edge", (-60.0,) * 4)}, "raise it by 40 mm"),
        ({"top": edge("top edge", (30.0,) * 4)}, "keep at least 40 mm"),
        ({"top": edge("top edge", (-10.0,) * 4)}, "keep at least 40 mm"),
    ],
)
def test_edges_that_cut_nothing_wearable_are_refused(cut, words):
    with pytest.raises(CutError, match=words):
        panel_of(cylinder(), **cut)


@pytest.mark.parametrize(
    ("seams", "words"),
    [
        (
            [Seam("back", "laced", 25.0, [30.0, 290.0], [np.pi, np.pi])],
            "seam 'back' ends 10.0 mm inside the bottom edge",
        ),
        ([Seam("back", "laced", 25.0, [-10.0, 257.6], [np.pi, np.pi])], "ends 12.4 mm inside the top edge"),
        ([back(bearing=1.0), back(bearing=1.3)], "move them apart"),
        ([back(gap=370.0)], "narrower"),
        ([Seam("back", "laced", 120.0, [-10.0, 100.0, 200.0, 320.0], [3.1, 2.0, 4.2, 3.1])], "bends too sharply"),
        ([back(), Seam("stitched", "stitched", 0.0, [0.0], [np.pi])], "'back' and 'stitched' lie on one line"),
        ([back(bearing=0.0), back(bearing=4 * np.pi)], "lie on one line"),
        ([back(bearing=np.pi), back(), back(bearing=1.0)], "lie on one line"),
    ],
)
def test_seams_that_cut_nothing_wearable_are_refused(seams, words):
    with pytest.raises(CutError, match=words):
        panel_of(cylinder(), *seams)


def test_no_seam_at_all_is_refused():
    with pytest.raises(CutError, match="closed tube"):
        cut_panels(cylinder(), Cuts(BOTTOM, TOP, ()), edge_length=8.0)


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (lambda: Seam("back", "glued", 25.0, [0.0], [3.0]), "kind 'glued'"),
        (lambda: Seam("back", "laced", 0.0, [0.0], [3.0]), "more than 0 mm"),
        (lambda: Seam("back", "laced", 25.0, [0.0, 0.0], [3.0, 3.0]), "must climb"),
        (lambda: Edge("top edge", [0.0, 0.0], [1.0, 2.0]), "increasing bearings"),
        (lambda: Edge("top edge", [], []), "increasing bearings"),
    ],
)
def test_curves_that_are_none_are_refused(make, words):
    with pytest.raises(CutError, match=words):
        make()


def test_an_edge_passes_through_its_control_points_and_closes_smoothly():
    curve = edge("top edge", (330.0, 300.0, 270.0, 310.0))
    np.testing.assert_allclose(curve.height(QUARTER_BEARINGS), [330.0, 300.0, 270.0, 310.0], atol=1e-12)
    step = 1e-4
    slopes = [curve.height(x + step) - curve.height(x) for x in (-step, 0.0, 2 * np.pi - step, 2 * np.pi)]
    np.testing.assert_allclose(slopes, slopes[0], atol=1e-6)


@pytest.mark.parametrize(
    ("degrees", "words"),
    [
        (0, "at the palm"),
        (-180, "at the back"),
        (180.2, "at the back"),
        (-90, "at the little"),
        (-85, "at 275° from the palm"),
    ],
)
def test_a_place_round_the_limb_is_told_by_the_limbs_own_words(degrees, words):
    assert _where(np.radians(degrees), ("palm", "thumb", "back", "little")) == words
