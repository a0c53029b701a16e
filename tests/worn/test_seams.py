"""Every kind of seam: where its cut lines and its line of rivets run, and how long an upper layer is."""

import igl
import numpy as np
import pytest
from scipy.integrate import quad

from flatten.worn.curves import Seam
from flatten.worn.cut import cut_panels
from flatten.worn.cuts import Cuts
from flatten.worn.defaults import edge
from flatten.worn.panel import CutError
from flatten.worn.rise import STEP_THICKNESSES
from tests.limbs import calf, cylinder, limb_of

LEVEL = {"bottom": edge("bottom edge", (0.0,) * 4), "top": edge("top edge", (300.0,) * 4)}
LOW = {"bottom": edge("bottom edge", (0.0,) * 4), "top": edge("top edge", (50.0,) * 4)}
THICK = 3.2

KINDS = {
    "laced": {"kind": "laced", "gap": 25.0},
    "strapped": {"kind": "strapped", "gap": 10.0},
    "open": {"kind": "open", "gap": 6.0},
    "open slit": {"kind": "open", "gap": 0.0},
    "stitched edge to edge": {"kind": "stitched", "gap": 0.0},
    "stitched overlap": {"kind": "stitched", "gap": 0.0, "overlap": 14.0, "upper": "before"},
    "riveted": {"kind": "riveted", "gap": 0.0, "overlap": 22.0, "upper": "after"},
}


def seam(bearing=np.pi, name="back", **more):
    given = {"kind": "laced", "gap": 25.0, **more}
    return Seam(name, given["kind"], given["gap"], [0.0], [bearing], given.get("overlap", 0.0), given.get("upper", ""))


def worn_area(panel):
    return 0.5 * igl.doublearea(panel.mesh.vertices, panel.mesh.faces).sum()


def boundary(panel, name, side):
    return next(b for b in panel.boundaries if (b.name, b.side) == (name, side))


def stepped_length(radius, overlap, thick):
    """Length of the section of an upper layer: its overlap one thickness further out, and its step down."""
    ramp = STEP_THICKNESSES * thick

    def speed(x):
        share = 1.0 - x / ramp
        rise, slope = thick * share**2 * (3 - 2 * share), -thick * 6 * share * (1 - share) / ramp
        return np.hypot((radius + rise) / radius, slope)

    return overlap * (radius + thick) / radius + quad(speed, 0.0, ramp)[0] - ramp


@pytest.mark.parametrize("kind", KINDS.values(), ids=KINDS.keys())
def test_girth_of_leather_on_a_cylinder_by_kind_of_seam(kind):
    """2πR less the gap; an overlap adds its width below, and above it a width one thickness further out."""
    (panel,) = cut_panels(cylinder(60.0), Cuts(seams=[seam(**kind)], **LOW), edge_length=2.0, thickness=THICK)
    expected = 2 * np.pi * 60.0 - kind["gap"]
    if kind.get("overlap"):
        expected += stepped_length(60.0, kind["overlap"], THICK)
    # Chords of 2 mm fall short by (2/R)²/24 of their length: 1.7e-5 round the limb, 1e-3 of the 16 mm step.
    assert worn_area(panel) / 50.0 == pytest.approx(expected, abs=0.035)


def test_an_upper_layer_right_round_would_be_longer_by_two_pi_thickness():
    """2π · t over a full turn, 20.11 mm for 3.2 mm [derived]: the same per radian over an overlap."""
    narrow, wide = (stepped_length(60.0, overlap, THICK) - overlap for overlap in (10.0, 30.0))
    assert (wide - narrow) / (20.0 / 60.0) * 2 * np.pi == pytest.approx(20.11, abs=0.005)


@pytest.mark.parametrize("count", [1, 2, 3, 4])
@pytest.mark.parametrize("kind", KINDS.values(), ids=KINDS.keys())
def test_any_number_of_seams_of_any_kind_gives_sound_disks(kind, count):
    seams = [seam(0.4 + 2 * np.pi * k / count, name=f"seam {k}", **kind) for k in range(count)]
    panels = cut_panels(limb_of(calf), Cuts(seams=seams, **LEVEL), edge_length=6.0, thickness=THICK)
    assert len(panels) == count
    for panel in panels:
        faces = panel.mesh.faces
        assert len(panel.mesh.vertices) - len(igl.edges(faces)) + len(faces) == 1
        around = np.concatenate([b.vertices[:-1] for b in panel.boundaries])
        loop = igl.boundary_loop(faces)
        np.testing.assert_array_equal(np.roll(loop, -np.flatnonzero(loop == around[0])[0]), around)
        assert np.degrees(igl.internal_angles(panel.mesh.vertices, faces).min()) > 20.0
        assert [b.kind for b in panel.boundaries] == ["edge", kind["kind"], "edge", kind["kind"]]


@pytest.mark.parametrize("upper", ["before", "after"])
def test_mates_share_the_seam_line_and_lie_one_thickness_apart_on_it(upper):
    surface = limb_of(calf)
    seams = [
        seam(b, name=n, kind="riveted", gap=0.0, overlap=22.0, upper=upper) for b, n in ((1.5, "out"), (4.7, "in"))
    ]
    panels = cut_panels(surface, Cuts(seams=seams, **LEVEL), edge_length=4.0, thickness=THICK)
    for name in ("out", "in"):
        before, after = (
            next((p, b) for p in panels for b in p.boundaries if (b.name, b.side) == (name, side))
            for side in ("high", "low")
        )
        top, base = (before, after) if upper == "before" else (after, before)
        assert (top[1].layer, base[1].layer) == ("upper", "lower")
        for panel, found in (before, after):
            line = panel.bearings[found.line]
            np.testing.assert_allclose(np.mod(line, 2 * np.pi), seams[name == "in"].bearings[0], atol=1e-9)
            heights = panel.heights[found.line]
            assert (np.diff(heights) > 0).all()
            assert (heights[0], heights[-1]) == pytest.approx((0.0, 300.0), abs=1e-9)
        panel, found = top
        below = surface.points(panel.heights[found.line], panel.bearings[found.line])
        apart = np.linalg.norm(panel.mesh.vertices[found.line] - below, axis=1)
        np.testing.assert_allclose(apart, THICK, atol=1e-9)
        panel, found = base
        below = surface.points(panel.heights[found.line], panel.bearings[found.line])
        np.testing.assert_allclose(panel.mesh.vertices[found.line], below, atol=1e-9)


def test_both_sides_of_an_overlap_run_half_its_width_past_the_seam():
    (panel,) = cut_panels(
        cylinder(50.0),
        Cuts(seams=[seam(kind="riveted", gap=0.0, overlap=20.0, upper="before")], **LEVEL),
        edge_length=4.0,
        thickness=THICK,
    )
    low, high = (boundary(panel, "back", side) for side in ("low", "high"))
    np.testing.assert_allclose(panel.bearings[high.vertices], np.pi + 10.0 / 50.0, atol=1e-9)
    np.testing.assert_allclose(panel.bearings[low.vertices], -np.pi - 10.0 / 50.0, atol=1e-9)


def test_seams_stitched_edge_to_edge_meet_on_the_limb():
    seams = [seam(b, name=n, kind="stitched", gap=0.0) for b, n in ((1.5, "out"), (4.7, "in"))]
    one, two = cut_panels(limb_of(calf), Cuts(seams=seams, **LEVEL), edge_length=5.0)
    for panel, name, side in ((one, "out", "low"), (two, "out", "high"), (one, "in", "high"), (two, "in", "low")):
        found = boundary(panel, name, side)
        np.testing.assert_allclose(
            np.mod(panel.bearings[found.vertices], 2 * np.pi), 1.5 if name == "out" else 4.7, atol=1e-9
        )
        assert found.line.size == 0


def test_a_thin_panel_is_meshed_finely_enough_to_have_no_slivers():
    seams = [seam(b, name=f"{b}", kind="open", gap=2.0) for b in (0.0, 1.0)]
    panels = cut_panels(limb_of(calf), Cuts(seams=seams, **LEVEL), edge_length=20.0)
    for panel in panels:
        assert np.degrees(igl.internal_angles(panel.mesh.vertices, panel.mesh.faces).min()) > 20.0


def test_panels_are_named_in_the_limbs_own_words():
    words = ("back of the hand side", "thumb side", "palm side", "little-finger side")
    seams = [seam(b, name=f"{b}") for b in (np.pi / 2, -np.pi / 2)]
    panels = cut_panels(limb_of(calf), Cuts(seams=seams, **LEVEL), edge_length=8.0, side_names=words)
    assert [panel.name for panel in panels] == ["palm side", "back of the hand side"]


def test_three_panels_that_look_to_one_side_have_names_of_their_own():
    seams = [seam(b, name=f"{b}", gap=5.0) for b in (-0.7, 0.0, 0.7)]
    panels = cut_panels(cylinder(90.0), Cuts(seams=seams, **LEVEL), edge_length=8.0)
    assert sorted(panel.name for panel in panels) == ["back", "front 1", "front 2"]


@pytest.mark.parametrize(
    ("given", "words"),
    [
        ({"kind": "riveted", "gap": 0.0}, "overlap of 0 mm"),
        ({"kind": "stitched", "gap": 0.0, "overlap": 5.0, "upper": "after"}, "at least 8 mm"),
        ({"kind": "riveted", "gap": 5.0, "overlap": 20.0, "upper": "after"}, "has no gap"),
        ({"kind": "stitched", "gap": 0.0, "overlap": 12.0}, "lies on top"),
        ({"kind": "stitched", "gap": 0.0, "overlap": -1.0}, "at least 8 mm"),
        ({"kind": "laced", "gap": 20.0, "overlap": 12.0}, "cannot overlap"),
        ({"kind": "open", "gap": -1.0}, "more than 0 mm"),
        ({"kind": "strapped", "gap": 0.0}, "more than 0 mm"),
    ],
)
def test_widths_that_make_no_seam_are_refused(given, words):
    with pytest.raises(CutError, match=words):
        seam(**given)
