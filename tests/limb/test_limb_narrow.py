"""Least and greatest girths along bent tubes: their places, and what hand, foot, finger and trunk do to them."""

import numpy as np
import pytest
from bent_tubes import Tube, bump, turned

from flatten.limb.anatomy.midline import midline_of
from flatten.limb.anatomy.narrow import ankle_of, trunk_begins, widest_between, wrist_of
from flatten.limb.model import LimbError


def forearm(along, bearings):
    """Palm at 70, wrist about 160, a belly at 330, an elbow that narrows."""
    wide = 1 + 0.45 * bump(along, 70.0, 35.0) * np.cos(2 * bearings)
    return (24 + 14 * bump(along, 70.0, 40.0) + 17 * bump(along, 330.0, 75.0)) * wide


def finger(along, bearings):
    return forearm(along, bearings) - 28 * bump(along, -10.0, 28.0)


def long_fingers(along, bearings):
    """The same arm 120 mm farther up, with fingers beyond the palm that are half as thick as the wrist."""
    return forearm(along - 120.0, bearings) - 14 * bump(along, 90.0, 30.0)


def leg(along, bearings):
    return 30 + 26 * bump(along, 400.0, 80.0) + 10 * bump(along, 90.0, 50.0) + 20 * bump(along, 640.0, 90.0)


def mark(tube, line, along):
    return line.nearest(tube.line(np.array([along]))[0])[0]


def least(radius, low, high):
    along = np.arange(low, high, 0.5)
    return along[np.argmin(radius(along, np.pi / 4))]


@pytest.mark.parametrize("scale", [0.6, 1.0, 1.2])
@pytest.mark.parametrize("shape", [forearm, finger])
def test_the_wrist_is_the_least_girth_above_the_hand(shape, scale):
    tube = Tube(shape, length=460.0, bend=0.6, at=410.0)
    line = midline_of(scale * tube.points())
    wrist = wrist_of(line)
    # A parabola's place to a step of 4 mm, over sections smoothed by 6.
    assert wrist.along / scale == pytest.approx(mark(tube, midline_of(tube.points()), least(forearm, 120, 220)), abs=8)
    assert wrist.girth == pytest.approx(
        2 * np.pi * forearm(np.array([least(forearm, 120, 220)]), 0.785)[0] * scale, rel=0.02
    )
    assert 3.0 <= wrist.sigma < 15.0


@pytest.mark.parametrize("scale", [0.9, 1.0, 1.1])
def test_fingers_that_are_thinner_than_the_wrist_are_none(scale):
    tube = Tube(long_fingers, length=600.0)
    line = midline_of(scale * tube.points())
    true = 120.0 + least(forearm, 120, 220)
    assert wrist_of(line).along / scale == pytest.approx(mark(tube, midline_of(tube.points()), true), abs=8)


def test_a_forearm_that_is_open_below_is_least_where_it_is_cut():
    tube = Tube(lambda along, bearings: 26 + 0.04 * along, length=250.0, closed=False)
    line = midline_of(tube.points())
    assert line.opened == (True, True)
    assert wrist_of(line).along == pytest.approx(line.trusted[0], abs=4.0)


@pytest.mark.parametrize("scale", [0.6, 1.0, 1.2])
def test_the_ankle_is_the_least_girth_between_foot_and_calf(scale):
    tube = Tube(leg, length=760.0, bend=np.radians(70.0), at=150.0, over=50.0)
    line = midline_of(turned(scale * tube.points(), 1))
    # The thin toes lie beyond the turn, and the knee's own least girth beyond the calf.
    expected = least(leg, 190.0, 300.0)
    assert ankle_of(line).along == pytest.approx(mark(tube, midline_of(tube.points()), expected) * scale, abs=16.0)
    assert ankle_of(line).girth == pytest.approx(2 * np.pi * leg(np.array([expected]), 0)[0] * scale, rel=0.02)


def test_the_widest_lies_in_the_stretch_that_is_named():
    tube = Tube(leg, length=760.0, bend=np.radians(70.0), at=150.0, over=50.0)
    line = midline_of(tube.points())
    ankle, knee = (mark(tube, line, at) for at in (250.0, 530.0))
    calf = widest_between(line, ankle, knee)
    assert calf.along == pytest.approx(mark(tube, line, 400.0), abs=6.0)
    assert calf.sigma == pytest.approx(12.0, abs=6.0)
    assert widest_between(line, knee, line.along[-1]).girth < calf.girth
    with pytest.raises(LimbError, match=r"5000 to 5100 mm from the lower end.*which limb.*unit.*scan more of it"):
        widest_between(line, 5000.0, 5100.0)


def test_a_limb_ends_where_it_spreads_into_the_trunk():
    tube = Tube(lambda along, bearings: 45 + 40 / (1 + np.exp(-(along - 330) / 10)), length=420.0, closed=False)
    line = midline_of(tube.points())
    # The slope is 1 at 330 and 0.6 at about 313; the girths are smoothed by 12 mm.
    assert trunk_begins(line) == pytest.approx(mark(tube, line, 316.0), abs=12.0)
    cone = midline_of(Tube(lambda along, bearings: 40 + 0.2 * along, closed=False).points())
    assert trunk_begins(cone) == cone.trusted[1]
