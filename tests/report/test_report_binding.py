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
    assert "from its side “outside”" in words
    assert "less than 2.0 %" in words
    on_limb, on_leather = middles(picture, "binding-mark")
    panel = shown_panels(report)[0]
    flat, x, height = panel.flat, panel.flat[centre, 0], report.panels[0].flat.panel.heights[centre]
    # Seen from the outside, a place at the outside lies in the limb's middle; on flat leather, where it was laid.
    assert on_limb == pytest.approx([0.0, height], abs=3.0)
    lift = float((report.panels[0].flat.panel.heights - flat[:, 1]).mean())
    assert on_leather[1] == pytest.approx(flat[centre, 1] + lift, abs=0.1)
    assert on_leather[0] - leather_left(picture) == pytest.approx(x - flat[:, 0].min(), abs=0.2)


def test_lines_of_both_kinds_are_drawn_and_light_ones_are_not(limb):
    at = [vertex_at(limb, height, 0.0) for height in (100.0, 150.0, 200.0, 250.0)]
    pairs, load = np.array([[at[0], at[1]], [at[1], at[2]], [at[0], at[2]], [at[2], at[3]]]), [-0.6, -0.3, 0.39, 0.01]
    report = bound(limb, Certificate("pairs", 0.0, 0.03, at[1], 0.0, np.array(at), pairs, np.array(load)))
    _, picture = seen(report)
    lines = {
        kind: sum(s.path.count("M") for s in picture.strokes if s.kind == kind)
        for kind in ("held apart", "held together")
    }
    # Two push, one pulls, each on limb and leather.
    assert lines == {"held apart": 4, "held together": 2}
    assert len(middles(picture, "carries")) == 2 * 3


def test_a_wheel_marks_its_rim_and_a_place_behind_is_marked_on_the_leather_alone(limb):
    rim = np.array([vertex_at(limb, 200.0 + 40.0 * np.sin(a), 0.6 * np.cos(a)) for a in np.linspace(0.0, 5.5, 8)])
    for points, hidden in ((rim, 0), (np.append(rim, vertex_at(limb, 200.0, 2.8)), 1)):
        report = bound(limb, Certificate("wheel", 0.0, 0.03, vertex_at(limb, 200.0, 0.0), 0.0, points))
        assert len(middles(seen(report)[1], "carries")) == 2 * len(points) - hidden
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
