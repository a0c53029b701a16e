"""A limb scaled by tapes is the limb that was found, as large as they say: against its scan, scaled and fitted anew."""

import inspect

import numpy as np
import pytest
from limb_shapes import calf, points_of

from flatten.findings import finding, message
from flatten.limb.girths.girth import tape_girths
from flatten.limb.girths.taping import Correction, corrected
from flatten.limb.kind import LOWER_LEG
from flatten.limb.model import Frame, Landmark, Limb
from flatten.limb.scaled import LENGTHS, scaled_limb
from flatten.limb.surface.fit import fit_surface
from flatten.scan.model import Scan
from flatten.words.english import limb as sentences

ORIGIN = np.array([40.0, -25.0, 300.0])
TURNED = np.array([[0.0, 1.0, 0.0], [-1.0, 0.0, 0.0], [0.0, 0.0, 1.0]])

UNSCALED = {"turn", "lean", "share"}
"""Figures of findings about a limb that are no lengths: angles and shares."""


def limb_and_scan(*findings):
    points, frame = points_of(calf), Frame(ORIGIN, TURNED)
    marks = (Landmark("ankle", 0.0), Landmark("widest", 210.0), Landmark("knee", 280.0, 12.0))
    limb = Limb(LOWER_LEG, "left", frame, marks, "given", findings, (30.0,))
    placed = frame.to_scan(points)
    scan = Scan("t", placed, np.zeros_like(placed), np.empty((0, 3), np.int64), "mm", "given", 1.0, 0, ())
    return limb, fit_surface(points, heights=(0.0, 300.0)), scan


def one(factor):
    return Correction(factor, np.zeros(1), np.zeros(1))


def test_a_limb_scaled_by_one_tape_is_larger_and_else_the_same():
    limb, surface, scan = limb_and_scan()
    larger, skin = scaled_limb(limb, surface, one(1.3))
    assert [mark.height for mark in larger.landmarks] == pytest.approx([0.0, 273.0, 364.0])
    assert larger.landmarks[2].sigma == pytest.approx(15.6)
    assert larger.cloth_edges == pytest.approx((39.0,))
    np.testing.assert_allclose(larger.frame.axes, TURNED)
    # A place of the limb is the scan's own, moved as its scan is.
    moved = corrected(scan, limb, surface, one(1.3))
    np.testing.assert_allclose(larger.frame.to_limb(moved.points), 1.3 * limb.frame.to_limb(scan.points), atol=1e-9)
    heights = np.linspace(*surface.trusted, 40)
    np.testing.assert_allclose(tape_girths(skin, 1.3 * heights), 1.3 * tape_girths(surface, heights), rtol=1e-9)
    assert skin.trusted == pytest.approx(tuple(1.3 * end for end in surface.trusted))


def test_scaled_and_scaled_back_is_the_limb_itself():
    limb, surface, _ = limb_and_scan(finding("limb.facets", "look", girth=1.2))
    back, skin = scaled_limb(*scaled_limb(limb, surface, one(0.8)), one(1.25))
    assert [mark.height for mark in back.landmarks] == pytest.approx([mark.height for mark in limb.landmarks])
    np.testing.assert_allclose(skin.radii, surface.radii, rtol=1e-9)
    np.testing.assert_allclose(back.frame.origin, limb.frame.origin)
    assert back.findings[0].figures["girth"] == pytest.approx(1.2)


def test_a_limb_corrected_by_height_is_the_surface_through_its_corrected_scan():
    limb, surface, scan = limb_and_scan()
    correction = Correction(1.04, np.array([20.0, 260.0]), np.array([40.0, -30.0]))
    at = np.array([20.0, 260.0])
    assert np.ptp(correction.at(at)) > 0.02
    moved = corrected(scan, limb, surface, correction)
    larger, skin = scaled_limb(limb, surface, correction)
    again = fit_surface(larger.frame.to_limb(moved.points), heights=skin.trusted)
    heights = np.linspace(skin.trusted[0] + 20, skin.trusted[1] - 20, 30)
    # Two fits through the same exact points: both meet girths to 0.1 mm.
    np.testing.assert_allclose(tape_girths(skin, heights), tape_girths(again, heights), atol=0.2)


def test_height_0_stays_the_least_girth_where_girths_are_corrected_by_height():
    def waisted(heights, bearings):
        return 40.0 + 0.002 * (heights - 100.0) ** 2 + 0.0 * bearings

    points = points_of(waisted) - np.array([0.0, 0.0, 100.0])
    limb, _, _ = limb_and_scan()
    surface = fit_surface(points, heights=(-90.0, 150.0))
    correction = Correction(1.0, np.array([-80.0, 80.0]), np.array([60.0, -60.0]))
    larger, skin = scaled_limb(limb, surface, correction)
    near = np.arange(-40.0, 40.0, 0.5)
    assert near[np.argmin(tape_girths(skin, near))] == pytest.approx(0.0, abs=0.5)
    assert larger.height_of("ankle") == 0.0
    # The scan is wider below, so that the least girth lies higher on it: the frame goes up by as much.
    up = (larger.frame.origin - limb.frame.origin) @ limb.frame.axes[2]
    assert up > 2.0
    moved = near[np.argmin(tape_girths(surface, near) * correction.at(near))]
    assert up == pytest.approx(moved, abs=1.0)


def test_what_is_told_of_a_limb_grows_with_it_and_angles_do_not():
    lean = finding("limb.joint not shown", "look", joint="knee", far_end="foot", lean=0.1)
    cuff = finding(
        "limb.cuff",
        "look",
        place=LOWER_LEG.place(height=50.0),
        low=LOWER_LEG.at_height(40.0),
        high=message("at height", zero="zero.ankle", height=60.0),
        step=4.0,
    )
    limb, surface, _ = limb_and_scan(lean, cuff)
    told = scaled_limb(limb, surface, one(1.5))[0].findings
    assert told[0].figures["lean"] == 0.1
    assert told[1].place.height == pytest.approx(75.0)
    assert told[1].figures["step"] == pytest.approx(6.0)
    assert told[1].figures["high"].figures["height"] == pytest.approx(90.0)
    assert told[1].figures["high"].figures["zero"] == "zero.ankle"


def test_every_figure_of_a_sentence_about_a_limb_is_a_length_or_known_as_none():
    told = [said for code, said in sentences.SENTENCES.items() if code not in ("limb.unseen", "edge.unseen")]
    numbers = {
        name for said in told for name, one in inspect.signature(said).parameters.items() if one.annotation == "float"
    }
    assert numbers <= LENGTHS | UNSCALED
