"""Darts and slashes: slits in the panel's mesh, their sides and their tip."""

import igl
import numpy as np
import pytest

from flatten.unwrap.panel import flatten_panel
from flatten.worn.curves import Dart, Seam
from flatten.worn.cut import check_cuts, cut_panels
from flatten.worn.cuts import Cuts
from flatten.worn.defaults import edge
from flatten.worn.panel import CutError
from tests.limbs import calf, cone, cylinder, limb_of

BOTTOM = edge("bottom edge", (20.0, 0.0, 20.0, 0.0))
TOP = edge("top edge", (330.0, 300.0, 270.0, 300.0))


def cut(surface, *darts, size=6.0, bottom=BOTTOM, top=TOP, seams=None):
    seams = seams or [Seam("back", "laced", 25.0, [0.0], [np.pi])]
    return cut_panels(surface, Cuts(bottom, top, seams, darts), edge_length=size)


def sides(panel, name):
    found = {boundary.side: boundary for boundary in panel.boundaries if boundary.name == name}
    return found["low"], found["high"]


def length(panel, boundary, points=None):
    points = panel.mesh.vertices if points is None else points
    return np.linalg.norm(np.diff(points[boundary.vertices], axis=0), axis=1).sum()


@pytest.mark.parametrize("edge_name", ["top", "bottom"])
@pytest.mark.parametrize("opening", [0.0, 8.0])
def test_a_cut_panel_is_still_a_disk_with_boundaries_once_round(edge_name, opening):
    kind = "slash" if opening else "dart"
    darts = [Dart(f"cut {k}", kind, edge_name, bearing, 70.0, opening) for k, bearing in enumerate((0.6, -0.5))]
    (panel,) = cut(limb_of(calf), *darts)
    faces = panel.mesh.faces
    assert len(panel.mesh.vertices) - len(igl.edges(faces)) + len(faces) == 1
    around = np.concatenate([boundary.vertices[:-1] for boundary in panel.boundaries])
    loop = igl.boundary_loop(faces)
    np.testing.assert_array_equal(np.roll(loop, -np.flatnonzero(loop == around[0])[0]), around)
    parts = [boundary for boundary in panel.boundaries if boundary.name == f"{edge_name} edge"]
    assert len(parts) == 3
    assert {boundary.kind for boundary in parts} == {"edge"}
    angles = np.degrees(igl.internal_angles(panel.mesh.vertices, faces))
    # A slash narrows to nothing, so its tip is a given corner: triangles are sound away from it.
    tips = [sides(panel, dart.name)[0].vertices[[0, -1]] for dart in darts]
    far = ~np.isin(faces, np.concatenate(tips)).any(axis=1)
    assert angles[far].min() > 20.0


@pytest.mark.parametrize("edge_name", ["top", "bottom"])
@pytest.mark.parametrize("opening", [0.0, 8.0])
def test_both_sides_of_a_dart_start_at_the_edge_and_meet_at_its_tip(edge_name, opening):
    (panel,) = cut(limb_of(calf), Dart("cut", "slash", edge_name, 0.6, 70.0, opening))
    low, high = sides(panel, "cut")
    first, second = (high, low) if edge_name == "top" else (low, high)
    assert first.vertices[-1] == second.vertices[0]
    order = [boundary.name for boundary in panel.boundaries]
    at = order.index("cut")
    assert panel.boundaries[at] is first
    assert panel.boundaries[at + 1] is second
    assert panel.boundaries[at - 1].vertices[-1] == first.vertices[0]
    assert panel.boundaries[at + 2].vertices[0] == second.vertices[-1]
    ends = panel.mesh.vertices[[first.vertices[0], second.vertices[-1]]]
    # The opening is laid off round the limb, whatever the slope of the edge; the chord of 8 mm on 35 mm is 0.2 % short,
    # and the radius changes by some percent from the slit's middle to its sides.
    assert np.linalg.norm((ends[1] - ends[0])[:2]) == pytest.approx(opening, rel=0.03)
    assert (panel.bearings[low.vertices] <= panel.bearings[high.vertices[::-1]].max() + 1e-12).all()


def test_both_sides_of_a_closed_dart_are_equally_long_and_as_deep_as_asked():
    (panel,) = cut(cone(40.0, 0.3), Dart("cut", "dart", "top", 0.6, 70.0))
    low, high = sides(panel, "cut")
    # A cone's lines are straight, so the mesh measures the depth exactly.
    assert length(panel, low) == pytest.approx(70.0, abs=0.01)
    assert length(panel, high) == pytest.approx(length(panel, low), abs=1e-9)


def test_a_dart_opens_when_flat_at_a_bulge_and_its_sides_stay_equally_long():
    bulge = limb_of(lambda h, b: 45.0 + 25.0 * np.cos(np.minimum(np.abs(h - 160.0) / 140.0, 1.4)) + 0.0 * b)
    level = {"bottom": edge("bottom edge", (150.0,) * 4), "top": edge("top edge", (300.0,) * 4)}
    (panel,) = cut(bulge, Dart("cut", "dart", "top", 0.5, 90.0), size=6.0, **level)
    flat = flatten_panel(panel)
    low, high = sides(panel, "cut")
    ends = flat.uv[low.vertices[-1]] - flat.uv[high.vertices[0]]
    assert ends[0] < -3.0
    assert flat.overlaps == 0
    lengths = [length(panel, boundary, flat.uv) for boundary in (low, high)]
    assert lengths[0] == pytest.approx(lengths[1], rel=0.02)


def test_a_dart_in_a_hollow_would_overlap_when_flat_and_a_slash_does_not():
    hollow = limb_of(lambda h, b: 40.0 + 30.0 * ((h - 160.0) / 120.0) ** 2 + 0.0 * b)
    level = {"bottom": edge("bottom edge", (130.0,) * 4), "top": edge("top edge", (270.0,) * 4)}
    (closed,) = cut(hollow, Dart("cut", "dart", "bottom", 0.5, 60.0), size=5.0, **level)
    assert flatten_panel(closed).overlaps > 0
    (slashed,) = cut(hollow, Dart("cut", "slash", "bottom", 0.5, 60.0, 45.0), size=5.0, **level)
    assert flatten_panel(slashed).overlaps == 0


def test_each_panel_gets_the_darts_that_open_on_it():
    seams = [Seam(f"{b}", "laced", 20.0, [0.0], [b]) for b in (np.pi / 2, -np.pi / 2)]
    darts = [Dart("front cut", "dart", "top", 2 * np.pi, 50.0), Dart("back cut", "dart", "bottom", -np.pi, 50.0)]
    panels = {panel.name: panel for panel in cut(cylinder(), *darts, seams=seams)}
    for name in ("front", "back"):
        assert {boundary.name for boundary in panels[name].boundaries if boundary.kind == "dart"} == {f"{name} cut"}


@pytest.mark.parametrize(
    ("dart", "words"),
    [
        (Dart("cut", "dart", "top", np.pi - 0.3, 50.0), "dart 'cut' comes within . mm of a seam at the top edge"),
        (Dart("cut", "dart", "bottom", 0.0, 300.0), "keep at least 25 mm beyond its tip"),
    ],
)
def test_a_dart_without_room_is_refused(dart, words):
    with pytest.raises(CutError, match=words):
        cut(cylinder(), dart)


def test_two_darts_too_near_one_another_are_refused():
    with pytest.raises(CutError, match="mm of dart 'b'"):
        cut(cylinder(60.0), Dart("a", "dart", "top", 0.0, 50.0), Dart("b", "dart", "top", 0.2, 50.0))


def test_a_dart_that_opens_nowhere_is_refused():
    with pytest.raises(CutError, match="dart 'cut' lies in the gap of a seam"):
        cut(cylinder(60.0), Dart("cut", "dart", "top", np.pi, 50.0))


@pytest.mark.parametrize(
    ("given", "words"),
    [
        (("cut", "pleat", "top", 0.0, 50.0), "of kind 'pleat'"),
        (("cut", "dart", "left", 0.0, 50.0), "on the left edge"),
        (("cut", "dart", "top", 0.0, 0.0), "0 mm deep"),
        (("cut", "slash", "top", 0.0, 50.0, -1.0), "opening of -1 mm"),
        (("cut", "dart", "top", 0.0, 50.0, 5.0), "make it a slash"),
    ],
)
def test_what_is_no_dart_is_refused(given, words):
    with pytest.raises(CutError, match=words):
        Dart(*given)


def test_what_cannot_be_cut_is_known_without_meshing():
    seams = (Seam("back", "laced", 25.0, [0.0], [np.pi]),)
    surface = cylinder()
    check_cuts(surface, Cuts(BOTTOM, TOP, seams, (Dart("cut", "dart", "top", 1.5, 60.0),)))
    for bearing, depth, words in ((np.pi, 60.0, "lies in the gap"), (2.8, 60.0, "of a seam"), (1.5, 280.0, "deep")):
        cuts = Cuts(BOTTOM, TOP, seams, (Dart("cut", "dart", "top", bearing, depth),))
        with pytest.raises(CutError, match=words):
            check_cuts(surface, cuts)
