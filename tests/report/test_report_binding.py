"""The place where the bound binds, marked on limb and leather, whichever argument gave it."""

import re
from dataclasses import replace

import numpy as np
import pytest
from report_case import calf_report

from flatten.limb.kind import LOWER_LEG
from flatten.report.binding import binding_pictures
from flatten.report.limbview import shown_panels
from flatten.unwrap.certificate.binding import binding_of
from flatten.unwrap.certificate.model import Certificate
from flatten.words.say import text


def bound(report, certificate):
    panel = report.panels[0]
    binding = binding_of(certificate, panel.flat, kind=LOWER_LEG)
    return replace(report, panels=(replace(panel, least_spread=certificate.least_spread, binding=binding),))


def seen(report):
    ((words, picture),) = binding_pictures(report, shown_panels(report))
    return words, picture


def vertex_at(report, height, bearing):
    panel = report.panels[0].flat.panel
    return int(np.argmin(np.hypot(panel.heights - height, 55.0 * (panel.bearings - bearing))))


def middles(picture, kind):
    """The middle (n,2) of each closed ring of a kind of stroke, y up."""
    rings = [ring for stroke in picture.strokes if stroke.kind == kind for ring in stroke.path.split("M")[1:]]
    points = [np.array(re.findall(r"-?\d+\.\d+", ring), float).reshape(-1, 2) for ring in rings]
    return np.array([ring.mean(axis=0) * [1, -1] for ring in points])


def leather_left(picture):
    """Where the leather's outline begins, mm from the left."""
    outline = next(stroke for stroke in reversed(picture.strokes) if stroke.kind == "outline")
    return np.array(re.findall(r"-?\d+\.\d+", outline.path), float)[::2].min()


@pytest.mark.parametrize("side", ["left", "right"])
def test_a_ring_lies_round_the_place_on_limb_and_leather_on_the_wearer_s_own_side(side):
    (report,) = calf_report(side=side).limbs
    centre = vertex_at(report, 200.0, np.pi / 2)
    report = bound(report, Certificate("disc", 0.02, least_spread=0.02, centre=centre, radius=30.0))
    below, picture = seen(report)
    words = text(below)
    assert words.startswith("The bulge at the outside, 2")
    on_limb, on_leather = middles(picture, "binding-mark")
    panel = shown_panels(report)[0]
    flat, x, height = panel.flat, panel.flat[centre, 0], report.panels[0].flat.panel.heights[centre]
    # Seen from the outside, a place at the outside lies in the limb's middle; on flat leather, where it was laid.
    assert on_limb == pytest.approx([0.0, height], abs=3.0)
    lift = float((report.panels[0].flat.panel.heights - flat[:, 1]).mean())
    assert on_leather[1] == pytest.approx(flat[centre, 1] + lift, abs=0.1)
    assert on_leather[0] - leather_left(picture) == pytest.approx(x - flat[:, 0].min(), abs=0.2)


def arrows(picture, kind):
    """The tail and tip (n,2,2) of each arrow of a kind, y up."""
    paths = [stroke.path for stroke in picture.strokes if stroke.kind == f"{kind}-mark"]
    runs = [np.array(re.findall(r"-?\d+\.\d+", run), float).reshape(-1, 2) for run in "".join(paths).split("M")[1:]]
    return np.array([run * [1, -1] for run in runs if len(run) == 2])


@pytest.mark.parametrize("hollow", [False, True])
def test_arrows_leave_a_bulge_and_meet_beside_it_and_the_other_way_round_at_a_hollow(limb, hollow):
    heights = (60.0, 120.0, 180.0)
    down, centre, up = (vertex_at(limb, height, 0.0) for height in heights)
    one, other, *light = (vertex_at(limb, 250.0, bearing) for bearing in (-0.4, 0.4, 0.0, 0.2))
    pairs = np.array([[down, centre], [up, centre], [one, other], light])
    load = np.array([-0.6, -0.3, 0.39, 0.01]) * (-1.0 if hollow else 1.0)
    report = bound(limb, Certificate("pairs", 0.0, 0.03, centre, 0.0, np.unique(pairs), pairs, load))
    below, picture = seen(report)
    assert text(below).startswith("The hollow" if hollow else "The bulge")
    about, beside = ("nearer", "further") if hollow else ("further", "nearer")
    for middle, around in zip(
        middles(picture, "binding-mark"), arrows(picture, about).reshape(2, 2, 2, 2), strict=True
    ):
        tail, tip = np.linalg.norm(around - middle, axis=2).T
        assert ((tip < tail) == hollow).all()
        # One runs up and one down, and both lie outside of the ring.
        assert np.sign(around[:, 0, 1] - middle[1]).tolist() in ([1.0, -1.0], [-1.0, 1.0])
        assert min(tail.min(), tip.min()) > 11.0
    for pair in arrows(picture, beside).reshape(2, 2, 2, 2):
        tail, tip = np.linalg.norm(pair - pair.mean(axis=(0, 1)), axis=2).T
        assert ((tip > tail) == hollow).all()
        # Level, as the line that carries most lies: at one height on the limb, nearly so on the leather.
        assert abs(np.diff(pair[:, 0], axis=0)[0, 1]) < 12.0


def test_what_lies_behind_is_marked_on_the_leather_alone_and_a_wheel_by_its_ring(limb):
    centre, up = vertex_at(limb, 120.0, 0.0), vertex_at(limb, 180.0, 0.0)
    pairs = np.array([[up, centre], [vertex_at(limb, 100.0, 2.6), vertex_at(limb, 200.0, 2.6)]])
    certificate = Certificate("pairs", 0.0, 0.03, centre, 0.0, np.unique(pairs), pairs, np.array([-0.6, 0.4]))
    _, picture = seen(bound(limb, certificate))
    assert (len(arrows(picture, "further")), len(arrows(picture, "nearer"))) == (2, 2)
    rim = np.array([vertex_at(limb, 200.0 + 40.0 * np.sin(a), 0.6 * np.cos(a)) for a in np.linspace(0.0, 5.5, 8)])
    below, picture = seen(bound(limb, Certificate("wheel", 0.0, 0.03, centre, 0.0, rim)))
    assert len(middles(picture, "binding-mark")) == 2
    assert "arrow" not in text(below)
    assert len(arrows(picture, "further")) == len(arrows(picture, "nearer")) == 0
    assert binding_pictures(limb, shown_panels(limb)) == ()


def test_a_place_of_a_coarser_mesh_is_marked_on_the_finer_one_within_its_edge(limb):
    coarse = calf_report(edge_length=12.0).limbs[0].panels[0].flat
    panel, own, flat = coarse.panel, limb.panels[0].flat.panel, shown_panels(limb)[0].flat
    lift = float((own.heights - flat[:, 1]).mean())
    for centre in range(50, len(panel.heights), 80):
        certificate = Certificate("disc", 0.02, least_spread=0.02, centre=centre, radius=30.0)
        binding = binding_of(certificate, coarse, kind=LOWER_LEG)
        fine = replace(limb.panels[0], least_spread=0.02, binding=binding)
        _, picture = seen(replace(limb, panels=(fine,)))
        *_, on_leather = middles(picture, "binding-mark")
        away = np.linalg.norm(own.mesh.vertices - panel.mesh.vertices[centre], axis=1)
        shown = flat[away < 6.0] + [leather_left(picture) - flat[:, 0].min(), lift]
        # The picture is written to a tenth of a mm.
        assert np.linalg.norm(shown - on_leather, axis=1).min() < 0.2
