"""Knees of bent tubes: where girth, bend and proportions agree, where one of them is missing, and what is cut off."""

from dataclasses import replace

import numpy as np
import pytest
from bent_tubes import Tube, bump, turned

from flatten.limb.anatomy.bends import Peak, hollows, turns
from flatten.limb.anatomy.joint import Joint
from flatten.limb.anatomy.knee import _shape, knee_of_leg
from flatten.limb.anatomy.kneecap import knee_of_thigh, shows_foot, top_above_middle
from flatten.limb.anatomy.midline import midline_of
from flatten.limb.anatomy.narrow import Dip, ankle_of, dips
from flatten.limb.anatomy.signs import by_dips, by_peaks, by_thinness
from flatten.limb.model import LimbError

BACK, FRONT = np.array([1.0, 0.0, 0.0]), np.array([-1.0, 0.0, 0.0])
KNEE = 350.0
"""mm above the ankle of these tubes, which is at 30: 10.6 ankle radii."""


def leg(along, bearings):
    """Least at 30 and, above a calf at 250, at 355, 25 mm below the knee; then a thigh."""
    thigh = 30 / (1 + np.exp(-(along - 480) / 35))
    return 33 + 20 * bump(along, 260.0, 75.0) + 17 * bump(along, 420.0, 70.0) + thigh


def smooth(along, bearings):
    """An ankle and a calf that never narrows again."""
    return 33 + 22 / (1 + np.exp(-(along - 170) / 35)) + 0.02 * np.maximum(along - 250, 0)


def tube(radius=leg, **changes):
    return replace(Tube(radius, length=620.0, bend=np.radians(22.0), at=30 + KNEE, closed=False), **changes)


def told(shape, *, front=FRONT, scale=1.0, seed=None):
    points = scale * shape.points()
    line = midline_of(points)
    ankle = ankle_of(line)
    return line, ankle, knee_of_leg(line, ankle, front)


def least_above_calf(line, ankle):
    return next(dip for dip in dips(line, ankle.along + 180, line.along[-1]))


@pytest.mark.parametrize("scale", [0.9, 1.0, 1.1])
@pytest.mark.parametrize("bend", [8.0, 15.0, 25.0])
def test_the_knee_is_where_girth_bend_and_proportions_agree(bend, scale):
    line, _, knee = told(tube(bend=np.radians(bend)), scale=scale)
    truth = line.nearest(scale * tube(bend=np.radians(bend)).line(np.array([30 + KNEE]))[0])[0]
    assert knee.along == pytest.approx(truth, abs=25.0)
    assert abs(knee.along - truth) < 2 * knee.sigma
    assert 12.0 <= knee.sigma < 25.0
    assert knee.others == ()


def test_a_limb_in_another_pose_has_its_knee_at_the_same_place():
    shape = tube()
    line, _, knee = told(shape)
    move = turned(np.vstack([np.eye(3), np.zeros(3)]), 5)
    points = turned(shape.points(), 5)
    moved = midline_of(points)
    again = knee_of_leg(moved, ankle_of(moved), (move[:3] - move[3]).T @ FRONT)
    place = turned(np.vstack([line.place(knee.along)[None], np.zeros(3)]), 5)[0]
    assert np.linalg.norm(moved.place(again.along) - place) < 5.0


def test_a_turn_counts_only_where_it_goes_away_from_the_front():
    shape = tube(smooth, bend=np.radians(25.0), at=30 + KNEE + 40)
    line, _, knee = told(shape)
    truth = line.nearest(shape.line(np.array([30 + KNEE + 40.0]))[0])[0]
    assert knee.along == pytest.approx(truth, abs=12.0)
    assert abs(told(shape, front=BACK)[2].along - truth) > 12.0


def test_the_least_girth_counts_where_the_leg_is_straight():
    places = []
    for shift in (-20.0, 0.0, 20.0):
        shape = tube(lambda along, bearings, shift=shift: leg(along - shift * (along > 200), bearings), bend=0.0)
        line, ankle, knee = told(shape)
        places.append(knee.along - ankle.along)
        assert knee.along - least_above_calf(line, ankle).along > 10.0
    assert places[2] - places[0] > 15.0


@pytest.mark.parametrize(("bend", "drift"), [(10.0, (8.0, 22.0)), (28.0, (0.0, 6.0))])
def test_the_knee_lies_above_dip_and_kink_of_girth_and_below_a_slight_turn(bend, drift):
    line = midline_of(tube(bend=np.radians(bend)).points())
    low, high = (line.nearest(tube(bend=np.radians(bend)).line(np.array([at]))[0])[0] for at in (290.0, 500.0))
    dip_sign, kink_sign, turn_sign, hollow_sign = _shape(line, FRONT, low=low, high=high, girths=(low, high))
    (dip,), turn = dips(line, low, high), turns(line, low=low, high=high, towards=BACK)[0]
    # Half a knee's radius of 50 mm; a kink lies where the dip does, a hollow a third of that lower than the knee.
    assert [hint.at - dip.along for hint in dip_sign.hints] == [pytest.approx(25.0, abs=5.0)]
    assert max(kink_sign.hints, key=lambda hint: hint.weight).at - dip.along == pytest.approx(25.0, abs=20.0)
    told = turn.at - turn_sign.hints[0].at
    assert drift[0] <= told <= drift[1]
    deepest = max(hollows(line, BACK, low=low, high=high), key=lambda peak: peak.size)
    assert max(hollow_sign.hints, key=lambda hint: hint.weight).at - deepest.at == pytest.approx(8.0, abs=2.0)


def test_a_slender_leg_that_dips_above_its_knee_alone_has_it_where_proportions_say():
    def slender(along, bearings):
        calf = 8 / (1 + np.exp(-(along - 150) / 50))
        return 26 + calf + 7 * bump(along, 330.0, 40.0) + 20 / (1 + np.exp(-(along - 520) / 25))

    line, ankle, knee = told(tube(slender, bend=0.0))
    (dip,) = dips(line, ankle.along + 200, line.along[-1])
    assert dip.along > ankle.along + 370
    assert knee.along < dip.along - 30
    assert knee.others == ()
    assert knee.sigma < 25.0


def test_a_knee_that_the_scan_ends_below_is_told_by_proportions_with_doubt():
    line, ankle, knee = told(tube(length=330.0))
    assert knee.along > line.trusted[1]
    assert knee.sigma >= 32.0
    assert knee.along - ankle.along == pytest.approx(KNEE, abs=40.0)


def test_a_childs_knee_is_told_with_more_doubt_by_proportions():
    adult, child = (told(tube(smooth, bend=0.0), scale=scale)[2].sigma for scale in (1.0, 0.55))
    assert child > adult


@pytest.mark.parametrize("bend", [10.0, 20.0])
def test_a_thighs_knee_is_the_kneecaps_top(bend):
    shape = tube(lambda along, bearings: leg(along + 250, bearings), length=500.0, at=130.0, bend=np.radians(bend))
    line = midline_of(shape.points())
    knee = knee_of_thigh(line, FRONT)
    # The dip lies 25 mm below the knee here, the turn at it: the middle is between, its top 22 mm above.
    truth = line.nearest(shape.line(np.array([130.0]))[0])[0]
    assert knee.along == pytest.approx(truth + 22.0, abs=25.0)
    assert knee.sigma < 25.0
    assert top_above_middle(line, knee) == pytest.approx(22.0, abs=5.0)


def test_a_lid_with_which_an_app_closed_a_leg_is_no_knee():
    def closed(along, bearings):
        return leg(along, bearings) * np.sqrt(np.clip((560.0 - along) / 45.0, 0.02, 1.0))

    shape = tube(closed, length=559.0, bend=np.radians(12.0))
    line, _, knee = told(shape)
    truth = line.nearest(shape.line(np.array([30 + KNEE]))[0])[0]
    assert knee.along == pytest.approx(truth, abs=25.0)


def test_a_thighs_turn_is_centred_above_its_kneecap():
    """No other sign: a tube as wide at the knee as below it, that widens far above."""
    shape = Tube(
        lambda along, bearings: 52 + 22 / (1 + np.exp(-(along - 330) / 40)), length=460.0, at=170.0, closed=False
    )
    line = midline_of(replace(shape, bend=np.radians(24.0)).points())
    turn = line.nearest(replace(shape, bend=np.radians(24.0)).line(np.array([170.0]))[0])[0]
    knee = knee_of_thigh(line, FRONT)
    # 0.43 radii of 52 mm below the turn is the kneecap's middle, 0.43 above that its top.
    assert knee.along == pytest.approx(turn, abs=12.0)


def test_of_a_leg_that_shows_its_ankle_the_thighs_knee_is_not_the_ankle():
    shape = tube(length=700.0)
    line = midline_of(shape.points())
    assert not shows_foot(line)
    truth = line.nearest(shape.line(np.array([30 + KNEE]))[0])[0]
    assert knee_of_thigh(line, FRONT).along == pytest.approx(truth + 22.0, abs=30.0)


def test_of_a_leg_with_its_foot_the_thighs_knee_is_the_legs():
    def foot_and_leg(along, bearings):
        return np.where(along < 200, 33 + 8 * bump(along, 90.0, 45.0), leg(np.maximum(along - 200, 0), bearings))

    heel = Tube(foot_and_leg, length=900.0, bend=np.radians(80.0), at=150.0, over=40.0)
    line = midline_of(heel.points())
    assert shows_foot(line)
    leg_knee, thigh_knee = (
        knee_of_leg(line, ankle_of(line), np.array([0, 0, -1.0])),
        knee_of_thigh(line, -heel.line(np.array([10.0]))[0][0]),
    )
    assert isinstance(thigh_knee, Joint)
    assert thigh_knee.along > leg_knee.along + 10.0


def test_too_little_of_a_thigh_is_refused():
    with pytest.raises(LimbError, match="too little to hold a knee"):
        knee_of_thigh(midline_of(Tube(lambda a, b: 50 + 0 * a, length=148.0, closed=False).points()), FRONT)


def test_dips_between_which_girth_hardly_rises_are_one():
    def wavy(along, bearings):
        return 45 + 10 * bump(along, 40.0, 50.0) + 10 * bump(along, 410.0, 50.0) + 0.05 * np.cos(along / 12)

    line = midline_of(Tube(wavy, closed=False).points())
    assert len(dips(line, *line.trusted)) == 1
    two = midline_of(Tube(lambda a, b: 45 - 4 * bump(a, 150.0, 25.0) - 3 * bump(a, 300.0, 25.0), closed=False).points())
    found = dips(two, *two.trusted)
    assert [round(dip.along, -1) for dip in found] == pytest.approx([150.0, 300.0], abs=20.0)
    # To both sides the tube grows back to a radius of 45 mm, less what smoothing takes.
    assert [dip.rise for dip in found] == pytest.approx([4 / 41, 3 / 42], rel=0.1)


def test_signs_say_on_which_side_of_a_peak_the_joint_lies():
    sign = by_peaks((Peak(100.0, 0.4), Peak(200.0, 0.2), Peak(300.0, 9.0)), above=10.0, sigma=5.0, size=0.2)
    assert [hint.at for hint in sign.hints] == [110.0, 210.0, 310.0]
    assert [hint.weight for hint in sign.hints] == pytest.approx([4.0, 1.0, 6.0])
    deep, shallow = by_dips((Dip(50.0, 300.0, 4.0, 0.1), Dip(90.0, 306.0, 4.0, 0.1)), above=5.0, sigma=3.0).hints
    assert (deep.at, shallow.at) == (55.0, 95.0)
    assert deep.weight == pytest.approx(np.e**2 * shallow.weight)
    assert deep.sigma == pytest.approx(np.hypot(3.0, 2.0))
    (faint,) = by_dips((Dip(50.0, 300.0, 4.0, 0.006),), above=5.0, sigma=3.0).hints
    assert faint.weight == pytest.approx(deep.weight * (1 - 1 / np.e), rel=1e-6)
    assert by_dips((), above=5.0, sigma=3.0).hints == ()


def test_thinness_points_to_the_thin():
    line = midline_of(Tube(lambda a, b: 45 + 12 * bump(a, 60.0, 60.0), closed=False).points())
    sign = by_thinness(line, low=0.0, high=450.0, share=0.05)
    weights = {hint.at: hint.weight for hint in sign.hints}
    assert sum(weights.values()) == pytest.approx(6.0)
    assert line.place(max(weights, key=weights.get))[2] > 200.0
