"""Turns, kinks of girth and hollows of tubes with a formula."""

from dataclasses import replace

import numpy as np
import pytest
from bent_tubes import Tube, bump, turned

from flatten.limb.anatomy.bends import hinges, hollows, median_radius, turns
from flatten.limb.anatomy.midline import midline_of

FRONT = np.array([1.0, 0.0, 0.0])
BENT = Tube(lambda along, bearings: 34 + 0.02 * along, bend=np.radians(40.0), over=20.0)


def mark(tube, line, along):
    return float(line.nearest(tube.line(np.array([along]))[0])[0])


@pytest.mark.parametrize("scale", [0.6, 1.0])
def test_a_turn_is_found_where_the_line_bends(scale):
    line = midline_of(scale * BENT.points())
    (turn,) = (peak for peak in turns(line, low=scale * 80, high=scale * 400) if peak.size > np.radians(8))
    assert turn.at / scale == pytest.approx(mark(BENT, midline_of(BENT.points()), 300.0), abs=6.0)
    # What of 40° lies within 26 mm of the peak of a line smoothed by 18 to 20 mm, 10 mm the logistic's own: 0.7 to 0.9.
    assert np.radians(24) < turn.size < np.radians(40)


def test_a_turn_towards_one_side_is_none_towards_the_other():
    line = midline_of(BENT.points())
    assert max(peak.size for peak in turns(line, low=80, high=400, towards=FRONT)) > np.radians(22)
    assert all(peak.size < np.radians(4) for peak in turns(line, low=80, high=400, towards=-FRONT))


def test_a_straight_tube_hardly_turns():
    line = midline_of(replace(BENT, bend=0.0).points())
    assert all(peak.size < np.radians(4) for peak in turns(line, low=60, high=400))


@pytest.mark.parametrize("scale", [0.6, 1.0])
def test_a_kink_of_girth_is_where_it_begins_to_grow(scale):
    tube = Tube(lambda along, bearings: 40 * np.exp(0.004 * np.maximum(along - 260.0, 0.0)))
    line = midline_of(turned(scale * tube.points(), 2))
    best = max(hinges(line, low=scale * 80, high=scale * 400, half=scale * 34), key=lambda peak: peak.size)
    assert best.at / scale == pytest.approx(mark(tube, midline_of(tube.points()), 260.0), abs=6.0)
    assert best.size == pytest.approx(0.004 / scale * median_radius(line), rel=0.25)


def test_growth_that_slackens_is_no_kink():
    line = midline_of(Tube(lambda along, bearings: 40 * np.exp(0.004 * np.minimum(along, 260.0))).points())
    assert all(peak.size < 0.03 for peak in hinges(line, low=80, high=400, half=34.0))


def test_a_hollow_has_the_curvature_of_its_formula():
    def dented(along, bearings):
        return 40 - 6 * bump(along, 250.0, 40.0) * np.maximum(np.cos(bearings), 0.0)

    line = midline_of(Tube(dented).points())
    (hollow,) = (peak for peak in hollows(line, FRONT, low=120, high=380) if peak.size > 0.05)
    assert hollow.at == pytest.approx(mark(Tube(dented), line, 250.0), abs=6.0)
    # At the bottom of a bell 6 mm deep and 40 wide curvature is 6/40²; smoothing by 8 twice and 4 mm widens it to 42.
    assert hollow.size == pytest.approx(6 / 40**2 * median_radius(line), rel=0.25)
    assert all(peak.size < 0.05 for peak in hollows(line, -FRONT, low=120, high=380))
